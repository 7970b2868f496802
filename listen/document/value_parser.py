"""Names, notes and shapes of a part document, read: the values that strums and held chords have in common."""

from __future__ import annotations

from functools import lru_cache

from listen.document.cursor import Cursor
from listen.document.reason_words import parse_reason
from listen.errors import ListenError
from listen.instrument import Barre, Finger, Fingering, Fretboard, Shape
from listen.reading import ChordName, NoteReading, ShapeReading, Shares
from listen.theory import Chord, ChordQuality, Interval, Note, Pitch, parse_chord, parse_harte

CENTS = (-1200.0, 1200.0)
EFFORT = (-1e4, 1e4)
NATS = (-1e4, 1e4)
LONGEST_MM = 5000.0


def parse_probability(cursor: Cursor, key: str = "probability") -> float:
    """Read a probability."""
    return cursor.number(key, 0, 1)


def parse_note(cursor: Cursor) -> NoteReading:
    """Read a note that sounds."""
    cents = cursor.maybe("deviation_cents")
    return NoteReading(
        parse_pitch(cursor), parse_probability(cursor), None if cents is None else cents.as_number(*CENTS)
    )


def parse_pitch(cursor: Cursor) -> Pitch:
    """Read a pitch, whose name and number must agree."""
    midi, name = cursor.integer("midi", 0, 127), cursor.at("pitch")
    try:
        pitch = Pitch.parse(name.as_text())
    except ListenError as error:
        raise name.explain(error) from error
    if pitch.midi != midi:
        raise cursor.refuse(f"{name.value} is MIDI note {pitch.midi}, but {midi} is given; put one of them right.")
    return pitch


def parse_name(cursor: Cursor) -> ChordName:
    """Read a name: its text decides, or its tones where they are spelled out."""
    label = cursor.text("label", "")
    played_as = cursor.maybe("played_as")
    form = None
    if played_as is not None:
        form = _spelled(cursor.maybe("played_chord")) or _chord(played_as)
    chord = _spelled(cursor.maybe("chord"))
    if chord is None:
        chord = _chord(cursor.at("harte"), harte=True) if label else _chord(cursor.at("text"))
    return ChordName(
        chord, parse_probability(cursor), _degrees(cursor, "missing"), cursor.texts("unexplained"), form, label
    )


def _chord(cursor: Cursor, *, harte: bool = False) -> Chord:
    try:
        return _parse_text(cursor.as_text(), harte=harte)
    except ListenError as error:
        raise cursor.explain(error) from error


def _degrees(cursor: Cursor, key: str) -> tuple[str, ...]:
    """Read degrees as they are written, each of them checked."""
    degrees = cursor.texts(key)
    try:
        for degree in degrees:
            Interval.parse(degree)
    except ListenError as error:
        raise cursor.explain(error) from error
    return degrees


@lru_cache(maxsize=1024)
def _parse_text(text: str, *, harte: bool) -> Chord:
    return parse_harte(text) if harte else parse_chord(text)


def _spelled(cursor: Cursor | None) -> Chord | None:
    if cursor is None:
        return None
    try:
        tones = tuple(Interval.parse(text) for text in cursor.texts("tones"))
        optional = tuple(Interval.parse(text) for text in cursor.texts("optional"))
        name, symbol, harte = (cursor.text(key) for key in ("quality", "symbol", "harte"))
        if not (name + symbol + harte).isprintable():
            raise cursor.refuse("a chord is written with letters and signs that can be seen.")
        quality = ChordQuality(name, symbol, harte, tones, optional)
        bass = cursor.maybe("bass")
        return Chord(Note.parse(cursor.text("root")), quality, None if bass is None else Note.parse(bass.as_text()))
    except ListenError as error:
        raise cursor.explain(error) from error


def parse_shape_reading(cursor: Cursor, fretboard: Fretboard) -> ShapeReading:
    """Read a shape with its fingering."""
    frets = parse_frets(cursor, fretboard)
    why = cursor.at("why")
    return ShapeReading(
        Shape(frets),
        Fingering(
            tuple(_finger(at) for at in _by_string(cursor, "fingers", fretboard)),
            tuple(
                Barre(
                    at.integer("finger", 1, 4),
                    at.integer("fret", 1, fretboard.top_fret),
                    at.integer("first_string", 0, fretboard.n_strings - 1),
                    at.integer("last_string", 0, fretboard.n_strings - 1),
                )
                for at in cursor.each("barres", "barre")
            ),
            cursor.number("span_mm", 0, LONGEST_MM),
            cursor.number("effort", *EFFORT),
            tuple(map(parse_reason, cursor.texts("reasons"))),
            cursor.flag("playable", default=True),
            tuple(_effort_part(at) for at in cursor.each("effort_parts", "part of the effort")),
        ),
        parse_probability(cursor),
        Shares(why.number("ear", *NATS), why.number("hand", *NATS), why.number("book", *NATS)),
        tuple(at.as_integer(0) for at in cursor.each("same_sound", "shape of the same sound")),
    )


def _by_string(cursor: Cursor, key: str, fretboard: Fretboard) -> list[Cursor]:
    """Return the items of a list that runs over the strings, each addressed by its string's number."""
    n = fretboard.n_strings
    items = cursor.each(key, key)
    if len(items) != n:
        raise cursor.refuse(f'"{key}" has {len(items)} entries, but the instrument has {n} strings.')
    return [
        Cursor(item.value, item.name, (*cursor.address, f"{key.removesuffix('s')} of string {n - index}"))
        for index, item in enumerate(items)
    ]


def parse_frets(cursor: Cursor, fretboard: Fretboard) -> tuple[int | None, ...]:
    """Read the frets of a shape, one a string."""
    return tuple(
        None if at.value is None else at.as_integer(0, fretboard.top_fret)
        for at in _by_string(cursor, "frets", fretboard)
    )


def _finger(cursor: Cursor) -> Finger:
    if cursor.value is None:
        return None
    return "T" if cursor.value == "T" else cursor.as_integer(0, 4)


def _effort_part(cursor: Cursor) -> tuple[str, float]:
    items = list(cursor.items("entry"))
    if len(items) != 2:
        raise cursor.refuse("it takes a word and a number.")
    return items[0].as_text(), items[1].as_number()
