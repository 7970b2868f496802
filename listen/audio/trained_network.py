"""The trained network: from cut spectra to pitches, bass, strings, stiffness, onsets, and whether a string was plucked.

Two local convolutions along the bands; each pitch's harmonics gathered (the idea of the harmonic constant-Q
transform); blocks that see the whole neck. One trunk hears pitches; the place (which kind of string, how stiff, when it
began) is read by blocks of its own above the trunk, which in training never saw a shape from a chord book.

Conventions: arrays are channels × positions; positions are bands of 25 cents, then semitones from :data:`GRID_MIDI`.

References
----------
Bittner, McFee, Salamon, Li, Bello, "Deep salience representations for f0 estimation in polyphonic music", ISMIR 2017
(harmonics stacked as channels). Liu et al., "A ConvNet for the 2020s", CVPR 2022 (large-kernel depthwise blocks).
Hendrycks, Gimpel, "Gaussian error linear units", 2016.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.audio.cut_frontend import BANDS_PER_SEMITONE, LOWEST_BAND_MIDI, N_BANDS

Array = NDArray[np.float32]

LOWEST_MIDI, HIGHEST_MIDI = 33, 88  # the pitches that the heads know: A1 to E6
N_PITCHES = HIGHEST_MIDI - LOWEST_MIDI + 1
N_KINDS = 6
HARMONICS = (1 / 2, 1 / 3, *range(1, 13), 14, 16, 18, 20)
GRID_MIDI, N_GRID = 31, 60
MARGIN = 2  # bands below and above the grid that the pooling convolution reads
STRIDE, POOL = BANDS_PER_SEMITONE, 2 * BANDS_PER_SEMITONE
KERNEL = 49  # semitones
NORM_EPSILON = 1e-5


def make_harmonic_index() -> NDArray[np.intp]:
    """Return the bands of each position's harmonics, shape (positions, harmonics); ``N_BANDS`` is a band of zeros."""
    first = (GRID_MIDI - LOWEST_BAND_MIDI) * BANDS_PER_SEMITONE - MARGIN
    position = first + np.arange(N_GRID * BANDS_PER_SEMITONE + 2 * MARGIN)
    offset = np.round(12 * BANDS_PER_SEMITONE * np.log2(np.array(HARMONICS))).astype(np.intp)
    index = position[:, None] + offset
    return np.where((index >= 0) & (index < N_BANDS), index, N_BANDS)


@dataclass(frozen=True, slots=True)
class TrainedOutput:
    """What the network says of one strum.

    Parameters
    ----------
    pitch : ndarray, shape (N_PITCHES,)
        Logits that each pitch from :data:`LOWEST_MIDI` sounds.
    bass : ndarray, shape (N_PITCHES,)
        Softmax logits over which is the lowest.
    plucked : float
        Logit that a plucked note or chord is here at all.
    kind : ndarray, shape (6, N_PITCHES)
        For each kind of string, heavy to light: log-odds that it sounds this pitch against that it stays silent.
    ln_stiffness, ln_stiffness_sigma : ndarray, shape (N_PITCHES,)
        Natural logarithm of B, were the pitch to sound, and its standard deviation.
    onset_s, onset_sigma_s : ndarray, shape (N_PITCHES,)
        When it began, after the first string.
    """

    pitch: Array
    bass: Array
    plucked: float
    kind: Array
    ln_stiffness: Array
    ln_stiffness_sigma: Array
    onset_s: Array
    onset_sigma_s: Array


# The network's units for its two measurements: ln B is centred on a middling string, onsets are in hundredths.
STIFFNESS_CENTRE, STIFFNESS_SCALE = -9.0, 1.0
ONSET_SCALE_S = 0.02


def _gelu(x: Array) -> Array:
    """Return the Gaussian error linear unit, tanh form, written over its input's copy."""
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
    centred = x - x.mean(axis=0)
    centred /= np.sqrt(np.square(centred).mean(axis=0) + np.float32(NORM_EPSILON))
    centred *= gain
    centred += shift
    return np.asarray(centred)


def _depthwise_matrix(kernel: Array) -> Array:
    """Return each channel's convolution over the grid as a matrix, shape (channels, positions, positions)."""
    offset = np.arange(N_GRID) - np.arange(N_GRID)[:, None] + KERNEL // 2
    inside = (offset >= 0) & (offset < KERNEL)
    return np.where(inside, kernel[:, np.clip(offset, 0, KERNEL - 1)], 0).astype(np.float32)


