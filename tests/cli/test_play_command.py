"""``listen play``."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
import soundfile

from listen.document import write_part
from listen.evidence import TimeSpan
from listen.export import playback
from tests.cli.runner import run_listen, run_wrong
from tests.hand_made_parts import free_part, line_part


@pytest.fixture
def part(tmp_path: Path) -> Path:
    short = replace(
        line_part(),
        events=line_part().events[:1],
        spans=(),
        recording=replace(line_part().recording, span=TimeSpan(0.0, 0.6)),
    )
    return write_part(short, tmp_path / "part.json")


def test_a_part_becomes_a_sound_file(part: Path, tmp_path: Path) -> None:
    out = tmp_path / "part.wav"
    result = run_listen("play", str(part), "-o", str(out), "--click")
    assert result.status == 0
    assert "volume low" in result.err
    info = soundfile.info(out)
    assert (info.channels, info.samplerate) == (1, 44_100)
    assert info.duration == pytest.approx(2.6)
    assert np.abs(soundfile.read(out)[0]).max() > 0.1


def test_a_recording_is_laid_beside(part: Path, tmp_path: Path) -> None:
    take = tmp_path / "take.wav"
    soundfile.write(take, 0.1 * np.sin(np.arange(2 * 22_050) / 20.0), 22_050)
    out = tmp_path / "both.wav"
    assert run_listen("play", str(part), "-o", str(out), "--beside", str(take)).status == 0
    assert soundfile.info(out).channels == 2


def test_the_recording_beside_is_never_replaced(part: Path, tmp_path: Path) -> None:
    take = tmp_path / "take.wav"
    take.write_bytes(b"mine")
    for name in (take, tmp_path / "." / "take.wav"):
        sentence = run_wrong("play", str(part), "-o", str(name), "--beside", str(take), "--overwrite")
        assert "never replaced" in sentence
    assert take.read_bytes() == b"mine"


def test_the_recording_that_the_part_was_read_from_is_never_replaced(part: Path, tmp_path: Path) -> None:
    source = json.loads(part.read_text("utf-8"))["file"]
    assert source
    (tmp_path / "elsewhere").mkdir()
    for folder in (tmp_path, tmp_path / "elsewhere"):
        take = folder / source
        take.write_bytes(b"mine")
        link = tmp_path / "link.wav"
        link.unlink(missing_ok=True)
        link.symlink_to(take)
        for name in (take, link):
            assert "never replaced" in run_wrong("play", str(part), "-o", str(name), "--overwrite")
        assert take.read_bytes() == b"mine"


def test_a_sound_file_that_is_there_stays(part: Path, tmp_path: Path) -> None:
    out = tmp_path / "part.wav"
    out.write_bytes(b"mine")
    assert "is there already" in run_wrong("play", str(part), "-o", str(out))
    assert out.read_bytes() == b"mine"
    assert run_listen("play", str(part), "-o", str(out), "--overwrite").status == 0
    assert out.read_bytes()[:4] == b"RIFF"


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("{", "damaged or was cut off"),
        ('{"format": "listen.part/9"}', "newer version"),
        ('{"format": "listen.strum/1"}', "holds a strum document"),
        ("[1, 2]", "does not say which format"),
    ],
)
def test_a_bad_part_is_one_sentence_and_nothing_is_written(tmp_path: Path, content: str, sentence: str) -> None:
    path, out = tmp_path / "part.json", tmp_path / "out.wav"
    path.write_text(content, "utf-8")
    assert sentence in run_wrong("play", str(path), "-o", str(out))
    assert not out.exists()


def test_what_cannot_be_is_said_before_the_work(part: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert "Write part.wav" in run_wrong("play", str(part), "-o", str(tmp_path / "part.mp3"))
    assert "is not there" in run_wrong("play", str(tmp_path / "none.json"), "-o", str(tmp_path / "x.wav"))
    assert "steel or nylon or electric" in run_wrong(
        "play", str(part), "-o", str(tmp_path / "x.wav"), "--guitar", "lute"
    )
    monkeypatch.setattr(playback, "LONGEST_PLAY_S", 1.0)
    assert "a shorter stretch of its recording, and play that" in run_wrong(
        "play", str(part), "-o", str(tmp_path / "x.wav")
    )
    monkeypatch.undo()
    free = write_part(free_part(), tmp_path / "free.json")
    assert "free time" in run_wrong("play", str(free), "-o", str(tmp_path / "x.wav"), "--click")
