"""The nearest good symbol to one that cannot be read."""

from __future__ import annotations

import difflib
import re

from listen.theory.qualities import QUALITIES
from listen.theory.symbol_error import ChordSymbolError
from listen.theory.symbol_habits import ROOT, is_no_attempt, write_by_letter, write_plainly
from listen.theory.symbol_parser import read_symbol

LEAST_LIKENESS = 0.6  # of what follows the root; below it "oll" was taken for "(no5)", which helps nobody
_ALIASES = ("min", "maj", "-", "M7", "mi7", "ma7", "+", "sus", "69", "°7", "ø", "7alt", "(no3)", "(no5)")
_OTHER_WORDS = {
    "moll": "m", "mol": "m", "dur": "", "2": "sus2", "4": "sus4", "67": "6/7", "h": "m7b5", "power": "5",
}  # fmt: skip

_DEGREES, _FLAT = re.compile(r"1[\s,]"), re.compile(r"-(?=\d)")  # a list of them, of which some write -3 for b3


def name_nearest_symbol(text: str) -> str:
    """Return a readable chord symbol near to one that is not; empty where none is.

    Examples
    --------
    >>> [name_nearest_symbol(text) for text in ("Bbmajj7", "am7", "H7", "Fis moll", "C7/H", "D: 1 -3 5", "Cqqq")]
    ['Bbmaj7', 'Am7', 'B7', 'F#m', 'C7/B', 'Dm', '']
    """
    start = write_plainly(text)
    if is_no_attempt(start):
        return ""
    start = write_by_letter(start)
    match = ROOT.match(start)
    if match is None:
        return ""
    root = match.group()[0].upper() + match.group()[1:]
    head, _, bass = start[match.end() :].partition("/")
    bass = write_by_letter(bass.strip(" /"))
    endings = ([f"/{bass[:1].upper()}{bass[1:]}"] if bass else []) + [""]
    head = head.strip(" :")
    if _DEGREES.match(head):
        return _read(f"{root}: {_FLAT.sub('b', head)}")
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
    try:
        return read_symbol(symbol).text
    except ChordSymbolError:
        return ""
