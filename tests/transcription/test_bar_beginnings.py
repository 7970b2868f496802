"""Chords whose first stroke comes after the bar line, in parts whose evidence is written by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import PartEvidence, PitchEvidence, Stretch, StrokeEvidence, StrumEvidence, TimeSpan
from listen.instrument import STANDARD, parse_shape
from listen.reading import Part, Pin
from listen.theory import Pitch
from listen.transcription import PartSettings
from listen.transcription.part import read_part_evidence

BEAT_S = 0.5
C, AM, G = (48, 52, 55, 60, 64), (45, 52, 57, 60, 64), (43, 47, 50, 55, 59, 67)
LOST_FROM_G = 8  # the first beat of bar 3


def _read(*, quiet: tuple[TimeSpan, ...] = (), pins: tuple[Pin, ...] = (), lost: tuple[int, ...] = (8,)) -> Part:
    """Read six bars of quarters, C, A minor, G twice, without the strokes that are lost."""
    played = [(place, chord) for place, chord in enumerate([*[C] * 4, *[AM] * 4, *[G] * 4] * 2) if place not in lost]
    stretches, strokes = [], []
    for number, (place, midis) in enumerate(played):
        after = played[number + 1][0] if number + 1 < len(played) else place + 1
        span = TimeSpan(1.0 + BEAT_S * place, 1.0 + BEAT_S * after)
        heard = tuple(
            PitchEvidence(Pitch(midi), 5.0 if midi in midis else -5.0, 3.0 if midi == min(midis) else -5.0)
            for midi in range(36, 84)
        )
        stretches.append(Stretch.of(StrumEvidence(span, heard), (number, number), span))
        strokes.append(StrokeEvidence(span.start_s, -20.0, lean=2.0, low_share=1.0 if place % 4 == 0 else 0.5))
    heard_part = PartEvidence(TimeSpan(0.0, 14.0), tuple(strokes), tuple(stretches), quiet=quiet)
    return read_part_evidence(heard_part, settings=PartSettings(tuning=STANDARD, capo_fret=0, pins=pins))


def test_a_chord_whose_first_beat_was_not_heard_begins_with_the_bar() -> None:
    part = _read()
    before, moved = part.spans[1:3]
    assert moved.name is not None
    assert moved.name.text == "G"
    assert moved.span.start_s == before.span.end_s == pytest.approx(1.0 + BEAT_S * LOST_FROM_G, abs=0.05)
    assert moved.position is not None
    assert (moved.position.bar, moved.position.step) == (3, 0)
    assert moved.marks == ()
    event = part.events[moved.first_event]
    assert event.span.start_s == pytest.approx(1.0 + BEAT_S * (LOST_FROM_G + 1), abs=0.05), "no stroke is made up"


def test_a_chord_that_begins_late_in_the_bar_stays_there() -> None:
    moved = _read(lost=(8, 9, 10)).spans[2]
    assert moved.span.start_s == pytest.approx(1.0 + BEAT_S * (LOST_FROM_G + 3), abs=0.05)


def test_a_chord_after_a_rest_begins_with_its_stroke() -> None:
    rest = TimeSpan(1.0 + BEAT_S * 7.2, 1.0 + BEAT_S * 9)
    moved = _read(quiet=(rest,)).spans[2]
    assert moved.span.start_s == pytest.approx(1.0 + BEAT_S * (LOST_FROM_G + 1), abs=0.05)


def test_a_pin_at_the_bar_line_holds_the_chord_that_begins_there() -> None:
    shape = parse_shape("355433")
    part = _read(pins=(Pin(shape, bar=3, beat=1),))
    assert [span.pinned for span in part.spans[:4]] == [False, False, True, False]
    others = _read(pins=(replace(Pin(shape, bar=3, beat=1), beat=2),))
    assert others.spans[2].pinned
