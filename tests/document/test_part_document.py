"""The part document: what was written is read back, and a wrong value is refused where it stands."""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from listen.document import (
    load_part,
    load_schema,
    parse_part,
    part_to_document,
    render_part_document,
    write_part,
)
from listen.errors import DocumentError
from listen.reading import ChordName, Correction, Part, ShapeReading
from listen.theory import Chord, ChordQuality, Interval, Note, parse_chord
from tests.hand_made_parts import ALL_PARTS, line_part, straight_part

EVERY_PART = pytest.mark.parametrize("make", ALL_PARTS.values(), ids=ALL_PARTS.keys())


def _written(part: Part) -> Any:
    return json.loads(render_part_document(part_to_document(part)))


@EVERY_PART
def test_a_part_is_read_back_as_it_was_written(make: Callable[[], Part], tmp_path: Path) -> None:
    part = make()
    path = write_part(part, tmp_path / "part.json")
    assert load_part(path) == part


@EVERY_PART
def test_what_a_stroke_made_of_a_shape_is_read_back(make: Callable[[], Part], tmp_path: Path) -> None:
    # A held shape of which a stroke left one string out and brushed another, and what speaks for that.
    def stroke(shape: ShapeReading) -> ShapeReading:
        return replace(shape, silent=(2,), brushed=(0, 1), why=replace(shape.why, stroke=-1.75))

    part = make()
    spans = tuple(replace(span, shapes=tuple(map(stroke, span.shapes))) for span in part.spans)
    events = tuple(
        replace(
            event,
            shape=event.shape and stroke(event.shape),
            reading=event.reading and replace(event.reading, shapes=tuple(map(stroke, event.reading.shapes))),
        )
        for event in part.events
    )
    struck = replace(part, spans=spans, events=events)
    path = write_part(struck, tmp_path / "part.json")
    assert load_part(path) == struck
    assert '"stroke": -1.75' in path.read_text("utf-8") or not any(span.shapes for span in spans)


@EVERY_PART
def test_the_document_keeps_to_the_published_schema(make: Callable[[], Part]) -> None:
    schema = load_schema("part")
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(_written(make()))


def test_the_schema_says_the_bounds_that_reading_holds() -> None:
    # Every number with bounds in the schema is put just outside them: both refuse it (JSON Schema 2020-12, 6.2).
    validator = jsonschema.Draft202012Validator(load_schema("part"))
    outside: list[tuple[list[str | int], float]] = [
        (["strums", 0, "start_s"], -61),
        (["metre", "beats_per_bar"], 33),
        (["strums", 0, "strokes", 0, "level_db"], 201),
        (["keys", 0, "probability"], 1.1),
        (["strums", 0, "shapes", 0, "span_mm"], -1),
    ]
    for path, value in outside:
        document = _edit(path, value)
        assert list(validator.iter_errors(document))
        with pytest.raises(DocumentError):
            parse_part(document, name="part.json")


def test_the_schema_refuses_what_is_no_part() -> None:
    broken = _written(straight_part())
    broken["strums"][0]["kind"] = "waltz"
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(load_schema("part")).validate(broken)


def test_the_document_has_the_fields_that_others_build_on() -> None:
    document = _written(straight_part())
    expected = {"file", "tuning", "capo_fret", "tuning_offset_cents", "key", "beats_s", "bars_s", "settings", "pins"}
    assert expected | {"corrections", "strums"} <= document.keys()
    assert document["key"].keys() == {"tonic", "mode", "probability"}
    strum = document["strums"][0]
    assert {"start_s", "end_s", "direction", "notes", "bass", "names", "shapes", "refused"} <= strum.keys()
    assert strum["shapes"][0]["frets"] == [0, 2, 2, 0, 0, 0]
    assert [strum["start_s"] for strum in document["strums"]] == sorted(s["start_s"] for s in document["strums"])
    assert {strum["kind"] for strum in document["strums"]} == {"strum"}
    assert {event["kind"] for event in document["other_events"]} == {"hit"}


def test_a_strum_is_named_as_the_chord_held_even_where_it_was_read_otherwise() -> None:
    part = straight_part()
    event = part.events[0]
    assert event.reading is not None
    assert event.name is not None
    other = ChordName(Chord(Note.parse("G"), event.name.chord.quality, None), 0.8)
    reading = replace(event.reading, names=(other, replace(event.name, probability=0.1)))
    part = replace(part, events=(replace(event, reading=reading), *part.events[1:]))
    document = _written(part)
    assert [name["text"] for name in document["strums"][0]["names"]] == ["Em", "Gm"]
    assert [name["text"] for name in document["strums"][0]["alone"]["names"]] == ["Gm", "Em"]
    assert parse_part(document, name="part") == part


