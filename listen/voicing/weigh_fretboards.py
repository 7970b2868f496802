"""How well an instrument explains a strum, whatever the shape: for telling capos and tunings apart.

A capo does not change what sounds; it changes which shapes give it. So the weight of a strum under a setting is the sum
of the weights of all its shapes there: where open strings and common forms fit the sound, the sum is high.

A part asks this of many settings. What cannot come near the best is not weighed to the end; and the shapes of the book
are looked up, not searched for: the search then need not spare every shape for the grade that the book might give it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from listen.evidence import StrumEvidence
from listen.instrument import STANDARD, Fretboard, estimate_efforts
from listen.log_odds import log_sum_exp
from listen.voicing.book import HIGHEST_GRADE, grade_shapes, list_strummed_shapes
from listen.voicing.candidates import Floats, PitchCandidates, find_candidates
from listen.voicing.fit_settings import FitSettings
from listen.voicing.forms import have_open_forms
from listen.voicing.hypotheses import extend_shapes, weigh_notes
from listen.voicing.retuned_forms import list_retuned_forms
from listen.voicing.string_options import StringRows, find_options

Bits = npt.NDArray[np.uint64]

UNEXPLAINED_NATS = 8.0
"""A strum counts no farther under the best that any shape could give: a mixture of two chords, which no setting gives,
decided a whole part. On 140 parts of players one capo more is right, and three riffs in drop D are no longer thought a
guitar tuned down by a step; 5 and 6 hide low strings that no other setting gives."""
BEHIND_NATS = 8.0
"""A setting is given up when it would stay so far behind even if every strum to come had all that sounds, and nothing
else, as a shape of the highest grade: 1 in 3,000 at most. On six parts 37 to 62 of 100 weighings are left."""
QUICK_BEAM = 60  # partial shapes of a first pass, which need find one good shape only
MOST_TRIED = 16  # shapes whose effort is estimated to find one good shape
MOST_EFFORT_NATS = 6.0  # no shape of the book costs the hand more
NEAR_ALL_NATS = 4.0  # a shape of the book that leaves out no more of what sounds needs no first pass beside it
HIGHEST_FRET = 22  # of a shape of the book that is looked up
LOWEST_BIT_MIDI, N_BITS = 26, 63  # pitches are bits of one integer, from this one up
UNKNOWN = np.uint64(1 << N_BITS)  # stands for any other pitch


@dataclass(frozen=True, slots=True, eq=False)
class _BookRows:
    """Shapes of the book on a neck.

    Parameters
    ----------
    frets : ndarray of int8, shape (n, n_strings)
    pitches : ndarray of uint64, shape (n,)
        Which pitches sound, a bit each.
    grades : ndarray, shape (n,)
    """

    frets: npt.NDArray[np.int8]
    pitches: Bits
    grades: Floats


def weigh_fretboards(
    evidences: Sequence[StrumEvidence],
    fretboards: Sequence[Fretboard],
    *,
    head_starts: Sequence[float] | None = None,
    settings: FitSettings | None = None,
) -> Floats:
    """Return for each setting how well it explains some strums: the sum over strums of the log of its shapes' weights.

    Parameters
    ----------
    evidences : sequence of StrumEvidence
    fretboards : sequence of Fretboard
        The likeliest first: a setting that has fallen far behind one before it is not weighed to the end.
    head_starts : sequence of float or None
        Nats that each setting has beforehand.
    settings : FitSettings or None
        Shapes that lie farther than the margin under the best one are left out of the sum.

    Returns
    -------
    ndarray, shape (n_fretboards,)
        With the head starts; for a strum at least :data:`UNEXPLAINED_NATS` under the best that a shape could give, -inf
        for a setting that was given up.
    """
    settings = settings or FitSettings()
    heard = [(evidence, find_candidates(evidence)) for evidence in evidences]
    heard = [(evidence, candidates) for evidence, candidates in heard if candidates.pitches]
    most = [float(one.positive_sums[-1]) + HIGHEST_GRADE * settings.book_weight for _, one in heard]
    totals = np.zeros(len(fretboards)) if head_starts is None else np.array(head_starts, float)
    best = -np.inf
    for row, fretboard in enumerate(fretboards):
        book = _list_book(fretboard)
        for place, (evidence, candidates) in enumerate(heard):
            if totals[row] + sum(most[place:]) < best - BEHIND_NATS:
                totals[row] = -np.inf
                break
            options = find_options(evidence, candidates, fretboard, settings)
            totals[row] += max(most[place] - UNEXPLAINED_NATS, _weigh(options, candidates, book, fretboard, settings))
        best = max(best, totals[row])
    return totals


def _weigh(
    options: tuple[StringRows, ...],
    candidates: PitchCandidates,
    book: _BookRows,
    fretboard: Fretboard,
    settings: FitSettings,
) -> float:
    listed, graded = _take_listed(options, candidates, book)
    plain = weigh_notes(listed, candidates, settings) + settings.book_weight * graded
    near = np.flatnonzero(plain >= plain.max(initial=-np.inf) - settings.margin_nats - MOST_EFFORT_NATS)
    totals = [plain[near] - _weigh_hand(listed.frets[near], fretboard, settings)]
    best = float(totals[0].max(initial=-np.inf))
    if best < float(candidates.positive_sums[-1]) - NEAR_ALL_NATS:
        quick = extend_shapes(options, candidates, least=-np.inf, beam=QUICK_BEAM)
        if not len(quick):  # no string of this neck has any of the pitches
            return -np.inf
        weights = weigh_notes(quick, candidates, settings)
        tried = np.argsort(-weights, kind="stable")[:MOST_TRIED]
        best = max(best, float((weights[tried] - _weigh_hand(quick.frets[tried], fretboard, settings)).max()))
    least = best - settings.margin_nats
    found = extend_shapes(options, candidates, least=least)
    weights = weigh_notes(found, candidates, settings)
    likely = np.flatnonzero(weights >= least)
    unlisted = likely[grade_shapes(found.frets[likely], fretboard.tuning) == 0.0] if len(likely) else likely
    if len(unlisted):
        totals.append(weights[unlisted] - _weigh_hand(found.frets[unlisted], fretboard, settings))
    losses = _lose_within_sets(
        np.concatenate([listed.masks, found.masks]), np.concatenate([listed.gains, found.gains])
    )[np.concatenate([near, len(listed) + unlisted])]
    total = np.concatenate(totals)
    return float(log_sum_exp((total + losses)[total >= total.max(initial=-np.inf) - settings.margin_nats]))


def _weigh_hand(frets: npt.NDArray[np.int8], fretboard: Fretboard, settings: FitSettings) -> Floats:
    """Return what it costs to hold shapes, in nats; strings beyond the six of the book are not played."""
    extra = np.full((len(frets), fretboard.n_strings - frets.shape[1]), -1, np.int8)
    whole = np.concatenate([extra, frets], axis=1) if extra.size else frets
    return settings.hand_weight * estimate_efforts(whole, fretboard, hand=settings.hand).astype(np.float64)


def _lose_within_sets(masks: npt.NDArray[np.int32], gains: Floats) -> Floats:
    """Return what each shape loses against the one with the same pitches that suits the strings best."""
    best = np.full(int(masks.max(initial=0)) + 1, -np.inf)
    np.maximum.at(best, masks, gains)
    return np.asarray(gains - best[masks])


def _take_listed(
    options: tuple[StringRows, ...], candidates: PitchCandidates, book: _BookRows
) -> tuple[StringRows, Floats]:
    """Take the shapes of the book that sound candidates only, with their grades."""
    known = _to_bits(np.array([pitch.midi for pitch in candidates.pitches]))
    rows = np.flatnonzero((book.pitches & ~(np.bitwise_or.reduce(known) & ~UNKNOWN)) == 0)
    frets = book.frets[rows]
    options = options[len(options) - frets.shape[1] :]
    masks, odds, gains = np.zeros(len(rows), np.int32), np.zeros(len(rows)), np.zeros(len(rows))
    for column, option in zip(frets.T, options, strict=True):
        choice = np.zeros(int(option.frets.max()) + 2, np.intp)
        choice[option.frets[:, 0]] = np.arange(len(option))  # the last place is that of a string that is not played
        chosen = choice[column]
        masks |= option.masks[chosen]
        odds += option.odds[chosen]
        gains += option.gains[chosen]
    return StringRows(frets, masks, odds, gains), book.grades[rows]


def _list_book(fretboard: Fretboard) -> _BookRows:
    """List the shapes of the book with what they sound on a neck; what this neck does not give sounds UNKNOWN."""
    frets, grades, strings = _tabulate_book()
    usual, highest = _tabulate_usual()
    if fretboard.capo_fret:
        grades = np.where(_tabulate_barred(), 0.0, grades)
    n_extra = fretboard.n_strings - STANDARD.n_strings
    if n_extra < 0:
        return _BookRows(frets[:0, : fretboard.n_strings], np.zeros(0, np.uint64), grades[:0])
    opens = np.array([pitch.midi for pitch in fretboard.open_pitches[n_extra:]])
    offsets = opens - [pitch.midi for pitch in STANDARD.open_strings]
    if len(set(offsets.tolist())) == 1 and offsets[0] <= fretboard.capo_fret:  # above it lie unknown pitches only
        by = int(offsets[0])
        moved = usual << np.uint64(by) if by >= 0 else usual >> np.uint64(-by)
        return _BookRows(frets, np.where(highest > fretboard.top_fret, UNKNOWN, moved), grades)
    chosen = (np.arange(1 << len(opens))[:, None] >> np.arange(len(opens))) & 1 > 0
    spread = np.where(chosen, offsets, -128).max(axis=1) - np.where(chosen, offsets, 127).min(axis=1)
    is_known = spread[strings] == 0
    own, nats = list_retuned_forms(fretboard.tuning, HIGHEST_FRET)
    frets, grades = np.concatenate([frets, own]), np.concatenate([grades, nats])
    is_known = np.append(is_known, np.ones(len(own), bool))
    pitches = np.zeros(len(frets), np.uint64)
    for open_midi, column in zip(opens.tolist(), frets.T, strict=True):
        sounding = _to_bits(open_midi + np.arange(HIGHEST_FRET + 1))
        sounding[fretboard.top_fret + 1 :] = UNKNOWN
        pitches |= np.append(sounding, np.uint64(0))[column]  # the last place is that of a string that is not played
    pitches[~is_known] = UNKNOWN
    return _BookRows(frets, pitches, grades)


@cache
def _tabulate_book() -> tuple[npt.NDArray[np.int8], Floats, npt.NDArray[np.intp]]:
    """Return every shape of the book once: its frets, its grade, and which strings sound, a bit each."""
    frets, grades = list_strummed_shapes(HIGHEST_FRET)
    order = np.lexsort((-grades, *frets.T))
    frets, grades = frets[order], grades[order]
    first = np.append(True, (frets[1:] != frets[:-1]).any(axis=1)) & (grades > 0.0)
    frets, grades = frets[first], grades[first]
    return frets, grades, ((frets >= 0) << np.arange(STANDARD.n_strings)).sum(axis=1).astype(np.intp)


@cache
def _tabulate_barred() -> npt.NDArray[np.bool_]:
    """Tell which shapes of the book nobody holds over a capo: barres of chords that lie open there."""
    return have_open_forms(_tabulate_book()[0])


@cache
def _tabulate_usual() -> tuple[Bits, npt.NDArray[np.int8]]:
    """Return of every shape of the book what it sounds in standard tuning, and its highest fret."""
    frets = _tabulate_book()[0]
    bits = [
        np.append(_to_bits(pitch.midi + np.arange(HIGHEST_FRET + 1)), np.uint64(0))[column]
        for pitch, column in zip(STANDARD.open_strings, frets.T, strict=True)
    ]
    return np.bitwise_or.reduce(bits), frets.max(axis=1)


def _to_bits(midis: npt.NDArray[np.int64]) -> Bits:
    """Return each pitch as one bit, pitches that no ear knows as one and the same."""
    places = midis - LOWEST_BIT_MIDI
    within = (places >= 0) & (places < N_BITS)
    return np.where(within, np.left_shift(np.uint64(1), np.where(within, places, 0).astype(np.uint64)), UNKNOWN)
