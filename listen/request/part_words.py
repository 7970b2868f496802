"""What a person says of a part, as it is typed: capo, metre, tempo, pins, names, words; and how chords are called."""

from __future__ import annotations

import re
from fractions import Fraction
from typing import TYPE_CHECKING

from listen.errors import BadValueError, bad_value
from listen.evidence import HIGHEST_HEARD, LOWEST_HEARD
from listen.instrument import Fretboard
from listen.reading import Corrected, Correction, Pin
from listen.request.one_shape import parse_one_shape
from listen.theory import Note, Pitch, is_no_chord, parse_chord

if TYPE_CHECKING:
    from listen.export import NameStyle

SLOWEST_BPM, FASTEST_BPM = 20.0, 400.0  # what may be told: wider than what is looked for; judged
_METRE = re.compile(r"(\d{1,2})/(4|8)")
_PLACE = re.compile(r"(\d{1,5})(?:\.(\d{1,2})(\.\d{1,3})?)?")
_SIGNS = {"½": ".5", "¼": ".25", "¾": ".75", "⅓": ".333", "⅔": ".667"}  # of parts of a beat, as charts print them
NOTE_OPTIONS = ("note", "bass")
_METRES = ((2, 4), (3, 4), (4, 4), (5, 4), (6, 8), (9, 8), (12, 8))


def parse_capo(text: str) -> int:
    """Read a fret for the capo."""
    if not text.isdecimal() or int(text) > 12:
        raise bad_value(
            "capo", text, allowed="a fret from 0 to 12", remedy="Count frets from the nut; 0 means no capo."
        )
    return int(text)


def parse_metre(text: str) -> tuple[int, int]:
    """Read a signature: ``3/4``, ``6/8``."""
    match = _METRE.fullmatch(text.strip())
    metre = (int(match[1]), int(match[2])) if match else None
    if metre is None or metre not in _METRES:
        allowed = ", ".join(f"{beats}/{unit}" for beats, unit in _METRES)
        raise bad_value("metre", text, allowed=f"one of {allowed}")
    return metre


def parse_tempo(text: str) -> float:
    """Read beats a minute."""
    try:
        tempo = float(text)
    except ValueError:
        tempo = 0.0
    if not SLOWEST_BPM <= tempo <= FASTEST_BPM:
        raise bad_value("tempo", text, allowed=f"{SLOWEST_BPM:.0f} to {FASTEST_BPM:.0f} beats a minute")
    return tempo


def parse_pin(text: str, neck: Fretboard) -> Pin:
    """Read ``12=x32010`` or ``5.3=x32010``; the beat may have a decimal part, ``5.2.5``."""
    event_number, bar, beat, frets = _parse_place("pin", text, "frets", "x32010")
    return Pin(parse_one_shape([frets], neck), event_number, bar, beat)


def parse_name(text: str) -> Correction:
    """Read a chord that is held at an event, ``12=C6/9``, or from a beat of a bar on, ``5.3=C6/9``."""
    event_number, bar, beat, symbol = _parse_place("name", text, "a chord", "C6/9")
    if not is_no_chord(symbol):
        parse_chord(symbol)
    return Correction("name", symbol, event_number, bar, beat)


def _parse_place(what: str, text: str, told: str, example: str) -> tuple[int | None, int | None, Fraction, str]:
    """Return the event, or the bar and the beat, and what is told of it."""
    where, _, value = text.partition("=")
    match = _PLACE.fullmatch(where.strip())
    if match is None or not value.strip():
        typed = "".join(_SIGNS.get(sign, sign) for sign in where.strip())
        is_meant = _PLACE.fullmatch(typed) is not None and bool(value.strip())
        meant = f"{typed}={value.strip()}" if is_meant else f"12={example} or 5.3={example}"
        allowed = f"an event or a bar and beat, =, and {told}"
        raise bad_value(what, text, allowed=allowed, remedy=f"Write {meant}.")
    if match[2] is None:
        return int(match[1]), None, Fraction(1), value.strip()
    if int(match[2]) == 0:
        raise bad_value(what, text, allowed="a beat from 1 on")
    return None, int(match[1]), Fraction(match[2] + (match[3] or "")), value.strip()


def parse_said(what: Corrected, text: str) -> Correction:
    """Read a title, or what is said from an event or a beat on: ``12=Verse``, ``5.1=Verse``; of a note ``5.3=-G3``."""
    if what == "title":
        return Correction("title", text.strip())
    told, example = ("a note", "G3") if what in NOTE_OPTIONS else ("words", "Verse")
    event_number, bar, beat, value = _parse_place(what, text, told, example)
    said = Correction(what, value, event_number, bar, beat)
    if what == "bass" and value.startswith("-"):
        allowed = "an event with a chord, or a bar and beat, =, and the note that is its bass"
        remedy = f"Write --note {said.text} for a note that does not sound."
        raise bad_value("bass", text, allowed=allowed, remedy=remedy)
    if what in NOTE_OPTIONS:
        parse_said_note(what, value.removeprefix("-"), text)
    return said


def parse_said_note(what: Corrected, note: str, typed: str) -> Pitch | Note:
    """Read the note that something is said of; a bass may be told without its octave.

    Parameters
    ----------
    what : Corrected
        ``"note"``, ``"no note"`` or ``"bass"``.
    note : str
    typed : str
        What to name where it is refused.

    Raises
    ------
    BadValueError
        It is no note, or one that no ear here knows.
    """
    option = "bass" if what == "bass" else "note"
    try:
        is_named = what == "bass" and not any(letter.isdigit() for letter in note)
        found = Note.parse(note) if is_named else Pitch.parse(note)
    except ValueError as error:
        allowed, remedy = "a note with its octave", "Write G3, F#2 or Bb4."
        if what == "bass":
            allowed, remedy = "a note, with its octave or without", "Write G, F#2 or Bb."
        raise bad_value(option, typed or "nothing", allowed=allowed, remedy=remedy) from error
    if isinstance(found, Pitch) and not LOWEST_HEARD <= found <= HIGHEST_HEARD:
        raise bad_value(option, typed, allowed=f"a note from {LOWEST_HEARD.name} to {HIGHEST_HEARD.name}")
    return found


def find_names(numbers: str | None, *, sounding: bool) -> NameStyle:
    """Return how chords are to be called.

    Raises
    ------
    BadValueError
        There are no such numbers, or names are asked for as well.
    """
    if numbers is None:
        return "sounding" if sounding else "played"
    if sounding:
        raise BadValueError(
            f"--numbers {numbers} and --sounding exclude each other: numbers of the key stand in place of names. "
            "Give one of them."
        )
    if numbers == "nashville":
        return "nashville"
    if numbers == "roman":
        return "roman"
    raise bad_value("numbers", numbers, allowed="nashville or roman")
