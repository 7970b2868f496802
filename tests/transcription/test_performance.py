"""Which strokes of a student are measured in cents together."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import cast

import numpy as np
import pytest
import soundfile
from numpy.typing import NDArray

from listen.audio import STROKE_RATE_HZ
from listen.evidence import PartEvidence, PitchEvidence, Stretch, StrokeEvidence, StrumEvidence, TimeSpan
from listen.instrument import Fretboard, parse_shape
from listen.synthesis import StrumStyle, Tone, render_notes, shape_to_notes
from listen.theory import Pitch
from listen.transcription.performance import _find_alike, _write_down, hear_performance, hear_performance_samples
from tests.audio.sounds import hush_length, make_plucked, write_with_av

C, AM = {48, 52, 55, 60, 64}, {45, 52, 57, 60, 64}


class Sounding:
    """What is looked at of a stretch: when it sounds, and which pitches surely do."""

    def __init__(self, start_s: float, end_s: float, notes: set[int]) -> None:
        self.span = TimeSpan(start_s, end_s)
        self.log_odds = np.where(np.isin(np.arange(128), list(notes)), 4.0, -6.0)


def test_fast_strokes_of_one_chord_are_measured_together_and_no_other_chord_with_them() -> None:
    strokes = [C, C - {64}, C, AM, AM]
    row = [cast(Stretch, Sounding(0.15 * at, 0.15 * at + 0.15, notes)) for at, notes in enumerate(strokes)]
    end_s, sure = _find_alike(row, 0)
    assert end_s == pytest.approx(0.45)
    assert sure == C - {64}
    end_s, sure = _find_alike(row, 2)
    assert end_s == pytest.approx(0.45)
    assert sure == C
    assert _find_alike(row, 3)[0] == pytest.approx(0.75)


def test_a_stroke_belongs_to_the_sound_it_lies_in_and_a_hit_to_none() -> None:
    span = TimeSpan(0.0, 1.5)
    heard = tuple(PitchEvidence(Pitch(midi), 4.0 if midi in C else -6.0, -1.0) for midi in range(36, 84))
    stretch = Stretch.of(StrumEvidence(span, heard), (0, 1), span)
    strokes = tuple(StrokeEvidence(0.5 * at, -20.0, is_hit=at == 1) for at in range(3))
    whole = PartEvidence(TimeSpan(0.0, 1.5), strokes, (stretch,))
    written = _write_down(whole, np.zeros(0, np.float32), duration_s=1.5)
    assert [stroke.sound for stroke in written.strokes] == [0, -1, -1]
    assert written.warnings == ()


def test_a_file_that_breaks_off_early_is_told_of(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    path = tmp_path / "anna.wav"
    soundfile.write(path, np.zeros(4 * 8000), 8000)
    path.write_bytes(path.read_bytes()[: 44 + 2 * 2 * 8000])
    heard = PartEvidence(TimeSpan(0.0, 2.0), (), ())
    monkeypatch.setattr("listen.transcription.performance.hear_part", lambda _blocks, **_told: heard)
    assert hear_performance(path).warnings == ("The file breaks off early: 2.0 s of it are there, of 4.0 s.",)


def test_a_file_that_cannot_be_read_to_its_end_lasts_as_long_as_it_can(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    path = tmp_path / "anna.wav"
    soundfile.write(path, np.zeros(4 * 8000), 8000)
    for complete, until_s in ((True, 1.0), (False, 4.0)):
        heard = PartEvidence(TimeSpan(0.0, 1.0), (), (), complete=complete)
        monkeypatch.setattr("listen.transcription.performance.hear_part", lambda _blocks, heard=heard, **_told: heard)
        performance = hear_performance(path)
        assert (performance.duration_s, performance.breaks_off) == (until_s, complete)


@pytest.mark.parametrize("ending", ["wav", "webm"])
def test_notes_are_measured_in_cents_whatever_the_container_says_of_its_length(tmp_path: Path, ending: str) -> None:
    path = tmp_path / f"anna.{ending}"
    rate_hz = 48_000
    sound = make_plucked((48, 52, 55, 60.3), sample_rate_hz=rate_hz, duration_s=2.0)
    if ending == "webm":
        write_with_av(path, sound, sample_rate_hz=rate_hz, container="webm", codec="libopus")
        hush_length(path)
    else:
        soundfile.write(path, sound, rate_hz)
    cents = {one.midi: one.cents for one in hear_performance(path).sounds[0].cents}
    assert cents[60] - cents[48] == pytest.approx(30.0, abs=8.0)


@pytest.fixture(scope="module")
def flat_take() -> NDArray[np.float32]:
    """C and G strummed, the fourth string 30 cents flat against the others."""
    tone = Tone(sample_rate_hz=STROKE_RATE_HZ, seed=1, detune_cents=0.0)
    struck = [
        note
        for onset_s, frets in ((0.4, "x32010"), (1.2, "320003"), (2.0, "x32010"))
        for note in shape_to_notes(
            parse_shape(frets), Fretboard(), settings=StrumStyle(onset_s=onset_s, spread_s=0.02, tone=tone)
        )
    ]
    others, flat = (
        render_notes(
            [note for note in struck if (note.string == 2) == is_flat],
            tone=replace(tone, tuning_offset_cents=-30.0 if is_flat else 0.0), duration_s=3.0,
        )
        for is_flat in (False, True)
    )  # fmt: skip
    return np.asarray(0.6 * others + 0.3 * flat, np.float32)


def test_a_string_of_a_recording_is_measured_in_cents(flat_take: NDArray[np.float32], tmp_path: Path) -> None:
    path = tmp_path / "anna.wav"
    soundfile.write(path, flat_take, STROKE_RATE_HZ)
    performance = hear_performance(path)
    measured = [(note.midi, note.cents) for sound in performance.sounds for note in sound.cents]
    for own, off_cents in (({50, 52}, -30.0), ({43, 47, 48, 55, 60, 64, 67}, 0.0)):
        cents = [cents + performance.tuning_offset_cents for midi, cents in measured if midi in own]
        assert len(cents) >= 3
        assert np.median(cents) == pytest.approx(off_cents, abs=5.0)
    assert performance.warnings == ()


def test_a_recording_that_is_cut_off_at_its_loudest_is_warned_of(flat_take: NDArray[np.float32]) -> None:
    loud = np.clip(4.0 * flat_take, -0.9, 0.9).astype(np.float32)
    (warning,) = hear_performance_samples(loud, sample_rate_hz=STROKE_RATE_HZ).warnings
    assert "clipped" in warning
