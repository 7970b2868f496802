"""Voicing: evidence or a chord in, ranked shapes out."""

from listen.voicing.filters import ShapeFilters, Voices
from listen.voicing.fit import Fit, FitSettings, fit_shapes
from listen.voicing.path import DecodedPath, MoveCost, decode_paths
from listen.voicing.places import find_places
from listen.voicing.search import Voicing, Voicings, find_shapes
from listen.voicing.setting import weigh_fretboard

__all__ = [
    "DecodedPath",
    "Fit",
    "FitSettings",
    "MoveCost",
    "ShapeFilters",
    "Voices",
    "Voicing",
    "Voicings",
    "decode_paths",
    "find_places",
    "find_shapes",
    "fit_shapes",
    "weigh_fretboard",
]
