"""How a question is played: on one guitar, in grips that players use, the hand staying where it is through a line."""

from __future__ import annotations

import numpy as np
import pytest

from listen.instrument import Fretboard, Shape
from listen.practice import LADDER, Question, draw_question, find_root_positions
from listen.voicing import grade_shapes


def _count_damped(shape: Shape) -> int:
    """Count the strings between the sounding ones that do not sound."""
    sounding = [string for string, fret in enumerate(shape.frets) if fret is not None]
    return sounding[-1] - sounding[0] + 1 - len(sounding)


def _find_place(shape: Shape) -> float:
    stopped = [fret for fret in shape.frets if fret]
    return sum(stopped) / len(stopped) if stopped else 0.0


@pytest.mark.parametrize("kind", LADDER)
def test_all_that_sounds_in_a_question_is_one_guitar_in_one_tuning(kind: str) -> None:
    guitars = set()
    for seed in range(6):
        question = draw_question(kind, level=3.0, seed=seed)
        sounds = [*question.sounds, *(each for option in question.options for each in option.example)]
        sounds += find_root_positions(question.sounds, question.fretboard)
        tones = {(each.strum.tone.guitar, each.strum.tone.tuning_offset_cents) for each in sounds}
        assert len(tones) == 1, (kind, seed)
        guitars |= tones
    assert len(guitars) == 6, "the next question may have another"


def _draw_all(level: float) -> list[Question]:
    return [draw_question(kind, level=level, seed=seed) for kind in LADDER for seed in range(12)]


@pytest.mark.parametrize("level", [1.0, 5.0, 9.5])
def test_no_chord_is_held_with_two_damped_strings_inside(level: float) -> None:
    """A finger damps one string beside it; a gap of two is plucked with fingers (common practice, no source)."""
    for question in _draw_all(level):
        for option in question.options:
            assert all(_count_damped(each.shape) <= 1 for each in option.example), [
                each.shape for each in option.example
            ]


@pytest.mark.parametrize("level", [1.0, 9.5])
def test_shapes_that_stand_in_the_book_are_what_is_mostly_played(level: float) -> None:
    """Outside check: the book is the open data ``@tombatossals/chords-db`` and the trade's movable forms."""
    shapes = [each.shape for question in _draw_all(level) for each in question.sounds]
    frets = np.array([[-1 if fret is None else fret for fret in shape.frets] for shape in shapes], np.int8)
    assert (grade_shapes(frets, Fretboard().tuning) > 0).mean() > 0.65


def test_the_hand_stays_about_where_it_is_through_a_bass_line() -> None:
    for seed in range(20):
        question = draw_question("bass line", level=(1.0, 5.0, 9.0)[seed % 3], seed=seed)
        places = [_find_place(each.shape) for each in question.sounds]
        assert np.abs(np.diff(places)).max() < 5.0, [each.shape.text for each in question.sounds]
