"""Write the golden outputs of the network of the second opinion with the code it was trained with.

    python -m tests.audio.regenerate_networks FOLDER

FOLDER holds that code (``infer_np.py``, ``frontend.py``) and its weights: it is an independent implementation, kept
outside this repository, from which the package's own front end and network were rewritten.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import numpy as np

from tests.audio.sounds import make_plucked

GOLDEN = Path(__file__).parent / "golden" / "networks.npz"
ONSET_S = 0.3
STRUMS = ((40, 47, 52, 56, 59, 64), (45, 57, 64, 72, 76), (43, 50))
WEIGHTS = {"strum_pitches": "weights_book_quarter.npz"}


def main(folder: str) -> None:
    """Run the other implementation on strums of sines."""
    sys.path.insert(0, folder)
    import frontend  # type: ignore[import-not-found]
    import infer_np  # type: ignore[import-not-found]

    golden: dict[str, Any] = {}
    for name, file in WEIGHTS.items():
        network = infer_np.NumpyNet(str(Path(folder) / file))
        for index, midis in enumerate(STRUMS):
            samples = make_plucked(tuple(float(midi) for midi in midis), sample_rate_hz=16_000)
            bands = network.fe(frontend.segment_np(samples, round(ONSET_S * 16_000)))
            golden[f"{name}.{index}.pitch"], _, _ = network.net(bands)
    GOLDEN.parent.mkdir(exist_ok=True)
    np.savez_compressed(GOLDEN, **golden)


if __name__ == "__main__":
    main(sys.argv[1])
