"""Strings struck one after another: each stroke's new note is the pitch that rises most.

They may ring into each other and be struck more than once.
"""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from listen.audio import (
    STROKE_RATE_HZ,
    SURE_OFFSET_CENTS,
    StrumOnset,
    estimate_tuning_offset,
    find_strums,
    load_ear,
    measure_lone_stiffness,
    measure_rises,
)
from listen.evidence import PitchEvidence
from listen.theory import Pitch

RISEN_DB, MOST_RISEN = 6.0, 2  # a stroke at which more pitches rise than a note and a ghost of it is a strum


@dataclass(frozen=True, slots=True)
class SingleNote:
    """One string struck alone.

    Parameters
    ----------
    onset_s : float
    level_db : float
        Against full scale.
    cents : float
        Against the tempered pitch at A4 = 440 Hz.
    heard : PitchEvidence
        Its pitch and physics.
    """

    onset_s: float
    level_db: float
    cents: float
    heard: PitchEvidence


def hear_single_notes(
    samples: npt.NDArray[np.float32], *, sample_rate_hz: int
) -> tuple[tuple[SingleNote, ...], tuple[float, ...]]:
    """Hear what is struck, note by note.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,), mono
    sample_rate_hz : int

    Returns
    -------
    notes : tuple of SingleNote
        In time order.
    strums : tuple of float
        Onsets in seconds of strokes at which several strings were struck.
    """
    import soxr

    onsets = find_strums(samples, sample_rate_hz=sample_rate_hz)
    offset_cents = _estimate_common_offset(samples, sample_rate_hz, onsets)
    at_stroke_rate = np.asarray(soxr.resample(samples, sample_rate_hz, STROKE_RATE_HZ), np.float32)
    ear = load_ear()
    notes, strums = [], []
    before: frozenset[Pitch] = frozenset()
    edges_s = [0.0, *(one.onset_s for one in onsets), len(samples) / sample_rate_hz]
    for place, onset in enumerate(onsets):
        evidence = ear.hear(
            samples,
            sample_rate_hz=sample_rate_hz,
            onset_s=onset.onset_s,
            until_s=edges_s[place + 2],
            tuning_offset_cents=offset_cents,
        )
        sounding = [one for one in evidence.pitches if one.log_odds > 0.0]
        if evidence.no_chord_reason is not None or not sounding:
            before = frozenset()
            continue
        pitches = sorted({one.pitch for one in sounding} | before)
        span_s = (edges_s[place], edges_s[place + 2])
        rises_db = measure_rises(
            at_stroke_rate, pitches, onset_s=onset.onset_s, span_s=span_s, tuning_offset_cents=offset_cents
        )
        rises = dict(zip(pitches, rises_db.tolist(), strict=True))
        before = frozenset(one.pitch for one in sounding)
        if sum(rises[one.pitch] > RISEN_DB for one in sounding) > MOST_RISEN:
            strums.append(onset.onset_s)
            continue
        heard = max(sounding, key=lambda one: (_finite(rises[one.pitch]), _loudest_db(one), one.log_odds))
        if heard.stiffness is None:
            span_s = (onset.onset_s, edges_s[place + 2])
            alone = measure_lone_stiffness(
                samples, heard.pitch, sample_rate_hz=sample_rate_hz, span_s=span_s, tuning_offset_cents=offset_cents
            )
            heard = replace(heard, stiffness=alone)
        cents = offset_cents + (heard.deviation_cents or 0.0)
        notes.append(SingleNote(onset.onset_s, onset.level_db, cents, heard))
    return tuple(notes), tuple(strums)


def _finite(rise_db: float) -> float:
    """Return a rise in dB; a pitch whose partials are all another's is not taken for the one that was struck."""
    return -math.inf if math.isnan(rise_db) else rise_db


def _loudest_db(heard: PitchEvidence) -> float:
    return max((partial.level_db for partial in heard.partials), default=-math.inf)


def _estimate_common_offset(
    samples: npt.NDArray[np.float32], sample_rate_hz: int, onsets: Sequence[StrumOnset]
) -> float:
    """Estimate the offset of the whole guitar: the mean of its notes on the circle of a semitone."""
    total = 0j
    for onset in onsets:
        offset = estimate_tuning_offset(samples, sample_rate_hz=sample_rate_hz, onset_s=onset.onset_s)
        if offset.sigma < SURE_OFFSET_CENTS:
            total += cmath.exp(2j * math.pi * offset.value / 100.0)
    return math.degrees(cmath.phase(total)) / 3.6 if total else 0.0
