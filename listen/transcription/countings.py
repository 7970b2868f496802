"""How the steps of the pulse are counted: beats, bars, and where bars begin, as ranked hypotheses.

A hypothesis says how many steps make a beat and how many beats a bar; where in the bars the strokes lie then is decided
by :mod:`listen.transcription.bar_slips`. What speaks for it is weighed in :mod:`listen.transcription.bar_evidence`;
besides, beats are felt at 60 to 150 a minute.

References
----------
L. van Noorden, D. Moelants, "Resonance in the perception of musical pulse", Journal of New Music Research 28(1), 1999
(tempo preference).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.transcription.bar_evidence import (
    CHANGE_WEIGHT,
    BarKind,
    CountedStrokes,
    find_hand,
    share_changes,
    weigh_pattern,
)
from listen.transcription.bar_slips import place_strokes
from listen.transcription.bass_returns import weigh_two_bars

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PREFERRED_BPM, PREFERRED_TRIPLE_BPM, TEMPO_SPREAD_OCTAVES = 105.0, 80.0, 0.45
"""Van Noorden and Moelants find some 120 for pulses heard (from memory); strumming is slower; judged."""
MOST_STROKES, MOST_CHANGES = 48, 6  # a part is no surer of its metre for going on longer; judged
METRE_COSTS = {(4, 2): 0.0, (4, 4): 1.0, (3, 2): 1.0, (2, 3): 1.0, (4, 3): 2.5, (4, 1): 0.5, (3, 1): 2.0,
               (3, 4): 2.5, (2, 2): 4.0, (3, 3): 3.0, (2, 4): 4.0, (5, 2): 4.0}  # fmt: skip
"""By (beats a bar, steps a beat), in nats; common practice, no source."""
SLOW_BPM, SLOW_TRIPLE_BPM, SLOW_SPREAD_OCTAVES = 65.0, 55.0, 0.2
"""Slower beats are rare, and soon rarer than that spread says: the hand divides them, and each part of one is a beat.
Judged on takes: 76 was within a nat of 38, where two bars shared a chord. Three parts of a slow beat are a waltz, two
bars of which share a chord: of 56 songs metres go from .964 to .982, of 236 other parts and takes none moves."""
SLOWEST_BPM, SLOWEST_TRIPLE_BPM, FASTEST_BPM = 24.0, 38.0, 320.0
"""Beyond them nobody counts beats; slower, three to a beat are beats themselves (common practice, no source)."""
CHANGE_OCTAVES = 0.35  # by which a tempo differs from another of the same part
PUSHES_NATS = 3.0  # that a player pushes most chords; judged on `benchmarks.pulse`
FEEL_NATS = 4.0  # that a hand swings in one tempo and not in another; judged
TOLD_OCTAVES = 0.35  # that a median tempo may be from the one told: people speed up
LEVEL_OCTAVES = 0.6  # beyond the nearest level to a tempo that no level has: half and double tempo are further apart
SHARED_BARS_NATS, USUAL_SHARED, LEAST_BARS, FAST_BPM = 5.0, 0.5, 4, 144.0
"""Nats where all bars have another chord from their half on; the share of bars that is usual; how many bars say
something; and how fast beats of bars half as long may be: two chords a bar are common, but slow ones are two. Over 56
songs (`tests/benchmarks/songs.py`) beats go from .923 to .962, over 188 other parts and the takes nothing moves."""
HALVES_S, HALVES = 0.67, BarKind(4, 1)  # a hand that strikes no oftener may strike on one and three alone; judged
ONCE_S, ONCE = 1.2, {BarKind(4, 1): 0.0, BarKind(3, 1): 1.0}
"""A hand that strikes no oftener may strike once a bar, and what that costs: then only what is usual tells the bars."""


@dataclass(frozen=True, slots=True, eq=False)
class Counting:
    """One way to count.

    Parameters
    ----------
    bar : BarKind
    steps : ndarray of int, shape (n_strokes,)
        Where each stroke lies, from the bar line before the first.
    hand_odds : ndarray, shape (n_strokes,)
        Log-odds of a downstroke by where it lies.
    score : float
        Log-likelihood, up to a constant.
    beat_steps : float
        Steps of the pulse in a beat: those of the bar, or ½ where a hand strikes on one and three alone, and the steps
        counted here are half as long as the pulse's; ¼ or ⅓ where it strikes on one alone.
    """

    bar: BarKind
    steps: Ints
    hand_odds: Floats
    score: float
    beat_steps: float


def rank_countings(
    strokes: CountedStrokes,
    step_s: float,
    *,
    metre: tuple[int, int] | None = None,
    tempo_bpm: float | None = None,
    bar_steps: tuple[int, ...] = (),
    reach_octaves: float = TOLD_OCTAVES,
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
    bar_steps : tuple of int
        Steps that begin a bar, where some are known.
    reach_octaves : float
        How far from the tempo that is known it may be counted.

    Returns
    -------
    tuple of Counting
        One for each kind of bar, best first; empty where no kind of bar fits what is known.
    """
    countings = []
    costs = METRE_COSTS
    if metre is not None and metre[1] == 4:  # told: also what is rarer than all of these
        costs = {**{(metre[0], per_beat): 4.0 for per_beat in (1, 2, 4)}, **METRE_COSTS}
    for (beats, per_beat), cost in costs.items():
        likely = _weigh_tempo(step_s * per_beat, per_beat, tempo_bpm, reach_octaves)
        if likely is None or (metre is not None and metre not in _signatures(beats, per_beat)):
            continue
        countings.append(_count(strokes, BarKind(beats, per_beat), bar_steps, likely - cost, step_s * per_beat))
    likely = _weigh_tempo(0.5 * step_s, HALVES.per_beat, tempo_bpm, reach_octaves)
    if step_s >= HALVES_S and likely is not None and metre in (None, (HALVES.beats, 4)):
        countings.append(_count_apart(strokes, HALVES, 2, bar_steps, likely, 0.5 * step_s))
    for bar, cost in ONCE.items():
        beat_s = step_s / bar.beats
        likely = _weigh_tempo(beat_s, bar.per_beat, tempo_bpm, reach_octaves, divides=False)
        if step_s >= ONCE_S and likely is not None and metre in (None, (bar.beats, 4)):
            countings.append(_count_apart(strokes, bar, bar.beats, bar_steps, likely - cost, beat_s))
    return tuple(sorted(countings, key=lambda one: -one.score))


