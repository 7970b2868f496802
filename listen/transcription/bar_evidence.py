"""What speaks for a place in the bar: nats for a stroke to lie there, and for a pattern that comes back.

Chords change at bar lines more than elsewhere, or, where a hand pushes them, on the upstroke before; beats are struck
more than what lies between them; the hand goes down on the beat; bar lines and beats carry the bass and the loud
strokes; the picking hand repeats itself from bar to bar. Each is a log-likelihood against strokes that lie anywhere,
and they are added.

References
----------
G. Schwarz, "Estimating the dimension of a model", Annals of Statistics 6(2), 1978 (what a longer pattern must gain to
be worth its places).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.log_odds import logistic

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

CHANGE_WEIGHT = 1.3  # of changes of chord, beside the rest; judged
AT_BAR, AT_HALF_BAR, AT_BEAT = 0.70, 0.14, 0.10  # shares of changes, rest off the beat; common practice, no source
EARLY = 0.75  # of the changes of a player who pushes them, those struck a step early, on the hand's way back; judged
MISHEARD = 0.1  # share of changes that are none, so anywhere (judged on `benchmarks.pulse`: .2 is no better)
LIKELY_STEPS: dict[int, tuple[float, ...]] = {
    1: (0.0,), 2: (1.2, 0.0), 3: (1.5, -0.7, 0.0), 4: (1.5, -0.7, 0.3, -0.7)
}  # fmt: skip
"""Log-odds of a stroke by the step in the beat, against its other steps (common practice, no source)."""
LIKELY_THIRDS = (0.8, 0.0, 0.2)  # the same in six eighths, where three are no swung two (judged on `benchmarks.pulse`)
BEATS_WEIGHT = 0.4  # of what is struck at all, beside what is struck how; judged
DOWN_ON_BEAT, DOWN_OFF_BEAT = 0.85, 0.4  # shares of downstrokes on the beat and between; common practice, no source
DOWN_IN_THIRDS = 0.6  # the second and third of three: down and up, or all down
HAND_WEIGHT = 0.3  # of ways; of .15, .3, .5, .8 and 1.1 over 140 parts the metre is 1.000, .986, .964, .943, .914
BAR_BASS, BEAT_BASS, BAR_LOUD = 0.5, 0.45, 0.15  # nats for one standard deviation more
HALF_BASS = BEAT_BASS - 0.5 * BAR_BASS
"""The same on one and three, against two and four: so much that a bass and a brush in turn say as much of beats, the
bass on one and three, as of their halves, the bass on each beat. Which of them it is, chords and tempo say."""
EVEN_WALTZ_NATS, EVEN_RATE = 4.5, 0.5
"""What six even strokes cost where they are three quarters, and how often each place is struck then: a waltz rests
after its first beat, and what fills all six is felt in two (common practice, no source; judged: for 2.5 nats the six
eighths of `benchmarks.people`, where a hand goes down and up, are waltzes still)."""
SURE_WAY = 0.88  # how often a hand goes the way that it goes at a place of the beat
ON_BEAT_UP, OFF_BEAT_DOWN, OFF_BEAT_UP, ALTERNATES = 3.0, 0.8, 0.3, 1.0
"""What a hand's ways cost, in nats: up on the beat; down, and up, between beats; down on one beat and up on the next,
as a slow hand goes (common practice, no source)."""
PATTERN_WEIGHT, MOST_PATTERN_BARS = 0.4, 16.0


@dataclass(frozen=True, slots=True)
class CountedStrokes:
    """What the counting listens to, a place for each stroke.

    Parameters
    ----------
    steps : ndarray of int
        Steps of the pulse, from the first stroke.
    weights : ndarray
        Strength of the stroke against its neighbours, about 1.
    bass : ndarray
        1 where it is struck low, 0 where high only.
    is_change : ndarray of bool
        Whether a new chord begins with it.
    returns : ndarray
        1 for a bass that its chord began with, -1 for another, 0 for what is none.
    lean : ndarray
        Log-odds that it went down.
    slip_costs : ndarray
        Nats that it costs to lie a step off what the pulse counts: little where the hand hesitated.
    """

    steps: Ints
    weights: Floats
    bass: Floats
    is_change: NDArray[np.bool_]
    returns: Floats
    lean: Floats
    slip_costs: Floats


@dataclass(frozen=True, slots=True)
class BarKind:
    """A kind of bar.

    Parameters
    ----------
    beats : int
    per_beat : int
        Steps of the pulse in a beat.
    """

    beats: int
    per_beat: int

    @property
    def n_steps(self) -> int:
        """Steps in it."""
        return self.beats * self.per_beat

    @property
    def alternations(self) -> tuple[bool, ...]:
        """Whether the hand goes down on one beat and up on the next: what is to be tried."""
        return (False, True) if self.beats % 2 == 0 and self.per_beat % 2 else (False,)


SIX_EIGHT, THREE_FOUR = BarKind(2, 3), BarKind(3, 2)


def weigh_places(strokes: CountedStrokes, bar: BarKind, *, alternates: bool = False, pushes: bool = False) -> Floats:
    """Weigh each place of the bar for each stroke.

    Parameters
    ----------
    strokes : CountedStrokes
    bar : BarKind
    alternates : bool
        Whether the hand goes down on one beat and up on the next.
    pushes : bool
        Whether most chords change a step early, with an upstroke.

    Returns
    -------
    ndarray, shape (n_strokes, bar.n_steps)
        Nats.
    """
    places = np.arange(bar.n_steps)
    on_beat = places % bar.per_beat == 0
    changes = CHANGE_WEIGHT * np.log(share_changes(bar, pushes=pushes) * bar.n_steps)
    down = np.where(on_beat, DOWN_ON_BEAT, DOWN_IN_THIRDS if bar.per_beat == 3 else DOWN_OFF_BEAT)
    if alternates:
        down = np.where(places % 2 == 0, DOWN_ON_BEAT, 1.0 - DOWN_ON_BEAT if bar.per_beat == 1 else DOWN_OFF_BEAT)
    away = np.exp(-strokes.lean)[:, None]
    hand = np.log(2.0 * (down + (1.0 - down) * away) / (1.0 + away))
    bass, loud = _standardise(strokes.bass)[:, None], _standardise(strokes.weights)[:, None]
    over_beats = (places == 0) - on_beat / bar.beats  # against the other beats, or every beat would be a bar line
    strong = on_beat
    if bar.beats % 2 == 0 and not alternates:  # upstrokes on two and four are high whatever is meant
        strong = on_beat & (places % (bar.n_steps // 2) == 0)
    over_weak = strong - on_beat * (strong.sum() / bar.beats)
    low = bass * (BEAT_BASS * (on_beat - on_beat.mean()) + HALF_BASS * over_weak + BAR_BASS * over_beats)
    accent = loud * BAR_LOUD * over_beats
    hand *= HAND_WEIGHT
    if pushes:  # down, a chord before the beat is one that begins with it
        early = np.ix_(strokes.is_change, places % bar.per_beat == bar.per_beat - 1)
        hand[early] = np.log(2.0 * (1.0 - SURE_WAY + SURE_WAY * away) / (1.0 + away))[strokes.is_change]
    return np.asarray(strokes.is_change[:, None] * changes + hand + low + accent)


def share_changes(bar: BarKind, *, pushes: bool = False) -> Floats:
    """Return which share of the changes of chord begins at each place of the bar, shape (bar.n_steps,)."""
    on_beat = np.arange(bar.n_steps) % bar.per_beat == 0
    shares = np.where(on_beat, AT_BEAT / max(1, bar.beats - 1), (1.0 - AT_BAR - AT_HALF_BAR - AT_BEAT) / bar.n_steps)
    if bar.beats % 2 == 0:
        shares[bar.n_steps // 2] += AT_HALF_BAR
    shares[0] = AT_BAR
    if pushes:
        shares = (1.0 - EARLY) * shares + EARLY * np.roll(shares, -1)
    return np.asarray((1.0 - MISHEARD) * shares / shares.sum() + MISHEARD / bar.n_steps)


def weigh_struck(strokes: CountedStrokes, bar: BarKind) -> tuple[Floats, Floats]:
    """Weigh that a place is struck, and that it is passed over, shape (bar.n_steps,) each."""
    overall = min(len(strokes.steps) / (int(strokes.steps[-1]) + 1), 0.98)
    likely = np.tile(LIKELY_THIRDS if bar == SIX_EIGHT else LIKELY_STEPS[bar.per_beat], bar.beats)
    low, high = -8.0, 8.0
    for _ in range(16):  # as many strokes are expected as there are
        middle = 0.5 * (low + high)
        expected = logistic(middle + likely)
        low, high = (middle, high) if expected.mean() < overall else (low, middle)
    return BEATS_WEIGHT * np.log(expected / overall), BEATS_WEIGHT * np.log((1.0 - expected) / (1.0 - overall))


def _standardise(values: Floats) -> Floats:
    return np.asarray(np.clip((values - values.mean()) / (float(values.std()) + 1e-6), -2.0, 2.0))


def find_hand(strokes: CountedStrokes, bar: BarKind, places: Ints) -> tuple[Floats, float]:
    """Find which way the hand goes at each place of the beat.

    Parameters
    ----------
    strokes : CountedStrokes
    bar : BarKind
    places : ndarray of int, shape (n_strokes,)
        The step in the bar of each stroke.

    Returns
    -------
    odds : ndarray, shape (n_strokes,)
        Log-odds of a downstroke by the place alone.
    nats : float
        By which the likeliest ways explain the strokes better than none.
    """
    away = np.exp(-strokes.lean)
    said_down = np.log(2.0 * (SURE_WAY + (1.0 - SURE_WAY) * away) / (1.0 + away))
    said_up = np.log(2.0 * (1.0 - SURE_WAY + SURE_WAY * away) / (1.0 + away))
    best, odds = -np.inf, np.zeros(len(places))
    for alternates in bar.alternations:
        n = 2 if alternates else bar.per_beat
        own = places % n
        nats = np.array([np.bincount(own, weights=said, minlength=n) for said in (said_down, said_up)])
        off_beat_down = OFF_BEAT_UP if n == 3 else OFF_BEAT_DOWN
        costs = np.array([[0.0, ON_BEAT_UP]] + [[off_beat_down, OFF_BEAT_UP]] * (n - 1)).T
        if alternates and bar.per_beat == 1:
            costs = np.array([[0.0, np.inf], [np.inf, ALTERNATES]])
        ways = np.vstack([nats - costs, np.zeros(n)])
        if float(ways.max(axis=0).sum()) > best:
            best = float(ways.max(axis=0).sum())
            odds = np.array([1.0, -1.0, 0.0])[ways.argmax(axis=0)][own] * math.log(SURE_WAY / (1.0 - SURE_WAY))
    return odds, HAND_WEIGHT * best


def weigh_pattern(bar: BarKind, steps: Ints) -> float:
    """Weigh how well the strokes repeat from bar to bar: the gain of a rate for each place over one for all.

    Parameters
    ----------
    bar : BarKind
    steps : ndarray of int, shape (n_strokes,)
        Of each stroke, from a bar line.

    Returns
    -------
    float
        Nats, of some bars at most; 0 for less than two bars, and where one rate says it as well: a hand that strikes
        every place is no reason to think bars short; less for three quarters that are struck at every place.
    """
    n, first, last = bar.n_steps, int(steps[0]), int(steps[-1])
    n_bars = (last - first + 1) / n
    if n_bars < 2:
        return 0.0
    struck = np.bincount(steps % n, minlength=n).astype(float)
    counts = np.maximum(np.bincount(np.arange(first, last + 1) % n, minlength=n), struck)
    rates = (struck + 0.25) / (counts + 0.5)
    if bar == THREE_FOUR and rates.min() >= EVEN_RATE:
        return -EVEN_WALTZ_NATS
    overall = float((struck.sum() + 0.25) / (counts.sum() + 0.5))
    gain = float((counts * (_entropy(np.array([overall])) - _entropy(rates))).sum()) - 0.5 * (n - 1) * math.log(n_bars)
    return PATTERN_WEIGHT * max(gain, 0.0) * min(1.0, MOST_PATTERN_BARS / n_bars)


def _entropy(rates: Floats) -> Floats:
    rates = np.clip(rates, 1e-6, 1 - 1e-6)
    return np.asarray(-rates * np.log(rates) - (1 - rates) * np.log(1 - rates))
