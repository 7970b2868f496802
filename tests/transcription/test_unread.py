"""A stroke that could not be read between two of one chord takes nothing from it; between two chords it is said."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import TimeSpan
from listen.harmony.naming import rank_names
from listen.instrument import Fretboard
from listen.reading import StrumReading
from listen.theory import Pitch
from listen.transcription.chord_readings import ReadChord
from listen.transcription.held_chords import HeldChord
from listen.transcription.unread import hold_through_unread
from tests.transcription.written_strokes import AM, STROKE_S, C, hear_strokes

C_HIGH = (60, 64, 67)
UNREAD: tuple[int, ...] = ()


def _chords(*rows: tuple[tuple[int, ...], int], rest_before: int | None = None) -> list[ReadChord]:
    """Hold what sounds for so many strokes each, after a rest where one is asked for; UNREAD has no name."""
    stretches, _ = hear_strokes(tuple(midis or C for midis, n_strokes in rows for _ in range(n_strokes)))
    chords: list[ReadChord] = []
    for number, (midis, n_strokes) in enumerate(rows):
        held, stretches = stretches[:n_strokes], stretches[n_strokes:]
        if number == rest_before:
            late = TimeSpan(held[0].span.start_s + STROKE_S / 2, held[0].span.end_s)
            held[0] = replace(held[0], span=late)
        names = rank_names([Pitch(midi) for midi in midis]) if midis else ()
        reading = StrumReading(held[0].evidence, Fretboard(), names=names)
        chords.append(ReadChord(HeldChord(tuple(held), frozenset(midis)), reading))
    return chords


def _rows(chords: tuple[ReadChord, ...]) -> list[tuple[str, int]]:
    return [(one.reading.names[0].text if one.reading.names else "unread", len(one.held.strokes)) for one in chords]


@pytest.mark.parametrize(
    ("rows", "held"),
    [
        (((C, 3), (UNREAD, 1), (C, 4)), [("C", 8)]),
        (((C, 3), (UNREAD, 2), (C, 3), (UNREAD, 1), (C, 1), (AM, 2)), [("C", 10), ("Am", 2)]),
        (((C, 3), (UNREAD, 1), (C_HIGH, 4)), [("C", 4), ("C", 4)]),  # another shape stays one
        (((C, 3), (UNREAD, 1), (AM, 4)), [("C", 3), ("unread", 1), ("Am", 4)]),
        (((C, 3), (UNREAD, 3), (C, 4)), [("C", 3), ("unread", 3), ("C", 4)]),  # too long for one stroke that is covered
        (((UNREAD, 1), (C, 4), (UNREAD, 1)), [("unread", 1), ("C", 4), ("unread", 1)]),
    ],
)
def test_a_chord_is_held_through_what_could_not_be_read(
    rows: tuple[tuple[tuple[int, ...], int], ...], held: list[tuple[str, int]]
) -> None:
    assert _rows(hold_through_unread(_chords(*rows))) == held


@pytest.mark.parametrize("rest_before", [1, 2])
def test_what_could_not_be_read_beside_a_rest_is_said(rest_before: int) -> None:
    chords = _chords((C, 3), (UNREAD, 1), (C, 4), rest_before=rest_before)
    assert len(hold_through_unread(chords)) == 3
