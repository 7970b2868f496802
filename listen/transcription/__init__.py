"""Transcription: a recording in, a reading out."""

from listen.transcription.strum import StrumSettings, read_evidence, read_recording, read_strum

__all__ = ["StrumSettings", "read_evidence", "read_recording", "read_strum"]
