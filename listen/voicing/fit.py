"""The fit: weigh every playable shape against what was heard.

A shape's score, in natural log-odds, is a sum of three parts that are kept apart to the end:

* **ear**: the log-odds of the pitches that would sound, how well the lowest suits the bass that was heard, and how
  well each pitch sounds like the string it would be on. The strings' part is counted against the best shape with the
  same pitches: it says where notes were stopped and has no say in which notes sound (measured: with a say it dropped
  two exact pitch sets in a hundred, because a doubtful string argued a sure note away);
* **hand**: minus the effort of holding it;
* **book**: how common the shape is (:mod:`listen.voicing.book`), times a weight that the player may set to 0.

Fingerings as hypotheses under pitch evidence follow Barbancho et al. (2012); here the hand is a soft cost, since
players use thumbs and double barres that a hard rule refuses. One wall stays: a string sounds one note.

The search extends shapes string by string and drops a partial shape only when even the upper bound of its pitches lies
:attr:`FitSettings.margin_nats` under a shape already found, so every shape that is dropped is less than
``exp(-margin)`` as likely as the best one. What no single hand can hold competes as one more hypothesis, *unheld*:
all the notes, and no shape.

References
----------
A. M. Barbancho, A. Klapuri, L. J. Tardón, I. Barbancho, "Automatic transcription of guitar chords and fingering from
audio", IEEE Transactions on Audio, Speech, and Language Processing 20(3), 2012.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from listen.evidence import StrumEvidence
from listen.instrument import Fingering, Fretboard, Hand, Shape, best_fingering, estimate_efforts
from listen.reading import GuitarProfile, ShapeReading, Shares
from listen.theory import Pitch
from listen.voicing.book import HIGHEST_GRADE, grade_shapes
from listen.voicing.strings import find_string_kinds, weigh_known_strings

CANDIDATE_FLOOR = -6.0  # log-odds under which a pitch is no candidate: 1 in 400
MAX_CANDIDATES = 14  # more doubtful pitches than that and the evidence is noise; keeps the table of sums at 2^14
UNKNOWN_LOG_ODDS = -6.0  # of a pitch that a course would add and the ear does not know or did not hear
STRING_FLOOR = -12.0  # under the likeliest kind of string: the ear may be fooled by a string it never heard
KINDS_SHARE = 0.3  # of what kinds of string count, where the guitar's own strings are known: kinds are of other guitars
UNHELD_COST = 14.0  # nats: that the notes come from more than one hand
MAX_SHAPES_WEIGHED = 60_000
# Of shapes with the same pitches. On 160 strums of which the strings are known (nylon, drawn guitars; half of them
# re-fingered), mean -ln p of the true shape is 1.15 at 1, .975 at 1.6, .979 at 2.
WITHIN_SET_TEMPERATURE = 1.6
QUICK_BEAM = 200  # partial shapes that the first, quick pass carries on to find one good shape
N_SPARE_FINGERINGS = 4  # more shapes than are shown get their exact effort, since it may change their order
LEAST_SET_PROBABILITY = 1e-4

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class FitSettings:
    """How much each side counts.

    Parameters
    ----------
    hand : Hand
        Whose hand it is.
    book_weight : float
        1 takes the book's grades as they stand, 0 leaves the book closed.
    string_weight : float
        Nats for each nat by which the ear prefers another kind of string for the pitch. The notes share one spectrum,
        so their strings are not independent and count less than their face value.
    hand_weight : float
        Nats for each point of effort.
    bass_weight : float
        Nats for each nat that the ear gives a pitch as the lowest.
    margin_nats : float
        How far under the best a shape may lie and still be weighed.
    n_shapes : int
        How many shapes are returned.
    guitar : GuitarProfile or None
        The guitar that was played, where it is known.
    guitar_weight : float
        Nats for each nat by which the stiffness of a note speaks for another string of that guitar. Of 0.7, 1.2 and
        1.5 the middle one placed most notes of drawn guitars and of a recorded nylon one together.
    """

    hand: Hand = field(default_factory=Hand)
    book_weight: float = 0.75
    string_weight: float = 0.35
    hand_weight: float = 0.35
    bass_weight: float = 0.3
    margin_nats: float = 9.0
    n_shapes: int = 8
    guitar: GuitarProfile | None = None
    guitar_weight: float = 1.2


@dataclass(frozen=True, slots=True)
class Fit:
    """What the fit concluded.

    Parameters
    ----------
    shapes : tuple of ShapeReading
        Best first: by probability, then by effort, then by frets. Empty when no hand holds what was heard.
    pitch_sets : tuple of (tuple of Pitch, float)
        Each set of pitches (low to high) with its probability, summed over shapes, likeliest first.
    note_probabilities : tuple of (Pitch, float)
        Of each candidate pitch, low to high.
    unheld : float
        Probability that the notes are more than one hand holds.
    """

    shapes: tuple[ShapeReading, ...]
    pitch_sets: tuple[tuple[tuple[Pitch, ...], float], ...]
    note_probabilities: tuple[tuple[Pitch, float], ...]
    unheld: float


@dataclass(frozen=True, slots=True)
class _Candidates:
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
    `gains` are what the ear says of the strings, at most 0.
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
class _Weighed:
    """Whole shapes with the parts of their score."""

    frets: npt.NDArray[np.int8]
    masks: npt.NDArray[np.int32]
    ear: Floats
    hand: Floats
    book: Floats

    @property
    def total(self) -> Floats:
        return self.ear + self.hand + self.book


def fit_shapes(evidence: StrumEvidence, fretboard: Fretboard, *, settings: FitSettings | None = None) -> Fit:
    """Weigh every playable shape against the evidence of one strum.

    Parameters
    ----------
    evidence : StrumEvidence
    fretboard : Fretboard
        Tuning, capo and neck that it was played on.
    settings : FitSettings or None

    Returns
    -------
    Fit
        Without shapes, sets and notes when no pitch is a candidate.
    """
    settings = settings or FitSettings()
    candidates = _find_candidates(evidence)
    if not candidates.pitches:
        return Fit((), (), (), 0.0)
    options = _find_options(evidence, candidates, fretboard, settings)
    weighed, fingerings = _finger_best(_weigh(options, candidates, fretboard, settings), fretboard, settings)
    unheld_mask = sum(1 << place for place, odds in enumerate(candidates.log_odds.tolist()) if odds > 0)
    scores = np.append(weighed.total, candidates.sums[unheld_mask] - UNHELD_COST)
    weights = np.exp(scores - scores.max())
    weights /= weights.sum()
    masks = np.append(weighed.masks, np.int32(unheld_mask))
    weights = _soften_within_sets(weights, masks)
    bits = (masks[:, None] >> np.arange(len(candidates.pitches))) & 1
    unheld = float(weights[-1])
    return Fit(
        shapes=() if unheld > 0.5 else _read_shapes(weighed, fingerings, weights, settings),
        pitch_sets=_sum_sets(masks, weights, candidates.pitches),
        note_probabilities=tuple(zip(candidates.pitches, (weights @ bits).tolist(), strict=True)),
        unheld=unheld,
    )


def _soften_within_sets(weights: Floats, masks: npt.NDArray[np.int32]) -> Floats:
    """Share each set's probability among its shapes more evenly, by a temperature; order and sets stay as they are.

    The parts of a shape's score are less sure than their sum says: what a hand prefers and what a book holds are rules
    of thumb, and the strings of one strum share one spectrum (temperature scaling: Guo et al., ICML 2017).
    """
    _, places = np.unique(masks, return_inverse=True)
    soft = weights ** (1.0 / WITHIN_SET_TEMPERATURE)
    shared: Floats = soft * (np.bincount(places, weights=weights) / np.bincount(places, weights=soft))[places]
    return shared


def _find_candidates(evidence: StrumEvidence) -> _Candidates:
    """Keep the pitches that may sound, the likeliest ones if there are too many."""
    likely = sorted(evidence.pitches, key=lambda heard: -heard.log_odds)[:MAX_CANDIDATES]
    kept = sorted((heard for heard in likely if heard.log_odds > CANDIDATE_FLOOR), key=lambda heard: heard.pitch)
    log_odds = np.array([heard.log_odds for heard in kept])
    return _Candidates(
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


def _find_options(
    evidence: StrumEvidence, candidates: _Candidates, fretboard: Fretboard, settings: FitSettings
) -> tuple[_Rows, ...]:
    """Return what each string can do, given the candidates."""
    place_of = {pitch.midi: place for place, pitch in enumerate(candidates.pitches)}
    on_string = {heard.pitch.midi: heard.string_log_odds for heard in evidence.pitches}
    known = _weigh_known(evidence, place_of, fretboard, settings)
    kinds = find_string_kinds(fretboard.tuning)
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


def _extend(options: tuple[_Rows, ...], candidates: _Candidates, *, least: float, beam: int | None = None) -> _Rows:
    """Extend shapes string by string; keep those whose upper bound of pitches is at least `least`.

    With a beam, only so many partial shapes go on from each string: a quick way to one good shape.
    """
    found = _Rows(np.zeros((1, 0), np.int8), np.zeros(1, np.int32), np.zeros(1), np.zeros(1))
    for index, option in enumerate(options):
        reach = np.bitwise_or.reduce([mask for later in options[index + 1 :] for mask in later.masks] or [np.int32(0)])
        old, new = np.divmod(np.arange(len(found) * len(option)), len(option))
        masks = found.masks[old] | option.masks[new]
        odds = found.odds[old] + option.odds[new]
        bound = candidates.sums[masks] + odds + candidates.positive_sums[reach & ~masks]
        kept = np.flatnonzero(bound >= least)
        if beam is not None and len(kept) > beam:
            kept = kept[np.argpartition(-bound[kept], beam)[:beam]]
        old, new = old[kept], new[kept]
        found = _Rows(
            np.concatenate([found.frets[old], option.frets[new]], axis=1),
            masks[kept],
            odds[kept],
            found.gains[old] + option.gains[new],
        )
    return found.pick(np.flatnonzero(found.masks))


def _weigh(
    options: tuple[_Rows, ...], candidates: _Candidates, fretboard: Fretboard, settings: FitSettings
) -> _Weighed:
    """Find every shape within the margin of the best, with the three parts of its score."""
    quick = _extend(options, candidates, least=-np.inf, beam=QUICK_BEAM)
    best = float(_score(quick, quick.gains, candidates, fretboard, settings).total.max(initial=-np.inf))
    # The bound leaves out bass, strings and hand, which are at most 0, and the book.
    least = best - settings.margin_nats - HIGHEST_GRADE * settings.book_weight
    found = _extend(options, candidates, least=least)
    while len(found) > MAX_SHAPES_WEIGHED:
        least += 1.0
        found = _extend(options, candidates, least=least)
    weighed = _score(found, _compare_in_set(found), candidates, fretboard, settings)
    order = np.argsort(-weighed.total, kind="stable")
    near = int((weighed.total >= weighed.total.max(initial=-np.inf) - settings.margin_nats).sum())
    return _select(weighed, order[: max(near, settings.n_shapes)])


def _compare_in_set(found: _Rows) -> Floats:
    """Count what the ear says of strings against the best shape with the same pitches."""
    sets, places = np.unique(found.masks, return_inverse=True)
    best = np.full(len(sets), -np.inf)
    np.maximum.at(best, places, found.gains)
    compared: Floats = found.gains - best[places]
    return compared


def _score(
    found: _Rows, strings: Floats, candidates: _Candidates, fretboard: Fretboard, settings: FitSettings
) -> _Weighed:
    """Work out the parts of whole shapes' scores."""
    lowest = np.log2((found.masks & -found.masks).clip(min=1)).astype(np.intp)
    bass = -np.logaddexp(0.0, -candidates.bass_log_odds)[lowest]
    ear = candidates.sums[found.masks] + found.odds + strings + settings.bass_weight * bass
    hand = -settings.hand_weight * estimate_efforts(found.frets, fretboard, hand=settings.hand).astype(np.float64)
    book = settings.book_weight * grade_shapes(found.frets, fretboard.tuning)
    return _Weighed(found.frets, found.masks, ear, hand, book)


