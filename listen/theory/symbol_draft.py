"""A chord quality while its symbol is read: the alterations of each degree so far."""

from __future__ import annotations

from dataclasses import dataclass, field

from listen.theory.chord import ChordQuality
from listen.theory.degree_list import degrees_to_quality
from listen.theory.interval import Interval
from listen.theory.qualities import ALTERED


@dataclass(slots=True)
class Draft:
    """The tones while the symbol is read: the alterations of each degree."""

    alterations: dict[int, set[int]] = field(default_factory=lambda: {1: {0}, 3: {0}, 5: {0}})
    major_seventh: bool = False
    diminished: bool = False
    altered: bool = False
    number: str = ""
    omitted: set[int] = field(default_factory=set)
    suspended: tuple[int, ...] = ()
    suspended_by: int = 0

    def is_plain(self) -> bool:
        """Whether third and fifth are a major triad's."""
        return self.alterations[3] == {0} and self.alterations[5] == {0}

    def put(self, degree: int, alteration: int = 0) -> None:
        """Put a degree in place of whatever is there of it."""
        self.alterations[degree] = {alteration}

    def alter(self, degree: int, alteration: int) -> None:
        """Alter a degree that is there, or add it altered; a second alteration of it stands beside the first."""
        self.alterations.setdefault(degree, set()).discard(0)
        self.alterations[degree].add(alteration)

    def extend(self, number: str) -> None:
        """Put the tones that a number stands for."""
        self.number = number
        if number == "5":
            self.alterations.pop(3, None)
        elif number.startswith("6"):
            self.put(6)
            if number != "6":
                self.put(9)
        else:
            self.put(7, 0 if self.major_seventh else -2 if self.diminished else -1)
            for degree in (9, 11, 13):
                if degree <= int(number):
                    self.put(degree)

    def to_quality(self) -> ChordQuality:
        """Return what was read."""
        if self.altered:
            return ALTERED
        if self.suspended:
            self.alterations.pop(3, None)
            for degree in self.suspended:
                self.put(degree, self.suspended_by)
                if degree == 4:  # the fourth is the eleventh already
                    self.alterations.pop(11, None)
        tones = (
            Interval(degree, alteration)
            for degree, found in self.alterations.items()
            for alteration in found
            if degree not in self.omitted
        )
        return degrees_to_quality(tones)
