"""Every shape that may have been strummed, with the parts of its score kept apart.

The search extends shapes string by string and drops a partial shape only when even the upper bound of its pitches lies
:attr:`FitSettings.margin_nats` under a shape already found, so every shape that is dropped is less than
``exp(-margin)`` as likely as the best one.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from listen.evidence import StrumEvidence
from listen.instrument import Fretboard, estimate_efforts
from listen.voicing.book import HIGHEST_GRADE, grade_shapes
from listen.voicing.candidates import Floats, PitchCandidates
from listen.voicing.fit_settings import FitSettings
from listen.voicing.string_options import StringRows, find_options
from listen.voicing.unmeasured_guitar import weigh_together

MAX_SHAPES_WEIGHED = 60_000
MOST_PARTIAL = 100_000
"""Partial shapes that go on from a string: those of the highest bounds. On six strings the strums of `audio_fixtures`
have 10,000 at most; ten strings can have tens of millions, 18 GB of them."""
PAIRS_AT_ONCE = 1 << 20
QUICK_BEAM = 200  # partial shapes that the first, quick pass carries on to find one good shape
SPARE_NATS = 4.0  # under the margin, for shapes that the strings together may yet raise


@dataclass(frozen=True, slots=True)
class WeighedShapes:
    """Whole shapes with the parts of their score.

    `strings` share the weight of a set of pitches among its shapes; `said` is what the ear says of the strings before
    it is shared. `held` is what the hand holds, `frets` what of it sounds, and `stroke` how usual it is that the hand
    holds that and just these strings sound: it has no say in which pitches sound, as strings have none. `unlisted` are
    whole shapes of no book, where strokes are weighed.
    """

    frets: npt.NDArray[np.int8]
    held: npt.NDArray[np.int8]
    masks: npt.NDArray[np.int32]
    notes: Floats
    strings: Floats
    said: Floats
    hand: Floats
    book: Floats
    stroke: Floats
    unlisted: npt.NDArray[np.bool_]

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


def weigh_shapes(
    evidence: StrumEvidence, candidates: PitchCandidates, fretboard: Fretboard, *, settings: FitSettings
) -> WeighedShapes:
    """Find every shape within the margin of the best, with the three parts of its score.

    Parameters
    ----------
    evidence : StrumEvidence
    candidates : PitchCandidates
        Of that evidence, at least one pitch.
    fretboard : Fretboard
    settings : FitSettings

    Returns
    -------
    WeighedShapes
        At least `n_shapes` of them where there are so many; none where no string has any of the pitches.
    """
    options = find_options(evidence, candidates, fretboard, settings)
    quick = extend_shapes(options, candidates, least=-np.inf, beam=QUICK_BEAM)
    if not len(quick):  # no string of this neck has any of the pitches
        return _score(quick, candidates, fretboard, settings)
    best = float(_score(quick, candidates, fretboard, settings).total.max())
    # The bound leaves out bass and hand, which are at most 0, the strings, which leave a set's weight, and the book.
    least = best - settings.margin_nats - HIGHEST_GRADE * settings.book_weight
    found = extend_shapes(options, candidates, least=least)
    while len(found) > MAX_SHAPES_WEIGHED:
        least += 1.0
        found = extend_shapes(options, candidates, least=least)
    weighed = _score(found, candidates, fretboard, settings)
    weighed = replace(weighed, strings=_share_within_sets(found.masks, weighed.total, found.gains))
    order = np.argsort(-weighed.total, kind="stable")
    unknown = settings.guitar is None and bool(settings.string_sets)
    margin = settings.margin_nats + (SPARE_NATS if unknown else 0.0)
    near = int((weighed.total >= weighed.total.max(initial=-np.inf) - margin).sum())
    rows = order[: max(near, settings.n_shapes)]
    kept, said = weighed.pick(rows), found.gains[rows]
    if unknown:
        together = settings.sets_weight * weigh_together(kept.frets, evidence, fretboard, settings.string_sets)
        strings = kept.strings + _share_within_sets(kept.masks, kept.total, together)
        kept, said = replace(kept, strings=strings), said + together
    return replace(kept, said=said)


def extend_shapes(
    options: tuple[StringRows, ...], candidates: PitchCandidates, *, least: float, beam: int | None = None
) -> StringRows:
    """Extend shapes string by string; keep those whose upper bound of pitches is at least `least`.

    With a beam, only so many partial shapes go on from each string: a quick way to one good shape.
    """
    found = StringRows(np.zeros((1, 0), np.int8), np.zeros(1, np.int32), np.zeros(1), np.zeros(1))
    for index, option in enumerate(options):
        reach = np.bitwise_or.reduce([mask for later in options[index + 1 :] for mask in later.masks] or [np.int32(0)])
        kept = _keep_likely(found, option, candidates, reach, least=least, most=beam or MOST_PARTIAL)
        old, new = np.divmod(kept, len(option))
        found = StringRows(
            np.concatenate([found.frets[old], option.frets[new]], axis=1),
            found.masks[old] | option.masks[new],
            found.odds[old] + option.odds[new],
            found.gains[old] + option.gains[new],
        )
    return found.pick(np.flatnonzero(found.masks))


def _keep_likely(
    found: StringRows, option: StringRows, candidates: PitchCandidates, reach: np.int32, *, least: float, most: int
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


def _share_within_sets(masks: npt.NDArray[np.int32], totals: Floats, gains: Floats) -> Floats:
    """Shift gains so that each set of pitches keeps its weight, and only its shapes share it anew."""
    places = np.unique(masks, return_inverse=True)[1]
    kept, gained = (
        np.log(np.bincount(places, weights=np.exp(scores - scores.max()))) + scores.max()
        for scores in (totals, totals + gains)
    )
    shifted: Floats = gains + (kept - gained)[places]
    return shifted


def weigh_notes(found: StringRows, candidates: PitchCandidates, settings: FitSettings) -> Floats:
    """Weigh the pitches of shapes and the lowest of them."""
    lowest = np.log2((found.masks & -found.masks).clip(min=1)).astype(np.intp)
    bass = -np.logaddexp(0.0, -candidates.bass_log_odds)[lowest]
    return np.asarray(candidates.sums[found.masks] + found.odds + settings.bass_weight * bass)


def _score(
    found: StringRows, candidates: PitchCandidates, fretboard: Fretboard, settings: FitSettings
) -> WeighedShapes:
    """Work out the parts of whole shapes' scores, without the strings."""
    notes = weigh_notes(found, candidates, settings)
    hand = -settings.hand_weight * estimate_efforts(found.frets, fretboard, hand=settings.hand).astype(np.float64)
    book = settings.book_weight * grade_shapes(found.frets, fretboard.tuning)
    silent = np.zeros(len(found))
    unlisted = np.zeros(len(silent), bool)
    return WeighedShapes(found.frets, found.frets, found.masks, notes, silent, silent, hand, book, silent, unlisted)