class TrainedNetwork:
    """The network with its weights.

    Parameters
    ----------
    weights : mapping of str to ndarray
        By layer, any float type; made by :mod:`listen.training`.
    """

    def __init__(self, weights: Mapping[str, NDArray[np.floating]]) -> None:
        w = {name: np.asarray(value, np.float32) for name, value in weights.items()}
        self._weights = w
        self._local = [(w[f"{c}.w"].reshape(len(w[f"{c}.b"]), -1), w[f"{c}.b"][:, None]) for c in ("local1", "local2")]
        self._stack = np.ascontiguousarray(w["stack.w"].T), w["stack.b"]
        self._index = make_harmonic_index()
        pool = w["pool.w"].transpose(0, 2, 1)
        self._pool = np.ascontiguousarray(pool.reshape(len(pool), -1)), w["pool.b"][:, None] + w["position"]
        self._trunk = self._read_blocks("trunk")
        self._place = self._read_blocks("place")

    def _read_blocks(self, name: str) -> list[tuple[Array, ...]]:
        w = self._weights
        n_blocks = len({key.split(".")[1] for key in w if key.startswith(f"{name}.") and key.split(".")[1].isdigit()})
        return [
            (
                _depthwise_matrix(w[f"{name}.{k}.deep.w"]),
                w[f"{name}.{k}.deep.b"][:, None],
                w[f"{name}.{k}.norm.g"][:, None],
                w[f"{name}.{k}.norm.b"][:, None],
                w[f"{name}.{k}.widen.w"],
                w[f"{name}.{k}.widen.b"][:, None],
                w[f"{name}.{k}.narrow.w"],
                w[f"{name}.{k}.narrow.b"][:, None],
            )
            for k in range(n_blocks)
        ]

    def _norm(self, h: Array, name: str) -> Array:
        return _normalise(h, self._weights[f"{name}.g"][:, None], self._weights[f"{name}.b"][:, None])

    def _linear(self, h: Array, name: str) -> Array:
        return np.asarray(self._weights[f"{name}.w"] @ h + self._weights[f"{name}.b"][:, None])

    def hear(self, bands: Array, shares: Array) -> TrainedOutput:
        """Run the network on one strum.

        Parameters
        ----------
        bands : ndarray, shape (N_CHANNELS, N_BANDS)
        shares : ndarray, shape (N_WINDOWS,)
            Both from :func:`listen.audio.cut_frontend.measure_cut_bands`.
        """
        x = bands
        for weight, bias in self._local:
            x = _gelu(_convolve(x, weight, bias))
        rows = np.concatenate([x.T, np.zeros((1, len(x)), np.float32)])
        weight, bias = self._stack
        told = self._linear(shares[:, None], "shares")[:, 0]
        h = _gelu(rows[self._index].reshape(len(self._index), -1) @ weight + (bias + told))
        weight, bias = self._pool
        runs = np.stack([h[k : k + STRIDE * (N_GRID - 1) + 1 : STRIDE] for k in range(POOL)], axis=1)
        trunk = _run_blocks(weight @ runs.reshape(N_GRID, -1).T + bias, self._trunk)
        place = _run_blocks(trunk, self._place)
        return self._read_heads(self._norm(trunk, "trunk.norm"), self._norm(place, "place.norm"))

    def _read_heads(self, trunk: Array, place: Array) -> TrainedOutput:
        known = slice(LOWEST_MIDI - GRID_MIDI, LOWEST_MIDI - GRID_MIDI + N_PITCHES)
        whole = np.concatenate([trunk.mean(axis=1), trunk.max(axis=1)])[:, None]
        whole_place = np.concatenate([place.mean(axis=1), place.max(axis=1)])[:, None]
        pitch, bass = self._linear(trunk, "pitch")[:, known]
        kind = self._linear(place, "kind")[:, known] - self._linear(whole_place, "silent")
        stiffness, stiffness_log_sigma, onset, onset_log_sigma = self._linear(place, "measure")[:, known]
        return TrainedOutput(
            pitch=pitch,
            bass=bass,
            plucked=float(self._linear(whole, "plucked")[0, 0]),
            kind=kind,
            ln_stiffness=STIFFNESS_CENTRE + STIFFNESS_SCALE * stiffness,
            ln_stiffness_sigma=STIFFNESS_SCALE * np.exp(stiffness_log_sigma),
            onset_s=ONSET_SCALE_S * onset,
            onset_sigma_s=ONSET_SCALE_S * np.exp(onset_log_sigma),
        )


def _run_blocks(h: Array, blocks: list[tuple[Array, ...]]) -> Array:
    for deep, deep_bias, gain, shift, widen, widen_bias, narrow, narrow_bias in blocks:
        t = np.matmul(deep, h[:, :, None])[:, :, 0] + deep_bias
        t = _gelu(widen @ _normalise(t, gain, shift) + widen_bias)
        h = h + (narrow @ t + narrow_bias)
    return h
