"""Harte syntax, in and out: ``F#:min7/b3``, ``D:(1,2,5)``, ``C:maj(*3)``.

References
----------
C. Harte, M. Sandler, S. Abdallah, E. Gómez, Symbolic representation of musical chords: a proposed syntax for text
annotations, ISMIR 2005. The shorthands that the paper lacks and later label files use (``11``, ``13``, ``sus2``, ``5``
…) are read as `mir_eval.chord` reads them, and never written.
"""

from __future__ import annotations

import re

from listen.theory.chord import Chord
from listen.theory.degree_list import degrees_to_quality, tones_to_harte
from listen.theory.interval import Interval
from listen.theory.qualities import QUALITIES
from listen.theory.spelling import Note
from listen.theory.symbol_error import LONGEST_SYMBOL, ChordSymbolError

_ROOT = re.compile(r"[A-G](?:#{1,3}|b{1,3})?")
_SHORTHAND = re.compile(r"[a-z]*\d*")
_DEGREE = re.compile(r"\s*(\*?)((?:bb|##|b|#)?(?:1[0-3]|[1-9]))\s*")
_LATER_SHORTHANDS = {
    "1": "1",
    "5": "1 5",
    "sus2": "1 2 5",
    "aug7": "1 3 #5 b7",
    "11": "1 3 5 b7 9 11",
    "maj11": "1 3 5 7 9 11",
    "min11": "1 b3 5 b7 9 11",
    "13": "1 3 5 b7 9 11 13",
    "maj13": "1 3 5 7 9 11 13",
    "min13": "1 b3 5 b7 9 11 13",
}
_SHORTHANDS: dict[str, tuple[Interval, ...]] = {
    quality.harte: quality.tones for quality in QUALITIES if "(" not in quality.harte
} | {name: tuple(Interval.parse(degree) for degree in text.split()) for name, text in _LATER_SHORTHANDS.items()}


def chord_to_harte(chord: Chord, *, missing: tuple[str, ...] = ()) -> str:
    """Write a chord in Harte syntax.

    Parameters
    ----------
    chord : Chord
    missing : tuple of str
        Degrees that do not sound. A missing fifth is understood and not written; any other tone that is missing (the
        eleventh of a thirteenth, the third of an eleventh) is left out of the degree list, so that the label tells
        what sounds.

    Examples
    --------
    >>> from listen.theory.symbol import parse_chord
    >>> chord_to_harte(parse_chord("G/B")), chord_to_harte(parse_chord("D5")), chord_to_harte(parse_chord("D/C"))
    ('G:maj/3', 'D:(1,5)', 'D:maj/b7')
    >>> chord_to_harte(parse_chord("C13"), missing=("11", "5"))
    'C:9(13)'
    """
    gone = {Interval.parse(degree) for degree in missing} - {Interval(1), Interval(5)}
    if not gone:
        return chord.harte
    tones = tuple(tone for tone in chord.quality.tones if tone not in gone)
    whole, slash, bass = chord.harte.partition("/")
    return f"{whole.partition(':')[0]}:{tones_to_harte(tones)}{slash}{bass}"


def parse_harte(text: str) -> Chord:
    """Read a chord in Harte syntax.

    Raises
    ------
    ChordSymbolError
        The text does not follow the syntax; ``N`` and ``X`` (no chord, unknown) are no chords either.

    Examples
    --------
    >>> [parse_harte(label).text for label in ("F#:min7/b3", "D:(1,2,5)", "C", "Eb:7(#9)")]
    ['F#m7/A', 'Dsus2', 'C', 'Eb7#9']
    """
    label = text.strip()
    if len(label) > LONGEST_SYMBOL:
        raise ChordSymbolError(text, LONGEST_SYMBOL, "no chord is written so long")

    def refuse(position: int, reason: str) -> ChordSymbolError:
        return ChordSymbolError(label, position, reason)

    match = _ROOT.match(label)
    if match is None:
        raise refuse(0, "a chord begins with its root, a letter from A to G")
    root = Note.parse(match.group())
    position = match.end()
    tones = set(_SHORTHANDS["maj"])
    if label.startswith(":", position):
        position += 1
        shorthand = _SHORTHAND.match(label, position)
        name = "" if shorthand is None else shorthand.group()
        listed = label.startswith("(", position + len(name))
        if name not in _SHORTHANDS and not (listed and not name):
            raise refuse(position, "no shorthand of Harte syntax is written so")
        tones = {Interval(1), *_SHORTHANDS.get(name, ())}
        position += len(name)
        if listed:
            tones, position = _change_tones(label, position + 1, tones)
    bass: Note | None = None
    if label.startswith("/", position):
        degree = _DEGREE.fullmatch(label, position + 1)
        if degree is None or degree.group(1):
            raise refuse(position + 1, "the bass is a degree, such as 5 or b7")
        bass = root.above(Interval.parse(degree.group(2)))
        position = len(label)
    if position < len(label):
        raise refuse(position, "nothing more belongs to a chord")
    return Chord(root, degrees_to_quality(tones), None if bass == root else bass)


def _change_tones(label: str, position: int, tones: set[Interval]) -> tuple[set[Interval], int]:
    """Add and omit the degrees listed from a position on; return the tones and the place after the list."""
    while True:
        match = _DEGREE.match(label, position)
        if match is None:
            raise ChordSymbolError(label, position, "a degree such as b7 or *5 belongs here")
        interval = Interval.parse(match.group(2))
        tones = tones - {interval} if match.group(1) else tones | {interval}
        position = match.end()
        if label.startswith(")", position):
            return tones, position + 1
        if not label.startswith(",", position):
            raise ChordSymbolError(label, position, "degrees are parted by commas")
        position += 1
