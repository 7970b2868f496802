"""Grips: the shapes of a chord over one bass that a player would use, and how gladly.

Conventions: frets as in a :class:`~listen.voicing.ShapeTable`, -1 not played; costs are those of taste
(:mod:`listen.voicing.taste`), in points of effort, the least first: a shape that every book shows costs little, a
damped inner string, a stretch or a place far up the neck costs more.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fretboard, Shape
from listen.theory import Chord, Pitch
from listen.voicing import NothingLeftError, find_shapes

HIGHEST_FRET = 14  # counted from the nut: where the body of most guitars stops a hand (common practice, no source)
MOST_DAMPED = 1  # inner strings: a finger damps one beside it (common practice, no source)
MOST_WORSE = 7.0  # points of taste behind the best grip over the same bass: beyond, no player would take it; judged
SPREAD = 2.0  # points of taste by which a grip is drawn e times less often; judged
REACH = 4.0  # frets that a hand moves between chords where it may; judged
MOVE_COST = 1.5  # points of taste for each fret that the hand would have to move; judged

Ints = NDArray[np.int16]


@dataclass(frozen=True, slots=True)
class ChordGrips:
    """Some grips of one chord.

    Parameters
    ----------
    frets : ndarray, shape (n, n_strings), int8
    costs : ndarray, shape (n,), float32
    basses, tops : ndarray, shape (n,), int16
        MIDI numbers of the lowest and of the highest tone.
    """

    frets: NDArray[np.int8]
    costs: NDArray[np.float32]
    basses: Ints
    tops: Ints

    def __len__(self) -> int:
        return len(self.frets)

    @property
    def counts(self) -> NDArray[np.int64]:
        """How many strings sound."""
        return np.asarray((self.frets >= 0).sum(axis=1))

    def take(self, rows: NDArray[np.bool_]) -> ChordGrips:
        """Return some of the grips."""
        return ChordGrips(self.frets[rows], self.costs[rows], self.basses[rows], self.tops[rows])

    def draw(self, rng: np.random.Generator) -> int:
        """Draw the number of a grip: the more gladly it is used, the likelier."""
        weights = np.exp((self.costs.min() - self.costs.astype(np.float64)) / SPREAD)
        return int(rng.choice(len(self), p=weights / weights.sum()))

    def shape(self, row: int) -> Shape:
        """Return one of them."""
        return Shape(tuple(None if fret < 0 else fret for fret in self.frets[row].tolist()))


def _find_places(frets: NDArray[np.int8]) -> NDArray[np.float32]:
    """Return where on the neck the fingers lie: the mean of the stopped frets, 0 where all strings ring open."""
    stopped = frets > 0
    return np.asarray(np.where(stopped, frets, 0).sum(axis=1) / np.maximum(stopped.sum(axis=1), 1), np.float32)


def list_grips(chord: Chord, bass: Pitch, fretboard: Fretboard, *, near: Shape | None = None) -> ChordGrips:
    """List the grips of a chord over a bass; the bass is the first string that is struck, and no tone is left out.

    Parameters
    ----------
    chord : Chord
    bass : Pitch
        Of the chord's bass.
    fretboard : Fretboard
    near : Shape, optional
        From where the hand comes: what moving it costs is added; places farther off than it reaches are left out.
    """
    every = _list_all(chord, fretboard)
    found = every.take(every.basses == bass.midi)
    if near is not None:
        place = _find_places(np.array([[-1 if fret is None else fret for fret in near.frets]], np.int8))
        moved = np.abs(_find_places(found.frets) - place)
        found = replace(found, costs=found.costs + np.float32(MOVE_COST) * moved)
        found = found.take(moved <= max(REACH, moved.min(initial=np.inf)))
    return found.take(found.costs <= found.costs.min(initial=np.inf) + MOST_WORSE)


@lru_cache(maxsize=1024)
def _list_all(chord: Chord, fretboard: Fretboard) -> ChordGrips:
    reached = replace(fretboard, n_frets=min(fretboard.n_frets, HIGHEST_FRET))
    try:
        found = find_shapes(Chord(chord.root, chord.quality, chord.sounding_bass), fretboard=reached)
    except NothingLeftError:
        nothing = np.zeros(0, np.int16)
        return ChordGrips(np.zeros((0, fretboard.n_strings), np.int8), nothing.astype(np.float32), nothing, nothing)
    played, pitches = found.frets >= 0, found.pitches
    n_strings = fretboard.n_strings
    first, last = played.argmax(axis=1), n_strings - 1 - played[:, ::-1].argmax(axis=1)
    lowest, tops = pitches.min(axis=1), np.where(played, pitches, -1).max(axis=1)
    heard = np.bitwise_or.reduce(np.where(played, 1 << (pitches.astype(np.int64) % 12), 0), axis=1)
    kept = pitches[np.arange(len(pitches)), first] == lowest
    kept &= last - first + 1 - played.sum(axis=1) <= MOST_DAMPED
    kept &= heard == sum(1 << tone for tone in chord.pitch_classes)
    return ChordGrips(found.frets[kept], found.costs[kept], lowest[kept], tops[kept].astype(np.int16))
