"""Theory: pitches, intervals, chords and their spelling. Standard library only."""

from listen.theory.chord import Chord, ChordQuality
from listen.theory.interval import Interval
from listen.theory.pitch import PLAIN_NAMES, Pitch
from listen.theory.spelling import Note

__all__ = ["PLAIN_NAMES", "Chord", "ChordQuality", "Interval", "Note", "Pitch"]
