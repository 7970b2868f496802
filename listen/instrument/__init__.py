"""What can be played: tuning, neck in millimetres, shape, and the hand that holds it."""

from listen.instrument.fretboard import SCALE_LENGTH_MM, Fretboard
from listen.instrument.shape import Barre, Finger, Fingering, Shape
from listen.instrument.tuning import STANDARD, Tuning

__all__ = ["SCALE_LENGTH_MM", "STANDARD", "Barre", "Finger", "Fingering", "Fretboard", "Shape", "Tuning"]
