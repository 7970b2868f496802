"""The trained ear: one network of the project's own, made by :mod:`listen.training`, that hears a strum up to a cut.

It says of every pitch from A1 to E6 how likely it sounds and on which kind of string, and of the sound as a whole
whether a string was plucked at all. What can be measured in the spectrum once the pitches are known is added as for
every ear. `docs/ear.md` has how it was made and what it reaches.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.audio.calibration import Calibration
from listen.audio.cut_frontend import N_AFTER, N_LEAD, N_SEGMENT, measure_cut_bands
from listen.audio.describe import describe_strum
from listen.audio.strum_sound import StrumSound, take_strum
from listen.audio.trained_network import LOWEST_MIDI, N_PITCHES, TrainedNetwork, TrainedOutput
from listen.evidence import PitchEvidence, StrumEvidence
from listen.theory import Pitch

Samples = NDArray[np.float32]

PITCH_CALIBRATION = Calibration()
BASS_CALIBRATION = Calibration()
LEAST_PLUCKED = 0.0
NOT_PLUCKED = "No plucked notes stand out of this sound."


class TrainedEar:
    """An ear of one network.

    Parameters
    ----------
    network : TrainedNetwork
    """

    pitch_calibration = PITCH_CALIBRATION
    bass_calibration = BASS_CALIBRATION

    def __init__(self, network: TrainedNetwork) -> None:
        self._network = network

    def hear(
        self,
        samples: Samples,
        *,
        sample_rate_hz: int,
        onset_s: float,
        until_s: float | None = None,
        tuning_offset_cents: float | None = None,
    ) -> StrumEvidence:
        """Hear the strum that begins at an onset (see :class:`listen.audio.Ear`)."""
        sound = take_strum(
            samples,
            sample_rate_hz=sample_rate_hz,
            onset_s=onset_s,
            until_s=until_s,
            tuning_offset_cents=tuning_offset_cents,
        )
        heard = self._network.hear(*measure_cut_bands(take_segment(sound), min(N_AFTER, sound.end - sound.onset)))
        evidence = describe_strum(sound, self._weigh_pitches(heard))
        if evidence.no_chord_reason is None and heard.plucked < LEAST_PLUCKED:
            return replace(evidence, no_chord_reason=NOT_PLUCKED)
        return evidence

    def _weigh_pitches(self, heard: TrainedOutput) -> tuple[PitchEvidence, ...]:
        pitch = self.pitch_calibration.apply(heard.pitch)
        bass = self.bass_calibration.apply(_softmax_to_log_odds(heard.bass))
        kinds = heard.kind.T.astype(np.float64).tolist()
        return tuple(
            PitchEvidence(Pitch(LOWEST_MIDI + k), float(pitch[k]), float(bass[k]), string_log_odds=tuple(kinds[k]))
            for k in range(N_PITCHES)
        )


def take_segment(sound: StrumSound) -> Samples:
    """Cut out what the front end looks at; what lies outside the strum's sound is silence."""
    segment = np.zeros(N_SEGMENT, np.float32)
    start = sound.onset - N_LEAD
    piece = sound.samples[max(0, start) : min(sound.end, start + N_SEGMENT)]
    segment[max(0, -start) : max(0, -start) + len(piece)] = piece
    return segment


def _softmax_to_log_odds(logits: Samples) -> NDArray[np.float64]:
    """Turn softmax logits into the log-odds of each class against all others together."""
    others = np.where(np.eye(len(logits), dtype=bool), -np.inf, logits.astype(np.float64)[None, :])
    highest = others.max(axis=1)
    return np.asarray(logits - highest - np.log(np.exp(others - highest[:, None]).sum(axis=1)))
