"""What can be played: tuning, neck in millimetres, shape, and the hand that holds it."""

from importlib import import_module
from typing import TYPE_CHECKING

from listen.instrument.fretboard import LEAST_FRETS, MOST_FRETS, SCALE_LENGTH_MM, Fretboard
from listen.instrument.hand import HANDS, SMALL_HAND, USUAL_HAND, WIDE_HAND, Hand, estimate_stretch_mm, parse_hand
from listen.instrument.instruments import Instrument, find_instrument, load_instruments, parse_tuning
from listen.instrument.move import Grip, Move, estimate_move, estimate_move_costs
from listen.instrument.reasons import is_strain
from listen.instrument.shape import Barre, Finger, Fingering, Reason, ReasonKind, Shape, parse_shape
from listen.instrument.string_numbers import parse_strings, strings_text
from listen.instrument.strings import (
    NOMINAL_MIDI,
    OUTLIER_WIDTH,
    RETUNING_LIMIT_SEMITONES,
    RETUNING_NEPERS,
    SET_SIGMA,
    STRING_SIGMA,
    STRING_TABLES,
    TABLE_SIGMA,
    GuitarKind,
    StringTable,
    find_string_kinds,
    find_string_table,
    fretted_decay_s,
    fretted_stiffness,
    outlier_share,
    retuned_stiffness,
    stiffness_log_density,
)
from listen.instrument.tuning import MOST_STRINGS, STANDARD, Tuning

if TYPE_CHECKING:
    from listen.instrument.efforts import Efforts, measure_efforts
    from listen.instrument.estimate import estimate_efforts
    from listen.instrument.fingering import best_fingering, best_fingerings, find_fingerings
    from listen.instrument.other_fingering import find_other_fingering

_ON_ARRAYS = {
    "Efforts": "efforts",
    "best_fingering": "fingering",
    "best_fingerings": "fingering",
    "estimate_efforts": "estimate",
    "find_fingerings": "fingering",
    "find_other_fingering": "other_fingering",
    "measure_efforts": "efforts",
}


def __getattr__(name: str) -> object:
    """Load what needs numpy only when it is asked for, so that reading a tuning stays quick."""
    if name in _ON_ARRAYS:
        return getattr(import_module(f"listen.instrument.{_ON_ARRAYS[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


__all__ = [
    "HANDS",
    "LEAST_FRETS",
    "MOST_FRETS",
    "MOST_STRINGS",
    "NOMINAL_MIDI",
    "OUTLIER_WIDTH",
    "RETUNING_LIMIT_SEMITONES",
    "RETUNING_NEPERS",
    "SCALE_LENGTH_MM",
    "SET_SIGMA",
    "SMALL_HAND",
    "STANDARD",
    "STRING_SIGMA",
    "STRING_TABLES",
    "TABLE_SIGMA",
    "USUAL_HAND",
    "WIDE_HAND",
    "Barre",
    "Efforts",
    "Finger",
    "Fingering",
    "Fretboard",
    "Grip",
    "GuitarKind",
    "Hand",
    "Instrument",
    "Move",
    "Reason",
    "ReasonKind",
    "Shape",
    "StringTable",
    "Tuning",
    "best_fingering",
    "best_fingerings",
    "estimate_efforts",
    "estimate_move",
    "estimate_move_costs",
    "estimate_stretch_mm",
    "find_fingerings",
    "find_instrument",
    "find_other_fingering",
    "find_string_kinds",
    "find_string_table",
    "fretted_decay_s",
    "fretted_stiffness",
    "is_strain",
    "load_instruments",
    "measure_efforts",
    "outlier_share",
    "parse_hand",
    "parse_shape",
    "parse_strings",
    "parse_tuning",
    "retuned_stiffness",
    "stiffness_log_density",
    "strings_text",
]
