"""Instruments and tunings by name, read from the table ``instruments.json`` beside this file.

Conventions: the table gives each instrument's open strings (highest-numbered first), usual number of frets and scale
length. Scale lengths are the makers' usual ones (25.5 in = 648 mm, bass 34 in = 864 mm, mandolin 13 7/8 in = 352 mm,
concert ukulele 15 in = 381 mm, tenor guitar 23 in = 584 mm; common practice, from memory).
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache
from importlib.resources import files

from listen.errors import BadValueError, bad_value
from listen.instrument.fretboard import SCALE_LENGTH_MM, Fretboard
from listen.instrument.tuning import HIGHEST_OPEN, LOWEST_OPEN, MOST_STRINGS, STANDARD, Tuning
from listen.theory import Note, Pitch, is_pitch_text

USUAL_FRETS = 22
_GUITARS_BELOW = (Pitch.parse("F#1"), Pitch.parse("B1"), *STANDARD.open_strings)  # of eight strings; seven lack one
LONGEST_TEXT = 200  # characters: room for ten strings and a name


@dataclass(frozen=True, slots=True)
class Instrument:
    """A kind of instrument as the trade strings it.

    Parameters
    ----------
    name : str
    aliases : tuple of str
        Other names that are understood.
    tuning : Tuning
    n_frets : int
    scale_length_mm : float
    """

    name: str
    aliases: tuple[str, ...]
    tuning: Tuning
    n_frets: int = USUAL_FRETS
    scale_length_mm: float = SCALE_LENGTH_MM

    def fretboard(self, *, capo_fret: int = 0) -> Fretboard:
        """Return its usual neck."""
        return Fretboard(self.tuning, self.n_frets, capo_fret, self.scale_length_mm)


@cache
def load_instruments() -> tuple[Instrument, ...]:
    """Read the table of instruments.

    Examples
    --------
    >>> len(load_instruments()) > 25, load_instruments()[0].name
    (True, 'standard')
    """
    rows = json.loads(files("listen.instrument").joinpath("instruments.json").read_text(encoding="utf-8"))
    return tuple(
        Instrument(
            row["name"],
            tuple(row["aliases"]),
            Tuning(row["name"], _read_pitches(row["strings"]), tuple(row.get("companions", ()))),
            row.get("frets", USUAL_FRETS),
            float(row.get("scale_mm", SCALE_LENGTH_MM)),
        )
        for row in rows
    )


def find_instrument(name: str) -> Instrument:
    """Find an instrument or tuning by its name; case, spaces and hyphens do not matter.

    Raises
    ------
    BadValueError
        There is none of that name; the sentence gives the nearest.

    Examples
    --------
    >>> find_instrument("Drop-D").tuning.text
    'D2 A2 D3 G3 B3 E4'
    >>> find_instrument("ukulele").fretboard().scale_length_mm
    381.0
    >>> find_instrument("dradgad")
    Traceback (most recent call last):
    listen.errors.BadValueError: tuning=dradgad is not possible: it takes the name of an instrument or tuning, or its
    open strings. Did you mean DADGAD?
    """
    found = _by_name().get(_plain(name))
    if found is None:
        nearest = get_close_matches(_plain(name[:LONGEST_TEXT]), _by_name(), n=1, cutoff=0.5)
        remedy = (
            f"Did you mean {_by_name()[nearest[0]].name}?" if nearest else f"Write them low to high: {STANDARD.text}."
        )
        raise bad_value(
            "tuning", name, allowed="the name of an instrument or tuning, or its open strings", remedy=remedy
        )
    return found


def parse_tuning(text: str) -> Tuning:
    """Read a tuning: a name, a list of pitches, or six to eight letters near a guitar's usual tuning.

    Parameters
    ----------
    text : str
        ``"drop D"``, ``"E2 A2 D3 G3 B3 E4"`` (highest-numbered string first), or ``"C G D G B D"``.

    Raises
    ------
    BadValueError
        Neither a known name nor pitches that an instrument can have.

    Examples
    --------
    >>> parse_tuning("dadgad").text
    'D2 A2 D3 G3 A3 D4'
    >>> parse_tuning("C2, G2, D3, A3, E4, G4").name
    'C2 G2 D3 A3 E4 G4'
    >>> parse_tuning("C G D G B D").text
    'C2 G2 D3 G3 B3 D4'
    """
    text = text.strip()
    if not text:
        raise bad_value(
            "tuning", "(empty)", allowed=f"1 to {MOST_STRINGS} open strings", remedy=f"Write {STANDARD.text}."
        )
    words = re.split(r"[\s,]+", text)
    if _plain(text) in _by_name() or len(text) > LONGEST_TEXT:
        return find_instrument(text).tuning
    if all(is_pitch_text(word) for word in words):
        pitches = _read_pitches(text)
        known = [each.tuning for each in load_instruments() if each.tuning.open_strings == pitches]
        return known[0] if known else Tuning(" ".join(pitch.name for pitch in pitches), pitches)
    letters = re.findall(r"[A-G][#b♯♭]?", text) if re.fullmatch(r"(?:[A-G][#b♯♭]?[\s,]*){6,8}", text) else []
    if letters:
        usual = _GUITARS_BELOW[len(_GUITARS_BELOW) - len(letters) :]
        pitches = tuple(_nearest(Note.parse(each), string) for each, string in zip(letters, usual, strict=True))
        return Tuning(" ".join(pitch.name for pitch in pitches), pitches)
    if len(words) > 1 and all(is_pitch_text(word) or is_pitch_text(f"{word}0") for word in words):  # no octave
        raise bad_value(
            "tuning", text, allowed="pitches with their octaves", remedy=f"Write {STANDARD.text}, sixth string first."
        )
    return find_instrument(text).tuning


def _read_pitches(text: str) -> tuple[Pitch, ...]:
    words = re.split(r"[\s,]+", text.strip())
    outside = next((word for word in words if not _is_open_string(word)), None)
    if outside is not None:
        allowed = f"open strings from {LOWEST_OPEN.name} to {HIGHEST_OPEN.name}"
        raise bad_value("tuning", text, allowed=allowed, remedy=f"{outside} is none.")
    return tuple(Pitch.parse(word) for word in words)


def _is_open_string(word: str) -> bool:
    try:
        return LOWEST_OPEN <= Pitch.parse(word) <= HIGHEST_OPEN
    except BadValueError:
        return False


def _nearest(note: Note, usual: Pitch) -> Pitch:
    return usual.shifted((note.pitch_class - usual.pitch_class + 6) % 12 - 6)


def _plain(name: str) -> str:
    folded = name.casefold().replace("♯", "#").replace("♭", "b")
    return re.sub(r"[\s_\-]+|tuning$", "", folded)


@cache
def _by_name() -> dict[str, Instrument]:
    named: dict[str, Instrument] = {}
    for instrument in load_instruments():
        for name in (instrument.name, *instrument.aliases):
            named.setdefault(_plain(name), instrument)
    return named
