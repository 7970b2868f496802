"""How a string is played is heard: how hard, where, with what, muted or not, on which guitar."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy import signal

from listen.instrument import STRING_TABLES, Fretboard, Shape, Tuning
from listen.synthesis import (
    PluckedNote,
    Tone,
    band_response,
    pickup_response,
    render_notes,
    resonance_response,
    shape_to_notes,
)
from listen.theory import Pitch

RATE = 16_000
DRY = Tone(sample_rate_hz=RATE, room_db=-100.0, detune_cents=0.0)
A2, E3, A3 = Pitch(45), Pitch(52), Pitch(57)
Samples = np.ndarray[Any, Any]


def pluck(tone: Tone = DRY, *, duration_s: float = 1.0, pitch: Pitch = A2, **how: Any) -> Samples:
    return render_notes([PluckedNote(0.0, pitch, string=1, kind=1, **how)], tone=tone, duration_s=duration_s)


def measure_db(samples: Samples, start_s: float, end_s: float) -> float:
    piece = samples[round(start_s * RATE) : round(end_s * RATE)].astype(np.float64)
    return float(10.0 * np.log10(np.square(piece).mean() + 1e-20))


def measure_partial_db(samples: Samples, hz: float) -> float:
    """Level of what lies within a third of a semitone of a frequency."""
    power = np.abs(np.fft.rfft(samples * np.hanning(samples.size))) ** 2
    at_hz = np.fft.rfftfreq(samples.size, 1.0 / RATE)
    return float(10.0 * np.log10(power[(at_hz > hz / 1.02) & (at_hz < hz * 1.02)].sum() + 1e-20))


def test_a_note_twelve_decibels_softer_sounds_so() -> None:
    notes = [
        PluckedNote(onset_s, A2, string=1, kind=1, level_db=level_db, duration_s=0.4)
        for onset_s, level_db in ((0.0, 0.0), (0.8, -12.0))
    ]
    samples = render_notes(notes, tone=DRY, duration_s=1.2)
    assert measure_db(samples, 0.0, 0.4) - measure_db(samples, 0.8, 1.2) == pytest.approx(12.0, abs=1.5)


def test_a_palm_damps_a_string_and_a_hand_laid_on_it_stills_it() -> None:
    falls = []
    for mute in ("open", "palm", "dead"):
        samples = pluck(mute=mute)
        falls.append(measure_db(samples, 0.0, 0.05) - measure_db(samples, 0.3, 0.35))
    assert falls[0] + 10.0 < falls[1] < falls[2] - 10.0


def test_flesh_is_duller_than_a_pick() -> None:
    """Once the scrape of either is over: the share of what lies above 3 kHz."""
    shares_db = []
    for fingers in (False, True):
        piece = pluck(replace(DRY, fingers=fingers))[RATE // 20 : RATE // 2]
        power = np.abs(np.fft.rfft(piece * np.hanning(piece.size))) ** 2
        is_high = np.fft.rfftfreq(piece.size, 1.0 / RATE) > 3000.0
        shares_db.append(10.0 * np.log10(power[is_high].sum() / power.sum()))
    assert shares_db[1] < shares_db[0] - 4.0


def test_an_open_string_rings_as_long_as_its_table_says() -> None:
    fundamental_hz = A2.frequency_hz
    samples = pluck(duration_s=3.0)
    early, late = (samples[round(at_s * RATE) : round((at_s + 1.0) * RATE)] for at_s in (0.1, 1.9))
    fallen_db = measure_partial_db(early, fundamental_hz) - measure_partial_db(late, fundamental_hz)
    assert fallen_db / 1.8 == pytest.approx(60.0 / STRING_TABLES["steel"].decay_s[1], rel=0.4)


def test_a_string_plucked_in_its_middle_lacks_the_octave() -> None:
    """Fletcher & Rossing 1998, ch. 2: a mode with a node at the place of the pluck is not sounded."""
    octaves = []
    for position in (0.2, 0.5):
        samples = pluck(replace(DRY, pluck_position=position))
        octaves.append(
            measure_partial_db(samples, 2.0 * A2.frequency_hz) - measure_partial_db(samples, A2.frequency_hz)
        )
    assert octaves[1] < octaves[0] - 6.0


def test_strings_are_detuned_each_by_itself() -> None:
    def find_cents(tone: Tone) -> list[float]:
        cents = []
        for string in range(6):
            note = PluckedNote(0.0, A3, string=string, kind=3)
            samples = render_notes([note], tone=tone, duration_s=1.0)
            power = np.abs(np.fft.rfft(samples * np.hanning(samples.size), 1 << 18))
            at_hz = np.fft.rfftfreq(1 << 18, 1.0 / RATE)
            near = np.where(np.abs(at_hz / A3.frequency_hz - 1.0) < 0.05, power, 0.0)
            cents.append(1200.0 * float(np.log2(at_hz[near.argmax()] / A3.frequency_hz)))
        return cents

    assert np.std(find_cents(DRY)) < 3.0
    assert 5.0 < np.std(find_cents(replace(DRY, detune_cents=20.0))) < 40.0


def test_an_overdriven_fifth_sounds_its_difference_tone() -> None:
    """Root and fifth, 2:3, sound the octave below the root where an amplifier clips; no string sounds it."""
    notes = [PluckedNote(0.0, A2, string=1, kind=1), PluckedNote(0.0, E3, string=2, kind=2)]
    below = []
    for drive in (0.0, 15.0):
        tone = replace(DRY, guitar="electric", drive=drive)
        samples = render_notes(notes, tone=tone, duration_s=1.0)[RATE // 10 :]
        below.append(measure_partial_db(samples, A2.frequency_hz / 2.0) - measure_partial_db(samples, A2.frequency_hz))
    assert below[1] > below[0] + 15.0


@pytest.mark.parametrize("order", [1, 2])
def test_a_band_is_the_butterworth_of_scipy(order: int) -> None:
    hz = np.geomspace(20.0, 15_000.0, 50)
    high, low = (
        np.abs(signal.freqs(*signal.butter(order, 2 * np.pi * edge, kind, analog=True), worN=2 * np.pi * hz)[1])
        for edge, kind in ((85.0, "high"), (5200.0, "low"))
    )
    found = band_response(hz, np.asarray([85.0]), np.asarray([5200.0]), order=order)
    np.testing.assert_allclose(found, high * low, rtol=1e-6)


def test_pickup_and_body_are_resonances_of_second_order() -> None:
    """Held to scipy: w0² over s² + s·w0/Q + w0², and s·w0/Q over the same."""
    hz = np.geomspace(50.0, 9000.0, 40)
    w0, quality = 2 * np.pi * 1000.0, 3.0
    under = [1.0, w0 / quality, w0**2]
    low = signal.freqs([w0**2], under, worN=2 * np.pi * hz)[1]
    band = signal.freqs([w0 / quality, 0.0], under, worN=2 * np.pi * hz)[1]
    mode = np.asarray([1000.0]), np.asarray([quality])
    np.testing.assert_allclose(pickup_response(hz, *mode), low, rtol=1e-6)
    np.testing.assert_allclose(resonance_response(hz, *mode, np.asarray([0.7])), 0.7 * band, rtol=1e-6)


def test_a_string_over_a_capo_is_stopped_where_the_finger_is() -> None:
    notes = shape_to_notes(Shape((3, 2, 0, 0, 0, 3)), Fretboard(capo_fret=2))
    assert [note.fret for note in notes] == [5, 4, 2, 2, 2, 5]  # an open string ends at the capo


def test_both_strings_of_a_course_are_about_as_loud() -> None:
    twelve = Tuning("twelve-string", tuple(Pitch(m) for m in (40, 45, 50, 55, 59, 64)), companions=(12,) * 6)
    low, high = shape_to_notes(Shape((None, 3, None, None, None, None)), Fretboard(tuning=twelve))
    assert abs(low.level_db - high.level_db) < 3.0
    assert 0.0 < high.onset_s - low.onset_s < 0.01
