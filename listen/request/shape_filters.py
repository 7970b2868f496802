"""Filter options of ``listen shapes``: what a player types, as the search understands it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, get_args

from listen.errors import BadValueError, bad_value

if TYPE_CHECKING:
    from listen.instrument import Fretboard
    from listen.theory import Note
    from listen.voicing import ShapeFilters

TELL_NECK = "A longer neck is told with --neck."
POSITION_FRETS = 4  # a position is four frets, a finger each (common practice, no source)


@dataclass(frozen=True, slots=True)
class FilterWords:
    """Filters as they were typed; empty or None where nothing was asked."""

    bass: str = ""
    inversion: int | None = None
    strings: str = ""
    n_strings: int | None = None
    neighbouring: bool = False
    position: int | None = None
    frets: str = ""
    all_tones: bool = False
    no_open: bool = False
    no_inner_mutes: bool = False
    top: str = ""
    voices: str = ""
    doubled_third: bool | None = None
    rootless: bool = False

    @property
    def typed(self) -> dict[str, str]:
        """Each filter as its option is typed, whether or not it was."""
        return {
            "bass": f"--bass {self.bass}",
            "inversion": f"--inversion {self.inversion}",
            "strings": f"--strings {self.strings}",
            "n_strings": f"--n-strings {self.n_strings}",
            "neighbouring": "--neighbouring",
            "frets": f"--frets {self.frets}" if self.position is None else f"--position {self.position}",
            "all_tones": "--all-tones",
            "no_open": "--no-open",
            "no_inner_mutes": "--no-inner-mutes",
            "top": f"--top {self.top}",
            "voices": f"--voices {self.voices}",
            "doubled_third": "--doubled-third" if self.doubled_third else "--no-doubled-third",
            "rootless": "--rootless",
        }


def parse_filters(words: FilterWords, board: Fretboard) -> ShapeFilters:
    """Read what was typed.

    Raises
    ------
    BadValueError
        A word that is no filter, or a fret that the neck has not; the sentence says what is allowed.
    """
    from listen.instrument import parse_strings
    from listen.voicing import ShapeFilters, Voices

    if words.voices and words.voices not in get_args(Voices):
        raise bad_value("voices", words.voices, allowed=f"one of {', '.join(get_args(Voices))}")
    if words.position is not None and words.frets:
        raise bad_value("position", words.position, allowed="a position or a range of frets, not both")
    if words.all_tones and words.rootless:
        raise BadValueError("--all-tones keeps the root and --rootless leaves it out: leave one of the two out.")
    n_strings, top_fret = board.n_strings, board.top_fret
    frets = parse_fret_range(words.frets) if words.frets else None
    if frets is not None and max(frets) > top_fret:
        raise bad_value("frets", words.frets, allowed=f"frets of this neck, 0 to {top_fret}", remedy=TELL_NECK)
    if words.position is not None:
        if not 0 <= words.position <= top_fret:
            allowed = f"a fret of this neck, 0 to {top_fret}"
            raise bad_value("position", words.position, allowed=allowed, remedy=TELL_NECK)
        lowest = max(1, words.position)
        frets = (lowest, min(lowest + POSITION_FRETS - 1, top_fret))
    if words.n_strings is not None and not 1 <= words.n_strings <= n_strings:
        raise bad_value("n-strings", words.n_strings, allowed=f"a number from 1 to {n_strings}")
    return ShapeFilters(
        bass=_parse_note("bass", words.bass),
        inversion=words.inversion,
        strings=parse_strings(words.strings, n_strings=n_strings) if words.strings else None,
        n_strings=words.n_strings,
        neighbouring=words.neighbouring,
        frets=frets,
        all_tones=words.all_tones,
        no_open=words.no_open,
        no_inner_mutes=words.no_inner_mutes,
        top=_parse_note("top", words.top),
        voices=next((each for each in get_args(Voices) if each == words.voices), None),
        doubled_third=words.doubled_third,
        rootless=words.rootless,
    )


def parse_fret_range(text: str) -> tuple[int, int]:
    """Read ``5-9`` or a single fret.

    Examples
    --------
    >>> parse_fret_range("5-9"), parse_fret_range("7")
    ((5, 9), (7, 7))
    """
    match = re.fullmatch(r"(\d{1,2})(?:\s*[-–]\s*(\d{1,2}))?", text.strip())
    if match is None:
        raise bad_value("frets", text, allowed="a lower and a higher fret of the neck", remedy="Write 5-9.")
    return int(match[1]), int(match[2] or match[1])


def _parse_note(name: str, text: str) -> Note | None:
    from listen.theory import Note

    if not text:
        return None
    try:
        return Note.parse(text)
    except ValueError as error:
        raise bad_value(
            name, text, allowed="a letter from A to G with # or b after it", remedy="Write C, F# or Bb."
        ) from error
