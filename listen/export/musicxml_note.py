"""Notes and rests as MusicXML elements."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from listen.export.clef import Clef
from listen.export.rhythm import Piece
from listen.export.score_line import Item
from listen.export.spell import spell_played
from listen.reading import Mark, Metre, PlayedNote
from listen.theory import Chord, Key, SpelledPitch

LEAST_RING_S = 0.1  # beyond its written end
_SLURRED: dict[Mark, tuple[str, str]] = {"hammer-on": ("hammer-on", "H"), "pull-off": ("pull-off", "P")}


@dataclass(slots=True)
class NoteContext:
    """What a note needs to know of the part around it.

    Parameters
    ----------
    n_strings : int
    key : Key or None
    metre : Metre
    clef : Clef
    last_on_string : dict of int to Element
        The last note element written on each string, to which a hammer-on, pull-off or slide goes back.
    """

    n_strings: int
    key: Key | None
    metre: Metre
    clef: Clef
    last_on_string: dict[int, ET.Element] = field(default_factory=dict)


def note_elements(item: Item, pieces: Sequence[Piece], context: NoteContext) -> Iterator[ET.Element]:
    """Yield the ``note`` elements of an item, piece by piece, each piece from its lowest note up."""
    for index, piece in enumerate(pieces):
        first, last = index == 0, index == len(pieces) - 1
        back = not first or item.is_tied_back
        on = not last or item.is_tied_on
        if not item.notes:
            yield _silent_element(item, piece, context, is_first=first)
            continue
        for place, note in enumerate(item.notes):
            yield _note_element(item, note, piece, context, is_lowest=place == 0, ties=(back, on))


def _add(parent: ET.Element, tag: str, text: str = "", **attributes: str) -> ET.Element:
    element = ET.SubElement(parent, tag, attributes)
    if text:
        element.text = text
    return element


def _add_value(element: ET.Element, piece: Piece) -> None:
    _add(element, "type", piece.type)
    for _ in range(piece.dots):
        _add(element, "dot")
    if piece.is_triplet:
        modification = _add(element, "time-modification")
        _add(modification, "actual-notes", "3")
        _add(modification, "normal-notes", "2")


def _add_brackets(notations: ET.Element, piece: Piece) -> None:
    if piece.opens:
        _add(notations, "tuplet", type="start", bracket="yes")
    if piece.closes:
        _add(notations, "tuplet", type="stop")


def _silent_element(item: Item, piece: Piece, context: NoteContext, *, is_first: bool) -> ET.Element:
    """Write a rest, or the cross of a damped stroke (and a rest for what follows of it)."""
    element = ET.Element("note")
    damped = item.placed is not None and is_first
    if damped:
        unpitched = _add(element, "unpitched")
        _add(unpitched, "display-step", context.clef.middle_step)
        _add(unpitched, "display-octave", str(context.clef.middle_octave))
    else:
        _add(element, "rest")
    _add(element, "duration", str(piece.length))
    _add(element, "voice", "1")
    _add_value(element, piece)
    notations = ET.Element("notations")
    _add_brackets(notations, piece)
    if damped and item.placed is not None:
        _add(element, "notehead", "x")
        if item.placed.stroke.direction is not None:
            _add(_add(notations, "technical"), "down-bow" if item.placed.stroke.direction == "down" else "up-bow")
    if len(notations):
        element.append(notations)
    return element


def _note_element(
    item: Item, note: PlayedNote, piece: Piece, context: NoteContext, *, is_lowest: bool, ties: tuple[bool, bool]
) -> ET.Element:
    back, on = ties
    element = ET.Element("note")
    if not is_lowest:
        _add(element, "chord")
    _add_pitch(element, spell_played(note.pitch, _chord_of(item), context.key))
    _add(element, "duration", str(piece.length))
    tied = [end for end, is_so in (("stop", back), ("start", on)) if is_so]
    for end in tied:
        _add(element, "tie", type=end)
    _add(element, "voice", "1")
    _add_value(element, piece)
    notations = ET.SubElement(element, "notations")
    for end in tied:
        _add(notations, "tied", type=end)
    if not on and _rings_on(item, note):
        _add(notations, "tied", type="let-ring")
    if is_lowest:
        _add_brackets(notations, piece)
    _add_technique(notations, item, note, context, is_new=not back)
    if not back and item.placed is not None and len(item.notes) > 1 and item.placed.stroke.direction is not None:
        _add(notations, "arpeggiate", direction="up" if item.placed.stroke.direction == "down" else "down")
    if not len(notations):
        element.remove(notations)
    if note.string_index is not None:
        context.last_on_string[note.string_index] = element
    return element


def _rings_on(item: Item, note: PlayedNote) -> bool:
    """Whether a picked note is written up to the next one, but rings on over it."""
    if item.placed is None or item.placed.event.kind != "picked":
        return False
    return note.end_s > item.placed.stroke.span.end_s + LEAST_RING_S


def _add_pitch(element: ET.Element, spelled: SpelledPitch) -> None:
    pitch = _add(element, "pitch")
    _add(pitch, "step", spelled.note.letter)
    if spelled.note.accidental:
        _add(pitch, "alter", str(spelled.note.accidental))
    _add(pitch, "octave", str(spelled.octave))


def _chord_of(item: Item) -> Chord | None:
    name = None if item.placed is None else item.placed.event.name
    return None if name is None else name.chord


def _add_technique(notations: ET.Element, item: Item, note: PlayedNote, context: NoteContext, *, is_new: bool) -> None:
    technical = ET.Element("technical")
    if note.string_index is not None and note.fret is not None:
        _add(technical, "string", str(context.n_strings - note.string_index))
        _add(technical, "fret", str(note.fret))
    if is_new:
        _add_marks(notations, technical, item, note, context)
    if len(technical):
        notations.append(technical)


def _add_marks(
    notations: ET.Element, technical: ET.Element, item: Item, note: PlayedNote, context: NoteContext
) -> None:
    marks = {*note.marks, *(item.placed.stroke.marks if item.placed is not None else ())}
    if "natural harmonic" in marks:
        _add(_add(technical, "harmonic"), "natural")
    for mark in ("palm mute", "bend"):
        if mark in marks:
            _add(technical, "other-technical", mark)
    for mark, (tag, sign) in _SLURRED.items():
        if mark in note.marks:
            _join(notations, technical, note, context, tag=tag, sign=sign)
    if "slide" in note.marks:
        _join(notations, notations, note, context, tag="slide", sign="")
    if "accent" in marks:
        _add(_add(notations, "articulations"), "accent")


def _join(
    notations: ET.Element, here: ET.Element, note: PlayedNote, context: NoteContext, *, tag: str, sign: str
) -> None:
    """Begin a hammer-on, pull-off or slide at the last note on the string and end it here."""
    before = context.last_on_string.get(note.string_index) if note.string_index is not None else None
    begun = None if before is None else before.find("notations")
    if begun is None:
        return
    start = begun.find("technical") if here is not notations else begun
    if start is None:
        return
    _add(start, tag, sign, type="start", number="1")
    _add(here, tag, type="stop", number="1")
