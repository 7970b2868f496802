"""Set the weights of :mod:`listen.voicing.taste` again, and print them: ``python -m tests.benchmarks.taste_weights``.

Each chord of the open data (``tests/data/chords-db``, MIT) is a choice of its first position among the shapes that the
search finds; the weights are the most likely ones under a conditional logit (McFadden 1974), on the eight roots that
:data:`tests.benchmarks.first_shapes.LEFT_OUT` does not name, held by a normal prior to :data:`START` on instruments
with a bass. While a chord is looked at, the book does not hold the shapes of its root: its answer may not whisper.
The qualities of the benchmark count twice.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from listen.instrument import USUAL_HAND, find_instrument, parse_shape
from listen.voicing import search
from listen.voicing.filters import ShapeFilters
from listen.voicing.taste import weigh_taste
from listen.voicing.traits import TRAITS, measure_traits
from tests.benchmarks.book_without import use_book_without
from tests.benchmarks.first_shapes import LEFT_OUT, QUALITIES_25
from tests.benchmarks.shapes import INSTRUMENTS, Entry, load_entries

START = {  # judged, not counted
    "effort": 0.8, "lacks_fifth": 0.6, "lacks_root": 3.0, "lacks_other": 1.0, "third_lowest": 2.5, "fifth_lowest": 2.0,
    "other_lowest": 3.0, "silent_below": 0.25, "silent_inside": 0.8, "silent_above": 1.0, "thin": 2.0, "position": 0.7,
    "open_below": 0.3, "book": -1.1, "doubled_third": 0.2, "doubled_tension": 0.3, "unison": 0.3, "clash": 1.0,
    "grip": -1.0, "rich_grip": -6.0, "power": -8.0, "power_position": 0.5, "form": -3.5, "starts_high": 1.5,
    "slash_below": 0.6, "fifth_under_root": -0.7, "rich_position": -0.4,
}  # fmt: skip
HELD = {"guitar": 2.0, "ukulele": 0.02}  # precision of the prior for each choice
SHAPES_COMPARED = 400  # the best so far, and the answer

Floats = NDArray[np.float64]
Choice = tuple[Floats, NDArray[np.bool_], float]  # traits, which is the answer, weight


def lay_out_choice(entry: Entry, instrument: str) -> Choice | None:
    """Lay out one chord: None where its answer is not found."""
    fretboard = find_instrument(INSTRUMENTS[instrument]).fretboard()
    chord = entry.chord
    with use_book_without(frozenset((chord.root.pitch_class,))):
        candidates, efforts = search._find_playable(chord, fretboard, hand=USUAL_HAND, filters=ShapeFilters())
        wanted = [-1 if fret is None else fret for fret in parse_shape(entry.shape.text, fretboard=fretboard).frets]
        is_answer = (candidates.frets == np.array(wanted, np.int8)).all(axis=1)
        if not is_answer.any():
            return None
        near = np.argsort(weigh_taste(candidates, efforts, chord, fretboard))[:SHAPES_COMPARED]
        rows = np.zeros(len(is_answer), bool)
        rows[near] = True
        rows |= is_answer
        traits = measure_traits(candidates.take(rows), efforts[rows], chord, fretboard)
    return traits.astype(np.float64), is_answer[rows], 1.0 if entry.suffix in QUALITIES_25 else 0.5


def set_weights(choices: list[Choice], *, held: float, start: Floats) -> Floats:
    """Return the most likely weights."""

    def loss(weights: Floats) -> tuple[float, Floats]:
        away = weights - start
        total, slope = held * len(choices) * float(away @ away) / 2, held * len(choices) * away
        for traits, is_answer, weight in choices:
            points = -(traits @ weights)
            likely = np.exp(points - points.max())
            share, answer = likely / likely.sum(), likely * is_answer / (likely * is_answer).sum()
            total -= weight * float(np.log((share * is_answer).sum()))
            slope = slope + weight * (answer - share) @ traits
        return total, slope

    return np.asarray(minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 300}).x)


def main() -> None:
    """Print both rows."""
    for name in INSTRUMENTS:
        firsts: dict[tuple[str, str], Entry] = {}
        for entry in load_entries(name):
            if "/" not in entry.suffix and entry.key not in LEFT_OUT:
                firsts.setdefault((entry.key, entry.suffix), entry)
        laid_out = [lay_out_choice(entry, name) for entry in firsts.values()]
        choices = [choice for choice in laid_out if choice is not None]
        start = np.array([START.get(trait, 0.0) if name == "guitar" else 0.0 for trait in TRAITS])
        weights = set_weights(choices, held=HELD[name], start=start)
        print(f"{name}, {len(choices)} chords:")
        print({trait: round(float(weight), 2) for trait, weight in zip(TRAITS, weights, strict=True) if weight})


if __name__ == "__main__":
    main()
