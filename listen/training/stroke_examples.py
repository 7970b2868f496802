"""What the stroke network is shown of scenes, and what it should say: made once, by several processes.

Conventions: a frame every 5 ms. Targets are rows: whether a stroke begins (spread over two frames to either side),
whether it is damped, whether it goes down, and whether it has a way at all.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from listen.audio import measure_stroke_bands
from listen.training.note_bank import NoteBank
from listen.training.stroke_performance import PlayedStroke
from listen.training.stroke_scenes import SCENE_S, StrokeScene, draw_stroke_scene
from listen.training.stroke_takes import RecordedTake, draw_take_scene

Halves = NDArray[np.float16]

FRAME_RATE_HZ = 200
N_FRAMES = round(SCENE_S * FRAME_RATE_HZ)
ONSET, DAMPED, DOWN, HAS_WAY = range(4)
"""Rows of the targets; the first three are outputs of the network too."""
NEARNESS = ((-2, 0.25), (-1, 0.7), (0, 1.0), (1, 0.7), (2, 0.25))  # frames off a stroke, and what counts there
TAKE_EVERY = 16  # of training scenes, where there are recorded takes


@dataclass(frozen=True, slots=True, eq=False)
class SceneSource:
    """What scenes are drawn from.

    Parameters
    ----------
    bank : NoteBank
    takes : tuple of RecordedTake
    seed : int
    """

    bank: NoteBank
    takes: tuple[RecordedTake, ...] = ()
    seed: int = 1


@dataclass(frozen=True, slots=True, eq=False)
class StrokeExamples:
    """Scenes as the network is shown them.

    Parameters
    ----------
    bands : ndarray of float16, shape (n, N_FRAMES, n_bands)
    targets : ndarray of float16, shape (n, 4, N_FRAMES)
    """

    bands: Halves
    targets: Halves


def make_examples(source: SceneSource, n: int, *, validation: bool = False, processes: int = 1) -> StrokeExamples:
    """Make examples of scenes; those for validation are simulated ones that no training sees.

    Parameters
    ----------
    source : SceneSource
    n : int
    validation : bool
    processes : int
        The examples are the same however many there are.
    """
    if processes <= 1:
        return _stack(map(partial(_make_example, source, validation), range(n)), n)
    with multiprocessing.Pool(processes, initializer=_hold_source, initargs=(source, validation)) as pool:
        return _stack(pool.imap(_make_held_example, range(n), chunksize=4), n)


def make_targets(strokes: Sequence[PlayedStroke]) -> Halves:
    """Return what the network should say of a scene, shape (4, N_FRAMES)."""
    targets = np.zeros((4, N_FRAMES), np.float16)
    for stroke in strokes:
        centre = round(stroke.onset_s * FRAME_RATE_HZ)
        for off, nearness in NEARNESS:
            frame = centre + off
            if 0 <= frame < N_FRAMES:
                targets[ONSET, frame] = max(targets[ONSET, frame], nearness)
                targets[DAMPED, frame] = stroke.damped
                if stroke.way:
                    targets[DOWN, frame] = stroke.way > 0
                    targets[HAS_WAY, frame] = 1.0
    return targets


_held: list[partial[tuple[Halves, Halves]]] = []
"""In a process of the pool: what makes its examples, sent once and not with each."""


def _hold_source(source: SceneSource, validation: bool) -> None:
    _held[:] = [partial(_make_example, source, validation)]


def _make_held_example(index: int) -> tuple[Halves, Halves]:
    return _held[0](index)


def _make_example(source: SceneSource, validation: bool, index: int) -> tuple[Halves, Halves]:
    scene = _draw_scene(source, validation=validation, index=index)
    bands = measure_stroke_bands(scene.samples)[:N_FRAMES].astype(np.float16)
    return bands, make_targets(scene.strokes)


def _draw_scene(source: SceneSource, *, validation: bool, index: int) -> StrokeScene:
    seed = (source.seed, int(validation), index)
    if source.takes and not validation and index % TAKE_EVERY == TAKE_EVERY // 2:
        return draw_take_scene(source.bank, source.takes, seed)
    return draw_stroke_scene(source.bank, seed)


def _stack(examples: Iterable[tuple[Halves, Halves]], n: int) -> StrokeExamples:
    """Stack examples as they come, so that none is held twice."""
    targets = np.empty((n, 4, N_FRAMES), np.float16)
    bands: Halves | None = None
    for index, (one, target) in enumerate(examples):
        if bands is None:
            bands = np.empty((n, *one.shape), np.float16)
        bands[index], targets[index] = one, target
    return StrokeExamples(np.empty((0, N_FRAMES, 0), np.float16) if bands is None else bands, targets)
