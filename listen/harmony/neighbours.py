"""Chords one finger away: what a shape becomes when one finger is moved by a fret, lifted or put down."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from listen.errors import bad_value
from listen.harmony.plainness import PLAINNESS
from listen.harmony.without_bass import rank_names_on
from listen.instrument import Fretboard, Shape
from listen.reading import ChordName

_REACH_FRETS = 3  # a finger is put down within four frets of the hand's lowest: one finger a fret, the closed position
_FINGERS = 4
_INVERTED, _FOREIGN_BASS, _MADE_TO_MEASURE = 0.9, 1.5, 2.6  # points, as the prices of listen.harmony.scoring


@dataclass(frozen=True, slots=True)
class Neighbour:
    """A shape one finger away, and what it is called.

    Parameters
    ----------
    shape : Shape
    change : str
        What the finger does, in words.
    name : ChordName
        The first name of the shape.
    """

    shape: Shape
    change: str
    name: ChordName


def find_neighbours(shape: Shape, fretboard: Fretboard) -> tuple[Neighbour, ...]:
    """Find the named chords that are one finger away from a shape.

    A finger moves by one fret along its string, is lifted (the string rings open or is left out), or is put down on a
    string that was open or silent. Notes held by one barre do not move alone, save that a finger is put down above it.
    Only names that hold exactly what sounds, a fifth apart, are given, each chord once.

    Parameters
    ----------
    shape : Shape
    fretboard : Fretboard

    Returns
    -------
    tuple of Neighbour
        Plainest name first; equal ones in the order of strings and frets.

    Raises
    ------
    BadValueError
        The shape has not as many strings as the neck.

    Examples
    --------
    >>> neighbours = find_neighbours(Shape((None, 3, 2, 0, 1, 0)), Fretboard())
    >>> [(each.change, each.shape.text, each.name.text) for each in neighbours[:2]]
    [('lift the finger from string 5', 'x02010', 'Am7'), ('put a finger on string 3, fret 3', 'x32310', 'C7')]
    """
    if len(shape.frets) != fretboard.n_strings:
        raise bad_value("shape", shape.text, allowed=f"{fretboard.n_strings} strings on this neck")
    own = _first_name(shape, fretboard)
    seen = set() if own is None else {own.text}
    found: list[Neighbour] = []
    for changed, change in _find_changes(shape, fretboard):
        name = _first_name(changed, fretboard)
        if name is None or name.text in seen or name.unexplained or set(name.missing) - {"5"}:
            continue
        seen.add(name.text)
        found.append(Neighbour(changed, change, name))
    return tuple(sorted(found, key=_plainness))


def _plainness(neighbour: Neighbour) -> float:
    chord = neighbour.name.chord
    slash = 0.0 if chord.bass is None else _INVERTED if chord.inversion is not None else _FOREIGN_BASS
    return PLAINNESS.get(chord.quality.symbol, _MADE_TO_MEASURE) + slash


def _first_name(shape: Shape, fretboard: Fretboard) -> ChordName | None:
    sounding = [pitch for pitch in shape.pitches(fretboard) if pitch is not None]
    names = rank_names_on(fretboard.tuning, sounding, limit=1)
    return names[0] if names else None


def _find_changes(shape: Shape, fretboard: Fretboard) -> Iterator[tuple[Shape, str]]:
    """Enumerate the shapes one finger away, string by string, with what the finger does."""
    fretted = [fret for fret in shape.frets if fret]
    low = min(fretted, default=1)
    barred = _find_barred(shape)
    for index, fret in enumerate(shape.frets):
        string = len(shape.frets) - index
        if fret and index not in barred:
            yield from _move(shape, index, (fret - 1, fret + 1), f"move the finger on string {string}", fretboard)
            yield _with(shape, index, 0), f"lift the finger from string {string}"
        if fret is None:
            yield _with(shape, index, 0), f"let string {string} ring open"
        else:
            yield _with(shape, index, None), f"leave string {string} out"
        if (not fret or index in barred) and len(set(fretted)) < _FINGERS:
            above = range(max(low, (fret or 0) + 1), low + _REACH_FRETS + 1)
            yield from _move(shape, index, above, f"put a finger on string {string}", fretboard)


def _move(
    shape: Shape, index: int, frets: range | tuple[int, ...], what: str, fretboard: Fretboard
) -> Iterator[tuple[Shape, str]]:
    for fret in frets:
        if 1 <= fret <= fretboard.top_fret:
            yield _with(shape, index, fret), f"{what}, fret {fret}"


def _with(shape: Shape, index: int, fret: int | None) -> Shape:
    return Shape((*shape.frets[:index], fret, *shape.frets[index + 1 :]))


def _find_barred(shape: Shape) -> frozenset[int]:
    """Return the strings that one finger is likely to hold: the lowest fret, where no string is open and four sound."""
    fretted = [fret for fret in shape.frets if fret]
    if 0 in shape.frets or len(fretted) <= _FINGERS:
        return frozenset()
    return frozenset(index for index, fret in enumerate(shape.frets) if fret == min(fretted))
