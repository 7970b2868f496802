"""What FFmpeg is asked of a stranger's file: no codec beyond the list, no false count, no gigabytes."""

from __future__ import annotations

import struct
import subprocess
import sys
from pathlib import Path

import pytest

from listen.audio import compressed, load_recording, probe_recording
from listen.errors import RecordingError
from tests.audio.sounds import make_plucked, write_with_av

RATE_HZ = 48_000
STRUM = make_plucked((40, 47, 52, 56, 59, 64), sample_rate_hz=RATE_HZ, duration_s=0.5)
LIES = {
    "samples of one size": (b"stsz", lambda content: content[:4] + struct.pack(">II", 1, 0xFFFFFFF0)),
    "a table longer than its box": (
        b"stsz",
        lambda content: content[:8] + struct.pack(">I", 0x0FFFFFFF) + content[12:],
    ),
    "samples of a chunk": (b"stsc", lambda content: content[:12] + struct.pack(">I", 0x7FFFFFFF) + content[16:]),
    "chunks": (b"stco", lambda content: content[:4] + struct.pack(">I", 0x7FFFFFFF) + content[8:]),
}


def _change_box(path: Path, kind: bytes, change: object) -> None:
    data = bytearray(path.read_bytes())
    at = data.index(kind)
    length = struct.unpack_from(">I", data, at - 4)[0]
    assert callable(change)
    data[at + 4 : at - 4 + length] = change(bytes(data[at + 4 : at - 4 + length]))
    path.write_bytes(data)


@pytest.mark.parametrize(
    ("suffix", "container", "codec"),
    [("mp4", "mp4", "ac3"), ("mov", "mov", "eac3"), ("webm", "matroska", "ac3")],
)
def test_a_codec_that_is_not_on_the_list_is_not_decoded(
    tmp_path: Path, suffix: str, container: str, codec: str
) -> None:
    path = tmp_path / f"take.{suffix}"
    write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container=container, codec=codec)
    with pytest.raises(RecordingError, match=rf"codec that is not read \({codec}\): save it as WAV"):
        load_recording(path)


def test_a_codec_that_nobody_knows_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "take.webm"
    write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container="webm", codec="libopus")
    path.write_bytes(path.read_bytes().replace(b"A_OPUS", b"A_ZZZZ"))
    with pytest.raises(RecordingError, match=r"codec that is not read \(an unknown one\)"):
        load_recording(path)


@pytest.mark.parametrize("lie", sorted(LIES))
def test_a_file_that_declares_more_than_it_holds_is_refused_before_it_is_decoded(
    tmp_path: Path, lie: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "take.m4a"
    write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container="ipod", codec="aac")
    assert probe_recording(path).sample_rate_hz == RATE_HZ
    _change_box(path, *LIES[lie])
    monkeypatch.setattr(compressed, "CHILD", tmp_path / "never started")
    with pytest.raises(RecordingError, match="declares more than it holds"):
        load_recording(path)


@pytest.mark.parametrize("lie", ["samples of one size", "samples of a chunk"])
def test_without_that_check_the_child_stays_under_its_ceiling(tmp_path: Path, lie: str) -> None:
    path = tmp_path / "take.m4a"
    write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container="ipod", codec="aac")
    _change_box(path, *LIES[lie])
    code = (  # in a program of its own: what is measured is the largest child that it ever had
        "import resource, sys\n"
        "from contextlib import suppress\n"
        "from listen.audio import compressed, load_recording\n"
        "from listen.errors import RecordingError\n"
        "compressed.check_boxes = lambda *_: None\n"
        "with suppress(RecordingError):\n"  # what is wanted is that it takes no gigabytes
        "    load_recording(sys.argv[1])\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        capture_output=True,
        text=True,
        check=True,
        cwd=Path(__file__).parents[2],
    )
    assert 0 < int(ran.stdout) < 500 * 1024


def test_a_child_that_ends_without_a_word_is_one_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "take.m4a"
    write_with_av(path, STRUM, sample_rate_hz=RATE_HZ, container="ipod", codec="aac")
    dead = tmp_path / "dead.py"
    dead.write_text("import os, signal\nos.kill(os.getpid(), signal.SIGSEGV)\n")
    monkeypatch.setattr(compressed, "CHILD", dead)
    with pytest.raises(RecordingError, match="broken or cut off"):
        load_recording(path)
