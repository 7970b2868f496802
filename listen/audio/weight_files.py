"""The weights that come with the package, by name."""

from __future__ import annotations

from importlib import resources

import numpy as np
from numpy.typing import NDArray


def load_weights(name: str) -> dict[str, NDArray[np.float32]]:
    """Load a network's weights, by layer.

    Parameters
    ----------
    name : str
        Of a file in ``weights``, without its ending.
    """
    file = resources.files("listen.audio").joinpath("weights", f"{name}.npz")
    with file.open("rb") as stream, np.load(stream, allow_pickle=False) as weights:
        return {layer: weights[layer] for layer in weights.files}
