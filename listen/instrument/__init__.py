"""What can be played: tuning, neck in millimetres, shape, and the hand that holds it."""

from listen.instrument.efforts import Efforts, measure_efforts
from listen.instrument.estimate import estimate_efforts
from listen.instrument.fingering import best_fingering, find_fingerings
from listen.instrument.fretboard import SCALE_LENGTH_MM, Fretboard
from listen.instrument.hand import HANDS, SMALL_HAND, USUAL_HAND, WIDE_HAND, Hand, parse_hand
from listen.instrument.instruments import Instrument, find_instrument, load_instruments, parse_tuning
from listen.instrument.reasons import STRAIN_CAUTION, caution_for
from listen.instrument.shape import Barre, Finger, Fingering, Shape, parse_shape
from listen.instrument.tuning import STANDARD, Tuning

__all__ = [
    "HANDS",
    "SCALE_LENGTH_MM",
    "SMALL_HAND",
    "STANDARD",
    "STRAIN_CAUTION",
    "USUAL_HAND",
    "WIDE_HAND",
    "Barre",
    "Efforts",
    "Finger",
    "Fingering",
    "Fretboard",
    "Hand",
    "Instrument",
    "Shape",
    "Tuning",
    "best_fingering",
    "caution_for",
    "estimate_efforts",
    "find_fingerings",
    "find_instrument",
    "load_instruments",
    "measure_efforts",
    "parse_hand",
    "parse_shape",
    "parse_tuning",
]
