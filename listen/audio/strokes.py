"""Strokes of a whole part: where each begins and which way it goes, when strings still ring from the stroke before.

:mod:`listen.audio.onset` finds the strum of a short take. In a part the next stroke comes after 100 ms to a second
while the last one sounds, its strings may be drawn over a third of a second, and a soft instrument has no click to go
by: so a network is asked (:mod:`listen.audio.stroke_network`), and what it is unsure of is settled later, by the time
that the hand keeps.

Conventions: seconds from the first sample; levels in dB.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from listen.audio.stroke_network import StrokeNetwork
from listen.audio.stroke_spectra import FRAMES_A_SECOND, STROKE_RATE_HZ, measure_band_power, measure_stroke_bands
from listen.audio.weight_files import load_weights
from listen.log_odds import logistic

Samples = NDArray[np.float32]
Floats = NDArray[np.float32]

LEAST_CHANCE = 0.25  # by the network's own word: less is no stroke; judged
NEXT_FRAMES = 8  # strokes follow each other no faster than 40 ms; judged
EDGE_S = 0.03  # before the end of a recording: what begins there is the cut
SLOPE, BIAS = 1.7, 0.2
"""From the network's logit to the log-odds of a stroke, by reading a table of 60 drawn scenes: of what it calls .20,
.53, .75 and .86 likely, .11, .43, .83 and .97 are strokes."""
DOWN_SLOPE, DOWN_BIAS, MOST_LEAN = 0.65, -0.7, 3.5
"""From its logit of down to the log-odds: on 140 parts as people play them of a logit of .8, 2.5 and 4.2 .32, .57 and
.82 went down. No single stroke is surer of its way than the last number; judged."""
# Of 1,942 strokes that sound, 1 in 100 falls by more than 7.5 dB in 0.1 s; of 48 muted ones all by more than 35.
MUTED_SUSTAIN_DB = -15.0
KNOCK_SUSTAIN_DB = -6.0  # a knock while the chord rings on
KNOCK_FLATNESS = 0.45  # strokes that sound: .53 at the 95th percentile, median .26; bursts of noise: median .50
QUIETEST_POWER = 1e-10  # −100 dB: keeps logarithms finite
SILENT_POWER = 1e-9  # of all bands, full scale 1: a recording without more has no strokes


@dataclass(frozen=True, slots=True)
class StrokeOnset:
    """One stroke.

    Parameters
    ----------
    onset_s : float
        When its first string begins to sound.
    level_db : float
        Level of its first 80 ms against full scale.
    sustain_db : float
        Level from 70 to 130 ms after the onset against the loudest moment of the first 50 ms: a string goes on, a
        knock does not.
    gain_db : float
        The same level against that just before the stroke.
    flatness : float
        Geometric over arithmetic mean of the bands in the first 40 ms, 0..1: high for noise.
    late : float
        Chance that it is none: late strings of the stroke before, or another sound, 0..1.
    lean : float
        Log-odds that it went down.
    """

    onset_s: float
    level_db: float
    sustain_db: float = 0.0
    gain_db: float = 0.0
    flatness: float = 0.0
    late: float = 0.0
    lean: float = 0.0

    @property
    def is_hit(self) -> bool:
        """Whether it is a muted stroke or a knock: it stops at once, or adds nothing but noise to what rings."""
        through = self.sustain_db < KNOCK_SUSTAIN_DB and self.gain_db < 0.5 and self.flatness > KNOCK_FLATNESS
        return self.sustain_db < MUTED_SUSTAIN_DB or through


def find_strokes(samples: Samples) -> tuple[StrokeOnset, ...]:
    """Find the strokes of a stretch of a part.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, at :data:`~listen.audio.STROKE_RATE_HZ`

    Returns
    -------
    tuple of StrokeOnset
        In time order; empty for silence. Knocks and damped strokes are found too.

    Examples
    --------
    >>> time_s = np.arange(32000) / STROKE_RATE_HZ
    >>> pluck = sum(np.sin(1231.5 * k * time_s) / k for k in range(1, 12)) * np.exp(-3 * time_s)
    >>> played = np.roll(pluck, 8000) * (time_s > 0.5) + np.roll(pluck, 16000) * (time_s > 1.0)
    >>> [round(stroke.onset_s, 1) for stroke in find_strokes(played.astype(np.float32))]
    [0.5, 1.0]
    """
    bands = measure_band_power(samples)
    power = bands.sum(axis=1)
    if float(power.max(initial=0.0)) < SILENT_POWER:
        return ()
    said = _load_network().hear(measure_stroke_bands(samples, short=bands))
    last_s = len(samples) / STROKE_RATE_HZ - EDGE_S
    return tuple(
        _describe(
            bands, power, start, float(said.stroke[start]), float(said.down[max(0, start - 1) : start + 3].mean())
        )
        for start in _pick_peaks(logistic(said.stroke))
        if start / FRAMES_A_SECOND <= last_s
    )


@cache
def _load_network() -> StrokeNetwork:
    return StrokeNetwork(load_weights("strokes"))


def _pick_peaks(chances: NDArray[np.float64]) -> list[int]:
    """Take local maxima."""
    view = np.lib.stride_tricks.sliding_window_view
    highest = view(np.pad(chances, NEXT_FRAMES), 2 * NEXT_FRAMES + 1).max(axis=1)
    return np.flatnonzero((chances >= highest) & (chances > LEAST_CHANCE)).tolist()


def _describe(bands: Floats, power: Floats, start: int, stroke: float, down: float) -> StrokeOnset:
    """Measure how a stroke begins and goes on; ``start`` counts frames, the last two are the network's logits."""
    attack = float(power[start : start + 10].max())
    sustain = float(power[start + 14 : start + 26].mean()) if start + 14 < len(power) else attack
    before = float(power[max(0, start - 9) : max(1, start - 1)].mean())
    head = bands[start : start + 8].mean(axis=0) + QUIETEST_POWER
    return StrokeOnset(
        onset_s=start / FRAMES_A_SECOND,
        level_db=_to_db(float(power[start : start + 16].mean())),
        sustain_db=_to_db(sustain) - _to_db(attack),
        gain_db=_to_db(sustain) - _to_db(before),
        flatness=float(np.exp(np.log(head).mean()) / head.mean()),
        late=float(logistic(np.array(-SLOPE * stroke - BIAS))),
        lean=float(np.clip(DOWN_SLOPE * down + DOWN_BIAS, -MOST_LEAN, MOST_LEAN)),
    )


def _to_db(power: float) -> float:
    return 10.0 * float(np.log10(power + QUIETEST_POWER))