def test_a_chord_that_no_symbol_gives_back_is_spelled_out() -> None:
    part = straight_part()
    quality = ChordQuality("home-made", "odd", "(1,b2,6)", tuple(map(Interval.parse, ("1", "b2", "6"))))
    name = ChordName(Chord(Note.parse("A"), quality, Note.parse("E#")), 0.5)
    span = replace(part.spans[0], names=(name,))
    part = replace(part, spans=(span, *part.spans[1:]))
    assert parse_part(_written(part), name="part").spans[0].name == name


def test_a_probability_that_is_off_by_its_last_bit_is_written_inside_its_bounds() -> None:
    part = replace(straight_part(), keys=(replace(straight_part().keys[0], probability=1.0000000000000002),))
    document = _written(part)
    jsonschema.Draft202012Validator(load_schema("part")).validate(document)
    assert parse_part(document, name="part").keys[0].probability == 1.0


def test_an_interval_keeps_its_label() -> None:
    part = straight_part()
    third = ChordQuality("major third", "(no5)", "(1,3)", (Interval(1), Interval(3)))
    name = ChordName(Chord(Note.parse("C"), third), 0.5, label="C–E, a major third")
    part = replace(part, spans=(replace(part.spans[0], names=(name,)), *part.spans[1:]))
    read = parse_part(_written(part), name="part").spans[0]
    assert read.name is not None
    assert read.name.text == "C–E, a major third"
    assert read.name == name


def test_a_name_without_one_of_its_tones_is_read_back() -> None:
    part = straight_part()
    name = ChordName(parse_chord("C13"), 0.5, missing=("11", "5"))
    labelled = replace(name, label="four notes over C")
    spans = (replace(part.spans[0], names=(name, labelled)), *part.spans[1:])
    document = _written(replace(part, spans=spans))
    assert document["chords"][0]["names"][0]["harte"] == "C:9(13)"
    assert parse_part(document, name="part").spans[0].names == (name, labelled)


def test_a_name_for_a_beat_of_a_bar_survives_and_one_for_a_bar_is_written_without_its_beat() -> None:
    told = (Correction("name", "D", bar=2, beat=Fraction(5, 2)), Correction("name", "N.C.", bar=3))
    part = straight_part()
    document = _written(replace(part, settled=replace(part.settled, corrections=told)))
    jsonschema.validate(document, load_schema("part"))
    assert document["corrections"] == [
        {"what": "name", "value": "D", "bar": 2, "beat": "5/2"}, {"what": "name", "value": "N.C.", "bar": 3},
    ]  # fmt: skip
    assert parse_part(document, name="part").settled.corrections == told


def test_pins_and_corrections_survive() -> None:
    read = parse_part(_written(straight_part()), name="part")
    assert [pin.text for pin in read.settled.pins] == ["3.1=x32030", "20=320003"]
    assert read.settled.corrections == (Correction("metre", "4/4"), Correction("name", "Cadd9", 13))


