"""The layers that the networks are made of, for many strums at once.

A strum alone keeps a processor waiting for weights; several share each weight that is fetched (measured: 16 strums at
once take a third of the time of 16 strums one by one).

Conventions: float32; arrays are channels × positions × strums, so that one matrix product serves all strums.

References
----------
Bittner, McFee, Salamon, Li, Bello, "Deep salience representations for f0 estimation in polyphonic music", ISMIR 2017
(harmonics stacked as channels). Liu et al., "A ConvNet for the 2020s", CVPR 2022 (large-kernel depthwise blocks).
Hendrycks, Gimpel, "Gaussian error linear units", 2016.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float32]

AT_ONCE = 16  # strums; more of them only leave the processor's nearer memory
NORM_EPSILON = 1e-5  # keeps the quotient finite; that of PyTorch's LayerNorm
HARMONICS = (1 / 2, 1 / 3, *range(1, 13), 14, 16, 18, 20)
"""Of a position's frequency: what is stacked as channels."""


@dataclass(frozen=True, slots=True, eq=False)
class Affine:
    """A matrix and what is added after it.

    Parameters
    ----------
    weight : ndarray, shape (n_out, n_in)
    bias : ndarray, shape (n_out, 1)
    """

    weight: Array
    bias: Array

    def apply(self, x: Array) -> Array:
        """Apply it to every column of x, shape (n_in, n)."""
        product = self.weight @ x
        product += self.bias
        return np.asarray(product)


@dataclass(frozen=True, slots=True, eq=False)
class Block:
    """A block that sees the whole neck: a wide depthwise convolution, and a bottleneck the other way round.

    Parameters
    ----------
    deep : ndarray, shape (channels, positions, positions)
        Each channel's convolution as a matrix.
    deep_bias, gain, shift : ndarray, shape (channels, 1)
    widen, narrow : Affine
    """

    deep: Array
    deep_bias: Array
    gain: Array
    shift: Array
    widen: Affine
    narrow: Affine

    def apply(self, h: Array) -> Array:
        """Apply it to h, shape (channels, positions, strums)."""
        t = np.matmul(self.deep, h).reshape(len(h), -1)
        t += self.deep_bias
        t = gelu(self.widen.apply(normalise(t, self.gain, self.shift)))
        return np.asarray(h + self.narrow.apply(t).reshape(h.shape))


def split_strums(n_strums: int) -> Iterator[slice]:
    """Yield the strums a handful at a time."""
    for first in range(0, n_strums, AT_ONCE):
        yield slice(first, min(first + AT_ONCE, n_strums))


def gelu(x: Array) -> Array:
    """Return the Gaussian error linear unit, tanh form."""
    inner = x * x
    inner *= np.float32(0.044715 * 0.7978845608)
    inner += np.float32(0.7978845608)
    inner *= x
    np.tanh(inner, out=inner)
    inner += np.float32(1.0)
    inner *= x
    inner *= np.float32(0.5)
    return inner


def convolve(x: Array, layer: Affine) -> Array:
    """Convolve along positions, zero padded to the same length; the layer's weight is (out, in × kernel)."""
    n_in, n_positions, n_strums = x.shape
    kernel = layer.weight.shape[1] // n_in
    padded = np.zeros((n_in, n_positions + kernel - 1, n_strums), np.float32)
    padded[:, kernel // 2 : kernel // 2 + n_positions] = x
    runs = np.empty((n_in, kernel, n_positions, n_strums), np.float32)
    for place in range(kernel):
        runs[:, place] = padded[:, place : place + n_positions]
    return layer.apply(runs.reshape(n_in * kernel, -1)).reshape(-1, n_positions, n_strums)


def index_harmonics(first: int, n_positions: int, *, bands_per_semitone: int, n_bands: int) -> NDArray[np.intp]:
    """Return the bands of each position's harmonics, shape (positions, harmonics); ``n_bands`` is a band of zeros.

    Parameters
    ----------
    first : int
        The band of the first position.
    n_positions, bands_per_semitone, n_bands : int
    """
    offset = np.round(12 * bands_per_semitone * np.log2(np.array(HARMONICS))).astype(np.intp)
    index = first + np.arange(n_positions)[:, None] + offset
    return np.where((index >= 0) & (index < n_bands), index, n_bands)


def gather_harmonics(x: Array, index: NDArray[np.intp]) -> Array:
    """Gather each position's harmonics, shape (channels × harmonics, positions × strums).

    Parameters
    ----------
    x : ndarray, shape (channels, bands, strums)
    index : ndarray, shape (positions, harmonics)
        Bands; one past the last stands for silence.
    """
    n_channels, n_bands, n_strums = x.shape
    with_silence = np.zeros((n_channels, n_bands + 1, n_strums), np.float32)
    with_silence[:, :n_bands] = x
    return with_silence.take(index.T.ravel(), axis=1).reshape(n_channels * index.shape[1], -1)


def order_by_channel(weight: Array, n_harmonics: int) -> Array:
    """Return a weight of shape (out, harmonics × channels) as one of shape (out, channels × harmonics)."""
    by_harmonic = weight.reshape(len(weight), n_harmonics, -1)
    return np.ascontiguousarray(by_harmonic.transpose(0, 2, 1).reshape(len(weight), -1))


def pool(h: Array, layer: Affine, *, stride: int, width: int, n_positions: int) -> Array:
    """Pool runs of positions; the layer's weight is (out, width × in), and its bias may differ by position."""
    runs = np.stack([h[:, k : k + stride * (n_positions - 1) + 1 : stride] for k in range(width)])
    product = layer.weight @ runs.reshape(layer.weight.shape[1], -1)
    pooled = product.reshape(-1, n_positions, h.shape[2])
    pooled += layer.bias[:, :, None]
    return np.asarray(pooled)


def normalise(x: Array, gain: Array, shift: Array) -> Array:
    """Layer norm over channels, the first axis."""
    centred = x - x.mean(axis=0)
    centred /= np.sqrt(np.square(centred).mean(axis=0) + np.float32(NORM_EPSILON))
    centred *= gain
    centred += shift
    return np.asarray(centred)


def make_depthwise_matrix(kernel: Array, n_positions: int) -> Array:
    """Return each channel's convolution over the positions as a matrix, shape (channels, positions, positions).

    Parameters
    ----------
    kernel : ndarray, shape (channels, width)
    n_positions : int
    """
    width = kernel.shape[1]
    offset = np.arange(n_positions) - np.arange(n_positions)[:, None] + width // 2
    inside = (offset >= 0) & (offset < width)
    return np.where(inside, kernel[:, np.clip(offset, 0, width - 1)], 0).astype(np.float32)


def summarise(h: Array) -> Array:
    """Return each channel's mean and its largest over positions, shape (2 × channels, strums)."""
    return np.concatenate([h.mean(axis=1), h.max(axis=1)])


def run_blocks(h: Array, blocks: Sequence[Block]) -> Array:
    """Run blocks one after another."""
    for block in blocks:
        h = block.apply(h)
    return h
