"""What a hand may hold through many strokes, as sets of pitches: those of the book on this neck, and those heard."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from listen.evidence import N_PITCHES
from listen.instrument import Fretboard
from listen.theory import MAJOR_SCALE
from listen.transcription.book_sets import BOOK_WEIGHT, COMMONEST, THIRDS, list_book_sets
from listen.transcription.brushed_strings import find_brushed
from listen.transcription.plain_names import weigh_over_basses
from listen.transcription.stroke_odds import StrokeOdds, find_lowest, fold_octaves, mark_members
from listen.transcription.three_strings import plays_on_three

Floats = NDArray[np.float64]

QUALITY_WEIGHT, BASS_WEIGHT = 3.0, 2.0  # nats for each point by which a chord, or its bass, is less plainly named
OTHER_BASS_COST = 1.0  # nats for a chord of the book over a bass that the book does not give it
LOST_ROOT_COST, OPEN_BELOW_COST, FIFTH_BELOW_COST = 4.0, 1.5, 4.0
"""Nats for a fifth left at the bottom where the root's string is missed (x33211 for F), which nobody means; for an open
string below a whole chord (032010 for C), which a thumb brushes more often than a player means it; and for the fifth
on a string that needs no finger (x00232 for D), which hardly anybody means (:mod:`.brushed_strings`)."""
TRIAD_OF_THREE, SECOND_INVERSION_COST = 3, 2.5  # on three strings a triad's second inversion is played as one, too
TRIADS, WITHOUT_THIRD = ({0, 4, 7}, {0, 3, 7}), ({0, 7}, {0, 2, 7}, {0, 5, 7})
CHOKED_COST, THIRDLESS_COST = 2.5, 2.0
"""Nats for a hand that keeps a string of its chord, any but the lowest, from sounding; for one that leaves out the
third on purpose where other strokes of the part sound the chord whole. Over 96 parts joined from recorded strums chords
by time go from .935 with 1 to .958 with 2 and .960 with 3, of 182 chords of parts in which two of five lack their third
on purpose .978, .940 and .918 keep their tones (`tests/benchmarks/grips_in_parts.py`)."""
SEVENTHS_WITHOUT_FIFTH, FIFTH, MOST_WITH_FIFTH = ({0, 3, 10}, {0, 4, 10}, {0, 4, 11}), 7, 0.1
"""Seventh chords that are held without their fifth, as shells (x5x56x) and openly (x32310), and named as if whole where
no more of the strokes that sound their tones sound the fifth, too (judged)."""
LEAST_CHOKED, PLAIN_NATS, PLACE_NATS = 4, 0.5, 1.5
"""A chord of so many pitches may have a choked one, if it is as plain as a triad or a seventh chord and held in a usual
place of the book (or in its first over another bass), or if some stroke of the part sounds all of it: else any heap of
notes is some chord with a choked string, and xx0779 is 10-x-7-7-7-9."""
SKIPPED_THIRD_COST = 2.0
"""Nats for a chord without a third where strings are picked one by one: the pattern skips it more often than a hand
leaves it out. Over 28 other parts (`tests/benchmarks/people.py`) chords by time go from .939 to .952 with 1.3 to 3
nats, over 31 looked at from .911 to .914."""
FOREIGN_COST, LEAST_COMMON, ALIKE_SCALES = 2.0, 0.02, 0.05
"""Nats for a tone that hardly any stroke of the part sounds and that is not in its scale either, and the share of
strokes that is more: of thirds that a pattern skips, that of the other chords. Scales that hold so nearly as many of a
stroke's tones as the best may be meant. With the scale, chords by time of 31 parts (`tests/benchmarks/people.py`) go
from .928 to .939, of 28 others they stay."""
UNHELD_COST, WIDEST_FRETS = 8.0, 4
"""Nats for what no hand holds at once, as E2 and G2 which are both on the sixth string: basses that a thumb plays in
turn, while the first still rings; and how many frets apart a hand's fingers lie at most."""
UNNAMED_POINTS = 3.0  # for a single pitch, which is no chord
NEAR_NATS = 12.0  # a set that explains no stretch within so much of the best is not looked at
MOST_SETS = 400  # for time
AT_ONCE = 16
UNHEARD = 0.1  # chance that a pitch of a set that is held is not heard in a bar, where sets are chosen
Sets = dict[tuple[int, ...], float]


