"""The trained ear's front end in torch, for batches; :mod:`listen.audio.cut_frontend` is the definition."""

from __future__ import annotations

import math

import torch

from listen.audio import (
    AFTER_ONSET,
    FLOOR_DB,
    N_LEAD,
    SHORTEST_SAMPLES,
    SILENCE_POWER,
    WINDOWS,
    make_band_matrix,
    make_centre_matrix,
    make_smoother,
)


class BatchFrontend:
    """Measures bands and shares of a batch of segments.

    Parameters
    ----------
    device : str
    """

    def __init__(self, device: str) -> None:
        self._bands = [torch.tensor(make_band_matrix(window), device=device) for window in WINDOWS]
        self._centres = [
            torch.tensor(make_centre_matrix(window), device=device) if window.centred else None for window in WINDOWS
        ]
        self._smoother = torch.tensor(make_smoother(), device=device)

    def measure(self, segments: torch.Tensor, n_available: torch.Tensor) -> tuple[torch.Tensor, torch.Tensor]:
        """Measure segments, shape (B, N_SEGMENT), up to their cuts, shape (B,): bands (B, C, N), shares (B, W)."""
        powers, centres, shares = [], [], []
        for window, matrix, moments in zip(WINDOWS, self._bands, self._centres, strict=True):
            left = torch.full_like(n_available, window.n_samples)
            if not window.is_before:
                left = (n_available - window.start).clamp(max=window.n_samples)
                left = torch.where(left >= min(SHORTEST_SAMPLES, window.n_samples), left, 0)
            n = left[:, None].float()
            place = torch.arange(window.n_samples, device=segments.device)[None]
            taper = torch.where(place < n, 0.5 - 0.5 * torch.cos(2.0 * math.pi * place / n.clamp(min=1.0)), 0.0)
            start = N_LEAD + window.start
            spectrum = torch.fft.rfft(segments[:, start : start + window.n_samples] * taper, window.n_fft)
            power = spectrum.real.square() + spectrum.imag.square()
            gain = torch.where(n > 0, 1.0 / (n.clamp(min=1.0) / 4.0) ** 2, 0.0)
            powers.append(power @ matrix * gain)
            if moments is not None:
                centres.append(power @ moments * gain / (powers[-1] + SILENCE_POWER * 1e-3))
            shares.append(n[:, 0] / window.n_samples)
        stacked = torch.stack(powers, 1)
        loudest = stacked[:, list(AFTER_ONSET)].amax((1, 2), keepdim=True).clamp_min(SILENCE_POWER)
        level = torch.log10(stacked / loudest + 10.0 ** (-FLOOR_DB / 10.0)) * (10.0 / FLOOR_DB) + 1.0
        centred = level[:, [index for index, window in enumerate(WINDOWS) if window.centred]]
        whitened = 2.0 * (level - level @ self._smoother)
        return torch.cat([level, whitened, torch.stack(centres, 1) * centred], 1), torch.stack(shares, 1)
