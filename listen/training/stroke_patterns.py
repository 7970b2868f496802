"""What a player plans: forms of chords, and what the hand does at which place of a bar.

Conventions: strings are counted from 0, the heaviest; frets from the nut or capo, None a string that is not played.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np

Form = tuple[int | None, ...]

_WRITTEN = (
    "x32010 x02220 320003 022100 xx0232 133211 x02210 022000 xx0231 x24432 244222 x21202 020100 x02020 xx0212 320001 "
    "x32000 xx3210 xx0222 x02010 x20003 2x0232 032010 332010 x42220 x03211 320033 x32033 x02452 022xxx x022xx 355xxx "
    "x355xx xxx010 xxx232 xx2010 3x343x x3233x x5343x xx0005 002220"
)
FORMS: tuple[Form, ...] = tuple(
    tuple(None if fret == "x" else int(fret) for fret in written) for written in _WRITTEN.split()
)
"""Open chords, a barre, power chords, and parts of chords on few strings."""
SLOTS_A_BAR = (2, 3, 4, 6, 8, 8, 8, 8, 12, 16)
FEW_SLOTS = 4  # up to as many the hand mostly goes down each time
STRUMMED, BASS_AND_BRUSH, PICKED = 0.62, 0.12, 0.16  # of bars; the rest are full strokes among chops; judged


class StrokeMove(Enum):
    """What the hand does."""

    DOWN = "down over all strings"
    UP = "up over the highest three to six"
    BRUSH_DOWN = "down over the highest four"
    BRUSH_UP = "up over the highest three"
    CHOP = "strings stilled with a click"
    BASS = "the lowest string alone, or the next"
    PICK = "one string alone"
    PINCH = "the lowest and the highest together"


@dataclass(frozen=True, slots=True)
class PatternSlot:
    """A move at a place of the bar.

    Parameters
    ----------
    index : int
        Of the pattern's equal steps.
    move : StrokeMove
    string : int
        Which of the strings that are held is picked, from the lowest.
    """

    index: int
    move: StrokeMove
    string: int = 0


@dataclass(frozen=True, slots=True)
class StrokePattern:
    """What is played in a bar.

    Parameters
    ----------
    n_slots : int
        Equal steps of the bar.
    slots : tuple of PatternSlot
        Those in which something is played.
    """

    n_slots: int
    slots: tuple[PatternSlot, ...]


def draw_forms(rng: np.random.Generator) -> tuple[Form, ...]:
    """Draw the two to five chords of a part, a quarter of parts up the neck."""
    picked = rng.choice(len(FORMS), int(rng.integers(2, 6)), replace=False)
    forms = [FORMS[int(index)] for index in picked]
    if rng.random() >= 0.25:
        return tuple(forms)
    shifts = rng.integers(1, 8, len(forms)).tolist()
    return tuple(
        tuple(None if fret is None else fret + shift for fret in form)
        for form, shift in zip(forms, shifts, strict=True)
    )


def draw_pattern(rng: np.random.Generator) -> StrokePattern:
    """Draw what is played in a bar; a tenth of patterns chop on the third of every four strokes."""
    kind, n_slots = rng.random(), int(rng.choice(SLOTS_A_BAR))
    if kind < STRUMMED:
        slots = _draw_strummed(rng, n_slots)
    elif kind < STRUMMED + BASS_AND_BRUSH:
        slots = [PatternSlot(k, _draw_bass_or_brush(rng, k)) for k in range(n_slots)]
    elif kind < STRUMMED + BASS_AND_BRUSH + PICKED:
        slots = [PatternSlot(k, StrokeMove.PICK, int(string)) for k, string in enumerate(rng.integers(0, 6, n_slots))]
        if rng.random() < 0.4:
            slots[0] = PatternSlot(0, StrokeMove.PINCH)
    else:
        slots = [PatternSlot(k, StrokeMove.CHOP if rng.random() < 1 / 3 else StrokeMove.DOWN) for k in range(n_slots)]
    if rng.random() < 0.1:
        slots = [
            PatternSlot(slot.index, StrokeMove.CHOP) if place % 4 == 2 else slot for place, slot in enumerate(slots)
        ]
    return StrokePattern(n_slots, tuple(slots))


def _draw_strummed(rng: np.random.Generator, n_slots: int) -> list[PatternSlot]:
    """Draw strokes down on the even steps and up on the odd ones, some left out."""
    kept = rng.random(n_slots) < rng.choice([0.5, 0.7, 1.0, 1.0])
    kept[0] |= rng.random() < 0.85
    turns = rng.random() < 0.75
    slots = []
    for k in np.flatnonzero(kept).tolist():
        down_anyway = (n_slots <= FEW_SLOTS and rng.random() < 0.8) or (not turns and rng.random() < 0.8)
        if k % 2 == 0 or down_anyway:
            move = StrokeMove.BRUSH_DOWN if rng.random() < 0.15 else StrokeMove.DOWN
        else:
            move = StrokeMove.BRUSH_UP if rng.random() < 0.4 else StrokeMove.UP
        slots.append(PatternSlot(k, StrokeMove.CHOP if rng.random() < 0.06 else move))
    return slots


def _draw_bass_or_brush(rng: np.random.Generator, k: int) -> StrokeMove:
    if rng.random() >= 0.9:
        return StrokeMove.BRUSH_UP
    return StrokeMove.BASS if k % 2 == 0 else StrokeMove.BRUSH_DOWN