@dataclass(frozen=True, slots=True, eq=False)
class HeldSets:
    """Sets of pitches that may be held, with what it costs to believe it.

    Parameters
    ----------
    pitches : tuple of (tuple of int)
        MIDI numbers that each can sound, low to high.
    held : tuple of (tuple of int)
        What the hand holds: the same, and a string that it chokes.
    costs : ndarray, shape (n_sets,)
        In nats; 0 for the commonest shapes of the plainest chords.
    stopped : ndarray of bool, shape (2, n_sets), or (1, n_sets) on one string
        Whether a finger lies on the lowest string, and on the next, of the plain shape that each set is the top of: no
        open string sounds there.
    unmeant : ndarray, shape (n_sets,)
        How much of the costs is for a lowest string that a hand hardly means: nothing where a person says it sounds,
        nor where it comes like one that is meant (:mod:`.late_basses`).
    """

    pitches: tuple[tuple[int, ...], ...]
    held: tuple[tuple[int, ...], ...]
    costs: Floats
    stopped: NDArray[np.bool_]
    unmeant: Floats

    @property
    def lowest(self) -> NDArray[np.int64]:
        """MIDI number of the lowest pitch of each, 0 for none, shape (n_sets,)."""
        return find_lowest(self.pitches)


def _weigh_off_book(sets: Sequence[tuple[int, ...]], fretboard: Fretboard) -> Floats:
    """Weigh what no shape of the book gives: the whole weight of the book, and more where no hand could hold it."""
    costs = np.full(len(sets), BOOK_WEIGHT * COMMONEST)
    costs[[not _can_be_held(midis, fretboard) for midis in sets]] += UNHELD_COST
    return costs


def _can_be_held(midis: tuple[int, ...], fretboard: Fretboard) -> bool:
    """Tell whether each pitch has a string of its own in a hand's reach; what lies below them a bass guitar plays."""
    opens = [pitch.midi for pitch in fretboard.open_pitches]
    hands: set[tuple[frozenset[int], frozenset[int]]] = {(frozenset(), frozenset())}  # strings, and frets under fingers
    for midi in midis:
        if midi < min(opens):
            continue
        places = [(at, midi - opened) for at, opened in enumerate(opens) if 0 <= midi - opened <= fretboard.top_fret]
        found = ((used | {at}, frets | ({fret} if fret else set())) for used, frets in hands for at, fret in places
                 if at not in used)  # fmt: skip
        hands = {hand for hand in found if not hand[1] or max(hand[1]) - min(hand[1]) <= WIDEST_FRETS}
    return bool(hands)


