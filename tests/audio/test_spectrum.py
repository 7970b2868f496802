"""Cents, stiffness, decay, onset and direction are measured on strums of known physics."""

import math

import numpy as np
import pytest

from listen.audio import load_ear
from listen.audio.attack import estimate_direction, estimate_onsets
from listen.audio.peaks import find_spectrum_peaks
from listen.audio.spectrum import NotePhysics, describe_notes
from listen.evidence import Measured, PitchEvidence
from listen.instrument import STRING_TABLES, Fretboard, Shape
from listen.synthesis import StrumStyle, Tone, render_shape, shape_to_notes
from listen.theory import Pitch
from tests.audio.sounds import make_plucked

RATE_HZ = 16_000
ONSET = round(0.3 * RATE_HZ)
SHAPES = ((None, 3, 2, 0, 1, 0), (3, 2, 0, 0, 0, 3), (None, 0, 2, 2, 2, 0), (1, 3, 3, 2, 1, 1), (None, 7, 9, 9, 8, 7))


def _measure(
    midis: tuple[float, ...], *, stiffness: float = 6e-5, spread_s: float = 0.01
) -> tuple[tuple[NotePhysics, ...], tuple[Measured | None, ...]]:
    samples = make_plucked(midis, sample_rate_hz=RATE_HZ, stiffness=stiffness, spread_s=spread_s)
    peaks = find_spectrum_peaks(samples, onset=ONSET, end=len(samples))
    assert peaks is not None
    pitches = tuple(Pitch(round(midi)) for midi in sorted(midis))
    notes = describe_notes(samples, peaks, pitches, onset=ONSET, end=len(samples))
    return notes, estimate_onsets(samples, notes, onset=ONSET, end=len(samples))


@pytest.mark.parametrize("stiffness", [2e-5, 1e-4, 4e-4])
@pytest.mark.parametrize("midi", [40, 50, 59, 64])
def test_stiffness_of_a_lone_note_is_found_to_5_percent(midi: int, stiffness: float) -> None:
    (note,), _ = _measure((midi,), stiffness=stiffness)
    assert note.stiffness is not None
    assert abs(note.stiffness.value - math.log(stiffness)) < 0.05


@pytest.mark.parametrize("cents", [-25, -8, 0, 12, 30])
def test_each_notes_deviation_is_found_inside_a_chord(cents: int) -> None:
    notes, _ = _measure((40, 47 + cents / 100.0, 52, 56, 59 - cents / 200.0))
    found = {note.pitch.midi: note.deviation_cents for note in notes}
    for midi, true in ((40, 0.0), (47, cents), (56, 0.0), (59, -cents / 2)):
        assert found[midi] == pytest.approx(true, abs=2.0)


def test_partials_follow_fletchers_formula_and_shared_ones_are_marked() -> None:
    notes, _ = _measure((40, 52), stiffness=1e-4)
    low, high = notes
    for partial in low.partials:
        if not partial.shared:
            k = partial.number
            predicted_hz = k * Pitch(40).frequency_hz * math.sqrt(1.0 + 1e-4 * k * k)
            assert partial.frequency_hz == pytest.approx(predicted_hz, abs=0.3)
    # an octave's lower note has its even partials in common with the upper one, as long as stiffness is small
    assert [partial.shared for partial in low.partials[:6]] == [False, True, False, True, False, True]
    assert high.partials[0].shared
    assert max(partial.level_db for note in notes for partial in note.partials) == 0.0


def test_no_sound_gives_no_peaks() -> None:
    assert find_spectrum_peaks(np.zeros(8_000, np.float32), onset=100, end=8_000) is None
    assert find_spectrum_peaks(np.ones(500, np.float32), onset=100, end=500) is None


def test_decay_is_measured_as_the_time_to_fall_by_60_db() -> None:
    time_s = np.arange(2 * RATE_HZ) / RATE_HZ
    for t60_s in (0.8, 2.0, 5.0):
        tone = np.zeros(len(time_s))
        for k in range(1, 8):
            tone += np.sin(2 * np.pi * 196.0 * k * time_s) / k * 10.0 ** (-3.0 * time_s / t60_s)
        samples = tone.astype(np.float32)
        peaks = find_spectrum_peaks(samples, onset=0, end=len(samples))
        assert peaks is not None
        (note,) = describe_notes(samples, peaks, (Pitch(55),), onset=0, end=len(samples))
        assert note.decay_s is not None
        assert note.decay_s.value == pytest.approx(t60_s, rel=0.1)


def test_a_duller_pluck_has_a_steeper_tilt() -> None:
    time_s = np.arange(RATE_HZ) / RATE_HZ
    tilts = []
    for slope in (1.0, 2.0):
        tone = sum(np.sin(2 * np.pi * 110.0 * k * time_s) * k**-slope for k in range(1, 20))
        samples = np.asarray(tone * np.exp(-2 * time_s), np.float32)
        peaks = find_spectrum_peaks(samples, onset=0, end=len(samples))
        assert peaks is not None
        (note,) = describe_notes(samples, peaks, (Pitch(45),), onset=0, end=len(samples))
        assert note.brightness is not None
        tilts.append(note.brightness.value)
    assert tilts == pytest.approx([-6.02, -12.04], abs=0.4)  # 20·log10(2) dB an octave for each power of k


@pytest.mark.parametrize("order", [1, -1])
def test_the_order_of_onsets_tells_the_direction(order: int) -> None:
    midis = (40.0, 47.0, 52.0, 56.0, 59.0)[::order]
    notes, onsets = _measure(midis, spread_s=0.02)
    known = [(note, onset_s) for note, onset_s in zip(notes, onsets, strict=True) if onset_s is not None]
    assert len(known) >= 3
    true = {round(midi): 0.02 * place for place, midi in enumerate(midis)}
    apart = [onset_s.value - true[note.pitch.midi] for note, onset_s in known]
    assert np.std(apart) < 0.006
    assert estimate_direction(notes, onsets) == ("down" if order == 1 else "up")


def test_one_note_has_no_direction() -> None:
    notes, onsets = _measure((52,))
    assert estimate_direction(notes, onsets) is None


def test_the_ear_places_strings_by_stiffness_as_the_table_of_strings_has_it() -> None:
    """The table's values for steel are those published for GuitarSet (Bastas et al. 2022)."""
    ear = load_ear()
    errors, n_notes = [], 0
    for seed, frets in enumerate(SHAPES):
        shape = Shape(frets)
        tone = Tone(guitar="steel", sample_rate_hz=RATE_HZ, seed=seed)
        settings = StrumStyle(onset_s=0.3, duration_s=1.8, tone=tone)
        heard = ear.hear(render_shape(shape, Fretboard(), settings=settings), sample_rate_hz=RATE_HZ, onset_s=0.3)
        by_pitch: dict[Pitch, PitchEvidence] = {one.pitch: one for one in heard.pitches if one.log_odds > 0.0}
        for note in shape_to_notes(shape, Fretboard(), settings=settings):
            n_notes += 1
            stiffness = by_pitch[note.pitch].stiffness if note.pitch in by_pitch else None
            if stiffness is not None:
                table = STRING_TABLES["steel"].stiffness[note.kind]
                errors.append(abs(stiffness.value - math.log(table * 2.0 ** (note.fret / 6.0))))
    assert len(errors) > 0.6 * n_notes
    assert np.median(errors) < 0.03
    assert np.mean(np.array(errors) < 0.29) > 0.9  # half of what parts two neighbouring strings: ln 2^(5/6)