def _select(weighed: _Weighed, rows: npt.NDArray[np.intp]) -> _Weighed:
    """Keep some rows."""
    return _Weighed(weighed.frets[rows], weighed.masks[rows], weighed.ear[rows], weighed.hand[rows], weighed.book[rows])


def _finger_best(
    weighed: _Weighed, fretboard: Fretboard, settings: FitSettings
) -> tuple[_Weighed, dict[int, Fingering]]:
    """Replace the estimated effort of the likeliest shapes by that of their best fingering."""
    hand = weighed.hand.copy()
    order = np.lexsort((*weighed.frets.T[::-1], -weighed.total))[: settings.n_shapes + N_SPARE_FINGERINGS]
    fingerings = {}
    for row in order.tolist():
        fingering = best_fingering(_to_shape(weighed.frets[row]), fretboard, hand=settings.hand)
        fingerings[row] = fingering
        hand[row] = -settings.hand_weight * fingering.effort
    return replace(weighed, hand=hand), fingerings


def _to_shape(frets: npt.NDArray[np.int8]) -> Shape:
    return Shape(tuple(None if fret < 0 else fret for fret in frets.tolist()))


def _sum_sets(
    masks: npt.NDArray[np.int32], weights: Floats, pitches: tuple[Pitch, ...]
) -> tuple[tuple[tuple[Pitch, ...], float], ...]:
    """Sum the weights of shapes with the same pitches, likeliest set first."""
    sets, places = np.unique(masks, return_inverse=True)
    sums = np.bincount(places, weights=weights)
    ranked = sorted(zip(sets.tolist(), sums.tolist(), strict=True), key=lambda item: (-item[1], item[0]))
    return tuple(
        (tuple(pitch for place, pitch in enumerate(pitches) if mask >> place & 1), weight)
        for mask, weight in ranked
        if weight >= LEAST_SET_PROBABILITY
    )


def _read_shapes(
    weighed: _Weighed, fingerings: dict[int, Fingering], weights: Floats, settings: FitSettings
) -> tuple[ShapeReading, ...]:
    """Rank the fingered shapes: by probability, then effort, then frets."""
    ranked = sorted(fingerings, key=lambda row: (-weights[row], fingerings[row].effort, weighed.frets[row].tolist()))[
        : settings.n_shapes
    ]
    return tuple(
        ShapeReading(
            shape=_to_shape(weighed.frets[row]),
            fingering=fingerings[row],
            probability=float(weights[row]),
            why=_share(weighed, row, ranked[0] if place else ranked[min(1, len(ranked) - 1)]),
            same_sound=tuple(
                other_place
                for other_place, other in enumerate(ranked)
                if other != row and weighed.masks[other] == weighed.masks[row]
            ),
        )
        for place, row in enumerate(ranked)
    )


def _share(weighed: _Weighed, row: int, rival: int) -> Shares:
    """Return what each side says for a shape against its strongest rival."""
    return Shares(
        ear=float(weighed.ear[row] - weighed.ear[rival]),
        hand=float(weighed.hand[row] - weighed.hand[rival]),
        book=float(weighed.book[row] - weighed.book[rival]),
    )