def list_held_sets(fretboard: Fretboard, heard: Iterable[frozenset[int]], odds: StrokeOdds) -> HeldSets:
    """List what may be held on a neck.

    Parameters
    ----------
    fretboard : Fretboard
    heard : iterable of frozenset of int
        Sets that some stroke sounded; those that no shape of the book gives cost the whole weight of the book.
    odds : StrokeOdds
        What leaves out much of every stretch, or holds much that is not heard in any bar, is not listed.
    """
    sounded = {tuple(sorted(midis)) for midis in heard}
    book = list_book_sets(fretboard)
    lost, lost_roots = book.left_fifths, {TRIAD_OF_THREE: 0.0 if plays_on_three(odds) else SECOND_INVERSION_COST}
    others = [midis for midis in sounded if midis not in book.places]
    whole = _keep_near(
        [*book.places, *others],
        np.concatenate([book.members, mark_members(others)]),
        np.append(book.costs, _weigh_off_book(others, fretboard)),
        odds,
    )
    opens = sorted(pitch.midi for pitch in fretboard.open_pitches)
    _add_basses(whole, {midis[0] for midis in sounded if midis}, opens)
    names = dict(zip(whole, _weigh_names(tuple(whole), _find_shells(whole, odds)), strict=True))
    common = _find_common_tones(odds)
    thirdless = _find_lost_thirds([midis for midis, points in names.items() if points <= PLAIN_NATS], opens, odds)
    costs: Sets = {}
    below: Sets = {}
    for midis, cost in whole.items():
        upper, unmeant = midis[1:], 0.0
        if midis in lost:
            unmeant = below[midis] = lost_roots.get(len(midis), LOST_ROOT_COST)
        if not unmeant and upper in whole and names[upper] <= PLAIN_NATS < names[midis]:
            is_fifth = midis[0] == find_brushed(upper, opens)
            is_brushed = is_fifth and not odds.is_picked  # a thumb picks it on purpose
            unmeant = FIFTH_BELOW_COST if is_brushed else OPEN_BELOW_COST if is_fifth or midis[0] in opens else 0.0
            below[midis] = unmeant
        if midis in thirdless:
            unmeant += THIRDLESS_COST
        if odds.is_picked and {(midi - midis[0]) % 12 for midi in midis} in WITHOUT_THIRD:
            unmeant += SKIPPED_THIRD_COST
        foreign = sum(not common[tone] for tone in {midi % 12 for midi in midis})
        costs[midis] = cost + names[midis] + unmeant + FOREIGN_COST * foreign
    held = {midis: midis for midis in costs}
    for midis, cost in list(costs.items()):
        is_usual = names[midis] <= PLAIN_NATS and whole[midis] <= PLACE_NATS
        is_fifth = len({midi % 12 for midi in midis}) < TRIAD_OF_THREE
        if len(midis) < LEAST_CHOKED or is_fifth or not (is_usual or midis in sounded):
            continue
        for place in range(1, len(midis)):
            sounding = midis[:place] + midis[place + 1 :]
            if cost + CHOKED_COST < costs.get(sounding, np.inf):
                costs[sounding], held[sounding] = cost + CHOKED_COST, midis
                below[sounding] = below.get(midis, 0.0)
    costs = _keep_near(list(costs), mark_members(costs), np.array(list(costs.values())), odds)
    usual = [midis for midis in costs if names[held[midis]] <= PLAIN_NATS and whole[held[midis]] <= PLACE_NATS]
    stopped = _find_stopped(tuple(costs), usual, opens)
    unmeant_below = np.array([below.get(midis, 0.0) for midis in costs])
    held_by, total = tuple(held[midis] for midis in costs), np.array(list(costs.values()))
    return HeldSets(tuple(costs), held_by, total, stopped, unmeant_below)


def _find_stopped(
    sets: Sequence[tuple[int, ...]], usual: Sequence[tuple[int, ...]], opens: Sequence[int]
) -> NDArray[np.bool_]:
    """Find of which sets a usual one is a whole with a finger on the lowest string, or the next, below them."""
    members, wholes = mark_members(sets), mark_members(usual)
    is_top = members @ wholes.T == members.sum(axis=1)[:, None]
    lowest = find_lowest(sets)
    stopped = np.zeros((len(opens[:2]), len(sets)), bool)  # a guitar may have one string
    for string, (open_midi, next_midi) in enumerate(pairwise(opens[:3])):
        fingers = [next((midi for midi in midis if open_midi < midi < next_midi), N_PITCHES) for midis in usual]
        stopped[string] = (is_top & (np.array(fingers) < lowest[:, None])).any(axis=1)
    return stopped


def _find_common_tones(odds: StrokeOdds) -> NDArray[np.bool_]:
    """Find which pitch classes sound in the part now and then, or are in every scale that suits it, from C up."""
    shares = (fold_octaves(odds.absent) > 0.0).mean(axis=0)
    scales = np.array([np.isin(np.arange(12), np.add(MAJOR_SCALE, tonic) % 12) for tonic in range(12)])
    fit = scales @ shares
    return np.asarray((shares >= LEAST_COMMON) | scales[fit >= fit.max() - ALIKE_SCALES].all(axis=0))


