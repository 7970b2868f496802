"""The path of the hand: which shape of each chord, when all chords of a part are decided together.

Each chord offers shapes with what its own sound says for them; going from one shape to the next costs what the hand
has to do. Two paths are found over the same layers: the *cheapest*, with the best sum of sound and moves, and the
*gentlest*, whose hardest single move is as easy as it can be (and which is the cheapest among those). Where they
differ, a player may choose.

References
----------
S. I. Sayegh, "Fingering for string instruments with the optimum path paradigm", Computer Music Journal 13(3), 1989.
G. Hori, S. Sagayama, "Minimax Viterbi algorithm for HMM-based guitar fingering decision", ISMIR 2016.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fretboard, Grip, estimate_move_costs
from listen.reading import ShapeReading

Floats = NDArray[np.float64]

MOVE_WEIGHT = 0.5  # nats for each point of effort, as the fit weighs the effort of a shape
TIME_STEP_S = 0.1  # moves are weighed for times rounded so
PLAUSIBLE_NATS = 3.0  # the gentlest path uses shapes at most so much less likely than their chord's best


@dataclass(frozen=True, slots=True)
class DecodedPath:
    """A row of choices, one for each layer.

    Parameters
    ----------
    choices : tuple of int
        Index into each layer.
    moves : tuple of float
        Cost of each move, one fewer than layers.
    """

    choices: tuple[int, ...]
    moves: tuple[float, ...]

    @property
    def total(self) -> float:
        """Sum of all moves."""
        return float(sum(self.moves))

    @property
    def hardest(self) -> float:
        """Cost of the hardest move."""
        return max(self.moves, default=0.0)

    @property
    def hardest_layer(self) -> int | None:
        """Index of the layer that the hardest move leads into; None where nothing moves."""
        return None if self.hardest <= 0.0 else self.moves.index(self.hardest) + 1


def decode_paths(
    layers: Sequence[Sequence[ShapeReading]],
    times_s: Sequence[float],
    *,
    fretboard: Fretboard,
    sounds: Sequence[Floats] | None = None,
    move_weight: float = MOVE_WEIGHT,
) -> tuple[DecodedPath, DecodedPath]:
    """Find the cheapest and the gentlest path.

    Parameters
    ----------
    layers : sequence of sequence of ShapeReading
        For each chord its shapes, none empty; one shape alone is pinned.
    times_s : sequence of float
        Time there is for each move, one fewer than layers.
    fretboard : Fretboard
    sounds : sequence of ndarray or None
        Nats for each shape of each layer, where it is not its probability alone that speaks for it.
    move_weight : float
        Nats for each point of it.

    Returns
    -------
    cheapest, gentlest : DecodedPath
    """
    if not layers:
        return DecodedPath((), ()), DecodedPath((), ())
    sounds = [_weigh_sound(layer) for layer in layers] if sounds is None else list(sounds)
    moves = _weigh_moves(layers, times_s, fretboard)
    cheapest = _find_best(sounds, moves, move_weight, limit=np.inf)
    plausible = [np.where(sound < sound.max() - PLAUSIBLE_NATS, -np.inf, sound) for sound in sounds]
    limit = _find_easiest_limit(plausible, moves)
    return cheapest, _find_best(plausible, moves, move_weight, limit=limit)


def _weigh_sound(layer: Sequence[ShapeReading]) -> Floats:
    return np.asarray(np.log([max(reading.probability, 1e-12) for reading in layer]), np.float64)


def _weigh_moves(
    layers: Sequence[Sequence[ShapeReading]], times_s: Sequence[float], fretboard: Fretboard
) -> list[Floats]:
    """Weigh every move between neighbouring layers; equal pairs of layers are weighed once."""
    grips = {id(layer): [Grip(one.shape, one.fingering) for one in layer] for layer in layers}
    known: dict[tuple[int, int, float], Floats] = {}
    moves = []
    for before, after, time_s in zip(layers[:-1], layers[1:], times_s, strict=True):
        key = (id(before), id(after), max(TIME_STEP_S, round(time_s / TIME_STEP_S) * TIME_STEP_S))
        if key not in known:
            known[key] = estimate_move_costs(grips[key[0]], grips[key[1]], fretboard, time_s=key[2])
        moves.append(known[key])
    return moves


def _find_best(sounds: list[Floats], moves: list[Floats], move_weight: float, *, limit: float) -> DecodedPath:
    """Find the best sum of sound and moves among paths without a move over the limit (Viterbi)."""
    total, came = sounds[0].copy(), []
    for sound, move in zip(sounds[1:], moves, strict=True):
        options = total[:, None] - move_weight * np.where(move > limit + 1e-9, np.inf, move)
        came.append(options.argmax(axis=0))
        total = sound + options.max(axis=0)
    place = int(total.argmax())
    choices = [place]
    for back in reversed(came):
        place = int(back[place])
        choices.append(place)
    choices.reverse()
    walked = tuple(float(move[a, b]) for move, a, b in zip(moves, choices[:-1], choices[1:], strict=True))
    return DecodedPath(tuple(choices), walked)


def _find_easiest_limit(sounds: list[Floats], moves: list[Floats]) -> float:
    """Find the smallest hardest move that some path over possible shapes needs (the minimax of Hori & Sagayama)."""
    hardest = np.where(np.isfinite(sounds[0]), 0.0, np.inf)
    for sound, move in zip(sounds[1:], moves, strict=True):
        hardest = np.where(np.isfinite(sound), np.maximum(hardest[:, None], move).min(axis=0), np.inf)
    return float(hardest.min())
