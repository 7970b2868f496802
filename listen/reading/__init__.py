"""Readings: what was concluded from the evidence. Values only."""

from listen.reading.strum import ChordName, NoteReading, ShapeReading, Shares, StrumReading

__all__ = ["ChordName", "NoteReading", "ShapeReading", "Shares", "StrumReading"]
