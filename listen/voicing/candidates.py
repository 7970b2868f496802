"""Pitches that may sound in a strum, and what the ear says of every set of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from listen.evidence import StrumEvidence
from listen.theory import Pitch

CANDIDATE_FLOOR = -6.0  # log-odds under which a pitch is no candidate: 1 in 400
MAX_CANDIDATES = 14  # more doubtful pitches than that and the evidence is noise; keeps the table of sums at 2^14

Floats = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PitchCandidates:
    """Pitches that may sound, low to high, and sums over every subset of them, shape (2 ** n,)."""

    pitches: tuple[Pitch, ...]
    log_odds: Floats
    bass_log_odds: Floats
    sums: Floats
    positive_sums: Floats


def find_candidates(evidence: StrumEvidence) -> PitchCandidates:
    """Keep the pitches that may sound, the likeliest ones if there are too many."""
    likely = sorted(evidence.pitches, key=lambda heard: -heard.log_odds)[:MAX_CANDIDATES]
    kept = sorted((heard for heard in likely if heard.log_odds > CANDIDATE_FLOOR), key=lambda heard: heard.pitch)
    log_odds = np.array([heard.log_odds for heard in kept])
    return PitchCandidates(
        pitches=tuple(heard.pitch for heard in kept),
        log_odds=log_odds,
        bass_log_odds=np.array([heard.bass_log_odds for heard in kept]),
        sums=_sum_subsets(log_odds),
        positive_sums=_sum_subsets(log_odds.clip(min=0.0)),
    )


def _sum_subsets(values: Floats) -> Floats:
    """Return the sum of every subset; subset m holds value i when bit i of m is set."""
    sums = np.zeros(1)
    for value in values:
        sums = np.concatenate([sums, sums + value])
    return sums
