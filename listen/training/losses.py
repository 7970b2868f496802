"""What the network is taught, and how well it does."""

from __future__ import annotations

import torch
from torch.nn import functional

from listen.audio import STIFFNESS_CENTRE, STIFFNESS_SCALE
from listen.training.network import Output
from listen.training.scenes import IGNORED, Truth

# judged, not measured
PITCH_WEIGHT, BASS_WEIGHT, KIND_WEIGHT, PLUCKED_WEIGHT, MEASURE_WEIGHT = 10.0, 0.15, 0.8, 0.3, 0.05
ONSET_SCALE_S = 0.02  # the unit that the network is taught to tell onsets in
LEAST_LOG_SIGMA, MOST_LOG_SIGMA = -4.0, 2.0  # keeps the loss finite; judged


def weigh_errors(output: Output, truth: Truth, *, place_on_book: bool) -> torch.Tensor:
    """Return the loss of a batch: cross-entropies, and Gaussian likelihoods of what is measured.

    The place heads learn from shapes that no chord book chose, so that what they say of a string is what was heard.
    """
    pitch = functional.binary_cross_entropy_with_logits(output.pitch.float(), truth.pitches, truth.counted)
    bass = functional.cross_entropy(output.bass.float(), truth.bass, ignore_index=IGNORED)
    plucked = functional.binary_cross_entropy_with_logits(output.plucked.float(), truth.plucked)
    heard = (truth.plucked > 0) & (~truth.from_book | place_on_book)
    kinds = torch.where(heard[:, None], truth.kinds, IGNORED)
    kind = functional.cross_entropy(output.kinds.float().flatten(0, 1), kinds.flatten(), ignore_index=IGNORED)
    measured = (truth.measured & heard[:, None]).float()
    stiffness = (truth.ln_stiffness - STIFFNESS_CENTRE) / STIFFNESS_SCALE
    measure = output.measure.float()
    errors = _gaussian(measure[:, 0], measure[:, 1], stiffness) + _gaussian(
        measure[:, 2], measure[:, 3], truth.delay_s / ONSET_SCALE_S
    )
    taken = (errors * measured).sum() / measured.sum().clamp_min(1.0)
    return (
        PITCH_WEIGHT * pitch
        + BASS_WEIGHT * bass
        + KIND_WEIGHT * kind
        + PLUCKED_WEIGHT * plucked
        + MEASURE_WEIGHT * taken
    )


def _gaussian(mean: torch.Tensor, log_sigma: torch.Tensor, target: torch.Tensor) -> torch.Tensor:
    """Return the negative log-likelihood of a normal distribution, without its constant."""
    log_sigma = log_sigma.clamp(LEAST_LOG_SIGMA, MOST_LOG_SIGMA)
    return log_sigma + 0.5 * ((target - mean) * torch.exp(-log_sigma)) ** 2


def score_batch(output: Output, truth: Truth) -> dict[str, float]:
    """Return shares of a batch: exact pitch sets, right bass, right strings off the book, plucked told from not."""
    plucked = truth.plucked > 0
    says = (output.pitch > 0).float()
    right = (((says == truth.pitches) | (truth.counted == 0)).all(1))[plucked].float().mean()
    told = ((output.plucked > 0) == plucked).float()
    bass = (output.bass.argmax(1) == truth.bass)[truth.bass != IGNORED].float().mean()
    sounding = (truth.kinds > 0) & (plucked & ~truth.from_book)[:, None]
    kind = (output.kinds.argmax(2) == truth.kinds)[sounding].float().mean()
    off = (output.measure[:, 0] * STIFFNESS_SCALE + STIFFNESS_CENTRE - truth.ln_stiffness)[
        truth.measured & plucked[:, None]
    ]
    return {
        "exact": float(right),
        "bass": float(bass),
        "string": float(kind),
        "refused": float(told[~plucked].mean()),
        "kept": float(told[plucked].mean()),
        "ln_stiffness_error": float(off.abs().median()),
    }
