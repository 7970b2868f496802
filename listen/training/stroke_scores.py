"""What the stroke network is taught, and how well it does."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import torch
from numpy.typing import NDArray
from torch.nn import functional

from listen.audio import measure_stroke_bands
from listen.training.network import Parameters
from listen.training.note_bank import Samples
from listen.training.stroke_examples import DAMPED, DOWN, FRAME_RATE_HZ, HAS_WAY, ONSET, StrokeExamples
from listen.training.stroke_network import run_stroke_network

Array = NDArray[np.float64]

# judged, not measured
ONSET_WEIGHT, DAMPED_WEIGHT, WAY_WEIGHT = 3.0, 0.1, 0.15
STROKE_WEIGHT = 4.0  # what a frame with a stroke counts more than one without: of forty frames one has some
CORE = 0.5  # of the onset's target: frames at which the other outputs are asked
LEAST_PROBABILITY, LEAST_LIKELY = 0.4, 0.1  # of a stroke: for a score; for aligning a recorded take
REACH = 8  # frames to either side over which a stroke is the highest
TOLERANCE = 10  # frames: 50 ms, the usual tolerance for onsets


@dataclass(frozen=True, slots=True)
class StrokeErrors:
    """Cross-entropies of a batch.

    Parameters
    ----------
    onset, damped, way : Tensor, scalar
    """

    onset: torch.Tensor
    damped: torch.Tensor
    way: torch.Tensor

    def weigh(self) -> torch.Tensor:
        """Return the loss."""
        return ONSET_WEIGHT * self.onset + DAMPED_WEIGHT * self.damped + WAY_WEIGHT * self.way


def measure_stroke_errors(logits: torch.Tensor, targets: torch.Tensor) -> StrokeErrors:
    """Measure how wrong a batch was.

    Parameters
    ----------
    logits : Tensor, shape (B, 4, n_frames)
    targets : Tensor, shape (B, 4, n_frames)
        Rows as :mod:`listen.training.stroke_examples` has them.
    """
    wrong = functional.binary_cross_entropy_with_logits(logits[:, :HAS_WAY], targets[:, :HAS_WAY], reduction="none")
    near = (targets[:, ONSET] > CORE).float()
    has_way = targets[:, HAS_WAY]
    return StrokeErrors(
        (wrong[:, ONSET] * (1.0 + STROKE_WEIGHT * targets[:, ONSET])).mean(),
        (wrong[:, DAMPED] * near).sum() / near.sum().clamp(min=1.0),
        (wrong[:, DOWN] * has_way).sum() / has_way.sum().clamp(min=1.0),
    )


def find_peak_frames(probability: Array, *, least: float) -> NDArray[np.intp]:
    """Return the frames that are likelier than all near them, and likely at all."""
    windows = np.lib.stride_tricks.sliding_window_view(np.pad(probability, REACH), 2 * REACH + 1)
    return np.flatnonzero((probability >= windows.max(axis=1)) & (probability > least))


def find_onsets(parameters: Parameters, samples: Samples) -> tuple[Array, Array]:
    """Find moments in seconds that may be strokes, and how likely each is."""
    onset = _run(parameters, measure_stroke_bands(samples))[ONSET]
    frames = find_peak_frames(onset, least=LEAST_LIKELY)
    return frames / FRAME_RATE_HZ, onset[frames]


def score_strokes(parameters: Parameters, examples: StrokeExamples) -> dict[str, float]:
    """Return F1, recall and precision of strokes, and shares of those found whose way and damping are right."""
    n_right = n_true = n_found = 0
    way, damped = [], []
    for bands, targets in zip(examples.bands, examples.targets, strict=True):
        said = _run(parameters, bands.astype(np.float32))
        found, true = find_peak_frames(said[ONSET], least=LEAST_PROBABILITY), np.flatnonzero(targets[ONSET] == 1.0)
        n_true, n_found = n_true + len(true), n_found + len(found)
        for at, heard in _match(true, found):
            n_right += 1
            damped.append((said[DAMPED, heard] > 0.5) == (targets[DAMPED, at] > 0.5))
            if targets[HAS_WAY, at]:
                way.append((said[DOWN, heard] > 0.5) == (targets[DOWN, at] > 0.5))
    return {
        "f1": 2.0 * n_right / max(1, n_true + n_found),
        "recall": n_right / max(1, n_true),
        "precision": n_right / max(1, n_found),
        "way": float(np.mean(way)) if way else math.nan,
        "damped": float(np.mean(damped)) if damped else math.nan,
    }


def _match(true: NDArray[np.intp], found: NDArray[np.intp]) -> list[tuple[int, int]]:
    """Pair each true frame with the nearest found one within the tolerance that is not taken."""
    left, pairs = found.tolist(), []
    for at in true.tolist():
        near = min(left, key=lambda frame: abs(frame - at), default=None)
        if near is not None and abs(near - at) <= TOLERANCE:
            left.remove(near)
            pairs.append((at, near))
    return pairs


def _run(parameters: Parameters, bands: Samples) -> Array:
    """Return probabilities, shape (4, n_frames), of one scene's bands, shape (n_frames, n_bands)."""
    device = parameters["i.weight"].device
    with torch.no_grad():
        logits = run_stroke_network(parameters, torch.from_numpy(bands.T[None].copy()).to(device))
    return np.asarray(torch.sigmoid(logits)[0].cpu().numpy(), np.float64)
