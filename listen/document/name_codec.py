"""Notes and names in documents: what strums, shapes and held chords have in common."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from listen.document.codec import (
    Field,
    Inline,
    Record,
    integer,
    listed,
    made_of,
    nullable,
    number,
    text,
    within,
)
from listen.document.cursor import Cursor
from listen.errors import ListenError
from listen.reading import ChordName, NoteReading
from listen.theory import (
    Chord,
    ChordQuality,
    ChordSymbolError,
    Interval,
    Note,
    Pitch,
    chord_to_harte,
    parse_chord,
    parse_harte,
)

CENTS = (-1200.0, 1200.0)  # an octave: nothing is farther out of tune
SHARE = within(0, 1)
PITCH_PATTERN = "^[A-G](#|b)?-?[0-9]+$"


def _read_pitch(values: dict[str, Any], cursor: Cursor) -> Pitch:
    """Read a pitch, whose name and number must agree."""
    name, midi = cursor.at("pitch"), values.pop("midi")
    try:
        pitch = Pitch.parse(name.as_text())
    except ListenError as error:
        raise name.explain(error) from error
    if pitch.midi != midi:
        raise cursor.refuse(f"{name.value} is MIDI note {pitch.midi}, but {midi} is given; put one of them right.")
    return pitch


PITCH = Record(
    (
        Field("pitch", text(pattern=PITCH_PATTERN), name="name", is_read=False, is_needed=True),
        Field("midi", integer(0, 127)),
    ),
    lambda values, cursor, _: _read_pitch(values, cursor),
)

NOTE = Record(
    (
        Inline("pitch", PITCH),
        Field("probability", SHARE),
        Field("deviation_cents", nullable(number(*CENTS)), default=None, is_needed=True),
    ),
    made_of(NoteReading),
)


def _take_tones(chord: Chord, _: object) -> dict[str, Any]:
    quality = chord.quality
    return {
        "root": str(chord.root),
        "bass": None if chord.bass is None else str(chord.bass),
        "quality": quality.name,
        "symbol": quality.symbol,
        "harte": quality.harte,
        "tones": [str(tone) for tone in quality.tones],
        "optional": [str(tone) for tone in quality.optional],
    }


def _make_tones(values: dict[str, Any], cursor: Cursor, _: object) -> Chord:
    try:
        tones, optional = (tuple(map(Interval.parse, values[key])) for key in ("tones", "optional"))
        name, symbol, harte = (values[key] for key in ("quality", "symbol", "harte"))
        if not (name + symbol + harte).isprintable():
            raise cursor.refuse("a chord is written with letters and signs that can be seen.")
        bass = values["bass"]
        quality = ChordQuality(name, symbol, harte, tones, optional)
        return Chord(Note.parse(values["root"]), quality, None if bass is None else Note.parse(bass))
    except ListenError as error:
        raise cursor.explain(error) from error


CHORD_TONES = Record(
    (
        Field("root", text()),
        Field("bass", nullable(text()), default=None, is_needed=True),
        Field("quality", text()),
        Field("symbol", text()),
        Field("harte", text()),
        Field("tones", listed(text()), default=(), is_needed=True),
        Field("optional", listed(text()), default=(), is_needed=True),
    ),
    _make_tones,
    take=_take_tones,
)


@lru_cache(maxsize=1024)
def _harte(chord: Chord, missing: tuple[str, ...]) -> str:
    return chord_to_harte(chord, missing=missing)


@lru_cache(maxsize=1024)
def _spell_out(chord: Chord, harte: str) -> Chord | None:
    """Return the chord where what is written of it does not give it back: it is then told tone by tone."""
    try:
        return None if (parse_harte(harte) if harte else parse_chord(chord.text)) == chord else chord
    except ChordSymbolError:
        return chord


def take_name(name: ChordName, _: object) -> dict[str, Any]:
    """Take the fields of a name."""
    harte = _harte(name.chord, name.missing)
    return {
        "text": name.text,
        "harte": harte,
        "inversion": name.chord.inversion,
        "played_as": None if name.played_as is None else name.played_as.text,
        "probability": name.probability,
        "missing": name.missing,
        "unexplained": name.unexplained,
        "label": name.label,
        "chord": _spell_out(name.chord, harte if name.label else ""),
        "played_chord": None if name.played_as is None else _spell_out(name.played_as, ""),
    }


def _make_name(values: dict[str, Any], cursor: Cursor, _: object) -> ChordName:
    """Make a name: its text decides, or its tones where they are spelled out."""
    label, chord, form = (values.pop(key) for key in ("label", "chord", "played_chord"))
    played_as = cursor.maybe("played_as")
    if played_as is None:
        form = None
    elif form is None:
        form = _parse(played_as)
    if chord is None:
        chord = _parse(cursor.at("harte"), harte=True) if label else _parse(cursor.at("text"))
    try:
        for degree in values["missing"]:
            Interval.parse(degree)
    except ListenError as error:
        raise cursor.explain(error) from error
    return ChordName(chord, played_as=form, label=label, **values)


def _parse(cursor: Cursor, *, harte: bool = False) -> Chord:
    try:
        return _parse_text(cursor.as_text(), harte=harte)
    except ListenError as error:
        raise cursor.explain(error) from error


@lru_cache(maxsize=1024)
def _parse_text(symbol: str, *, harte: bool) -> Chord:
    return parse_harte(symbol) if harte else parse_chord(symbol)


NAME_TEXTS = (
    Field("text", text(minLength=1), is_read=False, is_needed=True),
    Field(
        "harte", text(pattern="^[A-G][#b]*(:[^ ]+)?(/[#b]*[0-9]+)?$"), "Harte et al. 2005.",
        is_read=False, is_needed=True,
    ),
    Field(
        "inversion", nullable(integer(0)), "0 root position; null where the bass is no tone of the chord.",
        is_read=False, is_needed=True,
    ),
    Field(
        "played_as", nullable(text()), "The form that the hand sees under a capo or a retuning.",
        is_read=False, is_needed=True,
    ),
)  # fmt: skip
NAME_TONES = (
    Field("missing", listed(text()), "Degrees that do not sound.", default=(), is_needed=True),
    Field("unexplained", listed(text()), "Notes that are no tone of the chord.", default=(), is_needed=True),
)
NAME = Record(
    (
        *NAME_TEXTS,
        Field("probability", SHARE),
        *NAME_TONES,
        Field("label", text(), "Printed instead of a symbol: two notes are an interval.", default="", is_sparse=True),
        Field(
            "chord", CHORD_TONES.form("chord_tones"), "Only where the text alone does not give the chord back.",
            default=None, is_sparse=True,
        ),
        Field("played_chord", CHORD_TONES.form("chord_tones"), default=None, is_sparse=True),
    ),
    _make_name,
    take=take_name,
)  # fmt: skip
