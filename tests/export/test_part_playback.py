"""A part as sound."""

from __future__ import annotations

import io
import tracemalloc
from contextlib import ExitStack
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
import soundfile

from listen.audio import estimate_tuning_offset
from listen.errors import BadValueError
from listen.evidence import TimeSpan
from listen.export import keep_track, lay_tracks, render_part, samples_to_wav, stream_beside, stream_part
from listen.export.playback import find_plucks
from listen.reading import ConcertPitch, Part
from tests.hand_made_parts import Scene, compound_part, free_part, line_part, straight_part, unheld_part, waltz_part

RATE_HZ = 11_025  # enough for what is measured here, and quick


def _render(part: Part, **options: Any) -> npt.NDArray[np.float32]:
    """Return a whole rendering, scaled as it is written."""
    with keep_track(stream_part(part, **options)) as track:
        return np.concatenate(list(lay_tracks([track])))[:, 0]


def lay_beside(*sounds: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    """Return sounds on a channel each."""
    with ExitStack() as stack:
        return np.concatenate(list(lay_tracks([stack.enter_context(keep_track([sound])) for sound in sounds])))


def _rms(samples: npt.NDArray[Any], start_s: float, length_s: float = 0.04) -> float:
    first = round(start_s * RATE_HZ)
    return float(np.sqrt(np.mean(np.square(samples[first : first + round(length_s * RATE_HZ)]))))


def test_every_string_is_plucked_where_the_part_says() -> None:
    for make in (straight_part, waltz_part, compound_part, line_part, unheld_part):
        part = make()
        plucks = [pluck for pluck in find_plucks(part) if pluck.mute != "dead"]
        notes = [note for event in part.events for note in event.notes]
        assert sorted(pluck.pitch for pluck in plucks) == sorted(note.pitch for note in notes)


def test_frets_count_from_the_nut_so_that_the_string_has_its_stiffness() -> None:
    part = waltz_part()
    for pluck in find_plucks(part):
        if pluck.mute == "open":
            assert part.fretboard.tuning.open_strings[pluck.string].shifted(pluck.fret) == pluck.pitch
            assert pluck.fret >= part.fretboard.capo_fret


def test_a_damped_stroke_clicks_on_every_string_and_a_palm_mute_is_muted() -> None:
    mutes = [pluck.mute for pluck in find_plucks(straight_part())]
    assert mutes.count("dead") == 2 * 6
    assert {pluck.mute for pluck in find_plucks(line_part())} == {"open", "palm"}


@pytest.mark.parametrize("offset_cents", [-30.0, 20.0])
def test_the_strings_are_tuned_as_the_recording_was(offset_cents: float) -> None:
    scene = Scene(start_s=0.5)
    scene.chord("G", "320003")
    scene.strum(1, 0)
    part = replace(scene.part(1), concert_pitch=ConcertPitch(offset_cents))
    samples = _render(part, sample_rate_hz=16_000)
    found = estimate_tuning_offset(samples, sample_rate_hz=16_000, onset_s=scene.time_s(1, 0))
    assert abs(found.value - offset_cents) < 3.0


def test_the_sound_begins_with_each_stroke() -> None:
    scene = Scene(start_s=0.5)
    scene.chord("G", "320003")
    scene.strum(1, 0)
    scene.gap(1, 12, "silence")
    scene.strum(1, 36, "up")
    samples = _render(scene.part(1), sample_rate_hz=RATE_HZ)
    first, second = scene.time_s(1, 0), scene.time_s(1, 36)
    assert _rms(samples, first - 0.1) < 1e-4
    assert _rms(samples, first + 0.03) > 0.05
    assert _rms(samples, second - 0.1) < 0.2 * _rms(samples, first + 0.03), "the rest damps the strings"
    assert _rms(samples, second + 0.03) > 0.05
    assert samples.dtype == np.float32
    assert float(np.abs(samples).max()) <= 0.71


def test_the_rendering_begins_with_the_stretch_that_was_read() -> None:
    part = replace(free_part(), recording=replace(free_part().recording, span=TimeSpan(1.0, 5.0)))
    samples = _render(part, sample_rate_hz=RATE_HZ)
    assert samples.size == round((4.0 + 2.0) * RATE_HZ)
    assert np.array_equal(samples, render_part(part, sample_rate_hz=RATE_HZ))


def test_clicks_stand_on_the_beats_and_bars_begin_higher() -> None:
    part = replace(straight_part(), events=())
    samples = _render(part, sample_rate_hz=RATE_HZ, click=True)
    for index, beat_s in enumerate(part.bars.beats_s[:-1]):
        first = round(beat_s * RATE_HZ)
        assert np.abs(samples[first - 200 : first - 5]).max() < 1e-6
        spectrum = np.abs(np.fft.rfft(samples[first : first + 300], 4096))
        peak_hz = float(np.argmax(spectrum)) * RATE_HZ / 4096
        assert peak_hz == pytest.approx(1500.0 if index % 4 == 0 else 1000.0, abs=60.0)


def test_a_click_needs_beats() -> None:
    with pytest.raises(BadValueError, match="free time"):
        _render(free_part(), click=True)


def test_a_part_that_is_too_long_is_refused_before_the_work() -> None:
    with pytest.raises(BadValueError, match=r"1000 minutes.*read a shorter stretch"):
        _render(replace(free_part(), recording=replace(free_part().recording, span=TimeSpan(0.0, 60_000.0))))


def test_an_unknown_guitar_is_refused() -> None:
    with pytest.raises(BadValueError, match="steel or nylon or electric"):
        _render(free_part(), guitar="banjo")


def test_the_recording_is_left_and_the_part_right(tmp_path: Path) -> None:
    rng = np.random.default_rng(5)
    noise = (0.1 * rng.standard_normal(3 * 16_000)).astype(np.float32)
    path = tmp_path / "take.wav"
    soundfile.write(path, noise, 16_000)
    part = replace(free_part(), recording=replace(free_part().recording, span=TimeSpan(1.0, 3.0)))
    recording = np.concatenate(list(stream_beside(path, part, sample_rate_hz=16_000)))
    assert recording.size == 2 * 16_000
    rendered = np.sin(np.arange(40_000) / 10.0).astype(np.float32)
    both = lay_beside(recording, rendered)
    assert both.shape == (40_000, 2)
    assert np.corrcoef(both[: recording.size, 0], noise[16_000:])[0, 1] > 0.999
    assert np.corrcoef(both[:, 1], rendered)[0, 1] > 0.999
    assert np.abs(both).max() <= 0.71


def test_silence_beside_a_part_is_silence() -> None:
    both = lay_beside(np.zeros(100, dtype=np.float32), np.ones(50, dtype=np.float32))
    assert not both[:, 0].any()


def test_a_wav_file_holds_what_was_rendered() -> None:
    samples = np.linspace(-0.5, 0.5, 1000, dtype=np.float32)
    read, rate = soundfile.read(io.BytesIO(samples_to_wav(samples, sample_rate_hz=RATE_HZ)))
    assert rate == RATE_HZ
    assert np.abs(read - samples).max() < 1e-4


def test_half_an_hour_is_rendered_in_the_memory_of_a_few_seconds() -> None:
    part = replace(free_part(), recording=replace(free_part().recording, span=TimeSpan(0.0, 1800.0)))
    tracemalloc.start()
    try:
        n_samples = sum(block.size for block in stream_part(part, sample_rate_hz=8000))
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert n_samples == 1802 * 8000
    assert most < 30e6  # all of it would take 58 MB as float32


def test_a_recording_of_another_rate_keeps_its_time_and_pitch(tmp_path: Path) -> None:
    path = tmp_path / "take.wav"
    tone = 0.5 * np.sin(2 * np.pi * 441.0 * np.arange(30 * 22_050) / 22_050)
    soundfile.write(path, tone, 22_050)
    part = replace(free_part(), recording=replace(free_part().recording, span=TimeSpan(2.0, 27.0)))
    heard = np.concatenate(list(stream_beside(path, part, sample_rate_hz=44_100)))
    assert heard.size == pytest.approx(25 * 44_100, abs=2)
    spectrum = np.abs(np.fft.rfft(heard * np.hanning(heard.size)))
    assert float(np.argmax(spectrum)) / 25.0 == pytest.approx(441.0, abs=0.1)


def test_a_softer_stroke_is_played_softer_and_a_click_does_not_drown_it() -> None:
    scene = Scene(start_s=0.5)
    scene.chord("G", "320003")
    for step in (0, 24):
        scene.strum(1, step)
    part = scene.part(1)
    soft = replace(part.events[1], strokes=tuple(
        replace(one, notes=tuple(replace(note, level_db=-15.0) for note in one.notes))
        for one in part.events[1].strokes
    ))  # fmt: skip
    part = replace(part, events=(part.events[0], soft))
    plucks = find_plucks(part)
    assert [{pluck.level_db for pluck in plucks[at : at + 6]} for at in (0, 6)] == [{-3.0}, {-15.0}]
    alone, clicked = (
        np.concatenate(list(stream_part(part, sample_rate_hz=RATE_HZ, click=click))) for click in (False, True)
    )
    clicks = float(np.abs(clicked - alone).max())
    assert 0.1 < clicks / float(np.abs(alone).max()) < 0.6


def test_of_two_tracks_each_is_as_loud_as_the_other() -> None:
    rng = np.random.default_rng(2)
    loud, soft = (level * rng.standard_normal(20_000).astype(np.float32) for level in (0.5, 0.01))
    both = lay_beside(loud.astype(np.float32), soft.astype(np.float32))
    left, right = np.sqrt(np.mean(np.square(both, dtype=np.float64), axis=0))
    assert left == pytest.approx(right, rel=0.01)
