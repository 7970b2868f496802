"""Bars that come back are held in one shape, though what is heard of a string differs from time to time."""

from __future__ import annotations

import numpy as np

from listen.instrument import Fretboard, best_fingering, parse_shape
from listen.reading import ShapeReading, Shares
from listen.transcription.pooled_shapes import pool_shapes
from listen.voicing import decode_paths

NECK = Fretboard()
PROGRESSION = ("C Am", "Am F", "F G", "G C") * 2


def _read(**chances: float) -> tuple[ShapeReading, ...]:
    shapes = [(parse_shape(text.lstrip("_")), chance) for text, chance in chances.items()]
    return tuple(
        ShapeReading(shape, best_fingering(shape, NECK), chance, Shares(0.0, 0.0, 0.0)) for shape, chance in shapes
    )


C, F, G = _read(x32010=0.517, _87555x=0.366), _read(_133211=0.9), _read(_320003=0.9)
HIGH_AM, LOW_AM = _read(_577555=0.785, x02210=0.09), _read(x02210=0.795, _577555=0.083)


def _choose(layers: list[tuple[ShapeReading, ...]], chords: tuple[str, ...], *, pooled: bool) -> list[str]:
    sounds = pool_shapes(layers, chords) if pooled else None
    path, _ = decode_paths(layers, [0.2] * (len(layers) - 1), fretboard=NECK, sounds=sounds)
    return [layer[choice].shape.text for layer, choice in zip(layers, path.choices, strict=True)]


def test_a_round_that_comes_back_is_held_in_the_same_shapes() -> None:
    layers = [C, HIGH_AM, F, G, C, LOW_AM, F, G]
    alone = _choose(layers, PROGRESSION, pooled=False)
    assert alone[:4] != alone[4:], "by its own sound each round has shapes of its own"
    together = _choose(layers, PROGRESSION, pooled=True)
    assert together[:4] == together[4:] == ["x32010", "x02210", "133211", "320003"]


def test_a_chord_that_comes_back_elsewhere_and_one_without_a_name_are_weighed_by_themselves() -> None:
    layers = [HIGH_AM, LOW_AM, HIGH_AM]
    for chords in (("Am F", "Am E", "Am G"), ("", "", "")):
        for own, layer in zip(pool_shapes(layers, chords), layers, strict=True):
            assert np.allclose(own, np.log([one.probability for one in layer]))
