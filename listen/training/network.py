"""The trained network in torch: plain functions over a dictionary of parameters, named as in the package's weights.

:class:`listen.audio.trained_network.TrainedNetwork` runs the same layers in numpy.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import torch
from torch.nn import functional

from listen.audio import (
    GRID_MIDI,
    HARMONICS,
    KERNEL,
    LOWEST_MIDI,
    N_CHANNELS,
    N_GRID,
    N_KINDS,
    N_PITCHES,
    N_WINDOWS,
    NORM_EPSILON,
    POOL,
    STRIDE,
    make_harmonic_index,
)

Parameters = dict[str, torch.Tensor]
LOCAL_CHANNELS = (48, 32)
LOCAL_KERNELS = (7, 5)
RARE_LOGIT = -2.5  # of 56 pitches some five sound


@dataclass(frozen=True, slots=True)
class Output:
    """Logits and measurements of a batch; fields as :class:`listen.audio.trained_network.TrainedOutput`.

    Parameters
    ----------
    pitch, bass : Tensor, shape (B, N_PITCHES)
    plucked : Tensor, shape (B,)
    kinds : Tensor, shape (B, N_KINDS, 1 + N_PITCHES)
        Softmax logits, silent first.
    measure : Tensor, shape (B, 4, N_PITCHES)
        Stiffness, its ln sigma, onset, its ln sigma, in the network's units.
    """

    pitch: torch.Tensor
    bass: torch.Tensor
    plucked: torch.Tensor
    kinds: torch.Tensor
    measure: torch.Tensor


def make_parameters(*, width: int, trunk_blocks: int, place_blocks: int, seed: int) -> Parameters:
    """Draw initial weights (uniform, by fan-in; the last layer of each block nought, so that it begins as identity)."""
    generator = torch.Generator().manual_seed(seed)
    shapes: dict[str, tuple[int, ...]] = {}
    first, second = LOCAL_CHANNELS
    shapes["local1.w"] = (first, N_CHANNELS, LOCAL_KERNELS[0])
    shapes["local2.w"] = (second, first, LOCAL_KERNELS[1])
    shapes["stack.w"] = (width, len(HARMONICS) * second)
    shapes["shares.w"] = (width, N_WINDOWS)
    shapes["pool.w"] = (width, width, POOL)
    for part, n_blocks in (("trunk", trunk_blocks), ("place", place_blocks)):
        for k in range(n_blocks):
            shapes[f"{part}.{k}.deep.w"] = (width, KERNEL)
            shapes[f"{part}.{k}.widen.w"] = (2 * width, width)
            shapes[f"{part}.{k}.narrow.w"] = (width, 2 * width)
    shapes["pitch.w"] = (2, width)
    shapes["plucked.w"] = (1, 2 * width)
    shapes["kind.w"] = (N_KINDS, width)
    shapes["silent.w"] = (N_KINDS, 2 * width)
    shapes["measure.w"] = (4, width)
    parameters: Parameters = {}
    for name, shape in shapes.items():
        bound = float(np.prod(shape[1:])) ** -0.5
        weight = (2.0 * torch.rand(shape, generator=generator) - 1.0) * bound
        parameters[name] = torch.zeros(shape) if name.endswith("narrow.w") else weight
        parameters[name[:-1] + "b"] = torch.zeros(shape[0])
        if name.endswith("deep.w"):
            norm = name.replace("deep.w", "norm")
            parameters[f"{norm}.g"], parameters[f"{norm}.b"] = torch.ones(width), torch.zeros(width)
    for part in ("trunk", "place"):
        parameters[f"{part}.norm.g"], parameters[f"{part}.norm.b"] = torch.ones(width), torch.zeros(width)
    parameters["position"] = 0.02 * torch.randn(width, N_GRID, generator=generator)
    parameters["pitch.b"][0] = RARE_LOGIT
    return parameters


def _norm(h: torch.Tensor, parameters: Parameters, name: str) -> torch.Tensor:
    centred = h - h.mean(1, keepdim=True)
    scaled = centred * torch.rsqrt(centred.square().mean(1, keepdim=True) + NORM_EPSILON)
    return scaled * parameters[f"{name}.g"][:, None] + parameters[f"{name}.b"][:, None]


def _linear(h: torch.Tensor, parameters: Parameters, name: str) -> torch.Tensor:
    return functional.conv1d(h, parameters[f"{name}.w"][..., None], parameters[f"{name}.b"])


def _gelu(h: torch.Tensor) -> torch.Tensor:
    return functional.gelu(h, approximate="tanh")


def _run_blocks(h: torch.Tensor, parameters: Parameters, part: str) -> torch.Tensor:
    k = 0
    while (name := f"{part}.{k}") + ".deep.w" in parameters:
        deep = parameters[f"{name}.deep.w"][:, None]
        t = functional.conv1d(h, deep, parameters[f"{name}.deep.b"], padding=KERNEL // 2, groups=len(deep))
        t = _gelu(_linear(_norm(t, parameters, f"{name}.norm"), parameters, f"{name}.widen"))
        h = h + _linear(t, parameters, f"{name}.narrow")
        k += 1
    return h


def run_network(
    parameters: Parameters, bands: torch.Tensor, shares: torch.Tensor, index: torch.Tensor, *, apart: bool = False
) -> Output:
    """Run the network on a batch.

    Parameters
    ----------
    parameters : dict of str to Tensor
    bands : Tensor, shape (B, N_CHANNELS, N_BANDS)
    shares : Tensor, shape (B, N_WINDOWS)
    index : Tensor of int
        From :func:`find_harmonic_index`.
    apart : bool
        Whether what the place heads learn stops short of the trunk.
    """
    x = bands
    for name, kernel in zip(("local1", "local2"), LOCAL_KERNELS, strict=True):
        x = _gelu(functional.conv1d(x, parameters[f"{name}.w"], parameters[f"{name}.b"], padding=kernel // 2))
    rows = functional.pad(x, (0, 1)).transpose(1, 2)
    gathered = rows[:, index].flatten(2)
    told = functional.linear(shares, parameters["shares.w"], parameters["shares.b"])
    h = functional.linear(gathered, parameters["stack.w"], parameters["stack.b"]) + told[:, None]
    h = functional.conv1d(_gelu(h).transpose(1, 2), parameters["pool.w"], parameters["pool.b"], stride=STRIDE)
    trunk = _run_blocks(h + parameters["position"], parameters, "trunk")
    below = trunk.detach() if apart else trunk
    place = _norm(_run_blocks(below, parameters, "place"), parameters, "place.norm")
    trunk = _norm(trunk, parameters, "trunk.norm")
    known = slice(LOWEST_MIDI - GRID_MIDI, LOWEST_MIDI - GRID_MIDI + N_PITCHES)
    whole = torch.cat([trunk.mean(2), trunk.amax(2)], 1)[..., None]
    whole_place = torch.cat([place.mean(2), place.amax(2)], 1)[..., None]
    pitch = _linear(trunk, parameters, "pitch")[..., known]
    kinds = torch.cat([_linear(whole_place, parameters, "silent"), _linear(place, parameters, "kind")[..., known]], 2)
    return Output(
        pitch=pitch[:, 0],
        bass=pitch[:, 1],
        plucked=_linear(whole, parameters, "plucked")[:, 0, 0],
        kinds=kinds,
        measure=_linear(place, parameters, "measure")[..., known],
    )


def find_harmonic_index(device: str) -> torch.Tensor:
    """Return where each position's harmonics lie, on the device."""
    return torch.tensor(make_harmonic_index(), device=device)
