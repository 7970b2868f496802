"""The strum network: from six spectra to logits of pitches, bass and strings, in numpy.

A small convolutional network over the axis of pitch: two local convolutions; harmonics gathered at each pitch (the
idea of the harmonic constant-Q transform); six depthwise-separable blocks that see the whole neck; heads for the
51 pitches from D2, for the bass, and for each string's fret. How it was made is in ``weights/MODEL_CARD.md``.

Conventions: arrays are channels × positions; positions are bands of 25 cents, then semitones from MIDI 36.

References
----------
R. M. Bittner, B. McFee, J. Salamon, P. Li, J. P. Bello, "Deep salience representations for f0 estimation in
polyphonic music", ISMIR 2017 (harmonics stacked as channels).
Z. Liu et al., "A ConvNet for the 2020s", CVPR 2022 (large-kernel depthwise blocks).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import cast

import numpy as np
from numpy.typing import NDArray

from listen.audio.frontend import BANDS_PER_SEMITONE, LOWEST_BAND_MIDI, N_BANDS

Array = NDArray[np.float32]

LOWEST_MIDI, HIGHEST_MIDI = 38, 88
"""The pitches that the heads know."""
N_PITCHES = HIGHEST_MIDI - LOWEST_MIDI + 1
N_FRETS = 22
"""Open and 21 frets, on each of the strings below."""
OPEN_STRINGS_MIDI = (40, 45, 50, 55, 59, 64)
HARMONICS = (1 / 2, 1 / 3, *range(1, 13), 14, 16, 18, 20)
_GRID_MIDI, _N_GRID = 36, 56
_MARGIN = 2
_STRIDE, _POOL = 4, 8
_KERNEL = 49
_N_TRANSFORM = 112
"""At least grid and kernel together less one, so that the circular product does not wrap; 112 = 7 × 16 is quick."""
_N_BLOCKS = 6
_NORM_EPSILON = 1e-5


@dataclass(frozen=True, slots=True)
class NetworkOutput:
    """What the network says, as natural logits.

    Parameters
    ----------
    pitch : ndarray, shape (51,)
        That each pitch from :data:`LOWEST_MIDI` sounds.
    bass : ndarray, shape (51,)
        Softmax logits over which is the lowest.
    string : ndarray, shape (6, 23)
        For each standard string, sixth first: softmax logits over not played and frets 0 to 21.
    """

    pitch: Array
    bass: Array
    string: Array


def _gelu(x: Array) -> Array:
    """Gaussian error linear unit, tanh form (Hendrycks & Gimpel 2016)."""
    inner = x * x
    inner *= np.float32(0.044715 * 0.7978845608)
    inner += np.float32(0.7978845608)
    inner *= x
    np.tanh(inner, out=inner)
    inner += np.float32(1.0)
    inner *= x
    inner *= np.float32(0.5)
    return inner


def _convolve(x: Array, weight: Array, bias: Array) -> Array:
    """Convolve along positions, zero padded to the same length; ``weight`` is (out, in × kernel)."""
    kernel = weight.shape[1] // x.shape[0]
    padded = np.pad(x, ((0, 0), (kernel // 2, kernel // 2)))
    runs = np.lib.stride_tricks.sliding_window_view(padded, kernel, axis=1)
    return np.asarray(weight @ runs.transpose(0, 2, 1).reshape(weight.shape[1], -1) + bias)


def _normalise(x: Array, gain: Array, shift: Array) -> Array:
    """Layer norm over channels."""
    centred: Array = x - x.mean(axis=0)
    centred /= np.sqrt(np.square(centred).mean(axis=0) + np.float32(_NORM_EPSILON))
    centred *= gain
    centred += shift
    return centred


def _make_harmonic_index() -> NDArray[np.intp]:
    """Bands of each position's harmonics, shape (positions, harmonics); ``N_BANDS`` is a band of zeros."""
    first = (_GRID_MIDI - LOWEST_BAND_MIDI) * BANDS_PER_SEMITONE - _MARGIN
    position = first + np.arange(_N_GRID * BANDS_PER_SEMITONE + 2 * _MARGIN)
    offset = np.round(12 * BANDS_PER_SEMITONE * np.log2(np.array(HARMONICS))).astype(np.intp)
    index = position[:, None] + offset
    return np.where((index >= 0) & (index < N_BANDS), index, N_BANDS)


