"""Habits of writing that are no chord symbols here, and what to say of them: other languages, numerals, notes."""

from __future__ import annotations

import re

ROOT = re.compile(r"[A-Ga-g](?:#{1,3}|b{1,3})?")
_NO_CHORD = re.compile(r"(?:n\.?\s?c\.?|n|tacet|no chord)$", re.IGNORECASE)
_FOUR_SIGNS = re.compile(r"[A-Ga-g](?:#{4}|b{4})")
_ONE_NOTE = re.compile(r"[A-G](?:#{1,3}|b{1,3})?-?[0138]$")  # C2 and C4 are meant as chords more often
_NOTES = re.compile(r"[A-Ga-g](?:#|b)?(?:[\s,\-]+[A-Ga-g](?:#|b)?)+$")
_ROMAN = re.compile(r"[b#]?(?:[IV]+|[iv]+)(?![a-z])")
_ALTERED_NAME = re.compile(r"([A-H])(is|es)|([EA])s(?!us)")  # note names as German, Dutch and Nordic players say them
_SUNG_NAME = re.compile(r"[Dd]o(?!minant)|[Rr]e|[Mm]i(?!n)|[Ff]a(?!ug)|[Ss]ol|[Ll]a|[Ss]i")
_SUNG = {"Do": "C", "Re": "D", "Mi": "E", "Fa": "F", "Sol": "G", "La": "A", "Si": "B"}
_HABITS = (
    (_NO_CHORD, "it says that no chord sounds, so there is nothing to name or to hold"),
    (re.compile(r"X$"), "it stands for a chord that is not known"),
    (_FOUR_SIGNS, "a note takes three sharps or three flats at most"),
    (_ONE_NOTE, "one note with its octave is no chord"),
    (_NOTES, "a chord is one symbol, and notes are given with their octaves, such as C3 E3 G3"),
    (_ROMAN, "a numeral names a chord in a key only; write its own letter"),
    (re.compile(r"[A-Ga-g][#b]?\s*(?:moll?|dur)\b", re.IGNORECASE), "minor is written m, and major with nothing"),
)
_NO_ATTEMPT = (_NO_CHORD, _FOUR_SIGNS, _ROMAN, _ONE_NOTE, _NOTES)


def is_no_chord(text: str) -> bool:
    """Tell whether a chart would say so that no chord sounds.

    Examples
    --------
    >>> [is_no_chord(text) for text in ("N.C.", "nc", "Cm")]
    [True, True, False]
    """
    return _NO_CHORD.match(text.strip()) is not None


def is_no_attempt(text: str) -> bool:
    """Tell whether something else than a chord's symbol was meant, so that no symbol is near to it."""
    return any(habit.match(text) for habit in _NO_ATTEMPT)


def write_plainly(text: str) -> str:
    """Return the text with plain signs, cut where no symbol is so long."""
    return text.strip()[:32].replace("♯", "#").replace("♭", "b")


def write_by_letter(text: str) -> str:
    """Return the text with its note name, if it is one of another language, as letter and sign."""
    if match := _ALTERED_NAME.match(text):
        letter = match[1] or match[3]
        return f"{_letter(letter)}{'#' if match[2] == 'is' else 'b'}{text[match.end() :]}"
    if match := _SUNG_NAME.match(text):
        return _SUNG[match.group().capitalize()] + text[match.end() :]
    return _letter(text[:1]) + text[1:]


def _letter(name: str) -> str:
    return "B" if name == "H" else name


def explain_habit(text: str, position: int) -> str:
    """Return what is known of a way of writing that fails at a place; empty where it is none that is known."""
    start = write_plainly(text)
    for habit, sentence in _HABITS:
        if habit.match(start):
            return sentence
    other = write_by_letter(start)
    if other != start:
        named, root = _ALTERED_NAME.match(start) or _SUNG_NAME.match(start), ROOT.match(other)
        return f"{named.group() if named else start[:1]} is written {root.group() if root else other[:1]} here"
    if position and text[position - 1].isspace() and "A" <= text[position : position + 1] <= "G":
        return "another chord begins here, and one is read at a time"
    return ""
