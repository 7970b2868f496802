"""The trained network: from cut spectra to pitches, bass, strings, stiffness, and whether a string was plucked.

Two local convolutions along the bands; each pitch's harmonics gathered (the idea of the harmonic constant-Q
transform); blocks that see the whole neck. One trunk hears pitches; the place (which kind of string, how stiff) is
read by blocks of its own above the trunk, which in training never saw a shape from a chord book.

Conventions: arrays are channels × positions, and × strums where there are several; positions are bands of 25 cents,
then semitones from :data:`GRID_MIDI`.

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
    summarise,
)

Array = NDArray[np.float32]

LOWEST_MIDI, HIGHEST_MIDI = 33, 88  # the pitches that the heads know: A1 to E6
N_PITCHES = HIGHEST_MIDI - LOWEST_MIDI + 1
N_KINDS = 6
GRID_MIDI, N_GRID = 31, 60
MARGIN = 2  # bands below and above the grid that the pooling convolution reads
STRIDE, POOL = BANDS_PER_SEMITONE, 2 * BANDS_PER_SEMITONE
KERNEL = 49  # semitones


def make_harmonic_index() -> NDArray[np.intp]:
    """Return the bands of each position's harmonics (see :func:`listen.audio.layers.index_harmonics`)."""
    return index_harmonics(
        (GRID_MIDI - LOWEST_BAND_MIDI) * BANDS_PER_SEMITONE - MARGIN,
        N_GRID * BANDS_PER_SEMITONE + 2 * MARGIN,
        bands_per_semitone=BANDS_PER_SEMITONE,
        n_bands=N_BANDS,
    )


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
    """

    pitch: Array
    bass: Array
    plucked: float
    kind: Array
    ln_stiffness: Array
    ln_stiffness_sigma: Array


STIFFNESS_CENTRE, STIFFNESS_SCALE = -9.0, 1.0  # the network's units: ln B is centred on a middling string


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
        self._local = [self._read_affine("local1"), self._read_affine("local2")]
        self._stack = Affine(order_by_channel(w["stack.w"], len(HARMONICS)), w["stack.b"][:, None])
        self._index = make_harmonic_index()
        pooled = w["pool.w"].transpose(0, 2, 1)
        self._pool = Affine(
            np.ascontiguousarray(pooled.reshape(len(pooled), -1)), np.asarray(w["pool.b"][:, None] + w["position"])
        )
        self._trunk = self._read_blocks("trunk")
        self._place = self._read_blocks("place")
        self._heads = {
            name: self._read_affine(name) for name in ("shares", "pitch", "kind", "silent", "measure", "plucked")
        }

    def _read_affine(self, name: str) -> Affine:
        bias = self._weights[f"{name}.b"]
        return Affine(self._weights[f"{name}.w"].reshape(len(bias), -1), bias[:, None])

    def _read_blocks(self, name: str) -> list[Block]:
        w = self._weights
        n_blocks = len({key.split(".")[1] for key in w if key.startswith(f"{name}.") and key.split(".")[1].isdigit()})
        return [
            Block(
                make_depthwise_matrix(w[f"{name}.{k}.deep.w"], N_GRID),
                w[f"{name}.{k}.deep.b"][:, None],
                w[f"{name}.{k}.norm.g"][:, None],
                w[f"{name}.{k}.norm.b"][:, None],
                self._read_affine(f"{name}.{k}.widen"),
                self._read_affine(f"{name}.{k}.narrow"),
            )
            for k in range(n_blocks)
        ]

    def _norm(self, h: Array, name: str) -> Array:
        gain, shift = self._weights[f"{name}.g"][:, None], self._weights[f"{name}.b"][:, None]
        return normalise(h.reshape(len(h), -1), gain, shift).reshape(h.shape)

    def hear_all(self, bands: Array, shares: Array) -> list[TrainedOutput]:
        """Run the network on many strums.

        Parameters
        ----------
        bands : ndarray, shape (n, N_CHANNELS, N_BANDS)
        shares : ndarray, shape (n, N_WINDOWS)
            Both from :func:`listen.audio.cut_frontend.measure_all_cut_bands`.
        """
        heard: list[TrainedOutput] = []
        for some in split_strums(len(bands)):
            x = np.ascontiguousarray(bands[some].transpose(1, 2, 0))
            n_strums = x.shape[2]
            for layer in self._local:
                x = gelu(convolve(x, layer))
            h = self._stack.apply(gather_harmonics(x, self._index)).reshape(-1, len(self._index), n_strums)
            h += self._heads["shares"].apply(np.ascontiguousarray(shares[some].T))[:, None]
            pooled = pool(gelu(h), self._pool, stride=STRIDE, width=POOL, n_positions=N_GRID)
            trunk = run_blocks(pooled, self._trunk)
            place = run_blocks(trunk, self._place)
            heard.extend(self._read_heads(self._norm(trunk, "trunk.norm"), self._norm(place, "place.norm")))
        return heard

    def _linear(self, h: Array, name: str) -> Array:
        return self._heads[name].apply(h.reshape(len(h), -1)).reshape(-1, *h.shape[1:])

    def _read_heads(self, trunk: Array, place: Array) -> list[TrainedOutput]:
        known = slice(LOWEST_MIDI - GRID_MIDI, LOWEST_MIDI - GRID_MIDI + N_PITCHES)
        pitch, bass = self._linear(trunk, "pitch")[:, known]
        kind = self._linear(place, "kind")[:, known] - self._linear(summarise(place), "silent")[:, None]
        stiffness, stiffness_log_sigma = self._linear(place, "measure")[:2, known]  # the others helped in training only
        plucked = self._linear(summarise(trunk), "plucked")[0]
        return [
            TrainedOutput(
                pitch=pitch[:, strum],
                bass=bass[:, strum],
                plucked=float(plucked[strum]),
                kind=kind[..., strum],
                ln_stiffness=STIFFNESS_CENTRE + STIFFNESS_SCALE * stiffness[:, strum],
                ln_stiffness_sigma=STIFFNESS_SCALE * np.exp(stiffness_log_sigma[:, strum]),
            )
            for strum in range(len(plucked))
        ]
