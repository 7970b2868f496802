"""What an instrument is called in a score, and its General MIDI programme.

References
----------
MIDI Manufacturers Association, *General MIDI System Level 1*, 1991: the sound set (25 nylon, 26 steel guitar, 34
fingered bass, 106 banjo; counted from 1). It has no ukulele, whose strings are nylon, and no mandolin, whose strings
are steel.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from listen.export.clef import BASS_CLEF, find_clef
from listen.instrument import Fretboard

N_SMALL_STRINGS = 4  # of a ukulele or a mandolin; with other numbers it is a guitar
LOW_UKULELE_MIDI = 50  # D3: no string of a baritone ukulele is lower


@dataclass(frozen=True, slots=True)
class InstrumentVoice:
    """A name and a programme.

    Parameters
    ----------
    name : str
    program : int
        General MIDI, counted from 1.
    """

    name: str
    program: int


GUITAR, BASS, UKULELE = InstrumentVoice("Guitar", 26), InstrumentVoice("Bass", 34), InstrumentVoice("Ukulele", 25)
MANDOLIN, BANJO = InstrumentVoice("Mandolin", 26), InstrumentVoice("Banjo", 106)
_NAMED = {"ukulele": UKULELE, "mandolin": MANDOLIN, "banjo": BANJO, "bass": BASS}


def find_voice(fretboard: Fretboard) -> InstrumentVoice:
    """Return what an instrument is called: by the name of its tuning where that says so, else by its strings.

    Examples
    --------
    >>> find_voice(Fretboard())
    InstrumentVoice(name='Guitar', program=26)
    """
    for word, voice in _NAMED.items():
        if word in fretboard.tuning.name.lower():
            return voice
    opened = [pitch.midi for pitch in fretboard.tuning.open_strings]
    if find_clef(fretboard) == BASS_CLEF:
        return BASS
    if len(opened) == N_SMALL_STRINGS and min(opened) >= LOW_UKULELE_MIDI:
        in_fifths = {high - low for low, high in pairwise(opened)} == {7}
        return MANDOLIN if in_fifths else UKULELE
    return GUITAR
