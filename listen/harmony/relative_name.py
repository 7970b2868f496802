"""A name for a kind of set: what it claims, what does not sound of it, and what it leaves unexplained."""

from __future__ import annotations

from dataclasses import dataclass

from listen.theory import ChordQuality, Interval, degrees_to_quality


@dataclass(frozen=True, slots=True)
class RelativeName:
    """A name for a kind of set, whatever its transposition.

    Parameters
    ----------
    root : int
        Semitones of the root above the bass.
    base : ChordQuality
    cost : float
        Points.
    missing : tuple of Interval
        Tones of the name that do not sound.
    unexplained : tuple of int
        Sounding notes that are no tone of the name, semitones above the bass.
    changed_to : tuple of Interval
        The tones that are named where tones were added to the base or its third left out; else empty.
    """

    root: int
    base: ChordQuality
    cost: float
    missing: tuple[Interval, ...] = ()
    unexplained: tuple[int, ...] = ()
    changed_to: tuple[Interval, ...] = ()

    @property
    def is_exact(self) -> bool:
        """Whether every note is a tone of the name and only tones that may be left out are missing.

        A power chord over a foreign bass (G5/B) is no exact name: the bass makes it another chord.
        """
        if self.base.symbol == "5" and self.root not in (0, 5):
            return False
        return not self.unexplained and all(tone in self.quality.optional for tone in self.missing)

    @property
    def quality(self) -> ChordQuality:
        """The quality that is named."""
        return degrees_to_quality(self.changed_to) if self.changed_to else self.base
