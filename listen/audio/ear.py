"""Ears: samples of one strum in, evidence out.

An ear is anything with the one method of :class:`Ear`. The one that is here hears with two small networks (pitches
and bass by the one, strings by the other) and measures the physics of what sounds in the spectrum.

Conventions: seconds from the first sample; log-odds are natural and calibrated; the networks are given the recording
with its tuning offset taken out, so that what they hear lies on the tempered scale.
"""

from __future__ import annotations

import math
from functools import cache
from importlib import resources
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from listen.audio.frontend import EAR_RATE_HZ, cut_segment, measure_bands
from listen.audio.network import LOWEST_MIDI, N_FRETS, N_PITCHES, OPEN_STRINGS_MIDI, StrumNetwork
from listen.audio.tuning_offset import estimate_tuning_offset
from listen.errors import bad_value
from listen.evidence import PitchEvidence, StrumEvidence, TimeSpan
from listen.theory import Pitch

Samples = NDArray[np.float32]

BEFORE_S, AFTER_S = 0.3, 1.6
"""What is taken of the recording around an onset."""
UNSURE_OFFSET_CENTS = 12.0
"""An offset that is no surer than this is not acted on."""
EARS = ("simulated",)


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
        """
        ...


class NetworkEar:
    """An ear of two networks: one that hears pitches and the bass, one that hears strings.

    Parameters
    ----------
    pitch_network, string_network : StrumNetwork
    """

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
    ) -> StrumEvidence:
        """Hear the strum that begins at an onset (see :class:`Ear`)."""
        duration_s = len(samples) / sample_rate_hz
        if not 0.0 <= onset_s < duration_s:
            raise bad_value("onset", onset_s, allowed=f"a time within the recording's {duration_s:.2f} s")
        end_s = duration_s if until_s is None else min(until_s, duration_s)
        if not end_s > onset_s:
            raise bad_value("until", until_s, allowed=f"a time after the onset at {onset_s:.2f} s")
        first_s = max(0.0, onset_s - BEFORE_S)
        last_s = min(end_s, onset_s + AFTER_S)
        piece = samples[round(first_s * sample_rate_hz) : round(last_s * sample_rate_hz)]
        if tuning_offset_cents is None:
            heard = resample(piece, sample_rate_hz=sample_rate_hz, to_hz=EAR_RATE_HZ)
            offset = estimate_tuning_offset(heard, sample_rate_hz=EAR_RATE_HZ, onset_s=onset_s - first_s)
            tuning_offset_cents = offset.value if offset.sigma < UNSURE_OFFSET_CENTS else 0.0
        stretch = 2.0 ** (tuning_offset_cents / 1200.0)
        heard = resample(piece, sample_rate_hz=sample_rate_hz, to_hz=EAR_RATE_HZ * stretch)
        onset = round((onset_s - first_s) * EAR_RATE_HZ * stretch)
        bands = measure_bands(cut_segment(heard, onset=onset))
        pitches = self._weigh_pitches(bands)
        return StrumEvidence(TimeSpan(onset_s, end_s), pitches, tuning_offset_cents=tuning_offset_cents)

    def _weigh_pitches(self, bands: Samples) -> tuple[PitchEvidence, ...]:
        heard = self._pitch_network.hear(bands)
        bass = _softmax_to_log_odds(heard.bass)
        strings = _weigh_strings(self._string_network.hear(bands).string)
        return tuple(
            PitchEvidence(Pitch(LOWEST_MIDI + k), float(heard.pitch[k]), float(bass[k]), string_log_odds=strings[k])
            for k in range(N_PITCHES)
        )


def _softmax_to_log_odds(logits: Samples) -> NDArray[np.float64]:
    """Turn softmax logits into the log-odds of each class against all others together."""
    others = np.where(np.eye(len(logits), dtype=bool), -np.inf, logits.astype(np.float64)[None, :])
    highest = others.max(axis=1)
    return np.asarray(logits - highest - np.log(np.exp(others - highest[:, None]).sum(axis=1)))


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


def resample(samples: Samples, *, sample_rate_hz: float, to_hz: float) -> Samples:
    """Resample with the SoX resampler (band limited)."""
    if sample_rate_hz == to_hz:
        return samples.astype(np.float32, copy=False)
    import soxr

    return np.asarray(soxr.resample(samples.astype(np.float32, copy=False), sample_rate_hz, to_hz, quality="HQ"))


def _load_network(name: str) -> StrumNetwork:
    file = resources.files("listen.audio").joinpath("weights", f"{name}.npz")
    with file.open("rb") as stream, np.load(stream, allow_pickle=False) as weights:
        return StrumNetwork({layer: weights[layer] for layer in weights.files})


@cache
def load_ear(name: str = EARS[0]) -> Ear:
    """Load an ear from the package; the second call for the same name costs nothing.

    Parameters
    ----------
    name : str
        One of :data:`EARS`.

    Examples
    --------
    >>> ear = load_ear()
    >>> time_s = np.arange(16000) / 16000
    >>> quiet = np.zeros(16000, np.float32)
    >>> len(ear.hear(quiet, sample_rate_hz=16000, onset_s=0.0).pitches)
    51
    """
    if name not in EARS:
        raise bad_value("ear", name, allowed=" or ".join(EARS))
    return NetworkEar(_load_network("strum_pitches"), _load_network("strum_strings"))
