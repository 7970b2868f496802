"""A second opinion: another network's view of the pitches, which moves the first one's by a little.

Two networks that were trained apart, on simulators of their own, seldom err in the same place (an ensemble in the
sense of Hansen and Salamon). The second knows less: it was never taught strums that are cut short, nor voices. So it
may settle what the first is in doubt about and never overrules it: a pitch moves half the way towards it, and no
farther than :data:`MOST_NATS`.

References
----------
L. K. Hansen, P. Salamon, "Neural network ensembles", IEEE Transactions on Pattern Analysis and Machine Intelligence
12(10), 1990.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from listen.audio.calibration import Calibration
from listen.audio.frontend import N_LEAD, N_SEGMENT, measure_all_bands
from listen.audio.network import LOWEST_KNOWN_MIDI, N_KNOWN, StrumNetwork
from listen.audio.strum_sound import StrumSound
from listen.audio.trained_network import LOWEST_MIDI, N_PITCHES

Array = NDArray[np.float64]

PITCH_CALIBRATION = Calibration(slope=0.627)
"""Of the second network by itself: fitted on half of 624 strums; on the other half the expected calibration error of
the notes called sounding fell from .028 to .024."""
SHARE = 0.5  # of the way towards the second, as said above; judged, not measured
MOST_NATS = 1.5
"""Chosen on 2,160 strums, where anything from 0.7 to 2 nats did as well and no bound did worse. On 1,620 others
(``python -m tests.benchmarks.ear_weights --n 60 --seed 17``, without the rows "found") the share of exact pitch sets
rose from .917 to .925."""


def hear_seconds(network: StrumNetwork, sounds: Sequence[StrumSound]) -> Array:
    """Return the second network's log-odds of several strums.

    Returns
    -------
    ndarray, shape (n, N_PITCHES)
        Of the pitches that the trained network knows; NaN for those that the second does not know.
    """
    segments = np.stack([sound.cut_segment(n_lead=N_LEAD, n_samples=N_SEGMENT) for sound in sounds])
    opinions = np.full((len(sounds), N_PITCHES), np.nan)
    first = LOWEST_KNOWN_MIDI - LOWEST_MIDI
    opinions[:, first : first + N_KNOWN] = PITCH_CALIBRATION.apply(network.hear_all(measure_all_bands(segments)))
    return opinions


def join_opinions(first: Array, second: Array) -> Array:
    """Move the first log-odds towards the second; where the second is NaN they stay.

    Examples
    --------
    >>> join_opinions(np.array([-1.0, -1.0, 4.0, 0.5]), np.array([2.0, np.nan, -4.0, 0.7])).round(2).tolist()
    [0.5, -1.0, 2.5, 0.6]
    """
    moved = np.clip(SHARE * (second - first), -MOST_NATS, MOST_NATS)
    return np.asarray(first + np.nan_to_num(moved))
