"""Recorded takes of a person strumming, as scenes beside the simulated ones.

What is written beside such a take was measured at the hand, to some 60 ms: too coarse to learn moments from. So a
stroke's moment is taken from what an earlier network, trained on simulated scenes alone, finds near what is written.
Strokes near which it finds nothing are left out.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio import EAR_RATE_HZ
from listen.errors import RecordingError
from listen.training.note_bank import NoteBank, Samples, read_sound, resample_by
from listen.training.stroke_chain import pass_recording_chain
from listen.training.stroke_performance import BankNote, PlayedStroke, ScenePerformance
from listen.training.stroke_scenes import SCENE_S, StrokeScene, shift_strokes

TRAINING_TAKES = ("strumming_0", "strumming_4", "strumming_8")
"""The others of the folder are kept for measuring."""
MICROPHONES = ("line", "phone")
EARLIEST_S, LATEST_S = -0.135, 0.03  # of a found stroke, against what is written; judged
FASTEST = 1.08  # and as much slower
CHAIN_SHARE = 0.8  # judged
SUNG_MIDIS, BEAT_S = (60, 64, 67), 0.6  # what a singer and a drummer keep to; the takes say nothing of it

FindOnsets = Callable[[Samples], tuple[NDArray[np.float64], NDArray[np.float64]]]
"""From samples to times in seconds and how likely a stroke is at each."""


@dataclass(frozen=True, slots=True, eq=False)
class RecordedTake:
    """A recorded take and its strokes.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,), 16 kHz mono
    strokes : tuple of PlayedStroke
    """

    samples: Samples
    strokes: tuple[PlayedStroke, ...]


def read_recorded_takes(folder: Path, find_onsets: FindOnsets) -> tuple[RecordedTake, ...]:
    """Read the takes that may be trained on, each by both microphones.

    Parameters
    ----------
    folder : Path
        Holds ``NAME.strums`` (lines of a time in seconds and D or U) and ``NAME_line.flac``, ``NAME_phone.flac``.
    find_onsets : callable
        Says where strokes are.

    Raises
    ------
    RecordingError
        A file is missing or cannot be read.
    """
    takes = []
    for name in TRAINING_TAKES:
        written = _read_written(folder / f"{name}.strums")
        for microphone in MICROPHONES:
            samples = read_sound(folder / f"{name}_{microphone}.flac")
            takes.append(RecordedTake(samples, align_strokes(written, *find_onsets(samples))))
    return tuple(takes)


def align_strokes(
    written: Sequence[PlayedStroke], times_s: NDArray[np.float64], likely: NDArray[np.float64]
) -> tuple[PlayedStroke, ...]:
    """Give each stroke the likeliest moment that was found near it, no moment to two of them."""
    aligned, taken = [], np.zeros(len(times_s), bool)
    for stroke in written:
        after_s = times_s - stroke.onset_s
        near = np.flatnonzero((after_s >= EARLIEST_S) & (after_s <= LATEST_S) & ~taken)
        if near.size:
            best = near[likely[near].argmax()]
            taken[best] = True
            aligned.append(replace(stroke, onset_s=float(times_s[best])))
    return tuple(aligned)


def draw_take_scene(bank: NoteBank, takes: Sequence[RecordedTake], seed: Sequence[int]) -> StrokeScene:
    """Draw a stretch of a take, a little faster or slower, mostly through another recording chain."""
    rng = np.random.default_rng(seed)
    take = takes[int(rng.integers(len(takes)))]
    speed = rng.uniform(1.0 / FASTEST, FASTEST)
    n_taken = int(SCENE_S * EAR_RATE_HZ * speed) + 2
    first = int(rng.integers(0, max(1, len(take.samples) - n_taken)))
    samples = resample_by(take.samples[first : first + n_taken], speed)[: round(SCENE_S * EAR_RATE_HZ)]
    samples = np.pad(samples, (0, round(SCENE_S * EAR_RATE_HZ) - len(samples)))
    begun_s = first / EAR_RATE_HZ
    faster = [replace(stroke, onset_s=(stroke.onset_s - begun_s) / speed) for stroke in take.strokes]
    strokes = shift_strokes(faster, by_s=0.0)
    if rng.random() < CHAIN_SHARE:
        notes = tuple(BankNote(0.0, SCENE_S, midi, 0.0, 0.0) for midi in SUNG_MIDIS)
        samples = pass_recording_chain(samples, rng, bank, ScenePerformance(notes, (), strokes, BEAT_S))
    return StrokeScene(samples, strokes, begun_s)


def _read_written(path: Path) -> list[PlayedStroke]:
    """Read what is written beside a take."""
    try:
        rows = [line.split() for line in path.read_text("utf-8").splitlines() if line[:1].isdigit()]
        return [PlayedStroke(float(row[0]), {"D": 1, "U": -1}.get(row[1][0], 0)) for row in rows]
    except (OSError, ValueError, IndexError) as error:
        raise RecordingError(f"{path} cannot be read: {error}. It takes lines of a time and D or U.") from error
