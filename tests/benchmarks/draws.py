"""Draw shapes with known truth: from the open shape data, off the book, and the same pitches at another place.

Shape data: npm ``@tombatossals/chords-db`` 0.5.1 (MIT), in ``tests/data/chords-db``.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from tests.benchmarks.hands import OPEN_MIDI, TOP_FRET, Frets, can_be_held, find_places, frets_to_pitches
from tests.benchmarks.vocabulary import QUALITIES, explains

SHAPE_DATA = Path(__file__).parent.parent / "data" / "chords-db" / "guitar.json"
ROOTS = {name: root for root, name in enumerate(("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"))}
INVERTED_SHARE = 0.3  # of the drawn book shapes that are forced to an inverted one, where the quality has any
CHORDS_OFF_THE_BOOK = 0.6  # of the shapes off the book that hold a chord of the vocabulary; the others hold any notes


@dataclass(frozen=True, slots=True)
class Drawn:
    """A shape and what it is called.

    Parameters
    ----------
    frets : tuple of int or None
    root : int or None
        Pitch class; None where the shape has no name, or sounds other tones than its name.
    quality : str or None
        A key of :data:`~tests.benchmarks.vocabulary.QUALITIES`.
    """

    frets: Frets
    root: int | None = None
    quality: str | None = None

    @property
    def inverted(self) -> bool:
        """Whether a tone other than the root is lowest."""
        return self.root is not None and frets_to_pitches(self.frets)[0] % 12 != self.root


Draw = Callable[[np.random.Generator], Drawn]


def _quality_of(suffix: str) -> str | None:
    slashed = {"/": "major", "m/": "minor"}
    return slashed.get(suffix[: suffix.index("/") + 1]) if "/" in suffix else suffix if suffix in QUALITIES else None


@cache
def load_book() -> tuple[dict[str, tuple[Drawn, ...]], frozenset[Frets]]:
    """Read the open shape data.

    Returns
    -------
    by_quality : dict of str to tuple of Drawn
        The 22 qualities, slash chords among the major and minor ones; an entry that sounds other tones than its name
        loses the name (about one in ten does).
    all_frets : frozenset of Frets
        Every shape of the data, whatever its quality.
    """
    by_quality: dict[str, list[Drawn]] = {quality: [] for quality in QUALITIES}
    seen: set[Frets] = set()
    for entries in json.loads(SHAPE_DATA.read_text(encoding="utf-8"))["chords"].values():
        for entry in entries:
            for position in entry["positions"]:
                frets: Frets = tuple(
                    None if fret < 0 else fret if fret == 0 else fret + position["baseFret"] - 1
                    for fret in position["frets"]
                )
                seen.add(frets)
                quality = _quality_of(entry["suffix"])
                if quality is None or max(fret or 0 for fret in frets) > TOP_FRET:
                    continue
                pitches = frets_to_pitches(frets)
                root = ROOTS[entry["key"].replace("sharp", "#")]
                sounding = frozenset(pitch % 12 for pitch in pitches)
                if len(sounding) < 3:
                    continue
                named = explains(root, frozenset(QUALITIES[quality]), sounding)
                by_quality[quality].append(Drawn(frets, root if named else None, quality if named else None))
    return {quality: tuple(shapes) for quality, shapes in by_quality.items()}, frozenset(seen)


def draw_book_shape(random: np.random.Generator) -> Drawn:
    """Draw a quality, then one of its shapes."""
    by_quality, _ = load_book()
    shapes = by_quality[random.choice(list(QUALITIES))]
    inverted = [shape for shape in shapes if shape.inverted]
    pool = inverted if inverted and random.random() < INVERTED_SHARE else shapes
    return pool[random.integers(len(pool))]


def draw_off_book_shape(random: np.random.Generator) -> Drawn:
    """Draw a shape that a hand holds and the open data does not list."""
    _, seen = load_book()
    while True:
        root, quality = int(random.integers(12)), str(random.choice(list(QUALITIES)))
        wanted = frozenset((root + tone) % 12 for tone in QUALITIES[quality])
        chordal = random.random() < CHORDS_OFF_THE_BOOK
        low = int(random.integers(0, TOP_FRET - 3))
        frets: list[int | None] = []
        for open_midi in OPEN_MIDI:
            choices = [0, *range(max(1, low), low + 4)]
            if chordal:
                choices = [fret for fret in choices if (open_midi + fret) % 12 in wanted]
            frets.append(None if not choices or random.random() < 0.2 else int(random.choice(choices)))
        drawn = tuple(frets)
        sounding = frozenset(pitch % 12 for pitch in frets_to_pitches(drawn))
        if len(sounding) < 3 or drawn in seen or not can_be_held(drawn):
            continue
        if not chordal:
            return Drawn(drawn)
        if explains(root, frozenset(QUALITIES[quality]), sounding):
            return Drawn(drawn, root, quality)


@cache
def _other_places(frets: Frets) -> tuple[Frets, ...]:
    _, seen = load_book()
    return tuple(place for place in find_places(frets_to_pitches(frets)) if place != frets and place not in seen)


def draw_refingered_shape(random: np.random.Generator) -> Drawn:
    """Draw a book shape's pitches at another place, where no book has them."""
    while True:
        drawn = draw_book_shape(random)
        places = _other_places(drawn.frets)
        if places:
            return Drawn(places[random.integers(len(places))], drawn.root, drawn.quality)


def draw_power_chord(random: np.random.Generator) -> Drawn:
    """Draw a root and fifth on neighbouring strings, in half of the cases with the octave above."""
    string, fret = int(random.integers(0, 3)), int(random.integers(0, 11))
    offsets = (0, 7, 12) if random.random() < 0.5 else (0, 7)
    frets: list[int | None] = [None] * len(OPEN_MIDI)
    for step, interval in enumerate(offsets):
        frets[string + step] = OPEN_MIDI[string] + fret + interval - OPEN_MIDI[string + step]
    return Drawn(tuple(frets), (OPEN_MIDI[string] + fret) % 12, None)


def restricted(draw: Draw, *, frets: frozenset[int]) -> Draw:
    """Return the same draw, kept to these frets (an instrument of which only some notes were recorded)."""

    def draw_within(random: np.random.Generator) -> Drawn:
        while True:
            drawn = draw(random)
            if all(fret is None or fret in frets for fret in drawn.frets):
                return drawn

    return draw_within
