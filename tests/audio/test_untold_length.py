"""A container that does not say how long it is: a browser's recorder writes its header before it knows."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from listen.audio import load_recording, probe_recording
from listen.errors import BadValueError
from listen.evidence import TimeSpan
from tests.audio.sounds import hush_length, write_with_av

RATE_HZ = 48_000
TONE = np.asarray(0.5 * np.sin(2 * np.pi * 220.0 * np.arange(3 * RATE_HZ) / RATE_HZ), np.float32)


@pytest.mark.parametrize("container", ["webm", "matroska"])
def test_a_length_that_is_not_told_is_counted_from_the_packets(tmp_path: Path, container: str) -> None:
    path = tmp_path / "take.webm"
    write_with_av(path, TONE, sample_rate_hz=RATE_HZ, container=container, codec="libopus")
    told_s = probe_recording(path).duration_s
    hush_length(path)
    assert b"\x44\x89\x88" not in path.read_bytes()
    assert probe_recording(path).duration_s == pytest.approx(told_s, abs=0.03)
    assert load_recording(path).duration_s == pytest.approx(3.0, abs=0.03)


def test_of_a_file_that_breaks_off_what_is_there_counts(tmp_path: Path) -> None:
    path = tmp_path / "take.webm"
    write_with_av(path, TONE, sample_rate_hz=RATE_HZ, container="webm", codec="libopus")
    hush_length(path)
    path.write_bytes(path.read_bytes()[: path.stat().st_size // 2])
    there_s = len(load_recording(path).samples) / RATE_HZ
    assert 1.0 < there_s < 2.0
    assert probe_recording(path).duration_s == pytest.approx(there_s, abs=0.03)


def test_a_stretch_beyond_an_untold_end_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "take.webm"
    write_with_av(path, TONE, sample_rate_hz=RATE_HZ, container="webm", codec="libopus")
    hush_length(path)
    with pytest.raises(BadValueError, match=r"a start before the recording's end at 3\.0"):
        load_recording(path, span=TimeSpan(4.0, 5.0))
