"""Which clef an instrument is written in (common practice, no source)."""

from __future__ import annotations

from dataclasses import dataclass

from listen.instrument import Fretboard

LOWEST_OF_TREBLE = 55  # G3: the lowest string of a violin or mandolin, and below it what a plain treble clef can hold
HIGHEST_OF_BASS = 50  # D3: no open string of a bass is higher


@dataclass(frozen=True, slots=True)
class Clef:
    """A clef, and what stands on the middle line under it.

    Parameters
    ----------
    sign : str
        ``"G"`` or ``"F"``.
    line : int
        Counted from the lowest.
    octave_change : int
        -1 where it sounds an octave lower.
    middle_step : str
    middle_octave : int
        As it sounds.
    """

    sign: str
    line: int
    octave_change: int
    middle_step: str
    middle_octave: int


GUITAR_CLEF = Clef("G", 2, -1, "B", 3)
TREBLE_CLEF = Clef("G", 2, 0, "B", 4)
BASS_CLEF = Clef("F", 4, -1, "D", 2)


def find_clef(fretboard: Fretboard) -> Clef:
    """Return the clef of an instrument, by its open strings.

    Examples
    --------
    >>> find_clef(Fretboard()).octave_change
    -1
    """
    opened = [pitch.midi for pitch in fretboard.tuning.open_strings]
    if min(opened) >= LOWEST_OF_TREBLE:
        return TREBLE_CLEF
    return BASS_CLEF if max(opened) <= HIGHEST_OF_BASS else GUITAR_CLEF
