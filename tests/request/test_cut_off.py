"""A recording that breaks off is said to, whoever hears it: in a part, in one kept for later, in homework."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from listen.audio import load_recording, probe_recording
from listen.evidence import TimeSpan
from listen.request import conclude_part, hear_recording, read_set
from listen.request.bring_in import prepare_sound
from listen.transcription import PartSettings, hear_performance
from tests.audio.sounds import make_plucked, write_with_av

RATE_HZ = 22_050
NOTES = (45.0, 52.0, 57.0)
Hear = Callable[[Path], tuple[str, ...]]
WAYS: dict[str, Hear] = {
    "part": lambda path: conclude_part(hear_recording(path), PartSettings()).warnings,
    "homework": lambda path: hear_performance(path).warnings,
}
CUT_OFF = "The file breaks off early: 2.0 s of it are there, of 4.0 s."


@pytest.fixture(autouse=True)
def _cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_CACHE", str(tmp_path / "cache"))


@pytest.fixture
def cut(tmp_path: Path) -> Path:
    """Two seconds of a file that its header says lasts four."""
    path = tmp_path / "take.wav"
    soundfile.write(path, np.tile(make_plucked(NOTES, duration_s=1.0), 4), RATE_HZ)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    return path


@pytest.mark.parametrize("way", WAYS)
def test_a_file_that_breaks_off_is_said_to_once(way: str, cut: Path) -> None:
    assert WAYS[way](cut).count(CUT_OFF) == 1


@pytest.mark.parametrize("is_written", [True, False])
def test_a_demonstration_that_breaks_off_is_said_to(
    cut: Path, monkeypatch: pytest.MonkeyPatch, *, is_written: bool
) -> None:
    ask = os.access
    monkeypatch.setattr("os.access", lambda path, mode: (is_written or mode != os.W_OK) and ask(path, mode))
    _, note = read_set(str(cut))
    assert cut.with_suffix(".chart").exists() == is_written
    assert note.endswith(f" take.wav: {CUT_OFF}")


@pytest.fixture(params=["flac", "m4a", "aac"])
def cut_inside(tmp_path: Path, request: pytest.FixtureRequest) -> Path:
    """Half of a file whose decoder gives up where it breaks off."""
    path = tmp_path / f"take.{request.param}"
    sound = np.tile(make_plucked(NOTES, duration_s=1.0), 12)
    if request.param == "flac":
        soundfile.write(path, sound, RATE_HZ)
    else:
        container = {"m4a": "ipod", "aac": "adts"}[request.param]
        is_m4a = request.param == "m4a"
        write_with_av(path, sound, sample_rate_hz=RATE_HZ, container=container, codec="aac", index_first=is_m4a)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    return path


def test_a_file_whose_decoder_gives_up_is_read_as_far_as_it_goes_by_everyone(cut_inside: Path) -> None:
    (said,) = load_recording(cut_inside).warnings
    assert re.fullmatch(r"The file breaks off early: \d\.\d s of it could be read\.", said)
    for way, hear in WAYS.items():
        warnings = hear(cut_inside)
        assert [one for one in warnings if "breaks off" in one] == [said], way
    again = WAYS["part"](cut_inside)  # what was heard is kept, and so is that it breaks off
    assert again.count(said) == 1
    assert len(conclude_part(hear_recording(cut_inside), PartSettings()).events) > 3


def test_the_page_plays_a_file_that_breaks_off_as_far_as_it_goes(cut_inside: Path, tmp_path: Path) -> None:
    duration_s = prepare_sound(cut_inside, tmp_path)
    assert 3.0 < duration_s < 7.0
    assert soundfile.info(tmp_path / "sound.flac").duration == pytest.approx(duration_s)


@pytest.mark.parametrize("way", WAYS)
def test_a_file_that_breaks_off_is_said_to_also_where_hearing_was_stopped(
    way: str, cut: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("listen.audio.part_core._hear_windows", stop)
    assert probe_recording(cut).cut_off in WAYS[way](cut)


@pytest.mark.parametrize("way", WAYS)
def test_a_whole_file_where_hearing_was_stopped_is_not_said_to_break_off(
    way: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    path = tmp_path / "take.wav"
    soundfile.write(path, make_plucked(NOTES, duration_s=4.0), RATE_HZ)
    monkeypatch.setattr("listen.audio.part_core._hear_windows", stop)
    assert not any("breaks off" in one for one in WAYS[way](path))


def test_a_stretch_that_is_there_is_not_said_to_break_off(cut: Path) -> None:
    part = conclude_part(hear_recording(cut, span=TimeSpan(0.5, 1.5)), PartSettings())
    assert not any("breaks off" in one for one in part.warnings)


def test_a_stretch_that_is_not_all_there_is_said_to_break_off(tmp_path: Path) -> None:
    """A WebM keeps its length in its header, whatever was cut off."""
    path = tmp_path / "take.webm"
    sound = np.tile(make_plucked(NOTES, sample_rate_hz=48_000), 4)
    write_with_av(path, sound, sample_rate_hz=48_000, container="webm", codec="libopus")
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    assert probe_recording(path).cut_off == ""
    part = conclude_part(hear_recording(path, span=TimeSpan(0.5, 7.5)), PartSettings())
    assert any("The file breaks off early" in one for one in part.warnings)
