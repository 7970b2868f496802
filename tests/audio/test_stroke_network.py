"""The network that finds strokes: the weights are those of the card, and what it says of a frame has a reach."""

import hashlib
import re
from importlib import resources
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.audio.stroke_network import DILATIONS, StrokeNetwork
from listen.audio.weight_files import load_weights

CARD = Path(__file__).parents[2] / "docs" / "ear.md"
N_BANDS, TAPS = 94, 5


@pytest.fixture(scope="module")
def network() -> StrokeNetwork:
    return StrokeNetwork(load_weights("strokes"))


def _draw(n_frames: int) -> NDArray[np.float32]:
    return np.random.default_rng(3).normal(-0.4, 1.0, (n_frames, N_BANDS)).astype(np.float32)


def test_the_weights_are_those_of_the_card() -> None:
    weights = resources.files("listen.audio").joinpath("weights", "strokes.npz").read_bytes()
    assert hashlib.sha256(weights).hexdigest() in re.findall(r"[0-9a-f]{64}", CARD.read_text(encoding="utf-8"))


def test_a_frame_is_said_from_as_far_as_the_dilations_reach(network: StrokeNetwork) -> None:
    reach = TAPS // 2 * (1 + sum(DILATIONS))
    bands = _draw(2 * reach + 40)
    other = bands.copy()
    other[-20:] += 1.0
    first = len(bands) - 20 - reach
    said, said_other = network.hear(bands).stroke, network.hear(other).stroke
    assert np.allclose(said[:first], said_other[:first], atol=1e-4)
    assert not np.allclose(said[first:], said_other[first:], atol=1e-4)


def test_layers_are_convolutions_over_time(network: StrokeNetwork) -> None:
    """Held to numpy.convolve, a channel at a time."""
    weights = {name: np.asarray(value, np.float32) for name, value in load_weights("strokes").items()}
    bands = _draw(50)
    said = network._convolve(bands, "i", 1)
    kernel = weights["i.weight"][7]
    rows = [np.convolve(bands[:, band], kernel[band, ::-1], "same") for band in range(N_BANDS)]
    assert said[:, 7] == pytest.approx(np.sum(rows, axis=0) + weights["i.bias"][7], abs=1e-3)
