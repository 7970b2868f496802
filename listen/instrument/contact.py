"""A contact: one finger on the neck, and which fingers' distances are measured."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Contact:
    """One finger on the neck.

    Parameters
    ----------
    finger : int
        1..4; 0 the thumb.
    fret : int
    first_string, last_string : int
        What it covers, both included.
    """

    finger: int
    fret: int
    first_string: int
    last_string: int

    @property
    def is_barre(self) -> bool:
        """Whether it is held flat over more than one string."""
        return self.last_string > self.first_string


def list_stretched_pairs(n_fingers: int) -> list[tuple[int, int]]:
    """List the pairs of fingers whose distance is measured: neighbours, and the outermost of three or four."""
    last = n_fingers - 1
    return [(index, index + 1) for index in range(last)] + ([(0, last)] if last > 1 else [])
