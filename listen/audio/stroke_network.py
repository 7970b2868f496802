"""The network that finds strokes: from the bands of some seconds to where strokes begin and which way they go.

A stack of dilated convolutions over time: what stands at one frame is said from some 1.3 s on either side of it, so
that a row of even strokes is told from the late strings of a slow one. How it was made is in ``docs/ear.md``.

Conventions: arrays are frames × channels.

References
----------
A. van den Oord et al., "WaveNet: a generative model for raw audio", 2016 (dilated convolutions that are added up).
J. Schlüter, S. Böck, "Improved musical onset detection with convolutional neural networks", ICASSP 2014.
Hendrycks, Gimpel, "Gaussian error linear units", 2016.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.audio.layers import gelu

Array = NDArray[np.float32]

DILATIONS = (1, 2, 4, 8, 16, 32, 64)
STROKE, DOWN = 0, 2  # which output says what; the others helped in training only


@dataclass(frozen=True, slots=True)
class StrokeOutput:
    """What the network says of each frame, as natural logits.

    Parameters
    ----------
    stroke : ndarray, shape (n_frames,)
        That a stroke begins here.
    down : ndarray, shape (n_frames,)
        That a stroke which begins here goes down.
    """

    stroke: Array
    down: Array


class StrokeNetwork:
    """The network with its weights.

    Parameters
    ----------
    weights : mapping of str to ndarray
        By layer, shape (n_out, n_in, n_taps) and (n_out,), any float type.
    """

    def __init__(self, weights: Mapping[str, Array]) -> None:
        self._weights = {name: np.asarray(value, np.float32) for name, value in weights.items()}

    def hear(self, bands: Array) -> StrokeOutput:
        """Run the network on bands, shape (n_frames, n_bands)."""
        x = gelu(self._convolve(bands, "i", 1))
        for place, dilation in enumerate(DILATIONS):
            x += self._convolve(gelu(self._convolve(x, f"bl.{place}.a", dilation)), f"bl.{place}.b", 1)
        said = self._convolve(x, "o", 1)
        return StrokeOutput(said[:, STROKE], said[:, DOWN])

    def _convolve(self, x: Array, layer: str, dilation: int) -> Array:
        """Convolve over time, zero padded to the same length."""
        weight, bias = self._weights[f"{layer}.weight"], self._weights[f"{layer}.bias"]
        n_frames, n_taps = len(x), weight.shape[2]
        reach = n_taps // 2 * dilation
        padded = np.pad(x, ((reach, reach), (0, 0)))
        said = np.tile(bias, (n_frames, 1))
        for tap in range(n_taps):
            said += padded[tap * dilation : tap * dilation + n_frames] @ weight[:, :, tap].T
        return said