def _weigh_tempo(
    beat_s: float, per_beat: int, tempo_bpm: float | None, reach_octaves: float, *, divides: bool = True
) -> float | None:
    """Weigh a tempo by the one that is preferred, or told; None where nobody counts so, or another one is told.

    Slow beats are rarer yet because the hand divides them: not so where it strikes once a bar.
    """
    bpm = 60.0 / beat_s
    preferred, slowest = (PREFERRED_TRIPLE_BPM, SLOWEST_TRIPLE_BPM) if per_beat == 3 else (PREFERRED_BPM, SLOWEST_BPM)
    off = float(np.log2(bpm / (tempo_bpm or preferred)))
    if tempo_bpm is not None:
        slowest = SLOWEST_BPM
        if abs(off) > reach_octaves:
            return None
    if not slowest <= bpm <= FASTEST_BPM:
        return None
    usual = SLOW_TRIPLE_BPM if per_beat == 3 else SLOW_BPM
    slow = max(0.0, float(np.log2(usual / bpm))) if tempo_bpm is None and divides else 0.0
    return -0.5 * (off / TEMPO_SPREAD_OCTAVES) ** 2 - 0.5 * (slow / SLOW_SPREAD_OCTAVES) ** 2


def _count(strokes: CountedStrokes, bar: BarKind, bar_steps: tuple[int, ...], likely: float, beat_s: float) -> Counting:
    """Place the strokes in one kind of bar, and score it."""
    share = _share(strokes)
    found = []
    habits = [(alternates, False) for alternates in bar.alternations] + [(False, True)] * (bar.per_beat > 1)
    for alternates, pushes in habits:
        steps, score = place_strokes(strokes, bar, bar_steps=bar_steps, alternates=alternates, pushes=pushes)
        odds, nats = find_hand(strokes, bar, steps % bar.n_steps)
        total = share * (score + nats) + weigh_pattern(bar, steps) + likely - PUSHES_NATS * pushes
        total += (_share_of_changes(strokes) - share) * _weigh_changes(strokes, bar, steps, pushes=pushes)
        total -= _weigh_shared_bars(strokes, bar, steps, beat_s)
        total += weigh_two_bars(strokes, bar, steps, share=share, share_of_changes=_share_of_changes(strokes))
        found.append(Counting(bar, steps, odds, total, float(bar.per_beat)))
    return max(found, key=lambda one: one.score)


def _weigh_changes(strokes: CountedStrokes, bar: BarKind, steps: Ints, *, pushes: bool) -> float:
    """Weigh where chords begin, in nats over beginnings anywhere."""
    shares = share_changes(bar, pushes=pushes)[steps[strokes.is_change] % bar.n_steps]
    return CHANGE_WEIGHT * float(np.log(shares * bar.n_steps).sum())


