"""How the steps of the pulse are counted: beats, bars, and where bar one begins, as ranked hypotheses.

A hypothesis says how many steps make a beat, how many beats a bar, and which step is the first of a bar. What speaks
for it: chords change at bar lines more than elsewhere; the picking hand repeats itself from bar to bar; bar lines carry
the bass and the loud strokes; beats are felt at 60 to 150 a minute. Each is a log-likelihood, and they are added.

References
----------
L. van Noorden, D. Moelants, "Resonance in the perception of musical pulse", Journal of New Music Research 28(1), 1999
(tempo preference). G. Schwarz, "Estimating the dimension of a model", Annals of Statistics 6(2), 1978 (what a longer
pattern must gain to be worth its places).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.reading import Metre

Floats = NDArray[np.float64]

PREFERRED_BPM, TEMPO_SPREAD_OCTAVES = 105.0, 0.6
CHANGE_WEIGHT, MOST_CHANGES = 1.3, 24.0  # changes are not independent: more than so many add nothing
AT_BAR, AT_HALF_BAR, AT_BEAT = 0.70, 0.14, 0.10  # shares of changes, rest off the beat; common practice, no source
PATTERN_WEIGHT = 0.4
BAR_ACCENT_WEIGHT, BEAT_ACCENT_WEIGHT, MOST_ACCENTS = 1.0, 0.1, 48
MOST_EXPLAINED = 1.0  # nats a stroke: accents of a hand explain no more
MOST_PATTERN_BARS = 16.0
METRE_COSTS = {(4, 2): 0.0, (4, 4): 0.2, (3, 2): 1.0, (2, 3): 1.0, (4, 3): 1.0, (4, 1): 0.5, (3, 1): 1.5,
               (3, 4): 2.5, (2, 2): 2.5, (3, 3): 3.0, (2, 4): 3.0, (5, 2): 4.0}  # fmt: skip
"""By (beats a bar, steps a beat), in nats; common practice, no source."""
HAND_SWINGS: dict[int, tuple[tuple[tuple[float, ...], float], ...]] = {
    1: (((1.5, 1.5), 0.0), ((1.5, -1.5), 1.0)),
    2: (((1.5, -1.5, 1.5, -1.5), 0.0), ((1.5, 1.5, 1.5, 1.5), 1.5)),
    3: (((1.2, 0.0, -0.8, 1.2, 0.0, -0.8), 0.0), ((1.5, -1.5, 1.5, -1.5, 1.5, -1.5), 1.0), ((1.5,) * 6, 1.5)),
    4: (((1.5, -1.2, 0.8, -1.2, 1.5, -1.2, 0.8, -1.2), 0.0), ((1.5, 0.0, -1.5, 0.0, 1.5, 0.0, -1.5, 0.0), 1.0)),
}
"""How a hand may swing, by the steps that a beat has: log-odds of a downstroke at each step of two beats, and what the
swing costs in nats (common practice, no source). A slow hand goes down on one beat and up on the next."""
SWING_WEIGHT = 0.6
LIKELY_STEPS: dict[int, tuple[float, ...]] = {
    1: (0.0,), 2: (1.5, 0.0), 3: (1.5, -0.7, 0.0), 4: (1.5, -0.7, 0.0, -0.7)
}  # fmt: skip
"""Log-odds of a stroke by the step in the beat, against its other steps (common practice, no source)."""
SLOWEST_BPM, FASTEST_BPM = 24.0, 320.0  # beyond them nobody counts beats
STEPS_TOGETHER = 24  # a pattern comes back: more steps than that say nothing new
SWUNG_THIRD_SHARE = 0.15
"""Of strokes off the beat in a three-step beat, those on its second step: fewer, and it is a swung two."""
LEAST_SWING, MOST_SWING = 0.56, 0.72


@dataclass(frozen=True, slots=True)
class CountedStrokes:
    """What the counting listens to, a place for each stroke.

    Parameters
    ----------
    steps : ndarray of int
    weights : ndarray
        Strength of the stroke against its neighbours, about 1.
    bass : ndarray
        1 where it is struck low, 0 where high only.
    is_change : ndarray of bool
        Whether a new chord begins with it.
    lean : ndarray
        Log-odds that it went down.
    """

    steps: NDArray[np.int64]
    weights: Floats
    bass: Floats
    is_change: NDArray[np.bool_]
    lean: Floats


@dataclass(frozen=True, slots=True)
class Counting:
    """One way to count.

    Parameters
    ----------
    beats_per_bar, steps_per_beat : int
    first_bar_step : int
        The first step, from 0 up, that begins a bar.
    score : float
        Log-likelihood, up to a constant.
    """

    beats_per_bar: int
    steps_per_beat: int
    first_bar_step: int
    score: float

    @property
    def steps_per_bar(self) -> int:
        """Steps of the pulse in a bar."""
        return self.beats_per_bar * self.steps_per_beat


def rank_countings(
    strokes: CountedStrokes,
    step_s: float,
    *,
    metre: tuple[int, int] | None = None,
    tempo_bpm: float | None = None,
    bar_step: int | None = None,
) -> tuple[Counting, ...]:
    """Rank the ways to count a row of strokes.

    Parameters
    ----------
    strokes : CountedStrokes
    step_s : float
        Length of a step.
    metre : (int, int) or None
        The signature, where it is known: ``(6, 8)``.
    tempo_bpm : float or None
        Where it is known.
    bar_step : int or None
        A step that begins a bar, where it is known.

    Returns
    -------
    tuple of Counting
        The best first bar of each kind of bar, best first; empty where no kind of bar fits what is known.
    """
    countings = []
    for (beats, steps_per_beat), cost in METRE_COSTS.items():
        if metre is not None and metre not in _signatures(beats, steps_per_beat):
            continue
        bpm = 60.0 / (step_s * steps_per_beat)
        if tempo_bpm is not None and abs(np.log2(bpm / tempo_bpm)) > 0.12:
            continue
        if tempo_bpm is None and not SLOWEST_BPM <= bpm <= FASTEST_BPM:
            continue
        tempo = -0.5 * (np.log2(bpm / PREFERRED_BPM) / TEMPO_SPREAD_OCTAVES) ** 2
        n = beats * steps_per_beat
        pattern = _weigh_pattern(strokes, n)
        firsts = range(n) if bar_step is None else [bar_step % n]
        bar = (beats, steps_per_beat)
        placed = [(_weigh_place(strokes, bar, first), first) for first in firsts]
        best, first = max(placed, key=lambda item: (item[0], -item[1]))
        countings.append(Counting(beats, steps_per_beat, first, best + pattern + tempo - cost))
    return tuple(sorted(countings, key=lambda one: -one.score))


def choose_countings(
    strokes: Sequence[CountedStrokes],
    steps_s: Sequence[float],
    *,
    metre: tuple[int, int] | None = None,
    tempo_bpm: float | None = None,
    bar_steps: Sequence[int | None],
) -> list[tuple[Counting, ...]]:
    """Count a part that is played in several tempos: each by itself, in the metre that suits all together.

    Parameters
    ----------
    strokes : sequence of CountedStrokes
        Those of each tempo.
    steps_s : sequence of float
    metre, tempo_bpm
        As told.
    bar_steps : sequence of int or None
        For each tempo a step that begins a bar, where it is told.

    Returns
    -------
    list of tuple of Counting
        For each tempo, best first, the first of them in the metre of all; empty where no kind of bar fits.
    """
    ranked = [
        rank_countings(own, step_s, metre=metre, tempo_bpm=tempo_bpm, bar_step=bar_step)
        for own, step_s, bar_step in zip(strokes, steps_s, bar_steps, strict=True)
    ]
    if not all(ranked):
        return []
    if len(ranked) == 1:
        return ranked

    def kind_of(counting: Counting) -> tuple[int, bool]:
        return counting.beats_per_bar, counting.steps_per_beat == 3

    kinds = {kind_of(one) for row in ranked for one in row}
    common = [kind for kind in kinds if all(any(kind_of(one) == kind for one in row) for row in ranked)]
    if not common:
        return []
    sums = {kind: sum(max(one.score for one in row if kind_of(one) == kind) for row in ranked) for kind in common}
    kind = max(common, key=lambda one: (sums[one], one))
    return [tuple(sorted(row, key=lambda one: (kind_of(one) != kind, -one.score))) for row in ranked]


def _weigh_place(strokes: CountedStrokes, bar: tuple[int, int], first: int) -> float:
    """Weigh where bars begin: by the changes of chord, the accents and the swing of the hand."""
    beats, steps_per_beat = bar
    _, agreed = find_hand(strokes, bar, first)
    accents = _weigh_accents(strokes, beats, steps_per_beat, first)
    changes = _weigh_changes(strokes, beats, steps_per_beat, first)
    return float(changes + accents + SWING_WEIGHT * agreed + _weigh_beats(strokes, steps_per_beat, first))


def find_hand(strokes: CountedStrokes, bar: tuple[int, int], first: int) -> tuple[Floats, float]:
    """Find how the hand swings under a way to count.

    Parameters
    ----------
    strokes : CountedStrokes
    bar : (int, int)
        Beats a bar, steps a beat.
    first : int
        The first step of a bar.

    Returns
    -------
    odds : ndarray, shape (n_strokes,)
        Log-odds of a downstroke by the place of the stroke alone.
    score : float
        Nats that the likeliest swing explains better than none, of some bars at most.
    """
    beats, steps_per_beat = bar
    best, odds = -np.inf, np.zeros(len(strokes.steps))
    share = min(1.0, MOST_ACCENTS / max(1, len(strokes.steps)))
    for swing, cost in HAND_SWINGS[steps_per_beat]:
        if beats % 2 and swing[:steps_per_beat] != swing[steps_per_beat:]:
            continue  # the hand would begin every other bar the other way
        own = np.array(swing)[(strokes.steps - first) % len(swing)]
        down = 1.0 / (1.0 + np.exp(-own))
        said = np.log(2.0 * (down + (1.0 - down) * np.exp(-strokes.lean)) / (1.0 + np.exp(-strokes.lean)))
        score = float(said.sum()) * share - cost
        if score > best:
            best, odds = score, own
    return odds, best


def _weigh_beats(strokes: CountedStrokes, steps_per_beat: int, first: int) -> float:
    """Weigh whether beats are struck more than what lies between them: the gain over strokes anywhere, as many."""
    n_steps = int(strokes.steps[-1]) + 1
    struck = np.zeros(n_steps)
    struck[strokes.steps] = 1.0
    inside = (np.arange(n_steps) - first) % steps_per_beat
    overall = float(np.clip(struck.mean(), 1e-3, 1.0 - 1e-3))
    likely = np.array(LIKELY_STEPS[steps_per_beat])
    low, high = -8.0, 8.0
    for _ in range(20):  # as many strokes are expected as there are
        middle = 0.5 * (low + high)
        expected = 1.0 / (1.0 + np.exp(-(middle + likely)))
        low, high = (middle, high) if expected.mean() < overall else (low, middle)
    rates = expected[inside]
    said = struck * np.log(rates / overall) + (1.0 - struck) * np.log((1.0 - rates) / (1.0 - overall))
    return float(said.mean()) * min(n_steps, STEPS_TOGETHER)


def _signatures(beats: int, steps_per_beat: int) -> tuple[tuple[int, int], ...]:
    """Return the signatures that a bar may be written as; three steps a beat may be a swung two."""
    simple = (beats, 4)
    return (simple, (3 * beats, 8)) if steps_per_beat == 3 else (simple,)


def _weigh_changes(strokes: CountedStrokes, beats: int, steps_per_beat: int, first: int) -> float:
    """Weigh where in the bar chords change, against changes anywhere."""
    n = beats * steps_per_beat
    shares = np.full(n, (1.0 - AT_BAR - AT_HALF_BAR - AT_BEAT) / max(1, n - beats))
    shares[::steps_per_beat] = AT_BEAT / max(1, beats - 1)
    if beats % 2 == 0:
        shares[n // 2] += AT_HALF_BAR
    shares[0] = AT_BAR
    shares /= shares.sum()
    places = (strokes.steps[strokes.is_change] - first) % n
    if len(places) == 0:
        return 0.0
    total = float(np.log(shares[places] * n).sum())
    return float(CHANGE_WEIGHT * total * min(1.0, MOST_CHANGES / len(places)))


def _weigh_pattern(strokes: CountedStrokes, n: int) -> float:
    """Weigh how well the strokes repeat every n steps: the gain of a rate for each place over one for all."""
    last = int(strokes.steps[-1])
    n_bars = (last + 1) / n
    if n_bars < 2:
        return 0.0
    struck = np.zeros(last + 1)
    struck[strokes.steps] = 1.0
    places = np.arange(last + 1) % n
    counts = np.bincount(places, minlength=n)
    rates = (np.bincount(places, weights=struck, minlength=n) + 0.25) / (counts + 0.5)
    overall = (struck.sum() + 0.25) / (last + 1.5)
    gain = float((counts * (_entropy(np.array([overall]))[0] - _entropy(rates))).sum())
    gain -= 0.5 * (n - 1) * math.log(n_bars)
    return PATTERN_WEIGHT * gain * min(1.0, MOST_PATTERN_BARS / n_bars)


def _entropy(rates: Floats) -> Floats:
    rates = np.clip(rates, 1e-6, 1 - 1e-6)
    return np.asarray(-rates * np.log(rates) - (1 - rates) * np.log(1 - rates))


def _weigh_accents(strokes: CountedStrokes, beats: int, steps_per_beat: int, first: int) -> float:
    """Weigh whether strokes stand on beats, and loud and low ones on bar lines."""
    n = beats * steps_per_beat
    places = (strokes.steps - first) % n
    on_beat = places % steps_per_beat == 0
    weight = strokes.weights * (0.5 + strokes.bass)
    at_bar = places == 0
    there = float(weight[at_bar].mean()) if at_bar.any() else 0.0
    elsewhere = float(weight[~at_bar].mean()) if (~at_bar).any() else 0.0
    return BAR_ACCENT_WEIGHT * (there - elsewhere) + BEAT_ACCENT_WEIGHT * _explain(weight, on_beat)


def _explain(weight: Floats, group: NDArray[np.bool_]) -> float:
    """Return the log-likelihood gained by giving a group its own, higher mean; at most that of some bars."""
    if group.all() or not group.any() or weight[group].mean() <= weight[~group].mean():
        return 0.0
    whole = float(weight.var()) + 1e-9
    parted = float(group.mean() * weight[group].var() + (1 - group.mean()) * weight[~group].var()) + 1e-9
    return 0.5 * min(len(weight), MOST_ACCENTS) * min(MOST_EXPLAINED, float(np.log(whole / parted)))


def countings_to_metres(
    countings: tuple[Counting, ...],
    strokes: CountedStrokes,
    phases: Floats,
    step_s: float,
    *,
    signature: tuple[int, int] | None = None,
) -> tuple[Metre, ...]:
    """Write countings as metres with probabilities, half and double tempo among them.

    Parameters
    ----------
    countings : tuple of Counting
        Best first.
    strokes : CountedStrokes
    phases : ndarray, shape (n_strokes,)
        Each stroke's exact place, in steps (not rounded): for the swing.
    step_s : float
    signature : (int, int) or None
        Where it is known: decides whether three steps a beat are compound or a swung two.

    Returns
    -------
    tuple of Metre
        One for each counting, in their order; then half and double tempo of the first.
    """
    if not countings:
        return ()
    scores = np.array([one.score for one in countings])
    chances = np.exp(scores - scores.max())
    chances /= chances.sum()
    metres = [
        _to_metre(one, strokes, phases, step_s, float(chance), signature)
        for one, chance in zip(countings, chances.tolist(), strict=True)
    ]
    first = metres[0]
    share = first.probability / 3.0
    halved = Metre(first.beats_per_bar, first.beat_unit, first.division, first.tempo_bpm / 2.0, probability=share / 2.0)
    doubled = Metre(
        first.beats_per_bar, first.beat_unit, first.division, first.tempo_bpm * 2.0, probability=share / 2.0
    )
    known = {round(metre.tempo_bpm) for metre in metres}
    metres.extend(extra for extra in (halved, doubled) if round(extra.tempo_bpm) not in known)
    return tuple(metres)


def measure_lateness(phases: Floats, steps: NDArray[np.int64], counting: Counting) -> float:
    """Measure by how much strokes on the beat come after their steps, in steps: even steps halve the swing."""
    on = (steps - counting.first_bar_step) % counting.steps_per_beat == 0
    return float(np.median(phases[on] - steps[on])) if on.any() else 0.0


def _to_metre(
    counting: Counting,
    strokes: CountedStrokes,
    phases: Floats,
    step_s: float,
    probability: float,
    signature: tuple[int, int] | None,
) -> Metre:
    per_beat = counting.steps_per_beat
    bpm = 60.0 / (step_s * per_beat)
    inside = (strokes.steps - counting.first_bar_step) % per_beat
    swing = 0.5
    compound = False
    if per_beat == 3:
        off = inside != 0
        middle = float((inside == 1).sum()) / max(1.0, float(off.sum()))
        compound = middle > SWUNG_THIRD_SHARE if signature is None else signature[1] == 8
        swing = 0.5 if compound else 2.0 / 3.0
    elif per_beat == 2:
        off = inside == 1
        if off.any():
            place = float(np.median((phases[off] - counting.first_bar_step) % per_beat)) / per_beat
            place -= measure_lateness(phases, strokes.steps, counting) / per_beat
            swing = place if LEAST_SWING < place < MOST_SWING else 0.5
    pickup = counting.first_bar_step * 12 // per_beat
    return Metre(
        counting.beats_per_bar, 8 if compound else 4, 3 if compound else 2, bpm, swing, pickup, probability
    )  # fmt: skip
