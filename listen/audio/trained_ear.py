"""The trained ear: one network of the project's own, made by :mod:`listen.training`, that hears a strum up to a cut.

It says of every pitch from A1 to E6 how likely it sounds and on which kind of string, and of the sound as a whole
whether a string was plucked at all. Where it is in doubt about a pitch, a second network may be heard
(:mod:`listen.audio.second_opinion`). What can be measured in the spectrum once the pitches are known is added as for
every ear. `docs/ear.md` has how it was made and what it reaches.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.audio.calibration import Calibration
from listen.audio.cut_frontend import N_AFTER, N_LEAD, N_SEGMENT, measure_all_cut_bands
from listen.audio.describe import describe_strum, find_likeliest, say_low
from listen.audio.layers import split_strums
from listen.audio.low_note import find_low_candidates, find_low_note
from listen.audio.network import StrumNetwork
from listen.audio.peaks import find_spectrum_peaks
from listen.audio.second_opinion import hear_seconds, join_opinions
from listen.audio.strum_sound import StrumSound, take_strum
from listen.audio.trained_network import LOWEST_MIDI, N_PITCHES, TrainedNetwork, TrainedOutput
from listen.evidence import Measured, PitchEvidence, StrumEvidence, TimeSpan
from listen.log_odds import log_odds_of_classes
from listen.theory import Pitch

Samples = NDArray[np.float32]

PITCH_CALIBRATION = Calibration(slope=0.621)
BASS_CALIBRATION = Calibration(slope=0.606)
"""Fitted on half of 624 strums (``python -m tests.benchmarks.calibrate_pitch --ear "trained alone" --n 24``). With a
second opinion joined nothing is left to do: the same command without ``--ear`` fits a slope of 1.014."""
LEAST_PLUCKED, SURELY_PLUCKED = -1.0, 4.0
"""Logits that a string was plucked. Of 3,100 strums and notes none lies under the first and 0.9 % under the second; of
400 pieces of speech, song, drums, hum, tones, noise and clicks 3 % pass the first and none the second. Between the two
the cues of :mod:`listen.audio.refusal` decide."""
STIFFNESS_SIGMAS, LEAST_SIGMA = 3.0, 0.02
"""On 312 notes in strums of 70 drawn guitars the spectrum alone gave ln B of 87 % of notes, half of them within 0.02
and 5 % more than 1.3 off; the network gave all, half within 0.10 and 5 % more than 0.52 off, errors over its own sigma
having a standard deviation of 1.01; joined, all, half within 0.03, and 5 % more than 0.50 off."""
NOT_PLUCKED = "No plucked notes stand out of this sound."


class TrainedEar:
    """An ear of one network, and where there is one, of another's opinion.

    Parameters
    ----------
    network : TrainedNetwork
    second : StrumNetwork or None
        Asked for a second opinion on pitches.
    """

    def __init__(self, network: TrainedNetwork, second: StrumNetwork | None = None) -> None:
        self._network = network
        self._second = second

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
        """Hear the strum that begins at an onset (see :class:`listen.audio.Ear`)."""
        sound = take_strum(
            samples,
            sample_rate_hz=sample_rate_hz,
            onset_s=onset_s,
            until_s=until_s,
            tuning_offset_cents=tuning_offset_cents,
        )
        return self._hear_sounds([sound], physics=physics)[0]

    def hear_all(
        self,
        samples: Samples,
        *,
        sample_rate_hz: int,
        spans: Sequence[TimeSpan],
        tuning_offset_cents: float | None = None,
        physics: bool = True,
    ) -> list[StrumEvidence]:
        """Hear several strums of a recording (see :class:`listen.audio.Ear`)."""
        heard: list[StrumEvidence] = []
        for some in split_strums(len(spans)):
            sounds = [
                take_strum(
                    samples,
                    sample_rate_hz=sample_rate_hz,
                    onset_s=span.start_s,
                    until_s=span.end_s,
                    tuning_offset_cents=tuning_offset_cents,
                )
                for span in spans[some]
            ]
            heard.extend(self._hear_sounds(sounds, physics=physics))
        return heard

    def _hear_sounds(self, sounds: Sequence[StrumSound], *, physics: bool) -> list[StrumEvidence]:
        segments = np.stack([sound.cut_segment(n_lead=N_LEAD, n_samples=N_SEGMENT) for sound in sounds])
        heard = self._network.hear_all(
            *measure_all_cut_bands(segments, [min(N_AFTER, sound.end - sound.onset) for sound in sounds])
        )
        pitches = [PITCH_CALIBRATION.apply(one.pitch) for one in heard]
        if self._second is not None:
            seconds = hear_seconds(self._second, sounds)
            pitches = [join_opinions(first, second) for first, second in zip(pitches, seconds, strict=True)]
        return [
            self._describe(sound, output, pitch, physics=physics)
            for sound, output, pitch in zip(sounds, heard, pitches, strict=True)
        ]

    def _describe(
        self, sound: StrumSound, heard: TrainedOutput, pitch: NDArray[np.float64], *, physics: bool
    ) -> StrumEvidence:
        weighed = self._weigh_pitches(heard, pitch)
        surely_plucked = heard.plucked >= SURELY_PLUCKED
        if not physics and surely_plucked:
            return StrumEvidence(
                sound.span, weighed, sound.tuning_offset_cents, no_chord_reason=_find_low(sound, weighed)
            )
        evidence = describe_strum(sound, weighed, surely_plucked=surely_plucked)
        evidence = replace(evidence, pitches=tuple(_join_stiffness(one, heard) for one in evidence.pitches))
        if heard.plucked < LEAST_PLUCKED:
            return replace(evidence, no_chord_reason=evidence.no_chord_reason or NOT_PLUCKED)
        return evidence

    def _weigh_pitches(self, heard: TrainedOutput, pitch: NDArray[np.float64]) -> tuple[PitchEvidence, ...]:
        odds = pitch.tolist()
        bass = BASS_CALIBRATION.apply(log_odds_of_classes(heard.bass)).tolist()
        kinds = heard.kind.T.astype(np.float64).tolist()
        return tuple(
            PitchEvidence(Pitch(LOWEST_MIDI + k), odds[k], bass[k], string_log_odds=tuple(kinds[k]))
            for k in range(N_PITCHES)
        )


def _find_low(sound: StrumSound, weighed: tuple[PitchEvidence, ...]) -> str | None:
    """Say that a note sounds which is too low to be heard; few strums could be one, and only those are looked into."""
    sounding = tuple(one.pitch for one in weighed if one.log_odds > 0.0) or find_likeliest(weighed)
    if not find_low_candidates(sounding):
        return None
    peaks = find_spectrum_peaks(sound.samples, onset=sound.onset, end=sound.end)
    low = None if peaks is None else find_low_note(peaks, sounding)
    return None if low is None else say_low(low)


def _join_stiffness(note: PitchEvidence, heard: TrainedOutput) -> PitchEvidence:
    """Join the stiffness that the spectrum shows of a sounding note with the one that the network hears.

    The first is exact where the partials that it follows are the note's own, and anything where they are another's; the
    second is rough and seldom an outlier. So the first counts where the second bears it out.
    """
    if note.log_odds <= 0.0:
        return note
    index = note.pitch.midi - LOWEST_MIDI
    rough = Measured(float(heard.ln_stiffness[index]), float(heard.ln_stiffness_sigma[index]))
    shown = note.stiffness
    if shown is None or abs(shown.value - rough.value) > STIFFNESS_SIGMAS * math.hypot(shown.sigma, rough.sigma):
        return replace(note, stiffness=rough)
    weights = (max(shown.sigma, LEAST_SIGMA) ** -2.0, rough.sigma**-2.0)
    value = (weights[0] * shown.value + weights[1] * rough.value) / sum(weights)
    return replace(note, stiffness=Measured(value, sum(weights) ** -0.5))
