"""Voicing: evidence or a chord in, ranked shapes out."""

from listen.voicing.filters import ShapeFilters, Voices
from listen.voicing.fit import Fit, FitSettings, fit_shapes
from listen.voicing.places import find_places
from listen.voicing.search import Voicing, Voicings, find_shapes

__all__ = [
    "Fit",
    "FitSettings",
    "ShapeFilters",
    "Voices",
    "Voicing",
    "Voicings",
    "find_places",
    "find_shapes",
    "fit_shapes",
]
