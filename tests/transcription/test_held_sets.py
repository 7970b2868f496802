"""Sets of pitches that a hand may hold; strings and their tuning are common practice, no source."""

from __future__ import annotations

import pytest

from listen.instrument import Fretboard, parse_tuning
from listen.transcription.held_sets import UNHELD_COST, _add_basses, _weigh_off_book


def test_a_string_does_not_sound_a_bass_and_the_note_that_a_chord_has_on_it() -> None:
    """The open D under 5x0000 in DADGAD, whose G2 lies on the same string, was one chord of eight bars of D and G."""
    opens = [pitch.midi for pitch in parse_tuning("DADGAD").open_strings]
    sets: dict[tuple[int, ...], float] = {(43, 50, 55, 57, 62): 0.0}
    _add_basses(sets, {38, 45}, opens)
    assert set(sets) == {(43, 50, 55, 57, 62), (38, 50, 55, 57, 62), (45, 50, 55, 57, 62)}


@pytest.mark.parametrize(
    ("midis", "is_held"),
    [
        ((40, 45, 52, 60, 64), True),  # 0-0-2-x-1-0
        ((43, 48, 50, 57, 60, 65), True),  # 335561: fret 1 to 6 is too wide, but 33-0-2-1-1 is held
        ((40, 43, 45, 52, 60, 64), False),  # E2 and G2 are both on the sixth string
        ((40, 45, 50, 55, 59, 64, 67), False),  # seven notes on six strings
        ((41, 58, 74), False),  # fret 1 on the sixth string, and 10 on the first or 15 on the second
        ((29, 41, 48, 53, 57), True),  # a bass guitar plays F1
    ],
)
def test_what_no_hand_holds_is_dearer_than_what_is_in_no_book(midis: tuple[int, ...], is_held: bool) -> None:
    """A thumb plays G2 and then E2: the first still rings, and is no part of the hand's next chord."""
    usual, cost = _weigh_off_book([(45, 52), midis], Fretboard()).tolist()
    assert cost == (usual if is_held else usual + UNHELD_COST)
