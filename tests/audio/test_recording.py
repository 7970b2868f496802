"""Recordings are read whatever they come in, and hostile or broken ones are refused in one sentence."""

from __future__ import annotations

import itertools
import os
import re
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from listen.audio import load_recording, probe_recording, stream_blocks
from listen.errors import BadValueError, RecordingError
from listen.evidence import TimeSpan
from tests.audio.sounds import make_plucked, write_with_av

RATE_HZ = 48_000
STRUM = make_plucked((40, 47, 52, 56, 59, 64), sample_rate_hz=RATE_HZ, duration_s=1.0)


def _alike(heard: NDArray[np.float32], original: NDArray[np.float32]) -> float:
    """Return the correlation of two signals at zero lag, over their common length."""
    n = min(len(heard), len(original))
    return float(np.corrcoef(heard[:n], original[:n])[0, 1])


# --- what can be read


@pytest.mark.parametrize(
    ("suffix", "kind", "subtype"),
    [("wav", "WAV", "PCM_16"), ("wav", "WAV", "PCM_24"), ("wav", "WAV", "FLOAT"), ("wav", "WAV", "DOUBLE"),
     ("wav", "RF64", "PCM_16"), ("flac", "FLAC", "PCM_24"), ("aiff", "AIFF", "PCM_16"), ("ogg", "OGG", "VORBIS"),
     ("opus", "OGG", "OPUS"), ("mp3", "MP3", "MPEG_LAYER_III")],
)  # fmt: skip
def test_every_kind_that_libsndfile_knows_is_read(tmp_path: Path, suffix: str, kind: str, subtype: str) -> None:
    path = tmp_path / f"take.{suffix}"
    soundfile.write(path, STRUM, RATE_HZ, format=kind, subtype=subtype)
    recording = load_recording(path)
    assert recording.sample_rate_hz == RATE_HZ
    assert recording.samples.dtype == np.float32
    assert recording.duration_s == pytest.approx(1.0, abs=0.06)
    assert recording.warnings == ()
    if kind != "MP3":  # its encoder's run-in of some 50 ms is kept
        assert _alike(recording.samples, STRUM) > 0.95


