"""The error for a chord symbol that cannot be read: where it went wrong, why, and the nearest good symbol if one is."""

from __future__ import annotations

import difflib
import re

from listen.errors import BadValueError
from listen.theory.qualities import QUALITIES

LONGEST_SYMBOL = 120  # characters; the longest symbol of the table with a bass takes 24
LEAST_LIKENESS = 0.6  # of what follows the root; below it "oll" was taken for "(no5)", which helps nobody
_ALIASES = ("min", "maj", "-", "M7", "mi7", "ma7", "+", "sus", "69", "°7", "ø", "7alt", "(no3)", "(no5)")
_OTHER_WORDS = {"moll": "m", "mol": "m", "dur": "", "2": "sus2", "4": "sus4"}
_SHOWN = 40

_NO_CHORD = re.compile(r"(?:n\.?\s?c\.?|n|tacet|no chord)$", re.IGNORECASE)
_THREE_SIGNS = re.compile(r"[A-Ga-g](?:#{3}|b{3})")
_ONE_NOTE = re.compile(r"[A-G](?:##|bb|#|b)?-?[0138]$")  # C2 and C4 are meant as chords more often
_NOTES = re.compile(r"[A-Ga-g](?:#|b)?(?:[\s,\-]+[A-Ga-g](?:#|b)?)+$")
_ROMAN = re.compile(r"[b#]?(?:[IV]+|[iv]+)(?![a-z])")
_ALTERED_NAME = re.compile(r"([A-H])(is|es)|([EA])s(?!us)")  # note names as German, Dutch and Nordic players say them
_SUNG_NAME = re.compile(r"Re|Mi|Sol|La|Si")
_SUNG = {"Re": "D", "Mi": "E", "Sol": "G", "La": "A", "Si": "B"}
_ROOT = re.compile(r"[A-Ga-g](?:##|bb|#|b)?")
_HABITS = (
    (_NO_CHORD, "it says that no chord sounds, so there is nothing to name or to hold"),
    (re.compile(r"X$"), "it stands for a chord that is not known"),
    (_THREE_SIGNS, "a note takes two sharps or two flats at most"),
    (_ONE_NOTE, "one note with its octave is no chord"),
    (_NOTES, "a chord is one symbol, and notes are given with their octaves, such as C3 E3 G3"),
    (_ROMAN, "a numeral names a chord in a key only; write its own letter"),
    (re.compile(r"[A-Ga-g][#b]?\s*(?:moll?|dur)\b", re.IGNORECASE), "minor is written m, and major with nothing"),
)


class ChordSymbolError(BadValueError):
    """A chord symbol that cannot be read.

    Parameters
    ----------
    text : str
        What was given.
    position : int
        Index, from 0, of the first character that could not be read.
    reason : str
        What was wrong there; a habit of writing that is known goes before it.
    """

    def __init__(self, text: str, position: int, reason: str = "") -> None:
        self.text = text
        self.position = position
        self.reason = _explain(text, position) or reason
        super().__init__(text, position, reason)

    @property
    def nearest(self) -> str:
        """A symbol near to it that can be read; empty where none is near."""
        return name_nearest_symbol(self.text)

    def __str__(self) -> str:
        if not self.text.strip():
            return "chord is empty: write a root and a quality, such as Cmaj7."
        shown = self.text if len(self.text) <= _SHOWN else f"{self.text[: _SHOWN - 3]}..."
        if self.position < len(self.text):
            rest = self.text[self.position :]
            at = f'at character {self.position + 1} ("{rest if len(rest) <= 10 else f"{rest[:10]}..."}")'
        else:
            at = f"after character {len(self.text)}, where something is missing"
        because = f": {self.reason}" if self.reason else ""
        near = self.nearest
        return f"chord={shown} cannot be read {at}{because}.{f' The nearest good symbol is {near}.' if near else ''}"


def name_nearest_symbol(text: str) -> str:
    """Return a readable chord symbol near to one that is not; empty where none is.

    Examples
    --------
    >>> [name_nearest_symbol(text) for text in ("Bbmajj7", "am7", "H7", "Fis moll", "C7/H", "N.C.", "C###", "Cqqq")]
    ['Bbmaj7', 'Am7', 'B7', 'F#m', 'C7/B', '', '', '']
    """
    start = _plain(text)
    if any(habit.match(start) for habit in (_NO_CHORD, _THREE_SIGNS, _ROMAN, _ONE_NOTE, _NOTES)):
        return ""
    start = _write_by_letter(start)
    match = _ROOT.match(start)
    if match is None:
        return ""
    root = match.group()[0].upper() + match.group()[1:]
    head, _, bass = start[match.end() :].partition("/")
    bass = _write_by_letter(bass.strip(" /"))
    endings = ([f"/{bass[:1].upper()}{bass[1:]}"] if bass else []) + [""]
    head = head.strip(" :")
    for quality in (head, *_near_qualities(head)):
        for ending in endings:
            read = _read(f"{root}{quality}{ending}")
            if read:
                return read
    return ""


def _near_qualities(rest: str) -> list[str]:
    word = re.match(r"[a-z]*|\d", rest.lower())
    if rest.lower() in _OTHER_WORDS:
        return [_OTHER_WORDS[rest.lower()]]
    if word is not None and word.group() in _OTHER_WORDS:
        return [_OTHER_WORDS[word.group()] + rest[word.end() :]]
    good = [*(quality.symbol for quality in QUALITIES if quality.symbol), *_ALIASES]
    near = difflib.get_close_matches(rest, good, n=3, cutoff=LEAST_LIKENESS)
    return near if rest.strip("()[] ") else [""]


def _read(symbol: str) -> str:
    """Return a symbol as it is usually written; empty where it cannot be read."""
    from listen.theory.symbol import parse_chord  # which raises the error of this file

    try:
        return parse_chord(symbol).text
    except ChordSymbolError:
        return ""


def _plain(text: str) -> str:
    return text.strip()[:32].replace("♯", "#").replace("♭", "b")


def _write_by_letter(text: str) -> str:
    """Return the text with its note name, if it is one of another language, as letter and sign."""
    if match := _ALTERED_NAME.match(text):
        letter = match[1] or match[3]
        return f"{_letter(letter)}{'#' if match[2] == 'is' else 'b'}{text[match.end() :]}"
    if match := _SUNG_NAME.match(text):
        return _SUNG[match.group()] + text[match.end() :]
    return _letter(text[:1]) + text[1:]


def _letter(name: str) -> str:
    return "B" if name == "H" else name


def _explain(text: str, position: int) -> str:
    """Return what is known of such a way of writing; empty where it is none that is known."""
    start = _plain(text)
    for habit, sentence in _HABITS:
        if habit.match(start):
            return sentence
    other = _write_by_letter(start)
    if other != start:
        named, root = _ALTERED_NAME.match(start) or _SUNG_NAME.match(start), _ROOT.match(other)
        return f"{named.group() if named else start[:1]} is written {root.group() if root else other[:1]} here"
    if position and text[position - 1].isspace() and "A" <= text[position : position + 1] <= "G":
        return "another chord begins here, and one is read at a time"
    return ""
