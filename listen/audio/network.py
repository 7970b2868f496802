"""The network of the second opinion: from six spectra to logits of pitches, in numpy.

A small convolutional network over the axis of pitch: two local convolutions; harmonics gathered at each pitch (the
idea of the harmonic constant-Q transform); six depthwise-separable blocks that see the whole neck; a head for the
51 pitches from D2. How it was made is in ``weights/MODEL_CARD.md``.

Conventions: arrays are channels × positions, and × strums where there are several; positions are bands of 25 cents,
then semitones from MIDI 36.

References
----------
R. M. Bittner, B. McFee, J. Salamon, P. Li, J. P. Bello, "Deep salience representations for f0 estimation in
polyphonic music", ISMIR 2017 (harmonics stacked as channels).
Z. Liu et al., "A ConvNet for the 2020s", CVPR 2022 (large-kernel depthwise blocks).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.audio.frontend import BANDS_PER_SEMITONE, LOWEST_BAND_MIDI, N_BANDS
from listen.audio.layers import (
    HARMONICS,
    Affine,
    Block,
    convolve,
    gather_harmonics,
    gelu,
    index_harmonics,
    make_depthwise_matrix,
    normalise,
    order_by_channel,
    pool,
    run_blocks,
    split_strums,
)

Array = NDArray[np.float32]

LOWEST_KNOWN_MIDI, N_KNOWN = 38, 51
"""The pitches that the head knows, D2 to E6."""
_GRID_MIDI, _N_GRID = 36, 56
_MARGIN = 2
_STRIDE, _POOL = 4, 8
_N_BLOCKS = 6


class StrumNetwork:
    """The network with its weights.

    Parameters
    ----------
    weights : dict of str to ndarray
        By layer, any float type.
    """

    def __init__(self, weights: dict[str, Array]) -> None:
        w = {name: np.asarray(value, np.float32) for name, value in weights.items()}

        def affine(name: str) -> Affine:
            bias = w[f"{name}.bias"]
            return Affine(w[f"{name}.weight"].reshape(len(bias), -1), bias[:, None])

        self._local = [affine("c1"), affine("c2")]
        self._stack = Affine(order_by_channel(w["st.weight"], len(HARMONICS)), w["st.bias"][:, None])
        self._index = index_harmonics(
            (_GRID_MIDI - LOWEST_BAND_MIDI) * BANDS_PER_SEMITONE - _MARGIN,
            _N_GRID * BANDS_PER_SEMITONE + 2 * _MARGIN,
            bands_per_semitone=BANDS_PER_SEMITONE,
            n_bands=N_BANDS,
        )
        pooled = w["ds.weight"].transpose(0, 2, 1)
        self._pool = Affine(
            np.ascontiguousarray(pooled.reshape(len(pooled), -1)), np.asarray(w["ds.bias"][:, None] + w["pos"])
        )
        self._blocks = [
            Block(
                make_depthwise_matrix(w[f"blocks.{k}.dw.weight"][:, 0], _N_GRID),
                w[f"blocks.{k}.dw.bias"][:, None],
                w[f"blocks.{k}.ln.g"][:, None],
                w[f"blocks.{k}.ln.b"][:, None],
                affine(f"blocks.{k}.a"),
                affine(f"blocks.{k}.o"),
            )
            for k in range(_N_BLOCKS)
        ]
        self._norm = w["ln.g"][:, None], w["ln.b"][:, None]
        self._head = affine("hp")

    def hear_all(self, bands: Array) -> Array:
        """Run the network on the bands of many strums, shape (n, 12, :data:`~listen.audio.frontend.N_BANDS`).

        Returns
        -------
        ndarray, shape (n, :data:`N_KNOWN`)
            Natural logits that each pitch from :data:`LOWEST_KNOWN_MIDI` sounds.
        """
        known = slice(LOWEST_KNOWN_MIDI - _GRID_MIDI, LOWEST_KNOWN_MIDI - _GRID_MIDI + N_KNOWN)
        heard = []
        for some in split_strums(len(bands)):
            x = np.ascontiguousarray(bands[some].transpose(1, 2, 0))
            n_strums = x.shape[2]
            for layer in self._local:
                x = gelu(convolve(x, layer))
            h = gelu(self._stack.apply(gather_harmonics(x, self._index))).reshape(-1, len(self._index), n_strums)
            h = run_blocks(pool(h, self._pool, stride=_STRIDE, width=_POOL, n_positions=_N_GRID), self._blocks)
            pitch = self._head.apply(normalise(h.reshape(len(h), -1), *self._norm))
            heard.append(pitch.reshape(_N_GRID, n_strums)[known].T)
        return np.concatenate(heard)
