"""Notes and rests as MusicXML elements, on the standard staff and on the tablature under it.

The standard staff has the rhythm, beams, arpeggios and accents; the tablature strings and frets, without stems. What
the left hand does between two notes (a hammer-on, a slide) stands on both.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from listen.export.accidentals import Accidentals
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
    """What a note needs to know of the staff that it stands on.

    Parameters
    ----------
    n_strings : int
    key : Key or None
    metre : Metre
    clef : Clef
    staff : int or None
        1 the standard staff, 2 the tablature; None where there is one staff only.
    last_on_string : dict of int to Element
        The last note element written on each string, to which a hammer-on, pull-off or slide goes back.
    accidentals : Accidentals
        What holds in the bar.
    """

    n_strings: int
    key: Key | None
    metre: Metre
    clef: Clef
    staff: int | None = None
    last_on_string: dict[int, ET.Element] = field(default_factory=dict)
    accidentals: Accidentals = field(init=False)

    def __post_init__(self) -> None:
        self.accidentals = Accidentals(0 if self.key is None else self.key.signature)

    @property
    def is_tablature(self) -> bool:
        """Whether strings and frets are written, and no rhythm."""
        return self.staff == 2

    def written_notes(self, item: Item) -> tuple[PlayedNote, ...]:
        """Return the notes of an item that this staff can show."""
        if not self.is_tablature:
            return item.notes
        return tuple(note for note in item.notes if note.string_index is not None and note.fret is not None)


def add_element(parent: ET.Element, tag: str, text: str = "", **attributes: str) -> ET.Element:
    """Add an element with a text, without the characters that XML cannot hold."""
    element = ET.SubElement(parent, tag, attributes)
    if text:
        element.text = "".join(sign if sign.isprintable() else "?" for sign in text)
    return element


def note_elements(
    item: Item, pieces: Sequence[Piece], context: NoteContext, beams: Sequence[tuple[str, ...]] = ()
) -> Iterator[ET.Element]:
    """Yield the ``note`` elements of an item, piece by piece, each piece from its lowest note up.

    Parameters
    ----------
    item : Item
    pieces : sequence of Piece
    context : NoteContext
    beams : sequence of tuple of str
        Of each piece, one text a level.
    """
    notes = context.written_notes(item)
    for index, piece in enumerate(pieces):
        first, last = index == 0, index == len(pieces) - 1
        back = not first or item.is_tied_back
        on = not last or item.is_tied_on
        joined = beams[index] if beams else ()
        if not notes:
            yield _silent_element(item, piece, context, joined, is_first=first)
            continue
        for place, note in enumerate(notes):
            beam = joined if place == 0 else ()
            yield _note_element(item, note, piece, context, lowest_beam=beam if place == 0 else None, ties=(back, on))


def add_measure_rest(measure: ET.Element, n_steps: int, context: NoteContext) -> None:
    """Write a bar in which nothing begins and nothing goes on."""
    note = ET.SubElement(measure, "note", {"print-object": "no"} if context.is_tablature else {})
    ET.SubElement(note, "rest", measure="yes")
    add_element(note, "duration", str(n_steps))
    _add_voice(note, context)
    _add_staff(note, context)


def _add_voice(element: ET.Element, context: NoteContext) -> None:
    add_element(element, "voice", "2" if context.is_tablature else "1")


def _add_staff(element: ET.Element, context: NoteContext) -> None:
    if context.staff is not None:
        add_element(element, "staff", str(context.staff))


def _add_value(element: ET.Element, piece: Piece, *, sign: str = "") -> None:
    add_element(element, "type", piece.type)
    for _ in range(piece.dots):
        add_element(element, "dot")
    if sign:
        add_element(element, "accidental", sign)
    if piece.is_triplet:
        modification = add_element(element, "time-modification")
        add_element(modification, "actual-notes", "3")
        add_element(modification, "normal-notes", "2")


def _add_beams(element: ET.Element, beams: Sequence[str]) -> None:
    for level, text in enumerate(beams, start=1):
        add_element(element, "beam", text, number=str(level))


def _add_brackets(notations: ET.Element, piece: Piece, context: NoteContext) -> None:
    hidden = {"show-number": "none"} if context.is_tablature else {}
    if piece.opens:
        add_element(notations, "tuplet", type="start", bracket="no" if context.is_tablature else "yes", **hidden)
    if piece.closes:
        add_element(notations, "tuplet", type="stop")


def _silent_element(
    item: Item, piece: Piece, context: NoteContext, beams: Sequence[str], *, is_first: bool
) -> ET.Element:
    """Write a rest, or the cross of a damped stroke (and a rest for what follows of it)."""
    element = ET.Element("note", {"print-object": "no"} if context.is_tablature else {})
    stroke = item.placed.stroke if item.placed is not None and not item.notes and is_first else None
    damped = stroke is not None and not context.is_tablature
    if damped:
        unpitched = add_element(element, "unpitched")
        add_element(unpitched, "display-step", context.clef.middle_step)
        add_element(unpitched, "display-octave", str(context.clef.middle_octave))
    else:
        add_element(element, "rest")
    add_element(element, "duration", str(piece.length))
    _add_voice(element, context)
    _add_value(element, piece)
    notations = ET.Element("notations")
    _add_brackets(notations, piece, context)
    if damped and stroke is not None:
        add_element(element, "notehead", "x")
        if stroke.direction is not None:
            add_element(add_element(notations, "technical"), "down-bow" if stroke.direction == "down" else "up-bow")
    _add_staff(element, context)
    _add_beams(element, beams if damped else ())
    if len(notations):
        element.append(notations)
    return element


def _note_element(
    item: Item,
    note: PlayedNote,
    piece: Piece,
    context: NoteContext,
    *,
    lowest_beam: Sequence[str] | None,
    ties: tuple[bool, bool],
) -> ET.Element:
    back, on = ties
    is_lowest = lowest_beam is not None
    element = ET.Element("note")
    if not is_lowest:
        add_element(element, "chord")
    spelled = spell_played(note.pitch, _chord_of(item), context.key)
    _add_pitch(element, spelled)
    add_element(element, "duration", str(piece.length))
    tied = [end for end, is_so in (("stop", back), ("start", on)) if is_so]
    for end in tied:
        add_element(element, "tie", type=end)
    _add_voice(element, context)
    _add_value(element, piece, sign="" if back or context.is_tablature else context.accidentals.find_sign(spelled))
    if context.is_tablature:
        add_element(element, "stem", "none")
    _add_staff(element, context)
    _add_beams(element, () if context.is_tablature else lowest_beam or ())
    notations = ET.SubElement(element, "notations")
    for end in tied:
        add_element(notations, "tied", type=end)
    if not on and not context.is_tablature and _rings_on(item, note):
        add_element(notations, "tied", type="let-ring")
    if is_lowest:
        _add_brackets(notations, piece, context)
    _add_technique(notations, item, note, context, is_new=not back, is_lowest=is_lowest)
    if not back and not context.is_tablature and len(item.notes) > 1:
        _add_arpeggio(notations, item)
    if not len(notations):
        element.remove(notations)
    if note.string_index is not None:
        context.last_on_string[note.string_index] = element
    return element


def _add_arpeggio(notations: ET.Element, item: Item) -> None:
    """Write the way of a strum: a downstroke goes from the low strings up."""
    if item.placed is not None and item.placed.stroke.direction is not None:
        add_element(notations, "arpeggiate", direction="up" if item.placed.stroke.direction == "down" else "down")


def _rings_on(item: Item, note: PlayedNote) -> bool:
    """Whether a picked note is written up to the next one, but rings on over it."""
    if item.placed is None or item.placed.event.kind != "picked":
        return False
    return note.end_s > item.placed.stroke.span.end_s + LEAST_RING_S


def _add_pitch(element: ET.Element, spelled: SpelledPitch) -> None:
    pitch = add_element(element, "pitch")
    add_element(pitch, "step", spelled.note.letter)
    if spelled.note.accidental:
        add_element(pitch, "alter", str(spelled.note.accidental))
    add_element(pitch, "octave", str(spelled.octave))


def _chord_of(item: Item) -> Chord | None:
    name = None if item.placed is None else item.placed.event.name
    return None if name is None else name.chord


def _add_technique(
    notations: ET.Element, item: Item, note: PlayedNote, context: NoteContext, *, is_new: bool, is_lowest: bool
) -> None:
    technical = ET.Element("technical")
    if context.staff != 1 and note.string_index is not None and note.fret is not None:
        add_element(technical, "string", str(context.n_strings - note.string_index))
        add_element(technical, "fret", str(note.fret))
    if is_new:
        _add_marks(notations, technical, note, context)
    if is_new and is_lowest and not context.is_tablature and item.placed is not None:
        _add_stroke_marks(notations, technical, item)
    if len(technical):
        notations.insert(_place_of_technical(notations), technical)


def _place_of_technical(notations: ET.Element) -> int:
    """Return where ``technical`` stands: before an articulation that was written already."""
    return next((at for at, one in enumerate(notations) if one.tag == "articulations"), len(notations))


def _add_stroke_marks(notations: ET.Element, technical: ET.Element, item: Item) -> None:
    """Write what holds for a whole stroke once, on its lowest note."""
    marks = {*(item.placed.stroke.marks if item.placed else ()), *(mark for note in item.notes for mark in note.marks)}
    if "palm mute" in marks:
        add_element(technical, "other-technical", "palm mute")
    if "accent" in marks:
        add_element(add_element(notations, "articulations"), "accent")


def _add_marks(notations: ET.Element, technical: ET.Element, note: PlayedNote, context: NoteContext) -> None:
    if "natural harmonic" in note.marks and not context.is_tablature:
        add_element(add_element(technical, "harmonic"), "natural")
    if "bend" in note.marks and not context.is_tablature:
        add_element(technical, "other-technical", "bend")
    for mark, (tag, sign) in _SLURRED.items():
        if mark in note.marks:
            _join(notations, technical, note, context, tag=tag, sign=sign)
    if "slide" in note.marks:
        _join(notations, notations, note, context, tag="slide", sign="")


def _join(
    notations: ET.Element, here: ET.Element, note: PlayedNote, context: NoteContext, *, tag: str, sign: str
) -> None:
    """Begin a hammer-on, pull-off or slide at the last note on the string and end it here."""
    before = context.last_on_string.get(note.string_index) if note.string_index is not None else None
    if before is None:
        return
    begun = before.find("notations")
    if begun is None:
        begun = ET.SubElement(before, "notations")
    start = begun
    if here is not notations:
        found = begun.find("technical")
        start = ET.SubElement(begun, "technical") if found is None else found
    add_element(start, tag, sign, type="start", number="1")
    add_element(here, tag, type="stop", number="1")
