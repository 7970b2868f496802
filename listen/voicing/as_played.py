"""How usual it is that a hand holds just what a stroke sounds, beside the plain shapes of which it sounds some strings.

A grade in the book stands for shapes that are in it; what is in none is seldom held, and least of all what a stroke
would leave of a plain shape. Two kinds are held though no book lists them: fifths with open strings (3x0033), and
grips up the neck beside which open strings ring (079900).
"""

from __future__ import annotations

from collections.abc import Collection
from collections.abc import Set as AbstractSet

import numpy as np
import numpy.typing as npt

from listen.instrument import Fretboard
from listen.voicing.book import grade_shapes
from listen.voicing.book_tables import N_BOOK_STRINGS
from listen.voicing.strokes import Floats, Frets, Mask, StrokePrices, Strokes, find_silent, find_tones

POWER = frozenset({0, 7})
MOST_POWER_STRINGS = 3
ONE_SHORT_NATS = 2.5
"""Less, for a power chord that an open triad is but for one string, as xx023x is xx0232. Set on the same half of the
recorded chords as :class:`~listen.voicing.strokes.StrokePrices`, and on no made rows, which hold as many of these power
chords as somebody put there: at 0 the mean -ln p of its first names is .198, at 1.4 .181, at 2.5 .174."""
LEFT_OUT_OF_FEW_NATS = 1.5
"""Less, for each string that is not played of fewer than the book's six: a ukulele is strummed across. Judged."""
OPEN_FIFTH_NATS, DRONE_NATS = 2.5, 1.5
"""More, for grips with ringing open strings that players hold though no book lists them. Of a few, on the rows of
``python -m tests.benchmarks.held`` by another seed; the recorded chords are alike for all up to 3.5 and 2."""
THIRDS_ALONE, THIRD_ALONE_NATS = ({0, 3}, {0, 4}, {0, 8}, {0, 9}), 2.0
"""Less, for a third or sixth on three strings or more: two strings play one; C3, E3 and C4 are what is left of a C."""
LEAST_RINGING = 4  # strings of such a grip
OPEN_UP_TO, DRONES_FROM = 4, 5  # frets: of fifths among open strings, of grips beside which they ring


def weigh_as_played(
    frets: Frets, fretboard: Fretboard, *, left_out: npt.NDArray[np.intp], book_weight: float, prices: StrokePrices
) -> tuple[Floats, Mask]:
    """Return, in nats, how much less usual than its grade in the book says it is that a shape is held as it sounds.

    Shapes that are in the book only as others with strings left out are in no book here: leaving them out has its
    price. A power chord on neighbouring strings is held often. That a hand holds just what a stroke would leave of a
    plain shape is seldom meant. Beside it, which shapes are in no book.
    """
    whole = grade_shapes(frets, fretboard.tuning, partial=False)
    unlisted = whole <= 0.0
    nats = book_weight * (whole - grade_shapes(frets, fretboard.tuning))
    nats -= np.where(unlisted, prices.unlisted + prices.left_over * (left_out > 0), 0.0)
    sounding = frets >= 0
    n_sounding = sounding.sum(axis=1)
    _, damped, _ = find_silent(sounding)
    likely = np.flatnonzero(~unlisted & ~damped.any(axis=1) & (n_sounding <= MOST_POWER_STRINGS))
    opens = np.array([pitch.midi for pitch in fretboard.open_pitches])
    power = likely[_sound_one_of([POWER], frets[likely], opens)]
    if frets.shape[1] < N_BOOK_STRINGS:
        nats -= LEFT_OUT_OF_FEW_NATS * (~sounding).sum(axis=1)
    nats[power] += prices.power - ONE_SHORT_NATS * ((left_out == 1) & (frets == 0).any(axis=1))[power]
    doubled = np.flatnonzero(unlisted & (n_sounding > 2))
    nats[doubled] -= THIRD_ALONE_NATS * _sound_one_of(THIRDS_ALONE, frets[doubled], opens)
    ringing = np.flatnonzero(unlisted & (n_sounding >= LEAST_RINGING) & (frets == 0).any(axis=1))
    nats[ringing] += _weigh_ringing(frets[ringing], damped[ringing], opens)
    return nats, unlisted


def count_left_out(frets: Frets, strokes: Strokes) -> npt.NDArray[np.intp]:
    """Count how many strings of a plain shape a stroke must leave out to sound each shape, with nothing brushed beside.

    0 where that leaves it of none.
    """
    brushed = ((strokes.held < 0) & (strokes.sounded >= 0)).any(axis=1)
    silent = ((strokes.held >= 0) & (strokes.sounded < 0)).sum(axis=1)
    fewest: dict[bytes, int] = {}
    for row, count in zip(np.ascontiguousarray(strokes.sounded[~brushed]), silent[~brushed].tolist(), strict=True):
        fewest[row.tobytes()] = min(count, fewest.get(row.tobytes(), count))
    return np.array([fewest.get(row.tobytes(), 0) for row in np.ascontiguousarray(frets)], np.intp)


def _weigh_ringing(frets: Frets, damped: Mask, opens: npt.NDArray[np.integer]) -> Floats:
    """Return, in nats, how much more usual shapes with open strings are that are held though no book lists them.

    Fifths near the nut, with at most one string inside damped, by the finger on the one below it; and grips on
    neighbouring strings up the neck, with the strings beside them open and none damped. Common practice, no source.
    """
    stopped = frets > 0
    n_damped = damped.sum(axis=1)
    by_a_finger = (damped[:, 1:] & stopped[:, :-1]).any(axis=1)
    is_low = frets.max(axis=1, initial=0) <= OPEN_UP_TO
    fifths = is_low & ((n_damped == 0) | ((n_damped == 1) & by_a_finger)) & _sound_one_of([POWER], frets, opens)
    n_runs = (np.diff(stopped.astype(np.int8), axis=1, prepend=0) > 0).sum(axis=1)
    is_high = (~stopped | (frets >= DRONES_FROM)).all(axis=1)
    drones = is_high & (n_damped == 0) & (n_runs == 1) & (stopped.sum(axis=1) > 1)
    return np.asarray(OPEN_FIFTH_NATS * fifths + DRONE_NATS * drones)


def _sound_one_of(chords: Collection[AbstractSet[int]], frets: Frets, opens: npt.NDArray[np.integer]) -> Mask:
    """Say of each shape whether its tones over its lowest note are just those of one of some chords."""
    return np.array([tones in chords for tones in find_tones(frets, opens)], bool)
