"""Moves: what it costs the hand to go from one grip to the next, and why.

Conventions: costs in points of effort, 0 when nothing moves; distances in millimetres; times in seconds between the
two strums. Fingers that stay cost nothing, one that slides along its string little, the same form shifted is one
movement however many fingers it has. The time that is needed follows Fitts' law, ``a + b·log2(1 + D/W)``, for the
finger that travels farthest (W is the space of the fret it aims at), more for each further finger and for a new barre;
what it takes of the time there is weighs on top. The constants are choices of this project: Fitts' slope of about
0.1 s a bit is from memory, the rest is ordered so that what teachers call an easy change is one.

References
----------
P. M. Fitts, "The information capacity of the human motor system in controlling the amplitude of movement", Journal of
Experimental Psychology, 1954.
S. I. Sayegh, "Fingering for string instruments with the optimum path paradigm", Computer Music Journal, 1989.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from listen.instrument.fretboard import Fretboard
from listen.instrument.hand import STRING_GAP_MM
from listen.instrument.shape import Fingering, Reason, Shape

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

LIFT = 0.05  # a finger taken up
PLACE = 0.3  # a finger put down, or moved to another string
SLIDE = 0.15  # a finger that keeps its string
SHIFT = 0.3  # the whole form moved along the neck
NEW_BARRE = 0.4  # a finger laid flat that was not
TRAVEL_PER_MM = 0.004  # of the hand along the neck: three frets at the nut are a third of a point
START_S, FITTS_S_PER_BIT = 0.06, 0.1  # of Fitts' law; the start is judged, not measured
FURTHER_FINGER_S, NEW_BARRE_S = 0.03, 0.1  # for each further finger, and to lay one flat; judged, not measured
HURRY = 2.0  # points for needing twice the time there is
WORTH_SAYING_MM = 60.0  # of travel, about two frets at the nut
UNHURRIED = 0.6  # share of the time that may be used without effort


@dataclass(frozen=True, slots=True)
class Grip:
    """A shape as the hand holds it.

    Parameters
    ----------
    shape : Shape
    fingering : Fingering
    """

    shape: Shape
    fingering: Fingering


@dataclass(frozen=True, slots=True)
class Move:
    """The way from one grip to another.

    Parameters
    ----------
    cost : float
        Points of effort.
    needed_s : float
        How long a hand needs for it; 0 when nothing moves.
    travel_mm : float
        How far the hand goes along the neck, upward positive.
    reasons : tuple of Reason
        Why it is easy or hard, the most telling first.
    """

    cost: float
    needed_s: float
    travel_mm: float
    reasons: tuple[Reason, ...]


@dataclass(frozen=True, slots=True)
class _Finger:
    """Where a finger is: fret 0 when it is up."""

    fret: int = 0
    first_string: int = 0
    last_string: int = 0


def estimate_move(before: Grip, after: Grip, fretboard: Fretboard, *, time_s: float = math.inf) -> Move:
    """Measure the move from one grip to the next.

    Parameters
    ----------
    before, after : Grip
    fretboard : Fretboard
    time_s : float
        Between the two strums; infinite when nothing presses.

    Examples
    --------
    >>> from listen.instrument import best_fingering, parse_shape
    >>> neck = Fretboard()
    >>> grips = [Grip(shape, best_fingering(shape, neck)) for shape in map(parse_shape, ("133211", "355433"))]
    >>> [(reason.kind, reason.amounts) for reason in estimate_move(grips[0], grips[1], neck).reasons]
    [('same form', (2, 0))]
    """
    measured = _measure_moves([before], [after], fretboard, time_s=time_s)
    cost, needed_s, travel_mm = (float(each[0, 0]) for each in (measured.cost, measured.needed_s, measured.travel_mm))
    reasons = _explain_move(_find_fingers(before), _find_fingers(after))
    if abs(travel_mm) >= WORTH_SAYING_MM and reasons and reasons[0].kind != "same form":
        reasons.append(Reason("travel", (round(travel_mm),)))
    if measured.hurry[0, 0] > 0:
        reasons.insert(0, Reason("little time", (round(1000 * time_s), round(1000 * needed_s))))
    return Move(cost, needed_s, travel_mm, tuple(reasons))


def estimate_move_costs(
    befores: Sequence[Grip], afters: Sequence[Grip], fretboard: Fretboard, *, time_s: float = math.inf
) -> NDArray[np.float64]:
    """Measure every move from some grips to some others.

    Returns
    -------
    ndarray, shape (n_befores, n_afters)
    """
    return _measure_moves(befores, afters, fretboard, time_s=time_s).cost


@dataclass(frozen=True, slots=True)
class _Measured:
    """Every move from some grips to some others: arrays of shape (n_befores, n_afters)."""

    cost: NDArray[np.float64]
    hurry: NDArray[np.float64]
    needed_s: NDArray[np.float64]
    travel_mm: NDArray[np.float64]


def _measure_moves(
    befores: Sequence[Grip], afters: Sequence[Grip], fretboard: Fretboard, *, time_s: float
) -> _Measured:
    """Measure every move: the one measure of what the hand does between two grips."""
    import numpy as np

    old, new = _tabulate(befores), _tabulate(afters)
    old, new = old[:, None], new[None, :]
    (old_fret, old_first, old_last), (new_fret, new_first, new_last) = (np.moveaxis(each, -1, 0) for each in (old, new))
    was, now = old_fret > 0, new_fret > 0
    stays = was & now & (old_fret == new_fret) & (old_first == new_first) & (old_last == new_last)
    moves = now & ~stays
    barre = moves & (new_last > new_first) & ~(was & (old_last > old_first))
    same_string = was & (old_first == new_first)
    fingers = LIFT * (was & ~now) + moves * np.where(same_string, SLIDE, PLACE) + NEW_BARRE * barre
    form = (was == now).all(-1) & now.any(-1)
    steps = [new_fret - old_fret, new_first - old_first, new_last - old_last]
    shifts = [np.where(now, step, np.iinfo(np.int64).max).min(-1) for step in steps]
    for step, shift in zip(steps, shifts, strict=True):
        form &= (~now | (step == shift[..., None])).all(-1)
    form &= (shifts[1] == shifts[2]) & ((shifts[0] != 0) | (shifts[1] != 0))
    work = np.where(form, SHIFT, fingers.sum(-1))
    wires = np.array([fretboard.wire_mm(fret) for fret in range(fretboard.top_fret + 1)])
    both = was.any(-1) & now.any(-1)
    travel = np.where(both, _places_mm(new_fret, wires) - _places_mm(old_fret, wires), 0.0)
    along = np.where(was, wires[new_fret] - wires[old_fret], travel[..., None])
    across = np.where(was, STRING_GAP_MM * (new_first - old_first), STRING_GAP_MM)
    space = np.maximum(wires[new_fret] - wires[np.maximum(new_fret - 1, 0)], 1.0)
    bits = np.where(moves, np.log2(1.0 + np.hypot(along, across) / space), 0.0).max(-1)
    count = moves.sum(-1)
    needed = START_S + FITTS_S_PER_BIT * bits + FURTHER_FINGER_S * (count - 1) + NEW_BARRE_S * barre.any(-1)
    needed = np.where(count > 0, needed, 0.0)
    hurry = HURRY * np.maximum(0.0, needed / time_s - UNHURRIED) if time_s > 0 else HURRY * (count > 0)
    return _Measured(work + TRAVEL_PER_MM * np.abs(travel) + hurry, hurry * 1.0, needed, travel * 1.0)


def _find_fingers(grip: Grip) -> list[_Finger]:
    """Return where the four fingers are."""
    fingers = [_Finger()] * 4
    for number in (1, 2, 3, 4):
        strings = [string for string, finger in enumerate(grip.fingering.fingers) if finger == number]
        if strings:
            fingers[number - 1] = _Finger(grip.shape.frets[strings[0]] or 0, strings[0], strings[-1])
    return fingers


def _used(fingers: list[_Finger]) -> list[bool]:
    return [finger.fret > 0 for finger in fingers]


def _is_new_barre(old: _Finger, new: _Finger) -> bool:
    flat = old.fret > 0 and old.last_string > old.first_string
    return new.last_string > new.first_string and not flat


def _explain_move(olds: list[_Finger], news: list[_Finger]) -> list[Reason]:
    """Say what the fingers do apart from travelling."""
    steps = {
        (new.fret - old.fret, new.first_string - old.first_string, new.last_string - old.last_string)
        for old, new in zip(olds, news, strict=True)
        if new.fret
    }
    if _used(olds) == _used(news) and len(steps) == 1:
        frets, strings, widths = steps.pop()
        if strings == widths and (frets or strings):
            return [Reason("same form", (frets, strings))]
    stay = sum(new == old for old, new in zip(olds, news, strict=True) if new.fret)
    reasons = [Reason("stays", (stay,))] if stay else []
    for number, (old, new) in enumerate(zip(olds, news, strict=True), start=1):
        if not new.fret or new == old:
            continue
        if _is_new_barre(old, new):
            reasons.append(Reason("goes flat", fingers=(number,)))
        elif old.fret > 0 and old.first_string == new.first_string:
            reasons.append(Reason("slides", fingers=(number,)))
    n_placed = sum(new.fret > 0 for new in news) - stay
    if n_placed:
        reasons.append(Reason("to place", (n_placed,)))
    return reasons


def _tabulate(grips: Sequence[Grip]) -> NDArray[np.int64]:
    """Return fret, first and last string of each finger: shape (n, 4, 3)."""
    import numpy as np

    rows = [[(one.fret, one.first_string, one.last_string) for one in _find_fingers(grip)] for grip in grips]
    return np.array(rows, np.int64).reshape(-1, 4, 3)


def _places_mm(frets: NDArray[np.int64], wires: NDArray[np.float64]) -> NDArray[np.float64]:
    import numpy as np

    number = (frets > 0).argmax(-1)
    place = np.take_along_axis(frets, number[..., None], -1)[..., 0] - number
    return np.asarray(wires[np.clip(place, 1, len(wires) - 1)])
