"""Power chords struck again and again through an amplifier that distorts them all together, rendered and read.

What is held where, and what it is called, is common practice (no source): 133xxx is F5, 133211 is F.
"""

from __future__ import annotations

import pytest

from listen.instrument import STANDARD, Fretboard, parse_shape
from listen.reading import Part
from listen.synthesis import PluckedNote, Tone, render_notes
from listen.transcription import PartSettings, read_part_samples

RATE_HZ, EIGHTH_S, BAR = 22_050, 0.22, 8
GAP_S, SPREAD_S = 0.004, 0.003  # what a stroke leaves of the note before, and between its strings
TOLD = PartSettings(tuning=STANDARD, capo_fret=0)


def _read(*held: str, drive: float) -> Part:
    """Strike eight downstrokes a bar of each shape, and read them as a part."""
    notes = []
    for place, shape in enumerate(shape for shape in held for _ in range(BAR)):
        frets = parse_shape(shape).frets
        for string, pitch in enumerate(parse_shape(shape).pitches(Fretboard())):
            if pitch is not None:
                onset_s = 0.5 + place * EIGHTH_S + string * SPREAD_S
                loud_db = 0.0 if place % 2 == 0 else -1.0
                notes.append(PluckedNote(onset_s, pitch, string, string, frets[string] or 0, loud_db, EIGHTH_S - GAP_S))
    tone = Tone(guitar="electric", drive=drive, detune_cents=2.0, sample_rate_hz=RATE_HZ, seed=5)
    samples = render_notes(notes, tone=tone, duration_s=1.0 + EIGHTH_S * BAR * len(held))
    return read_part_samples(samples, sample_rate_hz=RATE_HZ, settings=TOLD)


def _list_held(part: Part) -> list[tuple[str, str]]:
    return [
        ("" if span.name is None else span.name.chord.harte, "" if span.shape is None else span.shape.shape.text)
        for span in part.spans
    ]


@pytest.mark.parametrize("drive", [8.0, 25.0])
def test_power_chords_in_eighths_have_no_third_though_hardly_a_note_rises(drive: float) -> None:
    riff = ("133xxx", "x133xx", "x355xx", "355xxx")
    names = ("F:(1,5)", "Bb:(1,5)", "C:(1,5)", "G:(1,5)")
    assert _list_held(_read(*riff, drive=drive)) == list(zip(names, riff, strict=True))


def test_a_triad_struck_in_eighths_through_a_light_drive_keeps_its_third() -> None:
    assert _list_held(_read("133211", "355xxx", "x02220", drive=4.0)) == [
        ("F:maj", "133211"), ("G:(1,5)", "355xxx"), ("A:maj", "x02220"),
    ]  # fmt: skip
