"""Voicings: shapes of a chord as they were found, ranked; each worked out when it is looked at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import overload

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fingering, Fretboard, Hand, Shape, best_fingerings
from listen.theory import Chord, Interval, Pitch
from listen.voicing.shape_table import ShapeTable
from listen.voicing.wanted_tones import list_members

Frets = NDArray[np.int8]
LOOKED_AT_TOGETHER = 32  # shapes that are worked out at once by whoever goes through all of them


@dataclass(frozen=True, slots=True)
class Voicing:
    """One shape of a chord.

    Parameters
    ----------
    shape : Shape
    fingering : Fingering
    pitches : tuple of Pitch or None
        What each string sounds, in string order.
    degrees : tuple of Interval or None
        Each string's degree of the chord; None where it is not played, or for a foreign bass.
    missing : tuple of Interval
        Tones of the chord that do not sound.
    inversion : int or None
        0 root lowest, 1 third, and so on; None for a foreign bass.
    cost : float
        What it is ranked by.
    """

    shape: Shape
    fingering: Fingering
    pitches: tuple[Pitch | None, ...]
    degrees: tuple[Interval | None, ...]
    missing: tuple[Interval, ...]
    inversion: int | None
    cost: float


class Voicings(Sequence[Voicing]):
    """Every shape that was found, ranked; each is worked out when it is looked at.

    Parameters
    ----------
    frets : ndarray, shape (n, n_strings), int8
        In ranked order; -1 not played.
    efforts, costs : ndarray, shape (n,), float32
    chord : Chord
    fretboard : Fretboard
    hand : Hand
    """

    def __init__(
        self,
        frets: Frets,
        efforts: NDArray[np.float32],
        costs: NDArray[np.float32],
        chord: Chord,
        fretboard: Fretboard,
        hand: Hand,
    ) -> None:
        self.frets, self.efforts, self.costs = frets, efforts, costs
        self.chord, self.fretboard, self.hand = chord, fretboard, hand

    def __len__(self) -> int:
        return len(self.frets)

    @overload
    def __getitem__(self, index: int) -> Voicing: ...
    @overload
    def __getitem__(self, index: slice) -> Voicings: ...
    def __getitem__(self, index: int | slice) -> Voicing | Voicings:
        if isinstance(index, slice):
            return self.take(np.arange(len(self))[index])
        return self.pick([index])[0]

    def pick(self, places: Sequence[int]) -> tuple[Voicing, ...]:
        """Return some of the shapes; looking at several together takes little longer than at one."""
        shapes = [self._shape_at(place) for place in places]
        fingerings = best_fingerings(shapes, self.fretboard, hand=self.hand)
        return tuple(map(self._describe, places, shapes, fingerings))

    def _shape_at(self, place: int) -> Shape:
        return Shape(tuple(None if fret < 0 else fret for fret in self.frets[place].tolist()))

    def _describe(self, place: int, shape: Shape, fingering: Fingering) -> Voicing:
        pitches = shape.pitches(self.fretboard)
        heard = {pitch.pitch_class for pitch in pitches if pitch is not None}
        member = min(
            list_members(self.chord),
            key=lambda each: (len(heard - each.pitch_classes), len(each.pitch_classes - heard)),
        )
        tones = list(zip(member.quality.tones, member.notes, strict=True))
        degree_of = {note.pitch_class: tone for tone, note in reversed(tones)}
        lowest = min(pitch for pitch in pitches if pitch is not None).pitch_class
        inversions = [number for number, (_, note) in enumerate(tones) if note.pitch_class == lowest]
        return Voicing(
            shape,
            fingering,
            pitches,
            tuple(None if pitch is None else degree_of.get(pitch.pitch_class) for pitch in pitches),
            tuple(tone for tone, note in tones if note.pitch_class not in heard),
            inversions[0] if inversions else None,
            round(float(self.costs[place]), 3),
        )

    def __iter__(self) -> Iterator[Voicing]:
        for start in range(0, len(self), LOOKED_AT_TOGETHER):
            yield from self.pick(range(start, min(len(self), start + LOOKED_AT_TOGETHER)))

    @cached_property
    def shapes(self) -> tuple[Shape, ...]:
        """The bare shapes, ranked."""
        return tuple(Shape(tuple(None if fret < 0 else fret for fret in row)) for row in self.frets.tolist())

    @property
    def pitches(self) -> NDArray[np.int16]:
        """What each string sounds as MIDI numbers; 999 where it is not played."""
        return ShapeTable.lay_out(self.frets, open_midi(self.fretboard)).pitches

    def take(self, rows: NDArray[np.int64] | NDArray[np.bool_]) -> Voicings:
        """Return some of the shapes, in the order given."""
        return Voicings(self.frets[rows], self.efforts[rows], self.costs[rows], self.chord, self.fretboard, self.hand)


def open_midi(fretboard: Fretboard) -> NDArray[np.int16]:
    """Return what the open strings sound as MIDI numbers."""
    return np.array([pitch.midi for pitch in fretboard.open_pitches], np.int16)
