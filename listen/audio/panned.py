"""Two guitars, one on the left and one on the right: told by how little the two sides have to do with each other.

One guitar through two microphones gets louder and softer in the same bands at the same time on both sides, whatever
the phases; two guitars do not.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio.decode import decode_blocks, probe_recording
from listen.audio.stroke_spectra import STROKE_RATE_HZ, measure_band_power

LOOK_S = 20.0  # so much of a recording is looked at: judged, not measured
LEAST_COMMON = 0.5
"""Correlation of the sides' band levels over time: of one guitar through two rooms or tones .76 to .99, of two seeded
parts .03 to .20."""
# of a band's loudest that keeps its logarithm finite; sides farther apart are one guitar; judged
LOUD_SHARE, MOST_APART_DB = 1e-3, 15.0
SILENT_POWER = 1e-10  # -100 dB
FRAME = 10  # of 5 ms: levels are compared over 50 ms


def are_panned_apart(path: Path | str, *, start_s: float = 0.0) -> bool:
    """Return whether left and right hold different players.

    Parameters
    ----------
    path : Path or str
    start_s : float
        Where to begin; twenty seconds are looked at.
    """
    info = probe_recording(path)
    if info.n_channels != 2:
        return False
    import soxr

    end_s = min(start_s + LOOK_S, info.duration_s)
    blocks = [*decode_blocks(info, start_s=start_s, end_s=end_s)]
    sides = np.concatenate(blocks) if blocks else np.zeros((0, 2), np.float32)
    sides = sides - sides.mean(axis=0) if len(sides) else sides
    peak = float(np.abs(sides).max(initial=0.0))
    sides = np.asarray(soxr.resample(sides / max(peak, 1.0), info.sample_rate_hz, STROKE_RATE_HZ), np.float32)
    return len(sides) > STROKE_RATE_HZ and measure_common(sides[:, 0], sides[:, 1]) < LEAST_COMMON


def measure_common(left: NDArray[np.float32], right: NDArray[np.float32]) -> float:
    """Measure how far two sides rise and fall together, -1..1; 1 where one is far quieter or both are silent."""
    power = [float(np.square(side, dtype=np.float64).mean()) + 1e-12 for side in (left, right)]
    if max(power) < SILENT_POWER or abs(10.0 * np.log10(power[0] / power[1])) > MOST_APART_DB:
        return 1.0
    levels = []
    for side in (left, right):
        bands = measure_band_power(side)
        n = len(bands) // FRAME
        mean = bands[: n * FRAME].reshape(n, FRAME, -1).mean(axis=1)
        level = np.log(mean + LOUD_SHARE * float(mean.max()) + 1e-12)
        levels.append((level - level.mean(axis=0)).ravel())
    return float(np.corrcoef(levels)[0, 1])
