"""The network that finds strokes, in torch: plain functions over a dictionary of parameters, named as in the weights.

Five frames of all bands become channels; seven residual blocks look ever farther to either side (a dilated convolution,
then one that joins channels); four logits for each frame come out: a stroke begins, it is damped, it goes down, and one
that is not used. `listen.audio` runs the same layers in numpy.

References
----------
Yu, Koltun, "Multi-scale context aggregation by dilated convolutions", ICLR 2016. Hendrycks, Gimpel, "Gaussian error
linear units", 2016 (the tanh form).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import torch
from torch.nn import functional

from listen.audio import DILATIONS
from listen.training.network import Parameters

N_STROKE_OUTPUTS = 4
TAPS = 5  # frames that a convolution joins


def make_stroke_parameters(*, n_bands: int, width: int, seed: int) -> Parameters:
    """Draw initial weights (uniform, by fan-in)."""
    generator = torch.Generator().manual_seed(seed)
    shapes = {"i": (width, n_bands, TAPS)}
    for k in range(len(DILATIONS)):
        shapes[f"bl.{k}.a"] = (width, width, TAPS)
        shapes[f"bl.{k}.b"] = (width, width, 1)
    shapes["o"] = (N_STROKE_OUTPUTS, width, 1)
    parameters: Parameters = {}
    for name, shape in shapes.items():
        bound = 1.0 / math.sqrt(shape[1] * shape[2])
        parameters[f"{name}.weight"] = bound * (2.0 * torch.rand(shape, generator=generator) - 1.0)
        parameters[f"{name}.bias"] = bound * (2.0 * torch.rand(shape[0], generator=generator) - 1.0)
    return parameters


def run_stroke_network(parameters: Parameters, bands: torch.Tensor) -> torch.Tensor:
    """Run the network.

    Parameters
    ----------
    parameters : dict of str to Tensor
    bands : Tensor, shape (B, n_bands, n_frames)

    Returns
    -------
    Tensor, shape (B, 4, n_frames)
        Logits.
    """
    x = functional.gelu(_convolve(parameters, "i", bands), approximate="tanh")
    for k, dilation in enumerate(DILATIONS):
        inner = functional.gelu(_convolve(parameters, f"bl.{k}.a", x, dilation=dilation), approximate="tanh")
        x = x + _convolve(parameters, f"bl.{k}.b", inner)
    return _convolve(parameters, "o", x)


def write_stroke_weights(parameters: Parameters, out: Path) -> None:
    """Write weights as float16, atomically: a run that is cut off leaves the last ones whole."""
    arrays = {name: value.detach().cpu().numpy().astype(np.float16) for name, value in parameters.items()}
    partial = out.with_name(f"{out.name}.partial")
    with partial.open("wb") as file:
        np.savez(file, **arrays)
    partial.replace(out)


def load_stroke_parameters(weights: Mapping[str, np.ndarray]) -> Parameters:
    """Return written weights as parameters."""
    return {name: torch.from_numpy(np.asarray(weights[name], np.float32)) for name in weights}


def _convolve(parameters: Parameters, name: str, x: torch.Tensor, *, dilation: int = 1) -> torch.Tensor:
    weight = parameters[f"{name}.weight"]
    padding = dilation * (weight.shape[2] // 2)
    return functional.conv1d(x, weight, parameters[f"{name}.bias"], padding=padding, dilation=dilation)
