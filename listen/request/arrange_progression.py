"""Several chords in a row: a shape for each, all near to one another, and the capo that makes them easiest."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, get_args

from listen.document import reason_text
from listen.errors import BadValueError, bad_value
from listen.export import ShapeSection, ShapesView, shape_to_card
from listen.request.arrange_played import say_played
from listen.theory import Chord, ChordSymbolError, is_pitch_text, parse_chord
from listen.voicing import PathBy, find_easiest_capo, find_progression, measure_voice_leading

if TYPE_CHECKING:
    from listen.request.shapes_request import ShapesRequest

MOST_CHORDS = 32
_COMMA = re.compile(r",(?![^(\[]*[)\]])")  # outside brackets: C7(b9,#11) is one chord
_BEGINS_CHORD = re.compile(r"\s*[A-Ga-gH]")


def split_progression(text: str) -> tuple[Chord, ...]:
    """Read chords set apart by commas; empty where it is one chord, a list of degrees or notes without commas.

    Raises
    ------
    BadValueError
        One of them cannot be read, or there are too many.

    Examples
    --------
    >>> [chord.text for chord in split_progression("C, Am, F7(b9,#11), G")], split_progression("D: 1,3,6")
    (['C', 'Am', 'F7(b9,#11)', 'G'], ())
    """
    places = _COMMA.split(text)
    parts = [part for part in places if part.strip()]
    if len(parts) < 2 or not all(_BEGINS_CHORD.match(part) for part in parts):
        return ()
    if len(parts) < len(places):
        raise bad_value("chords", text, allowed="a chord before and after every comma")
    if len(parts) > MOST_CHORDS:
        raise bad_value("chords", len(parts), allowed=f"up to {MOST_CHORDS} at a time")
    try:
        return tuple(parse_chord(part.strip()) for part in parts)
    except ChordSymbolError:
        if all(is_pitch_text(part) for part in parts):  # E3, G3, C4: notes with commas
            return ()
        raise


def parse_path(text: str) -> PathBy:
    """Read ``hand`` or ``voices``."""
    chosen: PathBy | None = next((each for each in get_args(PathBy) if each == text), None)
    if chosen is None:
        raise bad_value("path", text, allowed=f"one of {', '.join(get_args(PathBy))}")
    return chosen


def refuse_beside_progression(request: ShapesRequest, *, listed: str) -> None:
    """Refuse ways of looking that are for one chord."""
    shown = (("map", request.shown.as_map), ("by", bool(request.shown.by)))
    asked = (("json", listed == "json"), ("all", listed == "all"), *shown)
    other = next((option for option, given in (*asked, ("compare", bool(request.compared))) if given), "")
    if other:
        raise BadValueError(f"--{other} looks at one chord, and commas set several apart: leave one of the two out.")


def arrange_progression(request: ShapesRequest) -> ShapesView:
    """Arrange a shape for each chord, with what the hand does in between."""
    chords, board = request.progression, request.fretboard
    found = find_progression(chords, fretboard=board, hand=request.hand, filters=request.filters, by=request.path)
    remarks = ["", *("; ".join(map(reason_text, move.reasons)) for move in found.moves)]
    if request.path == "voices":
        pairs = zip(found.voicings[:-1], found.voicings[1:], strict=True)
        remarks = ["", *(_name_voices(measure_voice_leading(*pair)) for pair in pairs)]
    cards = []
    for chord, voicing, remark in zip(chords, found.voicings, remarks, strict=True):
        card = shape_to_card(
            voicing.shape,
            board,
            fingering=voicing.fingering,
            chord=chord,
            labels=request.shown_labels,
            left_handed=request.shown.left_handed,
        )
        cards.append(replace(card, frets=f"{chord.printed}  {card.frets}", remark=remark))
    way = "the hand goes least" if request.path == "hand" else "the voices go least"
    return ShapesView(
        " · ".join(chord.printed for chord in chords),
        f"A shape for each chord, chosen together so that {way}.{say_played(chords, board)}",
        board,
        (ShapeSection("", tuple(cards)),),
        remarks=_suggest_capo(chords, request),
    )


def _name_voices(semitones: float) -> str:
    return f"the voices go {semitones:g} half step{'' if semitones == 1 else 's'}"


def _suggest_capo(chords: Sequence[Chord], request: ShapesRequest) -> tuple[str, ...]:
    """Say which capo makes the chords easiest, where one does."""
    if request.fretboard.capo_fret or request.filters.asked or not request.fretboard.tuning.bears_bass:
        return ()
    capo, played = find_easiest_capo(chords, fretboard=request.fretboard, hand=request.hand)
    if capo == 0:
        return ()
    return (f"Easiest with the capo at fret {capo}: the hand then plays {', '.join(each.printed for each in played)}.",)
