"""Every shape that may have been strummed, with the parts of its score kept apart.

The search extends shapes string by string and drops a partial shape only when even the upper bound of its pitches lies
:attr:`FitSettings.margin_nats` under a shape already found, so every shape that is dropped is less than
``exp(-margin)`` as likely as the best one.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from listen.evidence import StrumEvidence
from listen.instrument import Fretboard, estimate_efforts
from listen.theory import Pitch
from listen.voicing.book import HIGHEST_GRADE, grade_shapes
from listen.voicing.fit_settings import FitSettings
from listen.voicing.string_sets import weigh_together
from listen.voicing.strings import identify_string_kinds, weigh_known_strings

CANDIDATE_FLOOR = -6.0  # log-odds under which a pitch is no candidate: 1 in 400
MAX_CANDIDATES = 14  # more doubtful pitches than that and the evidence is noise; keeps the table of sums at 2^14
UNKNOWN_LOG_ODDS = -6.0  # of a pitch that a course would add and the ear does not know or did not hear
STRING_FLOOR = -12.0  # under the likeliest kind of string: the ear may be fooled by a string it never heard
KINDS_SHARE = 0.3  # of what kinds of string count, where the guitar's own strings are known: kinds are of other guitars
MAX_SHAPES_WEIGHED = 60_000
MOST_PARTIAL = 100_000
"""Partial shapes that go on from a string: those of the highest bounds. On six strings the strums of `audio_fixtures`
have 10,000 at most; ten strings can have tens of millions, 18 GB of them."""
PAIRS_AT_ONCE = 1 << 20
QUICK_BEAM = 200  # partial shapes that the first, quick pass carries on to find one good shape
SPARE_NATS = 4.0  # under the margin, for shapes that the strings together may yet raise

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Candidates:
    """Pitches that may sound, low to high, and sums over every subset of them, shape (2 ** n,)."""

    pitches: tuple[Pitch, ...]
    log_odds: Floats
    bass_log_odds: Floats
    sums: Floats
    positive_sums: Floats


@dataclass(frozen=True, slots=True)
class _Rows:
    """Shapes, or the choices of one string, in rows.

    `masks` are sets of candidates; `odds` are log-odds of what sounds beside candidates (a course's second string);
    `gains` are what the ear says of the strings.
    """

    frets: npt.NDArray[np.int8]
    masks: npt.NDArray[np.int32]
    odds: Floats
    gains: Floats

    def __len__(self) -> int:
        return len(self.masks)

    def pick(self, rows: npt.NDArray[np.intp]) -> _Rows:
        return _Rows(self.frets[rows], self.masks[rows], self.odds[rows], self.gains[rows])


@dataclass(frozen=True, slots=True)
class WeighedShapes:
    """Whole shapes with the parts of their score.

    `strings` share the weight of a set of pitches among its shapes; `string_losses`, at most 0, are what each shape
    loses against the one of its set that suits the strings best; `said` is what the ear says of the strings before it
    is shared. `held` is what the hand holds, `frets` what of it sounds, and `stroke` how usual it is that the hand
    holds that and just these strings sound: it has no say in which pitches sound, as strings have none.
    """

    frets: npt.NDArray[np.int8]
    held: npt.NDArray[np.int8]
    masks: npt.NDArray[np.int32]
    notes: Floats
    strings: Floats
    string_losses: Floats
    said: Floats
    hand: Floats
    book: Floats
    stroke: Floats

    @property
    def ear(self) -> Floats:
        """What was heard: notes and strings."""
        return self.notes + self.strings

    @property
    def is_whole(self) -> npt.NDArray[np.bool_]:
        """Whether a shape sounds as it is held."""
        return np.asarray((self.held == self.frets).all(axis=1))

    @property
    def total(self) -> Floats:
        """All parts together."""
        return self.ear + self.hand + self.book

    def pick(self, rows: npt.NDArray[np.intp]) -> WeighedShapes:
        """Keep some rows."""
        return WeighedShapes(*(getattr(self, one.name)[rows] for one in fields(self)))


def find_candidates(evidence: StrumEvidence) -> Candidates:
    """Keep the pitches that may sound, the likeliest ones if there are too many."""
    likely = sorted(evidence.pitches, key=lambda heard: -heard.log_odds)[:MAX_CANDIDATES]
    kept = sorted((heard for heard in likely if heard.log_odds > CANDIDATE_FLOOR), key=lambda heard: heard.pitch)
    log_odds = np.array([heard.log_odds for heard in kept])
    return Candidates(
        pitches=tuple(heard.pitch for heard in kept),
        log_odds=log_odds,
        bass_log_odds=np.array([heard.bass_log_odds for heard in kept]),
        sums=_sum_subsets(log_odds),
        positive_sums=_sum_subsets(log_odds.clip(min=0.0)),
    )


def _sum_subsets(values: Floats) -> Floats:
    """Return the sum of every subset; subset m holds value i when bit i of m is set."""
    sums = np.zeros(1)
    for value in values:
        sums = np.concatenate([sums, sums + value])
    return sums


def weigh_shapes(
    evidence: StrumEvidence, candidates: Candidates, fretboard: Fretboard, *, settings: FitSettings
) -> WeighedShapes:
    """Find every shape within the margin of the best, with the three parts of its score.

    Parameters
    ----------
    evidence : StrumEvidence
    candidates : Candidates
        Of that evidence, at least one pitch.
    fretboard : Fretboard
    settings : FitSettings

    Returns
    -------
    WeighedShapes
        At least `n_shapes` of them where there are so many; none where no string has any of the pitches.
    """
    options = _find_options(evidence, candidates, fretboard, settings)
    quick = _extend(options, candidates, least=-np.inf, beam=QUICK_BEAM)
    if not len(quick):  # no string of this neck has any of the pitches
        return _score(quick, candidates, fretboard, settings)
    best = float(_score(quick, candidates, fretboard, settings).total.max())
    # The bound leaves out bass and hand, which are at most 0, the strings, which leave a set's weight, and the book.
    least = best - settings.margin_nats - HIGHEST_GRADE * settings.book_weight
    found = _extend(options, candidates, least=least)
    while len(found) > MAX_SHAPES_WEIGHED:
        least += 1.0
        found = _extend(options, candidates, least=least)
    weighed = _score(found, candidates, fretboard, settings)
    places = _find_sets(found.masks)
    weighed = replace(
        weighed,
        strings=_share_within_sets(places, weighed.total, found.gains),
        string_losses=_compare_in_sets(places, found.gains),
    )
    order = np.argsort(-weighed.total, kind="stable")
    unknown = settings.guitar is None and bool(settings.string_sets)
    margin = settings.margin_nats + (SPARE_NATS if unknown else 0.0)
    near = int((weighed.total >= weighed.total.max(initial=-np.inf) - margin).sum())
    rows = order[: max(near, settings.n_shapes)]
    kept, said = weighed.pick(rows), found.gains[rows]
    if unknown:
        together = settings.sets_weight * weigh_together(kept.frets, evidence, fretboard, settings.string_sets)
        strings = kept.strings + _share_within_sets(_find_sets(kept.masks), kept.total, together)
        kept, said = replace(kept, strings=strings), said + together
    return replace(kept, said=said)


def weigh_strings(
    frets: npt.NDArray[np.int8],
    evidence: StrumEvidence,
    candidates: Candidates,
    fretboard: Fretboard,
    settings: FitSettings,
) -> Floats:
    """Return what the ear says of the strings of shapes that sound candidates, by kind of string and all together."""
    gains = np.zeros(len(frets))
    for column, option in zip(frets.T, _find_options(evidence, candidates, fretboard, settings), strict=True):
        of_fret = np.zeros(fretboard.top_fret + 2)
        of_fret[option.frets[:, 0]] = option.gains  # the last place is that of a string that is not played
        gains += of_fret[column]
    if settings.guitar is None and settings.string_sets:
        gains += settings.sets_weight * weigh_together(frets, evidence, fretboard, settings.string_sets)
    return gains


def _find_options(
    evidence: StrumEvidence, candidates: Candidates, fretboard: Fretboard, settings: FitSettings
) -> tuple[_Rows, ...]:
    """Return what each string can do, given the candidates."""
    place_of = {pitch.midi: place for place, pitch in enumerate(candidates.pitches)}
    on_string = {heard.pitch.midi: heard.string_log_odds for heard in evidence.pitches}
    known = _weigh_known(evidence, place_of, fretboard, settings)
    kinds = identify_string_kinds(fretboard.tuning)
    string_weight = settings.string_weight * (KINDS_SHARE if known else 1.0)
    companions = fretboard.tuning.companions or (None,) * fretboard.n_strings
    options = []
    for index, open_pitch in enumerate(fretboard.open_pitches):
        kind, companion = kinds[index], companions[index]
        rows = [(-1, 0, 0.0, 0.0)]
        for midi, place in place_of.items():
            fret = midi - open_pitch.midi
            if not 0 <= fret <= fretboard.top_fret:
                continue
            said = on_string[midi]
            gain = 0.0
            if said is not None and kind is not None:
                gain = string_weight * max(STRING_FLOOR, said[kind] - max(said))
            gain += known[midi][index] if known else 0.0
            mask, odds = 1 << place, 0.0
            if companion:
                second = place_of.get(midi + companion)
                mask |= 0 if second is None else 1 << second
                odds = UNKNOWN_LOG_ODDS if second is None else 0.0
            rows.append((fret, mask, odds, gain))
        frets, masks, odds_of, gains = zip(*rows, strict=True)
        options.append(
            _Rows(np.array(frets, np.int8)[:, None], np.array(masks, np.int32), np.array(odds_of), np.array(gains))
        )
    return tuple(options)


def _weigh_known(
    evidence: StrumEvidence, midis: Collection[int], fretboard: Fretboard, settings: FitSettings
) -> dict[int, tuple[float, ...]]:
    """Return what each string of a known guitar gains by each pitch, at most 0; nothing where no guitar is known."""
    if settings.guitar is None:
        return {}
    return {
        heard.pitch.midi: tuple(
            settings.guitar_weight * max(STRING_FLOOR, nats)
            for nats in weigh_known_strings(heard, fretboard, settings.guitar)
        )
        for heard in evidence.pitches
        if heard.pitch.midi in midis
    }


def _extend(options: tuple[_Rows, ...], candidates: Candidates, *, least: float, beam: int | None = None) -> _Rows:
    """Extend shapes string by string; keep those whose upper bound of pitches is at least `least`.

    With a beam, only so many partial shapes go on from each string: a quick way to one good shape.
    """
    found = _Rows(np.zeros((1, 0), np.int8), np.zeros(1, np.int32), np.zeros(1), np.zeros(1))
    for index, option in enumerate(options):
        reach = np.bitwise_or.reduce([mask for later in options[index + 1 :] for mask in later.masks] or [np.int32(0)])
        kept = _keep_likely(found, option, candidates, reach, least=least, most=beam or MOST_PARTIAL)
        old, new = np.divmod(kept, len(option))
        found = _Rows(
            np.concatenate([found.frets[old], option.frets[new]], axis=1),
            found.masks[old] | option.masks[new],
            found.odds[old] + option.odds[new],
            found.gains[old] + option.gains[new],
        )
    return found.pick(np.flatnonzero(found.masks))


def _keep_likely(
    found: _Rows, option: _Rows, candidates: Candidates, reach: np.int32, *, least: float, most: int
) -> npt.NDArray[np.intp]:
    """Return which pairs of a partial shape and a choice of the next string go on, the `most` likeliest of them.

    Pairs are numbered shape by shape. They are looked at in pieces, so that many strings take time and no memory.
    """
    kept, bounds = np.zeros(0, np.intp), np.zeros(0)
    n_rows = max(1, PAIRS_AT_ONCE // len(option))
    for first in range(0, len(found), n_rows):
        rows = slice(first, first + n_rows)
        masks = (found.masks[rows, None] | option.masks).ravel()
        odds = (found.odds[rows, None] + option.odds).ravel()
        bound = candidates.sums[masks] + odds + candidates.positive_sums[reach & ~masks]
        likely = np.flatnonzero(bound >= least)
        kept = np.concatenate([kept, likely + first * len(option)])
        bounds = np.concatenate([bounds, bound[likely]])
        if len(kept) > most:
            best = np.argpartition(-bounds, most)[:most]
            kept, bounds = kept[best], bounds[best]
    return kept


def _find_sets(masks: npt.NDArray[np.int32]) -> npt.NDArray[np.intp]:
    """Return the number of each shape's set of pitches."""
    return np.unique(masks, return_inverse=True)[1]


def _share_within_sets(places: npt.NDArray[np.intp], totals: Floats, gains: Floats) -> Floats:
    """Shift gains so that each set of pitches keeps its weight, and only its shapes share it anew."""
    kept, gained = (
        np.log(np.bincount(places, weights=np.exp(scores - scores.max()))) + scores.max()
        for scores in (totals, totals + gains)
    )
    shifted: Floats = gains + (kept - gained)[places]
    return shifted


def _compare_in_sets(places: npt.NDArray[np.intp], gains: Floats) -> Floats:
    """Return what each shape loses against the best one with the same pitches."""
    best = np.full(places.max(initial=-1) + 1, -np.inf)
    np.maximum.at(best, places, gains)
    losses: Floats = gains - best[places]
    return losses


def _score(found: _Rows, candidates: Candidates, fretboard: Fretboard, settings: FitSettings) -> WeighedShapes:
    """Work out the parts of whole shapes' scores, without the strings."""
    lowest = np.log2((found.masks & -found.masks).clip(min=1)).astype(np.intp)
    bass = -np.logaddexp(0.0, -candidates.bass_log_odds)[lowest]
    notes = candidates.sums[found.masks] + found.odds + settings.bass_weight * bass
    hand = -settings.hand_weight * estimate_efforts(found.frets, fretboard, hand=settings.hand).astype(np.float64)
    book = settings.book_weight * grade_shapes(found.frets, fretboard.tuning)
    silent = np.zeros(len(found))
    return WeighedShapes(found.frets, found.frets, found.masks, notes, silent, silent, silent, hand, book, silent)