def _edit(path: list[str | int], value: object) -> Any:
    document = _written(straight_part())
    at = document
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = value
    return document


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        (["strums", 3, "shapes", 0, "frets", 2], 40, r"event 4, shape 1, fret of string 4: 40 is not.*takes 0 to 22"),
        (["strums", 3, "shapes", 0, "frets", 2], "2", r"event 4, shape 1, fret of string 4: \"2\" is no whole number"),
        (["strums", 3, "shapes", 0, "frets"], [0, 2, 2], r"event 4, shape 1: \"frets\" has 3 entries, but .* has 6"),
        (["strums", 0, "strokes", 0, "notes", 1, "fret"], 3, r"event 1, stroke 1, note 2: .* sounds C3.*is B2"),
        (["strums", 0, "strokes", 0, "notes", 1, "string"], 7, r"note 2, string: 7 is not possible: it takes 1 to 6"),
        (["strums", 0, "names", 0, "text"], "Hmm", r"event 1, name 1, text: .*cannot be read"),
        (["pins", 0, "frets", 0], -1, r"pin 1, fret of string 6: -1 is not possible"),
        (["pins", 0, "beat"], "soon", r"pin 1, beat: \"soon\" is no beat"),
        (["capo_fret"], 21, r"part.json: capo=21 is not possible"),
        (["chords", 0, "last_event"], 900, r"chord 1: there is no event 900"),
        (["bars_s", 1], 0.1, r"bars 2 begins at 0.1 s, which is not after 0.5 s"),
        (["strums", 1, "end_s"], 0.0, r"event 2: it ends at 0 s, before it starts"),
        (["strums", 1, "number"], 1, r"two events have the number 1"),
        (["strums", 0, "position", "text"], "9.9", None),
        (["key"], "H", r"key: an object in braces is needed"),
        (["key", "tonic"], 5, r"part.json, key, tonic: 5 is no text"),
        (["key", "tonic"], "B", r"\"key\" is B major, but of the \"keys\" the first is G major; bring them together"),
        (["bars_s"], [], r"there is a metre, so \"bars_s\" needs the start of every bar"),
        (["beats_s"], [], r"\"beats_s\" the beats; in free time the metre is null"),
        (["tuning_offset_cents"], 1e300, r"tuning offset cents: 1e\+300 is not possible: it takes -1200 to 1200"),
        (["settings", 0, "tuning_offset_cents"], -1e300, r"setting 1, tuning offset cents: -1e\+300 is not possible"),
        (["strums", 2, "tuning_offset_cents"], float("nan"), r"event 3, tuning offset cents: nan is no number"),
        (["strums", 2, "start_s"], float("inf"), r"event 3, start s: inf is no number"),
        (["strums", 2, "strokes", 0, "level_db"], 1e9, r"event 3, stroke 1, level db: 1000000000.0 is not possible"),
        (["strums", 2, "position", "bar"], 99, r"event 3, position: there is no bar 99: bars 1 to \d+"),
        (["strums", 2, "position", "step"], 100, r"event 3, position: step 100 is not in bar 1, .* from 0 to 47"),
        (["strums", 2, "start_s"], 0.0, r"event 3: it starts at 0 s, which is before event 2"),
        (["chords", 1, "start_s"], 0.0, r"chord 2: it starts at 0 s, which is before chord 1"),
        (["span_s"], [3, 1], r"\"span_s\" ends at 1 s, before it starts at 3 s"),
        (["corrections", 1, "event"], None, r"correction 2, event: null is no whole number"),
        (["pins", 0, "bar"], 10**30, r"pin 1, bar: 1000000000000000000000000000000 is not possible"),
        (["other_events", 0, "notes"], {}, r"notes: a list in brackets is needed"),
        (["keys", 0, "tonic"], 5, r"key 1, tonic: 5 is no text"),
        (["strums"], {}, r"strums: a list in brackets is needed"),
        (["strums", 0], 17, r"strum 1: an object in braces is needed"),
    ],
)  # fmt: skip
def test_a_wrong_edit_is_refused_where_it_stands(path: list[str | int], value: object, sentence: str | None) -> None:
    document = _edit(path, value)
    if sentence is None:
        parse_part(document, name="part.json")
        return
    with pytest.raises(DocumentError, match=sentence):
        parse_part(document, name="part.json")


@pytest.mark.parametrize("key", ["number", "kind", "start_s", "end_s"])
def test_a_missing_field_is_named(key: str) -> None:
    document = _written(straight_part())
    del document["strums"][2][key]
    with pytest.raises(DocumentError, match=f'event 3: "{key}" is missing|strum 3: "{key}"'):
        parse_part(document, name="part.json")


def test_every_error_is_one_line(tmp_path: Path) -> None:
    path = tmp_path / "part.json"
    for content in (
        "",
        "[]",
        "null",
        "{}",
        '{"format": "listen.strum/1"}',
        '{"format": "listen.part/1"}',
        "\udcff",
        "[" * 100_000,
    ):
        path.write_bytes(content.encode("utf-8", "surrogateescape"))
        with pytest.raises(DocumentError) as caught:
            load_part(path)
        assert "\n" not in str(caught.value)


def test_a_note_where_a_harmonic_sounds_may_differ_from_its_fret() -> None:
    document = _written(line_part())
    note = next(e for e in document["other_events"] if e["kind"] == "line")["strokes"][4]["notes"][0]
    note["midi"], note["pitch"] = note["midi"] + 7, "A4"
    assert parse_part(document, name="part").events[0].notes[4].pitch.midi == note["midi"]


def _places(value: Any, at: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inside = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [at, *(place for key, item in inside for place in _places(item, (*at, key)))]


def test_no_edit_does_more_than_raise_one_sentence() -> None:
    """Whatever stands anywhere, reading gives a part that can be written, or one sentence."""
    rng = random.Random(7)
    junk: tuple[Any, ...] = (None, True, -1, 3, 10**30, 1.5, 1e308, "", "x", "Am7", [], ["a"], {}, {"a": 1}, "\x00")
    written = render_part_document(part_to_document(line_part()))
    places = [place for place in _places(json.loads(written)) if place]
    refused: list[str] = []
    for place in rng.sample(places, 400):
        document = json.loads(written)
        at = document
        for key in place[:-1]:
            at = at[key]
        if rng.random() < 0.2:
            del at[place[-1]]
        else:
            at[place[-1]] = rng.choice(junk)
        try:
            part_to_document(parse_part(document, name="part.json"))
        except DocumentError as error:
            refused.append(str(error))
    assert len(refused) > 100
    assert not [sentence for sentence in refused if "\n" in sentence]
