"""Theory: pitches, intervals, chords and their spelling. Standard library only."""

from listen.theory.chord import Chord, ChordQuality
from listen.theory.degree_list import degrees_to_quality
from listen.theory.enharmonic import spell_as_typed, spell_bass, spell_chord, spell_root, transpose_chord
from listen.theory.function import chord_to_nashville, chord_to_roman
from listen.theory.harte import chord_to_harte, parse_harte
from listen.theory.interval import MAJOR_SCALE, Interval
from listen.theory.key import Key, Mode, spell_pitch
from listen.theory.key_finding import KEYS, KeyReading, rank_keys
from listen.theory.key_path import KeySection, find_key_path
from listen.theory.pitch import PLAIN_NAMES, Pitch, is_pitch_text
from listen.theory.qualities import ALTERED, QUALITIES, find_quality, find_quality_of_tones
from listen.theory.spelled_pitch import SpelledPitch
from listen.theory.spelling import Note, spell_beside
from listen.theory.symbol import explain_reading, parse_chord
from listen.theory.symbol_error import ChordSymbolError
from listen.theory.symbol_habits import is_no_chord

__all__ = [
    "ALTERED",
    "KEYS",
    "MAJOR_SCALE",
    "PLAIN_NAMES",
    "QUALITIES",
    "Chord",
    "ChordQuality",
    "ChordSymbolError",
    "Interval",
    "Key",
    "KeyReading",
    "KeySection",
    "Mode",
    "Note",
    "Pitch",
    "SpelledPitch",
    "chord_to_harte",
    "chord_to_nashville",
    "chord_to_roman",
    "degrees_to_quality",
    "explain_reading",
    "find_key_path",
    "find_quality",
    "find_quality_of_tones",
    "is_no_chord",
    "is_pitch_text",
    "parse_chord",
    "parse_harte",
    "rank_keys",
    "spell_as_typed",
    "spell_bass",
    "spell_beside",
    "spell_chord",
    "spell_pitch",
    "spell_root",
    "transpose_chord",
]
