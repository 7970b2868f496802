"""Draw a question of any kind."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from listen.errors import bad_value
from listen.instrument import Fretboard
from listen.practice.bass_questions import (
    ask_foreign_bass,
    ask_root_or_not,
    ask_same_bass,
    ask_which_bass,
    ask_which_bass_of_four,
)
from listen.practice.chord_questions import ask_bass_line, ask_other_place, ask_quality, ask_which_came_first
from listen.practice.ladder import LADDER, check_kind
from listen.practice.question import HARDEST, Question, Sounding

_ASK: dict[str, Callable[..., Question]] = {
    "same bass": ask_same_bass,
    "root or not": ask_root_or_not,
    "which bass": ask_which_bass,
    "which bass of four": ask_which_bass_of_four,
    "foreign bass": ask_foreign_bass,
    "which came first": ask_which_came_first,
    "bass line": ask_bass_line,
    "quality": ask_quality,
    "other place": ask_other_place,
}


LEAST_STRINGS = 6  # with fewer, inversions of sevenths over some basses cannot be held
HIGHEST_CAPO = 7  # leaves a hand seven frets below the body; over 9 every thousandth question cannot be held


def check_neck(fretboard: Fretboard) -> None:
    """Refuse a neck on which a question may have no answer that can be held."""
    if fretboard.n_strings < LEAST_STRINGS or fretboard.tuning.is_reentrant:
        raise bad_value(
            "tuning", fretboard.tuning.name, allowed=f"a neck of {LEAST_STRINGS} strings or more, the lowest a bass"
        )
    if fretboard.capo_fret > HIGHEST_CAPO:
        raise bad_value(
            "capo", fretboard.capo_fret, allowed=f"0 to {HIGHEST_CAPO} in practice",
            remedy="Above it too few frets are left to hold every chord over every bass.",
        )  # fmt: skip


def draw_question(
    kind: str, *, level: float = 2.0, seed: int = 0, fretboard: Fretboard | None = None, among: Sequence[str] = ()
) -> Question:
    """Draw one question.

    Parameters
    ----------
    kind : str
        A step of :data:`~listen.practice.LADDER`.
    level : float
        0 to :data:`~listen.practice.HARDEST`.
    seed : int
        The same seed gives the same question.
    fretboard : Fretboard, optional
        What it is played on: a guitar in standard tuning when not given.
    among : sequence of str, optional
        Keys of which one shall be the right answer, each as likely; for kinds of
        :data:`~listen.practice.missed.MISSED_KINDS` only.

    Raises
    ------
    BadValueError
        There is no such kind or level, or the neck has not enough strings or frets to hold every chord over every bass.
    """
    asked = check_kind(kind)
    board = fretboard or Fretboard()
    check_neck(board)
    if not 0.0 <= level <= HARDEST:
        raise bad_value("level", level, allowed=f"0 to {HARDEST:g}")
    rng, keys = np.random.default_rng([seed, LADDER.index(asked)]), (tuple(among),) if among else ()
    return _play_on_one_guitar(_ASK[asked](rng, float(level), board, *keys))


def _play_on_one_guitar(question: Question) -> Question:
    """Give all chords of a question the guitar and the tuning of the first: only what is asked shall differ."""
    tone = question.sounds[0].strum.tone

    def played(sounds: tuple[Sounding, ...]) -> tuple[Sounding, ...]:
        return tuple(replace(each, strum=replace(each.strum, tone=tone)) for each in sounds)

    options = tuple(replace(option, example=played(option.example)) for option in question.options)
    return replace(question, sounds=played(question.sounds), options=options)
