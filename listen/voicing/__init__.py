"""Voicing: evidence or a chord in, ranked shapes out."""

from listen.voicing.book import grade_shapes, list_strummed_shapes
from listen.voicing.compare import StringChange, ToneChange, compare_chords, compare_shapes, find_nearest_shape
from listen.voicing.filters import NothingLeftError, ShapeFilters
from listen.voicing.fit import Fit, fit_shapes
from listen.voicing.fit_settings import FitSettings
from listen.voicing.groups import (
    TRIADS,
    ShapeGroup,
    find_power_chords,
    group_by_inversion,
    group_by_root_string,
    group_by_string_set,
)
from listen.voicing.ideas import Idea, find_ideas
from listen.voicing.note_path import NoteStep, Place, find_positions, lay_notes, list_note_places
from listen.voicing.path import DecodedPath, decode_paths
from listen.voicing.places import find_places
from listen.voicing.progression import PathBy, Progression, find_easiest_capo, find_progression, measure_voice_leading
from listen.voicing.retuned_forms import count_strings_of_open_chord
from listen.voicing.search import find_shapes
from listen.voicing.strings import weigh_stiffness
from listen.voicing.strokes import StrokePrices
from listen.voicing.voices import Voices
from listen.voicing.voicings import Voicing, Voicings
from listen.voicing.weigh_fretboards import weigh_fretboards

__all__ = [
    "TRIADS",
    "DecodedPath",
    "Fit",
    "FitSettings",
    "Idea",
    "NoteStep",
    "NothingLeftError",
    "PathBy",
    "Place",
    "Progression",
    "ShapeFilters",
    "ShapeGroup",
    "StringChange",
    "StrokePrices",
    "ToneChange",
    "Voices",
    "Voicing",
    "Voicings",
    "compare_chords",
    "compare_shapes",
    "count_strings_of_open_chord",
    "decode_paths",
    "find_easiest_capo",
    "find_ideas",
    "find_nearest_shape",
    "find_places",
    "find_positions",
    "find_power_chords",
    "find_progression",
    "find_shapes",
    "fit_shapes",
    "grade_shapes",
    "group_by_inversion",
    "group_by_root_string",
    "group_by_string_set",
    "lay_notes",
    "list_note_places",
    "list_strummed_shapes",
    "measure_voice_leading",
    "weigh_fretboards",
    "weigh_stiffness",
]
