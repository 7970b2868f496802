"""Evidence: what was heard, before anyone asks what hand played it."""

from listen.evidence.part import N_PITCHES, NOT_HEARD, PartEvidence, Stretch, StrokeEvidence, TuningPoint
from listen.evidence.strum import (
    HIGHEST_HEARD,
    LOWEST_HEARD,
    STRING_KINDS,
    Direction,
    Measured,
    Partial,
    PitchEvidence,
    StrumEvidence,
    TimeSpan,
)

__all__ = [
    "HIGHEST_HEARD",
    "LOWEST_HEARD",
    "NOT_HEARD",
    "N_PITCHES",
    "STRING_KINDS",
    "Direction",
    "Measured",
    "PartEvidence",
    "Partial",
    "PitchEvidence",
    "Stretch",
    "StrokeEvidence",
    "StrumEvidence",
    "TimeSpan",
    "TuningPoint",
]
