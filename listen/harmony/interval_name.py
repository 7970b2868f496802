"""Two notes named as an interval: ``C–E, a major third``."""

from __future__ import annotations

from listen.theory import Note, Pitch

_SIMPLE = (
    "an octave",
    "a minor second",
    "a major second",
    "a minor third",
    "a major third",
    "a perfect fourth",
    "a tritone",
    "a perfect fifth",
    "a minor sixth",
    "a major sixth",
    "a minor seventh",
    "a major seventh",
)
_COMPOUND = {13: "a minor ninth", 14: "a major ninth", 15: "a minor tenth", 16: "a major tenth", 17: "an eleventh"}
_COUNTS = ("", "", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def name_interval(low: Pitch, high: Pitch) -> str:
    """Name the interval from one pitch up to another.

    Examples
    --------
    >>> name_interval(Pitch(48), Pitch(52)), name_interval(Pitch(48), Pitch(64)), name_interval(Pitch(48), Pitch(78))
    ('a major third', 'a major tenth (a major third and an octave)', 'a tritone and two octaves')
    """
    octaves, step = divmod(high.midi - low.midi, 12)
    simple = _SIMPLE[step]
    if step == 0:
        return simple if octaves < 2 else f"{_COUNTS[octaves]} octaves"
    if octaves == 0:
        return simple
    wider = f"{simple} and {'an octave' if octaves == 1 else f'{_COUNTS[octaves]} octaves'}"
    compound = _COMPOUND.get(high.midi - low.midi)
    return wider if compound is None else f"{compound} ({wider})"


def label_dyad(low: Pitch, high: Pitch, *, low_note: Note, high_note: Note) -> str:
    """Return what is printed for two notes, e.g. ``C–E, a major third``."""
    return f"{low_note.printed}–{high_note.printed}, {name_interval(low, high)}"