def _add_basses(sets: Sets, basses: Iterable[int], opens: Sequence[int]) -> None:
    """Add every chord over every bass that was heard, without what lies on the same string as the bass."""
    second = opens[1] if len(opens) > 1 else N_PITCHES  # below it, the lowest string alone sounds
    for midis, cost in list(sets.items()):
        for bass in basses:
            above = max(bass + 1, second)
            upper = tuple(midi for midi in midis if midi >= above)
            if max(2, len(midis) - 1) <= len(upper) and bass not in midis:
                over = (bass, *upper)
                sets[over] = min(sets.get(over, np.inf), cost + OTHER_BASS_COST)


def _find_lost_thirds(
    plain: Iterable[tuple[int, ...]], opens: Sequence[int], odds: StrokeOdds
) -> frozenset[tuple[int, ...]]:
    """Find what is left of triads without the only string with the third, where a stroke of the part sounds them whole.

    Whole, and nothing below but what may be brushed: the upper strings of 022100 are no chord of their own.
    """
    heard = odds.absent > 0.0
    left = set()
    for midis in plain:
        thirds = [place for place in range(1, len(midis)) if (midis[place] - midis[0]) % 12 in THIRDS]
        if len(midis) < LEAST_CHOKED or len(thirds) != 1 or {(midi - midis[0]) % 12 for midi in midis} not in TRIADS:
            continue
        below = np.ones(midis[0], bool)
        below[[midi for midi in (*opens, find_brushed(midis, opens)) if midi is not None and midi < midis[0]]] = False
        if (heard[:, midis].all(axis=1) & ~heard[:, : midis[0]][:, below].any(axis=1)).any():
            left.add(midis[: thirds[0]] + midis[thirds[0] + 1 :])
    return frozenset(left)


def _find_shells(sets: Iterable[tuple[int, ...]], odds: StrokeOdds) -> frozenset[tuple[int, ...]]:
    """Find which sets are a seventh chord over its root without a fifth, which the part's strokes do not sound either.

    Who strums Dm7 as xx0211 and chokes its third string for a bar sounds it in others.
    """
    heard = odds.absent > 0.0
    tones = fold_octaves(odds.absent) > 0.0
    shells = set()
    for midis in sets:
        if midis and {(midi - midis[0]) % 12 for midi in midis} in SEVENTHS_WITHOUT_FIFTH:
            with_fifth = tones[heard[:, midis].all(axis=1), (midis[0] + FIFTH) % 12]
            if not len(with_fifth) or with_fifth.mean() <= MOST_WITH_FIFTH:
                shells.add(midis)
    return frozenset(shells)


def _weigh_names(sets: tuple[tuple[int, ...], ...], shells: frozenset[tuple[int, ...]]) -> list[float]:
    """Weigh how plainly each set is named: as a chord whatever its bass, and over its bass; a shell as if whole."""
    over = weigh_over_basses([(*midis, midis[0] + FIFTH) if midis in shells else midis for midis in sets])
    plainest = [min(own.values(), default=UNNAMED_POINTS) for own in over]
    over_bass = [next(iter(own.values()), UNNAMED_POINTS) for own in over]
    return [
        QUALITY_WEIGHT * quality + BASS_WEIGHT * (whole - quality)
        for quality, whole in zip(plainest, over_bass, strict=True)
    ]


def _keep_near(sets: Sequence[tuple[int, ...]], members: Floats, costs: Floats, odds: StrokeOdds) -> Sets:
    """Keep the sets that leave out little of what some stretch sounds, and hold little that its bar does not have."""
    unheard = -np.log(odds.in_bar + (1.0 - odds.in_bar) * UNHEARD)
    near = np.full(len(sets), np.inf)
    for first in range(0, len(unheard), AT_ONCE):  # so many stretches stay in the processor's nearer memory
        total = (unheard - odds.stray + odds.ruled)[first : first + AT_ONCE] @ members.T + costs
        total -= total.min(axis=1, keepdims=True)
        np.minimum(near, total.min(axis=0), out=near)
    likeliest = np.sort(np.argsort(near, kind="stable")[:MOST_SETS])
    kept = likeliest[near[likeliest] <= NEAR_NATS]
    return {sets[row]: cost for row, cost in zip(kept.tolist(), costs[kept].tolist(), strict=True)}
