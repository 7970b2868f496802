"""Accidentals: which signs a staff needs beside the key's own, bar by bar.

A sign holds for its line or space until the end of the bar, and no further (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from listen.theory import SpelledPitch

SHARPS = "FCGDAEB"  # in the order in which a key takes them; flats come the other way round
WORDS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
"""As MusicXML 4.0 calls them (type ``accidental-value``)."""


@dataclass(slots=True)
class Accidentals:
    """What holds on a staff at this moment of a bar.

    Parameters
    ----------
    fifths : int
        The key's signs: sharps, or flats below nought.
    in_bar : dict of (str, int) to int
        What was written since the bar line, by letter and octave.

    Examples
    --------
    >>> from listen.theory import Note, Pitch
    >>> signs = Accidentals(1)
    >>> sharp, plain = (SpelledPitch.of(Pitch(65 + up), Note("F", up)) for up in (1, 0))
    >>> [signs.find_sign(one) for one in (sharp, plain, plain, sharp)]
    ['', 'natural', '', 'sharp']
    """

    fifths: int
    in_bar: dict[tuple[str, int], int] = field(default_factory=dict)

    def begin_bar(self) -> None:
        """Forget what was written in the bar before."""
        self.in_bar.clear()

    def find_sign(self, spelled: SpelledPitch) -> str:
        """Return the sign that a note needs, empty where it needs none, and let it hold."""
        place, alter = (spelled.note.letter, spelled.octave), spelled.note.accidental
        if self.in_bar.get(place, self._in_key(spelled.note.letter)) == alter:
            return ""
        self.in_bar[place] = alter
        return WORDS.get(alter, "")

    def _in_key(self, letter: str) -> int:
        if self.fifths >= 0:
            return int(letter in SHARPS[: self.fifths])
        return -int(letter in SHARPS[self.fifths :])
