"""Set the weights of :mod:`listen.voicing.taste` again, and print them: ``python -m tests.benchmarks.taste_weights``.

No weight is set by hand. Each chord of the two sources of :mod:`tests.benchmarks.first_shapes` on the eight roots that
:data:`~tests.benchmarks.first_shapes.LEFT_OUT` does not name is a wish: its answer shall cost less than the best, the
third best and the eighth best of the other shapes that the search finds, as :data:`WISHED` weighs them. A wish that
fails costs as a logistic loss grows, ``log(1 + exp(answer − other + MARGIN))``; a normal prior of precision
:data:`HELD` holds every weight to nothing. What a trait can only be good or bad for is held to that side
(:data:`LOWERING`, :data:`EITHER`). The book holds the eight roots, as it does when a player asks; the four that are
left out tell how the weights do where it does not.

References
----------
T. Joachims, "Optimizing search engines using clickthrough data", KDD 2002: ranking learnt from such wishes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from listen.instrument import USUAL_HAND, find_instrument, parse_shape
from listen.theory import parse_chord
from listen.voicing import NothingLeftError, search
from listen.voicing.filters import ShapeFilters
from listen.voicing.traits import TRAITS, measure_traits
from tests.benchmarks.book_without import use_book_without
from tests.benchmarks.first_shapes import LEFT_OUT, Question, read_answers, read_open_data
from tests.benchmarks.shapes import INSTRUMENTS

Floats = NDArray[np.float64]

WISHED = {"practice": {1: 3.0, 3: 2.0}, "open data": {3: 1.5, 8: 1.0}}  # by source: place to be better than, weight
MARGIN = 0.5  # points
HELD = 0.3
LOWERING = frozenset(("book", "book_part", "form", "grip", "rich_grip", "power"))
EITHER = frozenset(("fifth_under_root", "open", "rich_position", "lacks_root"))
LEAST = 0.02  # a weight below it is none
ROUNDS = 12  # of choosing which shapes are compared, by the weights so far; the loss has corners, where a search halts
SHAPES_COMPARED = 150


@dataclass(frozen=True, slots=True)
class Choice:
    """One chord: its shapes' traits, which of them answer it, and what is wished of them."""

    traits: Floats
    is_answer: NDArray[np.bool_]
    wished: dict[int, float]
    bears_bass: bool

    def compare(self, weights: Floats) -> Choice:
        """Return the choice among the best shapes and the answers."""
        costs = self.traits @ weights
        rows = self.is_answer.copy()
        rows[np.argsort(costs)[:SHAPES_COMPARED]] = True
        return Choice(self.traits[rows], self.is_answer[rows], self.wished, self.bears_bass)

    def weigh(self, weights: Floats) -> tuple[float, Floats]:
        """Return the loss and its slope."""
        costs = self.traits @ weights
        answers, others = np.flatnonzero(self.is_answer), np.flatnonzero(~self.is_answer)
        answer = answers[costs[answers].argmin()]
        others = others[np.argsort(costs[others])]
        loss, slope = 0.0, np.zeros_like(weights)
        for place, weight in self.wished.items():
            if place <= others.size:
                other = others[place - 1]
                late = costs[answer] - costs[other] + MARGIN
                loss += weight * float(np.logaddexp(0.0, late))
                share = weight / (1.0 + np.exp(-np.clip(late, -50.0, 50.0)))
                slope += share * (self.traits[answer] - self.traits[other])
        return loss, slope


def lay_out_choice(question: Question, source: str) -> Choice | None:
    """Lay out one chord: None where its answer is not found."""
    fretboard, chord = find_instrument(question.tuning).fretboard(), parse_chord(question.chord)
    try:
        candidates, efforts = search._find_playable(chord, fretboard, hand=USUAL_HAND, filters=ShapeFilters())
    except NothingLeftError:
        return None
    is_answer = np.zeros(len(efforts), bool)
    for text in question.answers:
        frets = [-1 if fret is None else fret for fret in parse_shape(text, fretboard=fretboard).frets]
        is_answer |= (candidates.frets == np.array(frets, np.int8)).all(axis=1)
    if not is_answer.any():
        return None
    traits = measure_traits(candidates, efforts, chord, fretboard)
    return Choice(traits.astype(np.float64), is_answer, WISHED[source], fretboard.tuning.bears_bass)


def set_weights(choices: list[Choice]) -> Floats:
    """Return the weights of the least loss."""
    sides = [(None, 0.0) if name in LOWERING else (None, None) if name in EITHER else (0.0, None) for name in TRAITS]
    weights = np.array([-1.0 if name in LOWERING else 0.0 if name in EITHER else 1.0 for name in TRAITS])
    weights[~np.any([np.ptp(choice.traits, axis=0) > 0 for choice in choices], axis=0)] = 0.0
    for _ in range(ROUNDS):
        compared = [choice.compare(weights) for choice in choices]

        def weigh(tried: Floats, compared: list[Choice] = compared) -> tuple[float, Floats]:
            losses = [choice.weigh(tried) for choice in compared]
            total = HELD * float(tried @ tried) / 2 + sum(loss for loss, _ in losses)
            return total, HELD * tried + np.sum([slope for _, slope in losses], axis=0)

        weights = np.asarray(minimize(weigh, weights, jac=True, method="L-BFGS-B", bounds=sides).x)
    return weights


def main() -> None:
    """Print both rows."""
    questions = [(each, "practice") for each in read_answers()]
    questions += [(each, "open data") for name in INSTRUMENTS for each in read_open_data(name)]
    kept = [(each, source) for each, source in questions if str(parse_chord(each.chord).root) not in LEFT_OUT]
    left_out = frozenset(
        parse_chord(each.chord).root.pitch_class
        for each, _ in questions
        if str(parse_chord(each.chord).root) in LEFT_OUT
    )
    with use_book_without(left_out):
        laid_out = [lay_out_choice(each, source) for each, source in kept]
    choices = [choice for choice in laid_out if choice is not None]
    for name, bears_bass in (("WITH_A_BASS", True), ("WITHOUT_A_BASS", False)):
        chosen = [choice for choice in choices if choice.bears_bass is bears_bass]
        weights = set_weights(chosen)
        told = {trait: round(float(weight), 2) for trait, weight in zip(TRAITS, weights, strict=True)}
        print(f"{name} = { ({trait: weight for trait, weight in told.items() if weight}) }  # {len(chosen)} chords")


if __name__ == "__main__":
    main()
