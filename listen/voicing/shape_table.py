"""Shapes laid out side by side with what their strings sound, for filters and traits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Kept = NDArray[np.bool_]
SILENT = 999
"""Stands for the pitch of a string that is not played, above every pitch."""


@dataclass(frozen=True, slots=True)
class ShapeTable:
    """Shapes laid out for filtering.

    Parameters
    ----------
    frets : ndarray, shape (n, n_strings), int8
        -1 not played.
    pitches : ndarray, shape (n, n_strings), int16
        MIDI numbers; 999 where not played.
    """

    frets: NDArray[np.int8]
    pitches: NDArray[np.int16]

    @classmethod
    def lay_out(cls, frets: NDArray[np.int8], open_midi: NDArray[np.int16]) -> ShapeTable:
        """Work out what the strings sound."""
        return cls(frets, np.where(frets >= 0, open_midi + frets, np.int16(SILENT)).astype(np.int16))

    def take(self, rows: Kept) -> ShapeTable:
        """Return some of the shapes."""
        return ShapeTable(self.frets[rows], self.pitches[rows])

    @property
    def played(self) -> Kept:
        """Which strings sound."""
        return self.frets >= 0

    def sounds(self, pitch_class: int) -> Kept:
        """Tell which strings sound a pitch class."""
        return np.asarray(self.played & (self.pitches % 12 == pitch_class))

    @property
    def lowest(self) -> NDArray[np.int16]:
        """The lowest pitch of each shape."""
        return np.asarray(self.pitches.min(axis=1))

    @property
    def highest(self) -> NDArray[np.int16]:
        """The highest pitch of each shape."""
        return np.asarray(np.where(self.played, self.pitches, np.int16(-1)).max(axis=1))
