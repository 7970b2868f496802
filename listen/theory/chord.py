"""Chords as intervals over a root, and a bass below them.

Conventions: a quality lists its tones as :class:`Interval` from the root up; *optional* tones may be left out by a
player without changing the name. A chord's bass is the spelled note that sounds lowest; the root when not given.
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.theory.interval import Interval
from listen.theory.optional_tones import find_avoided
from listen.theory.spelling import Note


@dataclass(frozen=True, slots=True)
class ChordQuality:
    """A kind of chord.

    Parameters
    ----------
    name : str
        What it is called in words, e.g. ``"minor seventh"``; unique.
    symbol : str
        What is printed after the root, e.g. ``"m7"``.
    harte : str
        Shorthand of Harte et al. (2005), e.g. ``"min7"``, or a degree list ``"(1,5)"`` where there is none.
    tones : tuple of Interval
        From the root up, the root first.
    optional : tuple of Interval
        Those of the tones that may be left out, the first to go first.
    members : tuple of ChordQuality
        For a family (``7alt``), the qualities it stands for; its own tones are then those of the commonest member.
    """

    name: str
    symbol: str
    harte: str
    tones: tuple[Interval, ...]
    optional: tuple[Interval, ...] = ()
    members: tuple[ChordQuality, ...] = ()

    @property
    def pitch_classes(self) -> tuple[int, ...]:
        """Semitones above the root, 0..11, in the order of the tones."""
        return tuple(tone.pitch_class for tone in self.tones)

    @property
    def required(self) -> tuple[Interval, ...]:
        """The tones that may not be left out."""
        return tuple(tone for tone in self.tones if tone not in self.optional)

    @property
    def avoided(self) -> tuple[Interval, ...]:
        """The tones that the name counts and no voicing holds: see :mod:`listen.theory.optional_tones`."""
        return find_avoided(self.tones)


@dataclass(frozen=True, slots=True)
class Chord:
    """A root, a quality and a bass, spelled by letter.

    Parameters
    ----------
    root : Note
    quality : ChordQuality
    bass : Note or None
        None when the root is in the bass.
    """

    root: Note
    quality: ChordQuality
    bass: Note | None = None

    @property
    def sounding_bass(self) -> Note:
        """The note that sounds lowest."""
        return self.root if self.bass is None else self.bass

    @property
    def notes(self) -> tuple[Note, ...]:
        """The tones spelled by letter, root first; a foreign bass is not among them."""
        return tuple(self.root.above(tone) for tone in self.quality.tones)

    @property
    def pitch_classes(self) -> frozenset[int]:
        """The pitch classes of the tones and of the bass."""
        return frozenset(note.pitch_class for note in (*self.notes, self.sounding_bass))

    def is_enharmonic_with(self, other: Chord) -> bool:
        """Tell whether another chord is called the same but for its spelling: root, quality and bass."""
        return self._unspelled == other._unspelled

    @property
    def _unspelled(self) -> tuple[int, ChordQuality, int]:
        return self.root.pitch_class, self.quality, self.sounding_bass.pitch_class

    @property
    def inversion(self) -> int | None:
        """0 root position, 1 third in the bass, 2 fifth, 3 seventh (by place in the chord); None: a foreign bass."""
        bass = self.sounding_bass.pitch_class
        for place, note in enumerate(self.notes):
            if note.pitch_class == bass:
                return place
        return None

    @property
    def text(self) -> str:
        """The symbol in plain letters, e.g. ``F#m7/C#``."""
        slash = "" if self.bass is None else f"/{self.bass}"
        return f"{self.root}{self.quality.symbol}{slash}"

    @property
    def harte(self) -> str:
        """The chord in the syntax of Harte et al. (2005), e.g. ``F#:min7/5``."""
        slash = "" if self.bass is None else f"/{self.root.interval_to(self.bass)}"
        return f"{self.root}:{self.quality.harte}{slash}"

    @property
    def printed(self) -> str:
        """The symbol with the printed signs, e.g. ``F♯m7/C♯``."""
        symbol = self.quality.symbol.replace("#", "♯").replace("b", "♭")
        slash = "" if self.bass is None else f"/{self.bass.printed}"
        return f"{self.root.printed}{symbol}{slash}"
