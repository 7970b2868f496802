"""Transcription: a recording in, a reading out."""

from listen.transcription.guitar import LearntGuitar, learn_from_notes, read_guitar
from listen.transcription.part import are_read_closely, read_part_evidence, read_part_samples
from listen.transcription.part_settings import PartSettings
from listen.transcription.performance import hear_performance, hear_performance_samples
from listen.transcription.range import check_range
from listen.transcription.single_notes import SingleNote, hear_single_notes
from listen.transcription.string_sets import fit_held, fit_strum
from listen.transcription.strum import StrumSettings, read_evidence, read_recording, read_strum
from listen.transcription.told_notes import NOTE_KINDS, parse_told_note, replace_told

__all__ = [
    "NOTE_KINDS",
    "LearntGuitar",
    "PartSettings",
    "SingleNote",
    "StrumSettings",
    "are_read_closely",
    "check_range",
    "fit_held",
    "fit_strum",
    "hear_performance",
    "hear_performance_samples",
    "hear_single_notes",
    "learn_from_notes",
    "parse_told_note",
    "read_evidence",
    "read_guitar",
    "read_part_evidence",
    "read_part_samples",
    "read_recording",
    "read_strum",
    "replace_told",
]
