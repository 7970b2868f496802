"""One shape where a chord comes back: what all times say for its shapes together.

A hand that comes back to a chord, and goes on to the same one after it, comes back to its shape. What is heard of a
string differs from time to time, so each time a shape is weighed mostly by what is heard at all of them, and a little
by itself.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Shape
from listen.reading import ShapeReading

Floats = NDArray[np.float64]

POOLED = 0.9
"""Of what is said for a shape, the share of all times together; judged: over 36 parts of `benchmarks.part` the shapes
on the path stay .965."""
LEAST_SHOWN = 1e-12
LEAST_CHANCE = 0.002  # of a shape that was not among those of another time


def pool_shapes(layers: Sequence[Sequence[ShapeReading]], chords: Sequence[str]) -> list[Floats]:
    """Weigh the shapes of each held chord together with those of the same chord elsewhere.

    Parameters
    ----------
    layers : sequence of sequence of ShapeReading
        For each held chord its shapes.
    chords : sequence of str
        What comes back, one for each: those of one text are weighed together, an empty one by itself.

    Returns
    -------
    list of ndarray
        Nats of each shape of each layer.
    """
    sounds = [np.log([max(one.probability, LEAST_SHOWN) for one in layer]) for layer in layers]
    alike: dict[str, list[int]] = {}
    for place, chord in enumerate(chords):
        alike.setdefault(chord or f"{place}", []).append(place)
    for places in alike.values():
        if len(places) == 1:
            continue
        said: defaultdict[Shape, float] = defaultdict(float)  # nats over the least chance, of all times
        for place in places:
            for one in layers[place]:
                said[one.shape] += np.log(max(one.probability, LEAST_CHANCE) / LEAST_CHANCE)
        for place in places:
            together = np.array([said[one.shape] / len(places) for one in layers[place]]) + np.log(LEAST_CHANCE)
            sounds[place] = (1.0 - POOLED) * sounds[place] + POOLED * together
    return sounds