@pytest.mark.parametrize(
    ("suffix", "container", "codec"),
    [("m4a", "ipod", "aac"), ("mp4", "mp4", "aac"), ("mov", "mov", "alac"), ("webm", "webm", "libopus")],
)
def test_what_phones_send_is_read_in_time(tmp_path: Path, suffix: str, container: str, codec: str) -> None:
    path = tmp_path / f"take.{suffix}"
    write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container=container, codec=codec)
    recording = load_recording(path)
    assert recording.sample_rate_hz == RATE_HZ
    assert recording.duration_s == pytest.approx(1.0, abs=0.05)
    # this encoder's 1,024 samples of run-in are not marked in the file, so they belong to it
    late = 1024 if codec == "aac" else 0
    assert _alike(recording.samples[late:], STRUM) > 0.95
    span = load_recording(path, span=TimeSpan(0.5, 0.75))
    assert span.start_s == 0.5
    assert len(span.samples) == pytest.approx(RATE_HZ / 4, abs=2)
    assert _alike(span.samples, STRUM[RATE_HZ // 2 - late :]) > 0.95


def test_bare_aac_is_read(tmp_path: Path) -> None:
    path = tmp_path / "take.aac"
    write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container="adts", codec="aac")
    assert load_recording(path).samples.std() == pytest.approx(STRUM.std(), rel=0.05)


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 22_050, 96_000, 192_000])
def test_any_rate_from_8_to_192_khz_is_read(tmp_path: Path, rate_hz: int) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.zeros(rate_hz // 2, np.float32), rate_hz)
    assert load_recording(path).sample_rate_hz == rate_hz


@pytest.mark.parametrize("rate_hz", [4_000, 384_000])
def test_other_rates_are_refused_with_the_remedy(tmp_path: Path, rate_hz: int) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.zeros(rate_hz // 2, np.float32), rate_hz)
    with pytest.raises(RecordingError, match=f"{rate_hz} Hz cannot be read.*Save the recording again"):
        load_recording(path)


def test_the_name_does_not_matter(tmp_path: Path) -> None:
    path = tmp_path / "take.raw"
    soundfile.write(path, STRUM, RATE_HZ, format="FLAC", subtype="PCM_16")
    assert len(load_recording(path).samples) == len(STRUM)


# --- channels


def test_channels_are_chosen_by_name_and_by_number(tmp_path: Path) -> None:
    left, right = STRUM, make_plucked((57,), sample_rate_hz=RATE_HZ, duration_s=1.0, seed=2)
    path = tmp_path / "take.wav"
    soundfile.write(path, np.stack([left, right], axis=1), RATE_HZ, subtype="FLOAT")
    for channel, wanted in (("left", left), ("right", right), ("2", right), ("mix", (left + right) / 2)):
        assert np.allclose(load_recording(path, channel=channel).samples, wanted - wanted.mean(), atol=1e-6)
    assert np.allclose(load_recording(path, channel="side").samples, (left - right) / 2, atol=1e-3)
    with pytest.raises(BadValueError, match=r"channel=middle is not possible.*mix, left, right, side"):
        load_recording(path, channel="middle")
    with pytest.raises(BadValueError, match=r"channel=3 is not possible.*1 to 2"):
        load_recording(path, channel="3")
    soundfile.write(path, left, RATE_HZ, subtype="FLOAT")
    with pytest.raises(BadValueError, match=r"channel=2 is not possible: it takes 1, the only one for take\.wav"):
        load_recording(path, channel="2")


def test_eight_channels_are_mixed_and_silent_ones_named(tmp_path: Path) -> None:
    channels = np.zeros((RATE_HZ, 8), np.float32)
    channels[:, 2] = STRUM
    path = tmp_path / "take.wav"
    soundfile.write(path, channels, RATE_HZ)
    recording = load_recording(path)
    assert _alike(recording.samples, STRUM) > 0.999
    assert recording.warnings == ("Silent channels: 1, 2, 4, 5, 6, 7, 8.",)


def test_a_channel_asked_of_a_mono_file_is_explained(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, STRUM, RATE_HZ)
    recording = load_recording(path, channel="right")
    assert recording.channel == "mix"
    assert "no right to choose" in recording.warnings[0]


def test_anti_phase_stereo_is_heard_by_one_channel_and_said(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.stack([-0.8 * STRUM, STRUM], axis=1), RATE_HZ, subtype="FLOAT")
    recording = load_recording(path)
    assert recording.channel == "right"
    assert "cancel each other" in recording.warnings[0]
    assert _alike(recording.samples, STRUM) > 0.999
    assert _alike(np.concatenate(list(stream_blocks(path))), STRUM) > 0.999


def test_wide_stereo_is_no_anti_phase(tmp_path: Path) -> None:
    other = make_plucked((45, 52, 57), sample_rate_hz=RATE_HZ, duration_s=1.0, seed=5)
    path = tmp_path / "take.wav"
    soundfile.write(path, np.stack([STRUM, other], axis=1), RATE_HZ)
    assert load_recording(path).channel == "mix"


# --- what is odd about the samples


def test_clipping_is_warned_of_and_read(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.clip(4.0 * STRUM, -1.0, 1.0), RATE_HZ, subtype="PCM_16")
    assert "clipped" in load_recording(path).warnings[0]


def test_a_loud_recording_that_is_not_clipped_is_not_called_so(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, STRUM / np.abs(STRUM).max(), RATE_HZ, subtype="PCM_16")
    assert load_recording(path).warnings == ()


def test_a_constant_offset_is_removed_and_said(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, 0.5 * STRUM + 0.3, RATE_HZ, subtype="FLOAT")
    recording = load_recording(path)
    assert abs(float(recording.samples.mean())) < 1e-6
    assert "DC" in recording.warnings[0]


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_samples_that_are_no_numbers_are_refused(tmp_path: Path, bad: float) -> None:
    spoilt = STRUM.copy()
    spoilt[12_000] = bad
    path = tmp_path / "take.wav"
    soundfile.write(path, spoilt, RATE_HZ, subtype="FLOAT")
    with pytest.raises(RecordingError, match=r"NaN or infinite\), first at 0\.250 s"):
        load_recording(path)
    with pytest.raises(RecordingError, match="NaN or infinite"):
        list(stream_blocks(path))


def test_digital_silence_is_read(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.zeros((RATE_HZ, 2)), RATE_HZ)
    recording = load_recording(path)
    assert not recording.samples.any()
    assert recording.warnings == ()


# --- what cannot be read


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordingError, match="no such file"):
        load_recording(tmp_path / "gone.wav")
    with pytest.raises(RecordingError, match="is a folder"):
        load_recording(tmp_path)
    (tmp_path / "empty.wav").touch()
    with pytest.raises(RecordingError, match="empty"):
        load_recording(tmp_path / "empty.wav")
    os.mkfifo(tmp_path / "pipe.wav")
    with pytest.raises(RecordingError, match="no ordinary file"):
        load_recording(tmp_path / "pipe.wav")
    with pytest.raises(RecordingError, match="cannot be opened"):
        load_recording("a\0b.wav")


def test_text_with_a_recordings_name_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    path.write_text("These are only words.\n", encoding="utf-8")
    with pytest.raises(RecordingError, match=r"its content is text, not WAV, AIFF"):
        load_recording(path)


def test_a_recording_of_no_samples_or_of_40_ms_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.zeros(0), RATE_HZ)
    with pytest.raises(RecordingError, match="zero samples"):
        load_recording(path)
    with pytest.raises(RecordingError, match="zero samples"):
        list(stream_blocks(path))
    soundfile.write(path, STRUM[: RATE_HZ // 25], RATE_HZ)
    with pytest.raises(RecordingError, match=r"lasts 40 ms.*100 ms at least"):
        load_recording(path)


@pytest.mark.parametrize("suffix", ["flac", "wav", "ogg", "mp3", "m4a", "webm"])
@pytest.mark.parametrize("kept", [40, 400, 0.5])
def test_a_file_that_breaks_off_is_refused_or_read_as_far_as_it_goes(tmp_path: Path, suffix: str, kept: float) -> None:
    path = tmp_path / f"take.{suffix}"
    if suffix == "m4a":
        write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container="ipod", codec="aac")
    elif suffix == "webm":
        write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container="webm", codec="libopus")
    else:
        soundfile.write(path, STRUM, RATE_HZ)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(kept if kept > 1 else kept * len(whole))])
    try:
        recording = load_recording(path)
    except RecordingError as error:
        assert str(path) in str(error)  # noqa: PT017  either way is right; only a bare crash is not
    else:
        assert 0 < len(recording.samples) < len(STRUM)


