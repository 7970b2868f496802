"""Ears: samples of one strum in, evidence out.

An ear is anything with the methods of :class:`Ear`. The one here hears with a small network and a second opinion
on pitches, and measures the physics of what sounds in the spectrum (:mod:`listen.audio.trained_ear`).

Conventions: seconds from the first sample; log-odds are natural and calibrated; the networks are given the recording
with its tuning offset taken out, so that what they hear lies on the tempered scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from listen.audio.network import StrumNetwork
from listen.audio.trained_ear import TrainedEar
from listen.audio.trained_network import TrainedNetwork
from listen.audio.weight_files import load_weights
from listen.errors import bad_value
from listen.evidence import StrumEvidence, TimeSpan

Samples = NDArray[np.float32]

EARS = ("trained", "trained alone")


class Ear(Protocol):
    """Something that hears one strum."""

    def hear(
        self,
        samples: Samples,
        *,
        sample_rate_hz: int,
        onset_s: float,
        until_s: float | None = None,
        tuning_offset_cents: float | None = None,
        physics: bool = True,
    ) -> StrumEvidence:
        """Hear the strum that begins at an onset.

        Parameters
        ----------
        samples : ndarray, shape (n,), mono
            The recording, or a part of it that holds the strum and 0.3 s before it.
        sample_rate_hz : int
        onset_s : float
        until_s : float or None
            The next onset: samples after it are not looked at.
        tuning_offset_cents : float or None
            Where it is known from the whole recording; otherwise it is estimated from the strum.
        physics : bool
            Whether the physics of the notes is measured in any case. If not, an ear may leave it out where it has no
            doubt that strings were plucked, which takes half the time.
        """
        ...

    def hear_all(
        self,
        samples: Samples,
        *,
        sample_rate_hz: int,
        spans: Sequence[TimeSpan],
        tuning_offset_cents: float | None = None,
        physics: bool = True,
    ) -> list[StrumEvidence]:
        """Hear several strums of one recording: the same as one by one, in less time.

        Parameters
        ----------
        samples, sample_rate_hz, tuning_offset_cents, physics
            As for :meth:`hear`.
        spans : sequence of TimeSpan
            Each strum's onset, and until when it may be listened to.
        """
        ...


@cache
def load_ear(name: str = EARS[0]) -> Ear:
    """Load an ear from the package; the second call for the same name costs nothing.

    Parameters
    ----------
    name : str
        One of :data:`EARS`: the trained network with a second opinion on pitches, or without it.

    Examples
    --------
    >>> ear = load_ear()
    >>> time_s = np.arange(16000) / 16000
    >>> quiet = np.zeros(16000, np.float32)
    >>> len(ear.hear(quiet, sample_rate_hz=16000, onset_s=0.0).pitches)
    56
    """
    if name not in EARS:
        raise bad_value("ear", name, allowed=" or ".join(EARS))
    second = None if name == "trained alone" else StrumNetwork(load_weights("strum_pitches"))
    return TrainedEar(TrainedNetwork(load_weights("strum_trained")), second)
