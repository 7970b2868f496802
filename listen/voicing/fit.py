"""The fit: weigh every playable shape against what was heard.

A shape's score, in natural log-odds, is a sum of three parts that are kept apart to the end:

* **ear**: the log-odds of the pitches that would sound, how well the lowest suits the bass that was heard, and how
  well the pitches sound like the strings they would be on. The strings share the weight of a set of pitches among the
  shapes that sound it: they say where notes were stopped and have no say in which notes sound (measured: with a say
  they dropped two exact pitch sets in a hundred, because a doubtful string argued a sure note away);
* **hand**: minus the effort of holding it;
* **book**: how common the shape is (:mod:`listen.voicing.book`), times a weight that the player may set to 0.

Fingerings as hypotheses under pitch evidence follow Barbancho et al. (2012); here the hand is a soft cost, since
players use thumbs and double barres that a hard rule refuses. One wall stays: a string sounds one note.

The shapes come from :mod:`listen.voicing.hypotheses`. What no single hand can hold competes as one more hypothesis,
*unheld*: all the notes, and no shape.

References
----------
A. M. Barbancho, A. Klapuri, L. J. Tardón, I. Barbancho, "Automatic transcription of guitar chords and fingering from
audio", IEEE Transactions on Audio, Speech, and Language Processing 20(3), 2012.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from listen.evidence import StrumEvidence
from listen.instrument import MOST_FRETS, WIDE_HAND, Fingering, Fretboard, Shape, best_fingerings
from listen.reading import ShapeReading, Shares
from listen.theory import Pitch
from listen.voicing.candidates import Floats, find_candidates
from listen.voicing.fit_settings import FitSettings
from listen.voicing.held import weigh_held
from listen.voicing.hypotheses import WeighedShapes

UNHELD_COST = 14.0  # nats: that the notes come from more than one hand
# Of shapes with the same pitches. On 160 strums of which the strings are known (nylon, drawn guitars; half of them
# re-fingered), mean -ln p of the true shape is 1.15 at 1, .975 at 1.6, .979 at 2.
WITHIN_SET_TEMPERATURE = 1.6
HELD_STRINGS_TEMPERATURE = 2.0
"""Of what the strings say, where hands compete that may have sounded the same: at 2.5 strings of re-fingered strums
fall, at 1.6 shapes that are drawn from other guitars' notes (48 and 72 strums)."""
N_SPARE_FINGERINGS = 4  # more shapes than are shown get their exact effort, since it may change their order
ANOTHER_HAND = 0.1
"""Share of the likeliest shapes that the hand can hold, below which it was another hand (judged): effort is weighed so
softly that notes alone make 2x777x with the thumb, which this hand does not use, as likely as 2xx232."""
LEAST_SET_PROBABILITY = 1e-4  # sets of notes less likely are not looked at; judged for speed, not measured


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
    held_sets : tuple of (tuple of Pitch, float)
        The same sets by what the shapes that are held would sound whole; other than `pitch_sets` only where strokes
        are weighed.
    """

    shapes: tuple[ShapeReading, ...]
    pitch_sets: tuple[tuple[tuple[Pitch, ...], float], ...]
    note_probabilities: tuple[tuple[Pitch, float], ...]
    held_sets: tuple[tuple[tuple[Pitch, ...], float], ...] = ()


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
        Without shapes, sets and notes when no pitch is a candidate; without shapes when no string has any of them.
    """
    settings = settings or FitSettings()
    candidates = find_candidates(evidence)
    if not candidates.pitches:
        return Fit((), (), ())
    shapes = weigh_held(evidence, candidates, fretboard, settings=settings)
    weighed, fingerings = _finger_best(shapes, fretboard, settings)
    unheld_mask = sum(1 << place for place, odds in enumerate(candidates.log_odds.tolist()) if odds > 0)
    whole = weighed.is_whole
    scores = np.append(np.where(whole, weighed.total, -np.inf), candidates.sums[unheld_mask] - UNHELD_COST)
    weights = np.exp(scores - scores.max())
    weights /= weights.sum()
    masks = np.append(weighed.masks, np.int32(unheld_mask))
    if settings.strokes is None:
        weights = _soften_within_sets(weights, masks)
    else:
        weights = np.append(_share_among_held(weighed, weights[:-1]), weights[-1])
    bits = (masks[:, None] >> np.arange(len(candidates.pitches))) & 1
    loose = tuple(pitch for place, pitch in enumerate(candidates.pitches) if unheld_mask >> place & 1)
    sounding = _sum_sets(masks, weights, candidates.pitches)
    return Fit(
        shapes=() if weights[-1] > 0.5 else _read_shapes(weighed, fingerings, weights, fretboard, settings),
        pitch_sets=sounding,
        note_probabilities=tuple(zip(candidates.pitches, (weights @ bits).tolist(), strict=True)),
        held_sets=sounding if settings.strokes is None else _sum_held_sets(weighed, weights, fretboard, loose),
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


def _share_among_held(weighed: WeighedShapes, weights: Floats) -> Floats:
    """Share each set's probability among whatever hands may have sounded it: whole shapes, and others in part."""
    _, places = np.unique(weighed.masks, return_inverse=True)
    place = weighed.strings / HELD_STRINGS_TEMPERATURE + weighed.hand / WITHIN_SET_TEMPERATURE
    scores = _count_as_one(place + weighed.book + weighed.stroke, places, weighed)
    highest = np.full(places.max(initial=-1) + 1, -np.inf)
    np.maximum.at(highest, places, scores)
    shares = np.exp(scores - highest[places])
    shared: Floats = shares * (np.bincount(places, weights=weights) / np.bincount(places, weights=shares))[places]
    return shared


def _count_as_one(scores: Floats, places: npt.NDArray[np.intp], weighed: WeighedShapes) -> Floats:
    """Lower the scores of hands in no book, so that those of one set of pitches weigh together what the best does.

    That nobody plays 07xx00, 07x900, 07x4x0 or 0x24x0 does not make it likelier that somebody plays one of them. Where
    a hand of the book sounds just these notes, the others stay as likely beside it as they are.
    """
    n_places = places.max(initial=-1) + 1
    has_listed = np.bincount(places, weights=weighed.is_whole & ~weighed.unlisted, minlength=n_places) > 0
    alike = weighed.unlisted & ~has_listed[places]
    best = np.full(n_places, -np.inf)
    np.maximum.at(best, places[alike], scores[alike])
    sums = np.bincount(places[alike], weights=np.exp(scores[alike] - best[places[alike]]), minlength=n_places)
    return scores - np.where(alike, np.log(np.maximum(sums, 1.0))[places], 0.0)


def _finger_best(
    weighed: WeighedShapes, fretboard: Fretboard, settings: FitSettings
) -> tuple[WeighedShapes, dict[int, Fingering]]:
    """Replace the estimated effort of the likeliest shapes by that of their best fingering, by number of the shape."""
    hand = weighed.hand.copy()
    numbers = number_rows(weighed.held)
    order = np.lexsort((*weighed.held.T[::-1], -weighed.total - weighed.stroke))
    likeliest = list(dict.fromkeys(numbers[order].tolist()))[: settings.n_shapes + N_SPARE_FINGERINGS]
    shapes = [_to_shape(weighed.held[(numbers == number).argmax()]) for number in likeliest]
    fingerings = dict(zip(likeliest, best_fingerings(shapes, fretboard, hand=settings.hand), strict=True))
    for number, fingering in fingerings.items():
        hand[numbers == number] = -settings.hand_weight * fingering.effort
    return replace(weighed, hand=hand), fingerings


def number_rows(frets: npt.NDArray[np.int8]) -> npt.NDArray[np.intp]:
    """Return a number for every row, the same for equal ones."""
    keys = np.zeros(len(frets), np.int64)
    for column in frets.T:
        keys = keys * (MOST_FRETS + 2) + column + 1
    return np.unique(keys, return_inverse=True)[1]


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


def _sum_held_sets(
    weighed: WeighedShapes,
    weights: Floats,
    fretboard: Fretboard,
    unheld: tuple[Pitch, ...],
) -> tuple[tuple[tuple[Pitch, ...], float], ...]:
    """Sum the weights of shapes by what they would sound whole; what no hand holds stands as it sounds."""
    numbers = number_rows(weighed.held)
    sums = np.bincount(numbers, weights=weights[:-1])
    sets: dict[tuple[Pitch, ...], float] = {}
    for number in np.flatnonzero(sums >= LEAST_SET_PROBABILITY / 10).tolist():
        row = int(np.argmax(numbers == number))
        played = _to_shape(weighed.held[row]).pitches(fretboard)
        pitches = tuple(sorted({pitch for pitch in played if pitch is not None}))
        sets[pitches] = sets.get(pitches, 0.0) + float(sums[number])
    sets[unheld] = sets.get(unheld, 0.0) + float(weights[-1])
    ranked = sorted(sets.items(), key=lambda item: (-item[1], item[0]))
    return tuple((pitches, weight) for pitches, weight in ranked if weight >= LEAST_SET_PROBABILITY and pitches)


def _read_shapes(
    weighed: WeighedShapes,
    fingerings: dict[int, Fingering],
    weights: Floats,
    fretboard: Fretboard,
    settings: FitSettings,
) -> tuple[ShapeReading, ...]:
    """Rank the fingered shapes: by probability, then effort, then frets.

    What this hand cannot hold is shown only where it is far likelier than all that it can and some other hand holds
    it: then the hand was another.
    """
    numbers = number_rows(weighed.held)
    sums = np.bincount(numbers, weights=weights[:-1])
    row_of = {number: max(np.flatnonzero(numbers == number), key=lambda row: weights[row]) for number in fingerings}
    held = [number for number, fingering in fingerings.items() if fingering.playable]
    share = sum(sums[number] for number in held) / sums[list(fingerings)].sum()
    shapes = {number: _to_shape(weighed.held[row]) for number, row in row_of.items()}
    allowed = held if share > ANOTHER_HAND else _find_held_by_another(shapes, fretboard)
    ranked = sorted(
        allowed,
        key=lambda number: (-sums[number], fingerings[number].effort, weighed.held[row_of[number]].tolist()),
    )[: settings.n_shapes]
    rows = [int(row_of[number]) for number in ranked]
    return tuple(
        ShapeReading(
            shape=_to_shape(weighed.held[row]),
            fingering=fingerings[number],
            probability=float(sums[number]),
            why=_share(weighed, row, rows[0] if place else rows[min(1, len(rows) - 1)]),
            same_sound=tuple(
                other_place
                for other_place, other in enumerate(rows)
                if other != row and weighed.masks[other] == weighed.masks[row]
            ),
            silent=tuple(np.flatnonzero((weighed.held[row] >= 0) & (weighed.frets[row] < 0)).tolist()),
            brushed=tuple(np.flatnonzero((weighed.held[row] < 0) & (weighed.frets[row] >= 0)).tolist()),
        )
        for place, (number, row) in enumerate(zip(ranked, rows, strict=True))
    )


def _find_held_by_another(shapes: dict[int, Shape], fretboard: Fretboard) -> list[int]:
    """Find the shapes that a hand holds which reaches wide and uses its thumb."""
    fingerings = best_fingerings(list(shapes.values()), fretboard, hand=replace(WIDE_HAND, thumb=True))
    return [number for number, fingering in zip(shapes, fingerings, strict=True) if fingering.playable]


def _share(weighed: WeighedShapes, row: int, rival: int) -> Shares:
    """Return what each side says for a shape against its strongest rival."""
    return Shares(
        ear=float(weighed.ear[row] - weighed.ear[rival]),
        hand=float(weighed.hand[row] - weighed.hand[rival]),
        book=float(weighed.book[row] - weighed.book[rival]),
        stroke=float(weighed.stroke[row] - weighed.stroke[rival]),
    )
