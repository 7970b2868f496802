"""Voicing: evidence or a chord in, ranked shapes out."""

from listen.voicing.book import list_book_shapes
from listen.voicing.compare import (
    StringChange,
    ToneChange,
    compare_chords,
    compare_shapes,
    find_nearest_shape,
)
from listen.voicing.filters import NothingLeftError, ShapeFilters, Voices
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
from listen.voicing.path import DecodedPath, decode_paths
from listen.voicing.places import find_places
from listen.voicing.search import Voicing, Voicings, find_shapes
from listen.voicing.setup import weigh_fretboard
from listen.voicing.strings import weigh_stiffness

__all__ = [
    "TRIADS",
    "DecodedPath",
    "Fit",
    "FitSettings",
    "NothingLeftError",
    "ShapeFilters",
    "ShapeGroup",
    "StringChange",
    "ToneChange",
    "Voices",
    "Voicing",
    "Voicings",
    "compare_chords",
    "compare_shapes",
    "decode_paths",
    "find_nearest_shape",
    "find_places",
    "find_power_chords",
    "find_shapes",
    "fit_shapes",
    "group_by_inversion",
    "group_by_root_string",
    "group_by_string_set",
    "list_book_shapes",
    "weigh_fretboard",
    "weigh_stiffness",
]