def test_a_half_file_says_that_it_breaks_off(tmp_path: Path) -> None:
    path = tmp_path / "take.flac"
    soundfile.write(path, np.tile(STRUM, 4), RATE_HZ)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    recording = load_recording(path)
    assert any("breaks off early" in warning for warning in recording.warnings)


@pytest.mark.parametrize("suffix", ["wav", "aiff"])
def test_a_half_file_without_blocks_says_so_by_its_header(tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"take.{suffix}"
    soundfile.write(path, np.tile(STRUM, 4), RATE_HZ)
    assert probe_recording(path).cut_off == ""
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    assert probe_recording(path).cut_off == "The file breaks off early: 2.0 s of it are there, of 4.0 s."
    assert load_recording(path).warnings == (probe_recording(path).cut_off,)
    assert load_recording(path, span=TimeSpan(0.5, 1.5)).warnings == ()


@pytest.mark.parametrize(("suffix", "of_all"), [("mp3", r", of 4\.\d s"), ("ogg", "")])
def test_a_half_compressed_file_says_so(tmp_path: Path, suffix: str, of_all: str) -> None:
    """An MP3 by the bytes that its first frame tells, an Ogg by the last page that it lacks."""
    path = tmp_path / f"take.{suffix}"
    soundfile.write(path, np.tile(STRUM, 4), RATE_HZ)
    assert load_recording(path).warnings == ()
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    said = probe_recording(path).cut_off
    assert re.fullmatch(rf"The file breaks off early: [12]\.\d s of it are there{of_all}\.", said)
    assert load_recording(path).warnings == (said,)


def test_a_whole_file_does_not_fall_short_of_a_length_that_is_guessed(tmp_path: Path) -> None:
    """AAC without a container tells no length: how many bytes a second its beginning has stands for all of it."""
    noise = 0.3 * np.random.default_rng(1).normal(size=4 * RATE_HZ).astype(np.float32)
    samples = np.concatenate([np.zeros(4 * RATE_HZ, np.float32), noise])
    path = tmp_path / "take.aac"
    write_with_av(path, samples, sample_rate_hz=RATE_HZ, container="adts", codec="aac")
    assert load_recording(path).warnings == ()
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    (said,) = load_recording(path).warnings
    assert said.startswith("The file breaks off early")


def test_samples_that_are_no_numbers_are_no_end_of_a_file(tmp_path: Path) -> None:
    samples = np.tile(STRUM, 8)
    samples[-RATE_HZ // 2] = np.nan
    path = tmp_path / "take.wav"
    soundfile.write(path, samples, RATE_HZ, subtype="FLOAT")
    with pytest.raises(RecordingError, match="samples that are no numbers"):
        load_recording(path)


def test_a_header_that_was_never_finished_says_nothing(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, STRUM, RATE_HZ, subtype="PCM_16")
    whole = path.read_bytes()
    for told in (b"\xff\xff\xff\xff", b"\x00\xf0\xff\x7f"):
        path.write_bytes(whole[:40] + told + whole[44:])
        assert probe_recording(path).cut_off == ""


@pytest.mark.parametrize(("suffix", "kept", "kind"), [("wav", 44, "a WAV"), ("ogg", 6000, "an Ogg")])
def test_a_file_that_was_cut_off_before_any_sound_is_not_called_empty(
    tmp_path: Path, suffix: str, kept: int, kind: str
) -> None:
    path = tmp_path / f"take.{suffix}"
    soundfile.write(path, STRUM, RATE_HZ)
    path.write_bytes(path.read_bytes()[:kept])
    with pytest.raises(RecordingError, match=f"begins as {kind} file but is broken or cut off"):
        load_recording(path)
    soundfile.write(path, np.zeros(0), RATE_HZ)
    with pytest.raises(RecordingError, match="holds no sound"):
        load_recording(path)


def test_noise_after_a_good_beginning_is_one_sentence(tmp_path: Path) -> None:
    rng = np.random.default_rng(3)
    for magic in (b"fLaC", b"OggS", b"RIFF\x24\x00\x00\x00WAVEfmt ", b"\x00\x00\x00\x18ftypM4A ", b"\x1a\x45\xdf\xa3",
                  b"\xff\xf1\x50\x80", b"\xff\xfb\x90\x00", b"ID3\x04\x00\x00\x00\x00\x00\x05"):  # fmt: skip
        path = tmp_path / "take"
        path.write_bytes(magic + rng.bytes(5000))
        with pytest.raises(RecordingError, match=str(path)):
            load_recording(path)


# --- what a file must not make the decoder do


@pytest.mark.parametrize("suffix", ["m4a", "mp4", "webm", "aac", "wav"])
@pytest.mark.parametrize(
    "lure",
    [
        "ffconcat version 1.0\nfile secret.m4a\n",
        "#EXTM3U\n#EXT-X-TARGETDURATION:5\n#EXTINF:1,\nsecret.m4a\n#EXT-X-ENDLIST\n",
        "v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nm=audio 5004 RTP/AVP 0\n",
        "concat:secret.m4a|secret.m4a",
    ],
)
def test_a_playlist_reaches_no_neighbouring_file(tmp_path: Path, suffix: str, lure: str) -> None:
    write_with_av(tmp_path / "secret.m4a", STRUM, sample_rate_hz=RATE_HZ, container="ipod", codec="aac")
    path = tmp_path / f"take.{suffix}"
    path.write_text(lure, encoding="utf-8")
    with pytest.raises(RecordingError, match="its content is text"):
        load_recording(path)


def test_a_free_ffmpeg_would_take_the_lure(tmp_path: Path) -> None:
    """The attack is real: without a named demuxer, FFmpeg decodes the neighbour."""
    import av

    write_with_av(tmp_path / "secret.m4a", STRUM, sample_rate_hz=RATE_HZ, container="ipod", codec="aac")
    path = tmp_path / "take.m4a"
    path.write_text("ffconcat version 1.0\nfile secret.m4a\n", encoding="utf-8")
    with av.open(str(path)) as file:
        assert sum(frame.samples for frame in file.decode(audio=0)) > 40_000


def test_a_playlist_behind_a_films_first_bytes_is_refused(tmp_path: Path) -> None:
    write_with_av(tmp_path / "secret.m4a", STRUM, sample_rate_hz=RATE_HZ, container="ipod", codec="aac")
    path = tmp_path / "take.m4a"
    path.write_bytes(b"\x00\x00\x00\x08free\nffconcat version 1.0\nfile secret.m4a\n")
    with pytest.raises(RecordingError, match="broken or cut off"):
        load_recording(path)


def test_a_web_address_is_only_a_name(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    for name in ("http://127.0.0.1:9/take.m4a", "concat:a.m4a|b.m4a", "pipe:0", "-"):
        with pytest.raises(RecordingError, match="no such file"):
            load_recording(name)


def test_a_film_without_sound_says_so(tmp_path: Path) -> None:
    import av

    path = tmp_path / "take.mp4"
    with av.open(str(path), "w") as file:
        stream = file.add_stream("mpeg4", rate=10)
        stream.width = stream.height = 16
        for _ in range(3):
            file.mux(stream.encode(av.VideoFrame.from_ndarray(np.zeros((16, 16, 3), np.uint8), format="rgb24")))
        file.mux(stream.encode(None))
    with pytest.raises(RecordingError, match="no sound track"):
        load_recording(path)


def test_too_many_channels_are_refused_before_anything_is_decoded(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.zeros((10, 200), np.float32), RATE_HZ)
    with pytest.raises(RecordingError, match="200 channels cannot be read"):
        probe_recording(path)


# --- long recordings


def _write_long(path: Path, *, minutes: int, rate_hz: int = 8_000) -> None:
    """Write a recording that says its own time: the level is the minute over 100."""
    with soundfile.SoundFile(path, "w", rate_hz, 1, format="FLAC", subtype="PCM_16") as file:
        for minute in range(minutes):
            tone = np.sin(2 * np.pi * 100.0 * np.arange(60 * rate_hz) / rate_hz)
            file.write((minute + 1) / 100.0 * tone)


def test_of_an_hour_only_the_asked_span_is_read(tmp_path: Path) -> None:
    path = tmp_path / "long.flac"
    _write_long(path, minutes=60)
    tracemalloc.start()
    recording = load_recording(path, span=TimeSpan(41 * 60.0 + 10.0, 41 * 60.0 + 13.0))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert recording.duration_s == 3600.0
    assert len(recording.samples) == 3 * 8_000
    assert float(np.abs(recording.samples).max()) == pytest.approx(0.42, abs=0.001)
    assert peak < 4e6


def test_without_a_span_the_first_ten_minutes_are_read_and_it_is_said(tmp_path: Path) -> None:
    path = tmp_path / "long.flac"
    _write_long(path, minutes=12)
    recording = load_recording(path)
    assert len(recording.samples) == 600 * 8_000
    assert "lasts 12 min: the first 10 min were read" in recording.warnings[0]
    with pytest.raises(BadValueError, match="at most 600 s at once"):
        load_recording(path, span=TimeSpan(0.0, 700.0))


def test_an_hour_is_streamed_in_flat_memory(tmp_path: Path) -> None:
    path = tmp_path / "long.flac"
    _write_long(path, minutes=20)
    tracemalloc.start()
    lengths = [len(block) for block in stream_blocks(path, block_s=7.0)]
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert sum(lengths) == 20 * 60 * 8_000
    assert set(lengths[:-1]) == {56_000}
    assert peak < 4e6
    part = np.concatenate(list(stream_blocks(path, block_s=7.0, span=TimeSpan(120.0, 150.0))))
    assert float(np.abs(part).max()) == pytest.approx(0.03, abs=0.001)


@pytest.mark.parametrize("span", [(-1.0, 2.0), (2.0, 2.0), (3.0, 1.0), (float("nan"), 2.0), (5.0, 9.0)])
def test_an_impossible_span_is_refused(tmp_path: Path, span: tuple[float, float]) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, STRUM, RATE_HZ)
    with pytest.raises(BadValueError, match="span="):
        load_recording(path, span=TimeSpan(*span))


def test_blocks_join_to_the_whole_recording(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    stereo = np.stack([STRUM, 0.5 * STRUM], axis=1)
    soundfile.write(path, stereo, RATE_HZ, subtype="FLOAT")
    for channel, block_s in itertools.product(("mix", "left", "side"), (0.01, 0.3, 5.0)):
        joined = np.concatenate(list(stream_blocks(path, channel=channel, block_s=block_s)))
        whole = load_recording(path, channel=channel).samples
        assert np.allclose(joined - joined.mean(), whole, atol=1e-6)


def test_floating_point_samples_of_any_size_are_brought_to_full_scale(tmp_path: Path) -> None:
    tone = (np.sin(np.arange(16_000) / 9.0) * 1e30).astype(np.float32)
    soundfile.write(tmp_path / "huge.wav", tone, 16_000, subtype="FLOAT")
    assert np.abs(load_recording(tmp_path / "huge.wav").samples).max() == pytest.approx(1.0)


@pytest.mark.parametrize("subtype", ["PCM_U8", "ALAW", "ULAW"])
def test_coarse_samples_are_not_said_to_be_clipped(tmp_path: Path, subtype: str) -> None:
    path = tmp_path / "take.wav"
    tone = 0.7 * np.sin(2 * np.pi * 110.0 * np.arange(RATE_HZ) / RATE_HZ)
    soundfile.write(path, tone, RATE_HZ, subtype=subtype)
    assert load_recording(path).warnings == ()


def test_sixteen_bits_that_are_cut_flat_are_said_to_be_clipped(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.clip(3.0 * STRUM, -0.8, 0.8), RATE_HZ, subtype="PCM_16")
    assert any("clipped" in warning for warning in load_recording(path).warnings)


@pytest.mark.parametrize("times", [1e4, 1e20, 1e38])
def test_samples_far_beyond_full_scale_are_scaled_and_nothing_else_is_said(tmp_path: Path, times: float) -> None:
    path = tmp_path / "take.wav"
    both = np.tile(STRUM, (2, 3)).T.astype(np.float64) * times
    soundfile.write(path, both, RATE_HZ, subtype="FLOAT")
    recording = load_recording(path)
    assert recording.warnings == ()
    assert float(np.abs(recording.samples).max()) == pytest.approx(1.0, abs=0.01)
    assert _alike(recording.samples, STRUM) > 0.999
    streamed = np.concatenate(list(stream_blocks(path, block_s=0.1)))
    assert float(np.abs(streamed).max()) < 1e6  # of which a spectrum's power can be taken
    assert _alike(streamed, STRUM) > 0.999


def test_flac_in_ogg_is_read(tmp_path: Path) -> None:
    path = tmp_path / "take.oga"
    write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container="ogg", codec="flac")
    assert _alike(load_recording(path).samples, STRUM) > 0.999


def test_a_damaged_mp3_prints_nothing_of_its_decoders(tmp_path: Path, capfd: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "take.mp3"
    soundfile.write(path, STRUM, RATE_HZ, format="MP3")
    data = bytearray(path.read_bytes())
    data[300::97] = bytes(byte ^ 0xFF for byte in data[300::97])
    path.write_bytes(data)
    load_recording(path)
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize(
    ("told", "is_cut"),
    [
        (3_800_000_000, True),  # a day of it
        (200_000, True),
        (0x7FFF_F000, False),
        (0x7FFF_FFFF, False),
        (0x8000_0000, False),
        (0xFFFF_FFFF, False),
        (0xFFFF_FFFF - 36, False),
    ],
)
def test_a_length_that_no_recorder_leaves_unknown_is_believed(tmp_path: Path, told: int, is_cut: bool) -> None:
    path = tmp_path / "take.wav"
    soundfile.write(path, np.zeros(44100), 44100, subtype="PCM_16")
    written = bytearray(path.read_bytes())
    at = written.index(b"data") + 4
    written[at : at + 4] = told.to_bytes(4, "little")
    path.write_bytes(written)
    info = probe_recording(path)
    assert info.duration_s == pytest.approx(1.0)
    assert bool(info.cut_off) is is_cut
