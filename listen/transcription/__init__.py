"""Transcription: a recording in, a reading out."""
