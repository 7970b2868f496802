"""Transcription: a recording in, a reading out."""

from listen.transcription.part import read_part, read_part_blocks, read_part_samples
from listen.transcription.part_settings import PartSettings
from listen.transcription.strum import StrumSettings, read_evidence, read_recording, read_strum

__all__ = [
    "PartSettings",
    "StrumSettings",
    "read_evidence",
    "read_part",
    "read_part_blocks",
    "read_part_samples",
    "read_recording",
    "read_strum",
]
