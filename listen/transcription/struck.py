"""Which strings of the held chord a stroke struck, and which way the hand went.

A hand sweeps over neighbouring strings, so the struck ones are a run; the run is chosen that best divides the pitches
that rose from those that did not. The direction is told by where the run lies and where in its swing the hand is:
a hand that swings with the pulse goes down on the beat and up off it.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.evidence import Direction, Stretch, StrokeEvidence
from listen.transcription.grid import Grid

STRUCK_DB, SPREAD_DB, MOST_NATS = 0.5, 2.5, 2.0
"""Rises of struck and unstruck strings overlap (partials beat): the say of one is bounded."""
SINGLE_NATS, TOP_NATS = 3.5, 0.5
WAY_NATS = 2.0
"""For each log-odd of a way: strings that are struck one after another tell it. Of 2,313 strums of 49 parts, with it or
without, .04 of those on one string and .005 of the others were taken for one; of eight parts with soft upstrokes,
between a tenth and nine tenths of these were without it, none or two of eleven with it."""
FEWER_NATS = 0.8  # for each string above that is left out
N_SLOTS, TOGETHER_STRUCK, MOST_TOGETHER = 6, 0.85, 8
"""Places that chords of any size are laid on; how much the strokes at one place of the bar say together, and how many
of them say all of it (judged, not measured)."""
MISSED_STRINGS = 2  # an upstroke leaves out at least so many low strings
PICKED_NATS, UNTOLD_NATS, EACH_DB, EACH_NAT, EACH_BELOW, EACH_SOUNDING = 0.57, 0.94, 0.27, 0.73, -1.6, -0.54
"""Log-odds that a string that sounds was picked, and does not only ring on: a constant; where its rise could not be
told; for each dB that it rises; for each nat that it is heard, and that it is less sure than the surest; for each that
sounds. By logistic regression on 1,209 picked strokes of 16 parts (`tests/benchmarks/people.py`); of 527 picked strokes
of seven other parts .901 get exactly the strings that were picked, .837 where all that rise by 3 dB count."""
RISEN_DB = 3.0  # what rises by more sounds, where the ear hears nothing for sure
LEAST_RISE_DB, MOST_RISE_DB = -10.0, 25.0  # no rise says more
MOST_NEIGHBOURS = 2  # a hand that picks more together leaves some between out; judged
NEAR_BARS, LEAST_BARS = 4, 3
"""Before and after, and in all. Of 1,854 picked strokes of 30 such parts .064 were written as strums without, .031 are
with it, and .881 for .857 get their strings; of 464 strums among picked basses four were lost."""
DENIED_NATS = -3.0
"""Log-odds below which a held string did not sound at a stroke: over the same parts .923 of the notes of strums were
struck, .916 without, and as many are found; from -5 to -2 it does the same."""

UP_WHEN_TOP = -0.8  # log-odds of down when the low strings are left out
MOST_SURE = 3.5  # log-odds of a way: strokes of one place may all be misheard alike; judged
LEAST_SURE = 0.52  # of a way that is said
OWN_SHARE, TOGETHER_SHARE, HAND_SHARE, NEAR_STROKES = 0.6, 0.5, 0.5, 16.0
"""How a stroke's own evidence, that of near strokes at the same place of the bar, and the swing of the hand are joined:
of matched strokes of recorded takes .93 go the right way, by its own evidence alone .80 and .79."""
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class StruckStrings:
    """The pitches of a chord that a stroke struck: a run of them, or those that were picked.

    Parameters
    ----------
    places : tuple of int
        Places in the chord's pitches, low to high; at least one.
    n_pitches : int
        How many the chord has.
    beside : int or None
        MIDI number of a string that was picked alone and is not the chord's; its place is the nearest.
    is_picked : bool
        Whether the ear told that they were picked, not swept over.
    """

    places: tuple[int, ...]
    n_pitches: int
    beside: int | None = None
    is_picked: bool = False

    @property
    def is_single(self) -> bool:
        """Whether one string was struck."""
        return len(self.places) == 1 and (self.n_pitches > 1 or self.is_picked)

    @property
    def is_pinch(self) -> bool:
        """Whether strings were picked together: three neighbours or more are swept over, whatever the ear told."""
        n_strings = len(self.places)
        is_swept = n_strings > MOST_NEIGHBOURS and self.places[-1] - self.places[0] == n_strings - 1
        return self.is_picked and n_strings > 1 and not is_swept

    @property
    def is_top(self) -> bool:
        """Whether low strings were left out."""
        return self.places[0] >= MISSED_STRINGS and self.places[-1] == self.n_pitches - 1


def add_told(run: StruckStrings | None, heard: Sequence[int], pitches: Sequence[int]) -> StruckStrings | None:
    """Add what sounds by a person's word alone to what a stroke struck: where the strings beside it were struck.

    Parameters
    ----------
    run : StruckStrings or None
        Of what was heard.
    heard, pitches : sequence of int
        The chord's MIDI numbers without and with what was told, low to high.
    """
    if run is None or len(heard) == len(pitches):
        return run
    struck = {heard[place] for place in run.places}
    places = []
    for place, midi in enumerate(pitches):
        above = bisect(heard, midi)
        beside = set(heard[max(0, above - 1) : above + 1])
        if midi in struck or (midi not in heard and run.beside is None and beside <= struck):
            places.append(place)
    return replace(run, places=tuple(places), n_pitches=len(pitches))


def find_struck(
    strokes: Sequence[StrokeEvidence],
    chords: list[list[int]],
    heard: Sequence[Stretch | None],
    places: NDArray[np.int64] | None,
) -> list[StruckStrings | None]:
    """Find which of its chord's pitches each stroke struck.

    Partials of ringing strings beat, so one stroke says little; the strokes at the same place of the bar are asked
    together, since a pattern comes back.

    Parameters
    ----------
    strokes : sequence of StrokeEvidence
    chords : list of list of int
        The pitches held at each stroke, low to high; none where nothing is held or the stroke is muted.
    heard : sequence of Stretch or None
        What was heard of each stroke by itself; None where strokes were heard together.
    places : ndarray of int or None
        Each stroke's place in the bar; None in free time.

    Returns
    -------
    list of StruckStrings or None
        None where nothing is held.
    """
    own = [_weigh_rises(stroke, midis) for stroke, midis in zip(strokes, chords, strict=True)]
    if places is not None and len(strokes):
        heard = _pick_as_near_bars(heard, places)
        spread = np.array([_spread(said) for said in own])
        known = np.array([len(said) > 0 for said in own], float)
        counts = np.bincount(places, weights=known)
        sums = np.array([np.bincount(places, weights=spread[:, slot]) for slot in range(N_SLOTS)]).T
        means = sums / np.maximum(counts, 1.0)[:, None]
        share = TOGETHER_STRUCK * np.minimum(counts, MOST_TOGETHER) / MOST_TOGETHER
        own = [
            (1.0 - share[place]) * said + share[place] * _gather(means[place], len(said)) if len(said) else said
            for said, place in zip(own, places.tolist(), strict=True)
        ]
    found: list[StruckStrings | None] = []
    for stroke, said, midis, stretch in zip(strokes, own, chords, heard, strict=True):
        if not len(said):
            found.append(None)
        elif stretch is not None and stretch.is_picked and (told := stretch.sounding or _list_rising(stroke)):
            found.append(_find_picked(stroke, midis, stretch, told))
        else:
            found.append(_leave_out_denied(_find_run(said, stroke.lean), midis, stretch))
    return found


def _pick_as_near_bars(heard: Sequence[Stretch | None], places: NDArray[np.int64]) -> list[Stretch | None]:
    """Take a stroke for picked where most near strokes at its place of the bar are: a pattern comes back."""
    told = np.array([one is not None and one.is_picked for one in heard])
    taken = list(heard)
    for place in np.unique(places):
        here = np.flatnonzero(places == place)
        for at, index in enumerate(here.tolist()):
            near = np.concatenate([here[max(0, at - NEAR_BARS) : at], here[at + 1 : at + 1 + NEAR_BARS]])
            one = heard[index]
            if one is not None and len(near) >= LEAST_BARS and told[near].mean() > 0.5:
                taken[index] = replace(one, is_picked=True)
    return taken


def _leave_out_denied(run: StruckStrings, midis: list[int], heard: Stretch | None) -> StruckStrings:
    """Leave out what clearly did not sound at the stroke, unless that is all of it: it is held and was not struck."""
    kept = tuple(at for at in run.places if heard is None or heard.log_odds[midis[at]] > DENIED_NATS)
    return replace(run, places=kept or run.places)


def _list_rising(stroke: StrokeEvidence) -> frozenset[int]:
    """List what rises at a stroke of which the ear hears nothing for sure."""
    return frozenset(midi for midi, rise in stroke.rises.items() if rise > RISEN_DB)


def _find_picked(stroke: StrokeEvidence, midis: list[int], heard: Stretch, told: frozenset[int]) -> StruckStrings:
    """Find which of the pitches that sound were picked; the others ring on. One was picked at least."""
    sounding = [place for place, midi in enumerate(midis) if midi in told]
    if not sounding:
        beside = max(told, key=lambda midi: (stroke.rises.get(midi, 0.0), heard.log_odds[midi]))
        return StruckStrings((min(bisect(midis, beside), len(midis) - 1),), len(midis), beside, is_picked=True)
    said = {place: _weigh_picked(midis[place], stroke, heard, len(sounding)) for place in sounding}
    picked = tuple(place for place in sounding if said[place] > 0.0)
    return StruckStrings(picked or (max(said, key=lambda place: said[place]),), len(midis), is_picked=True)


def _weigh_picked(midi: int, stroke: StrokeEvidence, heard: Stretch, n_sounding: int) -> float:
    """Return the log-odds that a string was picked: what only rings on rises less, and has fallen."""
    rise, odds = stroke.rises.get(midi), float(heard.log_odds[midi])
    risen = UNTOLD_NATS if rise is None else EACH_DB * float(np.clip(rise, LEAST_RISE_DB, MOST_RISE_DB))
    below = float(heard.log_odds.max()) - odds
    return PICKED_NATS + risen + EACH_NAT * odds + EACH_BELOW * below + EACH_SOUNDING * n_sounding


def _weigh_rises(stroke: StrokeEvidence, midis: list[int]) -> Floats:
    """Turn rises into nats for having been struck; 0 where nothing was measured."""
    rises = np.array([stroke.rises.get(midi, STRUCK_DB) for midi in midis])
    return np.clip((rises - STRUCK_DB) / SPREAD_DB, -MOST_NATS, MOST_NATS)


def _spread(said: Floats) -> Floats:
    """Lay a chord of any number of pitches on the same number of slots, low to high."""
    if len(said) == 0:
        return np.zeros(N_SLOTS)
    return np.interp(np.linspace(0.0, 1.0, N_SLOTS), np.linspace(0.0, 1.0, len(said)), said)


def _gather(slots: Floats, n: int) -> Floats:
    return np.interp(np.linspace(0.0, 1.0, n), np.linspace(0.0, 1.0, N_SLOTS), slots)


def _find_run(said: Floats, lean: float) -> StruckStrings:
    """Choose the run of neighbours that best divides what rose from what did not; one string goes neither way."""
    sums = np.concatenate([[0.0], np.cumsum(said)])
    n = len(said)
    best, run = -np.inf, (0, n - 1)
    for first in range(n):
        for last in range(first, n):
            score = 2.0 * (sums[last + 1] - sums[first]) - sums[-1] - _run_cost(first, last, n, lean)
            if score > best + 1e-9:
                best, run = score, (first, last)
    return StruckStrings(tuple(range(run[0], run[1] + 1)), n)


def _run_cost(first: int, last: int, n: int, lean: float) -> float:
    """Return how unusual a run is: all strings, or all but some low ones, are usual; one string is a choice."""
    left_out_above = n - 1 - last
    if first == last and n > 1:
        return SINGLE_NATS + WAY_NATS * abs(lean)
    return (TOP_NATS if first else 0.0) + FEWER_NATS * left_out_above


def tell_directions(
    strokes: Sequence[StrokeEvidence], struck: list[StruckStrings | None], grid: Grid | None
) -> list[tuple[Direction | None, float]]:
    """Tell which way the hand went at each stroke.

    A stroke's own evidence is joined with that of all strokes at the same place of the bar, since a pattern comes back,
    and with the swing of the hand.

    Parameters
    ----------
    strokes : sequence of StrokeEvidence
    struck : list of StruckStrings or None
        None for muted strokes.
    grid : Grid or None
        None in free time.

    Returns
    -------
    list of (direction, probability)
        None where it cannot be told, and where strings were picked together.
    """
    own = np.array([_lean_of(stroke, run) for stroke, run in zip(strokes, struck, strict=True)])
    odds = own.copy()
    if grid is not None:
        odds = OWN_SHARE * own + TOGETHER_SHARE * _pool_near(own, grid.places) + HAND_SHARE * grid.hand_odds
    odds[[run is not None and run.is_pinch for run in struck]] = 0.0
    return [_decide(float(one)) for one in np.clip(odds, -MOST_SURE, MOST_SURE)]


def _pool_near(own: Floats, places: NDArray[np.int64]) -> Floats:
    """Sum the evidence of near strokes at the same place of the bar: a pattern comes back, until it changes."""
    reach = int(3 * NEAR_STROKES)
    taper = np.exp(-0.5 * (np.arange(-reach, reach + 1) / NEAR_STROKES) ** 2)
    pooled = np.zeros(len(own))
    for place in np.unique(places):
        here = places == place
        pooled[here] = np.convolve(np.where(here, own, 0.0), taper)[reach : reach + len(own)][here]
    return pooled


def _lean_of(stroke: StrokeEvidence, run: StruckStrings | None) -> float:
    if run is None or run.is_single or run.is_pinch:
        return 0.0
    return stroke.lean + (UP_WHEN_TOP if run.is_top else 0.0)


def _decide(odds: float) -> tuple[Direction | None, float]:
    chance = 1.0 / (1.0 + float(np.exp(-odds)))
    if 1.0 - LEAST_SURE < chance < LEAST_SURE:
        return None, max(chance, 1.0 - chance)
    return ("down", chance) if chance >= 0.5 else ("up", 1.0 - chance)
