"""Readings: what was concluded from the evidence. Values only."""

from listen.reading.assignment import (
    ANYTHING,
    DEMANDS,
    NO_CHORD,
    Assignment,
    Demand,
    Expectation,
    SetBar,
    SetChange,
    SetChord,
    SetSection,
    SetStroke,
    Tolerances,
)
from listen.reading.bars import Bars
from listen.reading.check import (
    FINDING_KINDS,
    BarOutcome,
    BarState,
    Check,
    Comparison,
    Finding,
    FindingKind,
    Round,
    TeacherWord,
    TeacherWords,
    Trend,
    Verdict,
)
from listen.reading.concert_pitch import ConcertPitch
from listen.reading.event import (
    STEPS_PER_BEAT,
    ChordSpan,
    Event,
    EventKind,
    GridPosition,
    Mark,
    PlayedNote,
    Stroke,
    StrokeKind,
)
from listen.reading.guitar import GROWTH, GuitarProfile, StringProfile
from listen.reading.hand_path import HandPath, PathDifference
from listen.reading.metre import Metre
from listen.reading.part import Part
from listen.reading.part_recording import PartRecording
from listen.reading.pattern import PatternStroke, StrummingPattern
from listen.reading.performance import HeardCents, HeardPitch, HeardSound, Performance, PerformedStroke
from listen.reading.setting import PartKey, SetupHypothesis
from listen.reading.settled import Corrected, Correction, Pin, Settled
from listen.reading.strum import ChordName, NoteReading, ShapeReading, Shares, StrumReading, TakeReading

__all__ = [
    "ANYTHING",
    "DEMANDS",
    "FINDING_KINDS",
    "GROWTH",
    "NO_CHORD",
    "STEPS_PER_BEAT",
    "Assignment",
    "BarOutcome",
    "BarState",
    "Bars",
    "Check",
    "ChordName",
    "ChordSpan",
    "Comparison",
    "ConcertPitch",
    "Corrected",
    "Correction",
    "Demand",
    "Event",
    "EventKind",
    "Expectation",
    "Finding",
    "FindingKind",
    "GridPosition",
    "GuitarProfile",
    "HandPath",
    "HeardCents",
    "HeardPitch",
    "HeardSound",
    "Mark",
    "Metre",
    "NoteReading",
    "Part",
    "PartKey",
    "PartRecording",
    "PathDifference",
    "PatternStroke",
    "Performance",
    "PerformedStroke",
    "Pin",
    "PlayedNote",
    "Round",
    "SetBar",
    "SetChange",
    "SetChord",
    "SetSection",
    "SetStroke",
    "Settled",
    "SetupHypothesis",
    "ShapeReading",
    "Shares",
    "StringProfile",
    "Stroke",
    "StrokeKind",
    "StrumReading",
    "StrummingPattern",
    "TakeReading",
    "TeacherWord",
    "TeacherWords",
    "Tolerances",
    "Trend",
    "Verdict",
]
