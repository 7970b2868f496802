"""What a person says at once about one place of a part: words that contradict each other are refused."""

from __future__ import annotations

from collections.abc import Sequence

from listen.errors import bad_value
from listen.reading import Corrected, Correction, Pin
from listen.request.part_words import NOTE_OPTIONS, parse_said_note
from listen.theory import Note, is_no_chord

_OF_PLACES = ("name", "section", "lyrics")


def refuse_contradictions(pins: Sequence[Pin], corrections: Sequence[Correction]) -> None:
    """Refuse two shapes, two names, two sections or two rows of words for one place, and a shape where none is held.

    Raises
    ------
    BadValueError
    """
    told: dict[tuple[object, ...], Pin | Correction] = {}
    both: tuple[Pin | Correction, ...] = (*pins, *corrections)
    for one in both:
        what = "pin" if isinstance(one, Pin) else one.what
        if what != "pin" and what not in _OF_PLACES:
            continue
        place = (one.event_number, one.bar, one.beat)
        other = told.setdefault((what, place), one)
        if other.text != one.text:
            allowed = "one shape for each place" if what == "pin" else "one word for each place"
            raise bad_value(what, one.text, allowed=allowed, remedy=f"You gave {other.text}, too.")
        pin = told.get(("pin", place))
        if pin is not None and isinstance(one, Correction) and what == "name" and is_no_chord(one.value):
            raise bad_value(
                "name", one.text, allowed="a chord where a shape is pinned", remedy=f"You pinned {pin.text}."
            )
    _refuse_notes_told_twice(corrections)


def _refuse_notes_told_twice(said: Sequence[Correction]) -> None:
    """Refuse a note that sounds and does not at one place, and two basses there, before it is known what is meant.

    A bass may be told without its octave: which one is meant is found in the part.
    """
    placed = []
    for one in said:
        if one.what not in NOTE_OPTIONS or one.text == one.value:  # settled, with its stretch
            continue
        note = parse_said_note(one.what, one.value.removeprefix("-"), one.text)
        word = f"{note.pitch_class}" if one.what == "bass" or isinstance(note, Note) else note.name
        what: Corrected = "no note" if one.value.startswith("-") else one.what
        placed.append((one.text, Correction(what, f"{word} {one.text.partition('=')[0]}")))
    refuse_notes_at_odds(placed)


def refuse_notes_at_odds(given: Sequence[tuple[str, Correction]]) -> None:
    """Refuse a note that sounds and does not, and two basses for one chord.

    Parameters
    ----------
    given : sequence of (str, Correction)
        As each was typed, and the note and the stretch that it is.

    Raises
    ------
    BadValueError
    """
    told: dict[tuple[str, str], tuple[str, str, str]] = {}
    for typed, one in given:
        note, _, stretch = one.value.partition(" ")
        words = [("note", one.value, "silent" if one.what == "no note" else "sounding")]
        if one.what == "bass":
            words.append(("bass", stretch, note))
        option = "bass" if one.what == "bass" else "note"
        for kind, where, word in words:
            said, by, other = told.setdefault((kind, where), (word, option, typed))
            if said != word:
                remedy = f"You gave --{by} {other}, too."
                raise bad_value(option, typed, allowed="one word for each place", remedy=remedy)
