"""The path of the hand against every path there is."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest

from listen.instrument import Fretboard, Grip, best_fingering, estimate_move_costs, parse_shape
from listen.reading import ShapeReading, Shares
from listen.voicing import decode_paths
from listen.voicing.path import MOVE_WEIGHT, PLAUSIBLE_NATS, TIME_STEP_S

NECK = Fretboard()
PLACES = {
    "C": ("x32010", "x35553", "8-10-10-9-8-8"),
    "F": ("133211", "xx3211", "x8-10-10-10-8".replace("x8", "x-8")),
    "G": ("320003", "355433", "x-10-12-12-12-10"),
    "Am": ("x02210", "577555"),
}


def _readings(name: str, probabilities: list[float]) -> tuple[ShapeReading, ...]:
    shapes = [parse_shape(text) for text in PLACES[name]]
    return tuple(
        ShapeReading(shape, best_fingering(shape, NECK), probability, Shares(0.0, 0.0, 0.0))
        for shape, probability in zip(shapes, probabilities, strict=True)
    )


def _all_paths(
    layers: list[tuple[ShapeReading, ...]], times_s: list[float]
) -> list[tuple[tuple[int, ...], float, float]]:
    """Return every path with its score and its hardest move."""
    grips = [[Grip(one.shape, one.fingering) for one in layer] for layer in layers]
    moves = [
        estimate_move_costs(a, b, NECK, time_s=max(TIME_STEP_S, round(t / TIME_STEP_S) * TIME_STEP_S))
        for a, b, t in zip(grips[:-1], grips[1:], times_s, strict=True)
    ]
    found = []
    for choices in product(*(range(len(layer)) for layer in layers)):
        walked = [move[a, b] for move, a, b in zip(moves, choices[:-1], choices[1:], strict=True)]
        sound = sum(np.log(layer[k].probability) for layer, k in zip(layers, choices, strict=True))
        found.append((choices, float(sound - MOVE_WEIGHT * sum(walked)), float(max(walked, default=0.0))))
    return found


@pytest.mark.parametrize("seed", range(6))
def test_cheapest_and_gentlest_are_the_best_of_all_paths(seed: int) -> None:
    rng = np.random.default_rng(seed)
    names = [str(rng.choice(list(PLACES))) for _ in range(5)]
    layers = [_readings(name, rng.dirichlet(np.ones(len(PLACES[name]))).tolist()) for name in names]
    times_s = rng.uniform(0.15, 2.0, 4).tolist()
    cheapest, gentlest = decode_paths(layers, times_s, fretboard=NECK)
    paths = _all_paths(layers, times_s)
    assert cheapest.choices == max(paths, key=lambda path: path[1])[0]
    likely = [
        [one.probability >= max(o.probability for o in layer) * np.exp(-PLAUSIBLE_NATS) for one in layer]
        for layer in layers
    ]
    possible = [path for path in paths if all(layer[k] for layer, k in zip(likely, path[0], strict=True))]
    assert gentlest.hardest == pytest.approx(min(path[2] for path in possible))


def test_a_pinned_shape_stays_and_draws_its_neighbours_near() -> None:
    even = [1 / 3] * 3
    free, _ = decode_paths(
        [_readings("C", even), _readings("F", even), _readings("G", even)], [0.5, 0.5], fretboard=NECK
    )
    high = _readings("F", even)[2:]
    pinned, _ = decode_paths([_readings("C", even), high, _readings("G", even)], [0.5, 0.5], fretboard=NECK)
    assert pinned.choices[1] == 0
    assert pinned.choices != free.choices
    assert PLACES["C"][pinned.choices[0]] == "8-10-10-9-8-8"


def test_one_chord_needs_no_move() -> None:
    path, _ = decode_paths([_readings("Am", [0.7, 0.3])], [], fretboard=NECK)
    assert path.choices == (0,)
    assert path.total == 0.0
    assert path.hardest_layer is None


def test_no_chord_has_no_path() -> None:
    path, gentlest = decode_paths([], [], fretboard=NECK)
    assert path.choices == gentlest.choices == ()
