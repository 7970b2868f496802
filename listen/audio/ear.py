"""Ears: samples of one strum in, evidence out.

An ear is anything with the one method of :class:`Ear`. The one that is here hears with two small networks (pitches
and bass by the one, strings by the other) and measures the physics of what sounds in the spectrum.

Conventions: seconds from the first sample; log-odds are natural and calibrated; the networks are given the recording
with its tuning offset taken out, so that what they hear lies on the tempered scale.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import cache
from importlib import resources
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from listen.audio.calibration import Calibration
from listen.audio.describe import describe_strum
from listen.audio.frontend import cut_segment, measure_bands
from listen.audio.network import LOWEST_MIDI, N_FRETS, N_PITCHES, OPEN_STRINGS_MIDI, StrumNetwork
from listen.audio.second_opinion import PITCH_CALIBRATION
from listen.audio.strum_sound import take_strum
from listen.audio.trained_ear import TrainedEar
from listen.audio.trained_network import TrainedNetwork
from listen.errors import bad_value
from listen.evidence import PitchEvidence, StrumEvidence, TimeSpan
from listen.log_odds import log_odds_of_classes
from listen.theory import Pitch

Samples = NDArray[np.float32]

EARS = ("trained", "trained alone", "simulated")
BASS_CALIBRATION = Calibration(slope=0.643)
"""Fitted on half of 624 strums (``python -m tests.benchmarks.calibrate_pitch --ear simulated --n 24``); on the other
half the expected calibration error of the basses fell from .033 to .019."""


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


class NetworkEar:
    """An ear of two networks: one that hears pitches and the bass, one that hears strings.

    Parameters
    ----------
    pitch_network, string_network : StrumNetwork
    """

    pitch_calibration = PITCH_CALIBRATION
    bass_calibration = BASS_CALIBRATION

    def __init__(self, pitch_network: StrumNetwork, string_network: StrumNetwork) -> None:
        self._pitch_network = pitch_network
        self._string_network = string_network

    def hear(
        self,
        samples: Samples,
        *,
        sample_rate_hz: int,
        onset_s: float,
        until_s: float | None = None,
        tuning_offset_cents: float | None = None,
        physics: bool = True,  # noqa: ARG002  (its refusal needs the physics)
    ) -> StrumEvidence:
        """Hear the strum that begins at an onset (see :class:`Ear`)."""
        sound = take_strum(
            samples,
            sample_rate_hz=sample_rate_hz,
            onset_s=onset_s,
            until_s=until_s,
            tuning_offset_cents=tuning_offset_cents,
        )
        bands = measure_bands(cut_segment(sound.samples, onset=sound.onset, end=sound.end))
        return describe_strum(sound, self._weigh_pitches(bands))

    def hear_all(
        self,
        samples: Samples,
        *,
        sample_rate_hz: int,
        spans: Sequence[TimeSpan],
        tuning_offset_cents: float | None = None,
        physics: bool = True,
    ) -> list[StrumEvidence]:
        """Hear several strums of a recording, one by one."""
        return [
            self.hear(
                samples, sample_rate_hz=sample_rate_hz, onset_s=span.start_s, until_s=span.end_s,
                tuning_offset_cents=tuning_offset_cents, physics=physics,
            )
            for span in spans
        ]  # fmt: skip

    def _weigh_pitches(self, bands: Samples) -> tuple[PitchEvidence, ...]:
        heard = self._pitch_network.hear(bands)
        pitch = self.pitch_calibration.apply(heard.pitch)
        bass = self.bass_calibration.apply(log_odds_of_classes(heard.bass))
        strings = _weigh_strings(self._string_network.hear(bands).string)
        return tuple(
            PitchEvidence(Pitch(LOWEST_MIDI + k), float(pitch[k]), float(bass[k]), string_log_odds=strings[k])
            for k in range(N_PITCHES)
        )


def _weigh_strings(logits: Samples) -> list[tuple[float, ...]]:
    """Turn each string's softmax over frets into log-odds, by pitch, of sounding it rather than staying silent."""
    weighed = []
    for midi in range(LOWEST_MIDI, LOWEST_MIDI + N_PITCHES):
        frets = [midi - open_midi for open_midi in OPEN_STRINGS_MIDI]
        weighed.append(
            tuple(
                float(row[1 + fret] - row[0]) if 0 <= fret < N_FRETS else -math.inf
                for row, fret in zip(logits, frets, strict=True)
            )
        )
    return weighed


def _load_weights(name: str) -> dict[str, NDArray[np.float32]]:
    file = resources.files("listen.audio").joinpath("weights", f"{name}.npz")
    with file.open("rb") as stream, np.load(stream, allow_pickle=False) as weights:
        return {layer: weights[layer] for layer in weights.files}


def _load_network(name: str) -> StrumNetwork:
    return StrumNetwork(_load_weights(name))


@cache
def load_ear(name: str = EARS[0]) -> Ear:
    """Load an ear from the package; the second call for the same name costs nothing.

    Parameters
    ----------
    name : str
        One of :data:`EARS`: the trained network with a second opinion on pitches, without it, or the two older ones.

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
    if name != "simulated":
        second = None if name == "trained alone" else _load_network("strum_pitches")
        return TrainedEar(TrainedNetwork(_load_weights("strum_trained")), second)
    return NetworkEar(_load_network("strum_pitches"), _load_network("strum_strings"))