def _transform_kernels(kernels: Array) -> NDArray[np.complex64]:
    """Return the spectra of each channel's kernel: a wide depthwise convolution is quickest as a product of spectra."""
    return np.fft.rfft(kernels[:, 0, ::-1], _N_TRANSFORM).astype(np.complex64)


def _convolve_depthwise(x: Array, kernel_spectra: NDArray[np.complex64]) -> Array:
    """Convolve each channel with its own kernel over the grid, zero padded to the same length."""
    full = np.fft.irfft(np.fft.rfft(x, _N_TRANSFORM) * kernel_spectra, _N_TRANSFORM)
    return full[:, _KERNEL // 2 : _KERNEL // 2 + _N_GRID].astype(np.float32, copy=False)


class StrumNetwork:
    """The network with its weights.

    Parameters
    ----------
    weights : dict of str to ndarray
        By layer, any float type.
    """

    def __init__(self, weights: dict[str, Array]) -> None:
        w = {name: np.asarray(value, np.float32) for name, value in weights.items()}
        self._local = [
            (w[f"{c}.weight"].reshape(len(w[f"{c}.bias"]), -1), w[f"{c}.bias"][:, None]) for c in ("c1", "c2")
        ]
        self._stack = np.ascontiguousarray(w["st.weight"].T), w["st.bias"]
        self._index = _make_harmonic_index()
        pool = w["ds.weight"].transpose(0, 2, 1)
        self._pool = np.ascontiguousarray(pool.reshape(len(pool), -1)), w["ds.bias"][:, None] + w["pos"]
        self._blocks = [
            (
                _transform_kernels(w[f"blocks.{k}.dw.weight"]),
                w[f"blocks.{k}.dw.bias"][:, None],
                w[f"blocks.{k}.ln.g"][:, None],
                w[f"blocks.{k}.ln.b"][:, None],
                w[f"blocks.{k}.a.weight"][:, :, 0],
                w[f"blocks.{k}.a.bias"][:, None],
                w[f"blocks.{k}.o.weight"][:, :, 0],
                w[f"blocks.{k}.o.bias"][:, None],
            )
            for k in range(_N_BLOCKS)
        ]
        self._norm = w["ln.g"][:, None], w["ln.b"][:, None]
        self._heads = {
            head: (w[f"{head}.weight"].reshape(len(w[f"{head}.bias"]), -1), w[f"{head}.bias"][:, None])
            for head in ("hp", "hb", "hs", "hm")
        }
        frets = np.array(OPEN_STRINGS_MIDI)[:, None] + np.arange(N_FRETS) - _GRID_MIDI
        self._frets = np.minimum(frets, _N_GRID - 1)

    def hear(self, bands: Array) -> NetworkOutput:
        """Run the network on one strum's bands, shape (12, :data:`~listen.audio.frontend.N_BANDS`)."""
        x = bands
        for weight, bias in self._local:
            x = _gelu(_convolve(x, weight, bias))
        rows = np.concatenate([x.T, np.zeros((1, len(x)), np.float32)])
        weight, bias = self._stack
        h = _gelu(rows[self._index].reshape(len(self._index), -1) @ weight + bias)
        weight, bias = self._pool
        runs = np.stack([h[k : k + _STRIDE * _N_GRID - _STRIDE + 1 : _STRIDE] for k in range(_POOL)], axis=1)
        h = weight @ runs.reshape(_N_GRID, -1).T + bias
        for depthwise, d_bias, gain, shift, widen, w_bias, narrow, n_bias in self._blocks:
            t = _convolve_depthwise(h, depthwise) + d_bias
            t = _gelu(widen @ _normalise(t, gain, shift) + w_bias)
            h = h + (narrow @ t + n_bias)
        return self._read_heads(_normalise(h, *self._norm))

    def _read_heads(self, h: Array) -> NetworkOutput:
        def read(head: str, features: Array) -> Array:
            weight, bias = self._heads[head]
            return cast(Array, weight @ features + bias)

        lowest = LOWEST_MIDI - _GRID_MIDI
        not_played = read("hm", np.concatenate([h.mean(axis=1), h.max(axis=1)])[:, None])
        fretted = np.take_along_axis(read("hs", h), self._frets, axis=1)
        return NetworkOutput(
            pitch=read("hp", h)[0, lowest : lowest + N_PITCHES],
            bass=read("hb", h)[0, lowest : lowest + N_PITCHES],
            string=np.concatenate([not_played, fretted], axis=1),
        )