def _weigh_shared_bars(strokes: CountedStrokes, bar: BarKind, steps: Ints, beat_s: float) -> float:
    """Weigh that more than the usual share of bars has another chord from its half on: those are most likely two bars.

    Half of four beats are two, to be counted as four that are twice as fast; half of six eighths is a waltz.
    """
    faster = {(4, 1): 2, (4, 2): 2, (4, 4): 2, (4, 3): 2, (2, 3): 3}.get((bar.beats, bar.per_beat))
    bars, places = np.divmod(steps, bar.n_steps)
    n_bars = int(bars[-1]) + 1
    if faster is None or 60.0 / beat_s * faster > FAST_BPM or n_bars < LEAST_BARS:
        return 0.0
    shared = len(set(bars[strokes.is_change & (places == bar.n_steps // 2)].tolist())) / n_bars
    return SHARED_BARS_NATS * max(0.0, shared - USUAL_SHARED) / (1.0 - USUAL_SHARED)


def _count_apart(
    strokes: CountedStrokes, bar: BarKind, apart: int, bar_steps: tuple[int, ...], likely: float, beat_s: float
) -> Counting:
    """Count each step of the pulse as so many beats; that beats between are passed over is nothing to gain from.

    So it is no pattern, and changes of chord on one are told from those on three, not from those on every beat.
    """
    split = replace(strokes, steps=apart * strokes.steps)
    found = _count(split, bar, tuple(apart * step for step in bar_steps), likely, beat_s)
    changes = float(np.log(apart * share_changes(bar)[::apart].sum())) * CHANGE_WEIGHT * int(strokes.is_change.sum())
    gained = weigh_pattern(bar, found.steps) + _share_of_changes(strokes) * changes
    fair = weigh_pattern(BarKind(bar.beats // apart, 1), found.steps // apart)
    return replace(found, score=found.score - gained + fair, beat_steps=1.0 / apart)


def _share(strokes: CountedStrokes) -> float:
    """Return how much of what strokes say counts."""
    return min(1.0, MOST_STROKES / len(strokes.steps))


def _share_of_changes(strokes: CountedStrokes) -> float:
    """Return how much of what changes of chord say counts: they are fewer than strokes, and each says more."""
    return max(_share(strokes), min(1.0, MOST_CHANGES / max(1, int(strokes.is_change.sum()))))


def choose_countings(
    strokes: Sequence[CountedStrokes],
    steps_s: Sequence[float],
    *,
    metre: tuple[int, int] | None = None,
    tempo_bpm: float | None = None,
    bar_steps: Sequence[tuple[int, ...]],
) -> list[tuple[Counting, ...]]:
    """Count a part that is played in several tempos: each by itself, in the metre that suits all together.

    Parameters
    ----------
    strokes : sequence of CountedStrokes
        Those of each tempo.
    steps_s : sequence of float
    metre, tempo_bpm
        As told.
    bar_steps : sequence of tuple of int
        For each tempo the steps that are told to begin a bar.

    Returns
    -------
    list of tuple of Counting
        For each tempo, best first, the first of them in the metre of all; empty where no kind of bar fits. A tempo that
        is another one than was told is counted on the level that lies nearest to it.
    """
    ranked = [
        rank_countings(own, step_s, metre=metre, tempo_bpm=tempo_bpm, bar_steps=told)
        or _rank_nearest(own, step_s, metre=metre, tempo_bpm=tempo_bpm, bar_steps=told)
        for own, step_s, told in zip(strokes, steps_s, bar_steps, strict=True)
    ]
    best, chosen = -np.inf, [0] * len(ranked)
    longest = max(range(len(ranked)), key=lambda k: len(strokes[k].steps))
    for anchor in ranked[longest]:
        places, total = [], anchor.score
        for number, row in enumerate(ranked):
            sums = [_weigh_beside(one, steps_s[number], anchor, steps_s[longest]) for one in row]
            if number == longest:
                places.append(row.index(anchor))
            elif sums and max(sums) > -np.inf:
                places.append(int(np.argmax(sums)))
                total += max(sums)
        if len(places) == len(ranked) and total > best:
            best, chosen = total, places
    if best == -np.inf:
        return []
    return [(row[first], *row[:first], *row[first + 1 :]) for row, first in zip(ranked, chosen, strict=True)]


def _rank_nearest(
    strokes: CountedStrokes,
    step_s: float,
    *,
    metre: tuple[int, int] | None,
    tempo_bpm: float | None,
    bar_steps: tuple[int, ...],
) -> tuple[Counting, ...]:
    """Rank the ways to count strokes whose tempo is another one than was told: on the levels that lie nearest to it."""
    if tempo_bpm is None:
        return ()
    levels = 60.0 / (step_s * np.arange(1.0, 5.0))
    off = float(np.abs(np.log2(np.minimum(levels, FASTEST_BPM) / tempo_bpm)).min())
    near, every = (
        rank_countings(strokes, step_s, metre=metre, tempo_bpm=tempo_bpm, bar_steps=bar_steps, reach_octaves=reach)
        for reach in (off + LEVEL_OCTAVES, np.inf)
    )
    return near or every


def _weigh_beside(counting: Counting, step_s: float, anchor: Counting, anchor_step_s: float) -> float:
    """Weigh one tempo's counting beside the longest one's: as many beats, and not half or double its tempo."""
    if counting.bar.beats != anchor.bar.beats:
        return -np.inf
    other_feel = FEEL_NATS * ((counting.bar.per_beat == 3) != (anchor.bar.per_beat == 3))
    apart = np.log2(step_s * counting.beat_steps / (anchor_step_s * anchor.beat_steps))
    return counting.score - other_feel - 0.5 * float(apart / CHANGE_OCTAVES) ** 2


def _signatures(beats: int, steps_per_beat: int) -> tuple[tuple[int, int], ...]:
    """Return the signatures that a bar may be written as; three steps a beat may be a swung two."""
    simple = (beats, 4)
    return (simple, (3 * beats, 8)) if steps_per_beat == 3 else (simple,)
