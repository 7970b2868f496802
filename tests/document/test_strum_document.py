"""The strum document is what its published schema says, whatever was read."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import jsonschema
import mir_eval
import pytest

from listen.document import (
    Document,
    failure_to_document,
    load_schema,
    render_document,
    shapes_to_document,
    take_to_document,
)
from listen.errors import RecordingError
from listen.instrument import Barre, Fingering, Fretboard, Reason, best_fingering, parse_shape
from listen.reading import Shares
from listen.theory import parse_chord
from tests.export.scenes import WHISTLE, make_refusal, make_take

VALIDATOR = jsonschema.Draft202012Validator(load_schema("strum"))


def _round_trip(document: Document) -> Document:
    line = render_document(document)
    assert "\n" not in line
    parsed = json.loads(line)
    VALIDATOR.validate(parsed)
    assert isinstance(parsed, dict)
    return parsed


@pytest.mark.parametrize("kind", ["strum", "shapes", "name"])
def test_schemas_are_themselves_valid(kind: str) -> None:
    # JSON Schema draft 2020-12, its own metaschema as jsonschema ships it
    jsonschema.Draft202012Validator.check_schema(load_schema(kind))


def test_a_read_recording_is_told_in_full() -> None:
    document = _round_trip(take_to_document(make_take(), file="takes/porch.flac"))
    assert document["file"] == "takes/porch.flac"
    assert document["tuning"] == "E2 A2 D3 G3 B3 E4"
    assert document["span_s"] == [0.18, 2.31]
    assert document["tuning_offset_cents"] == -12.4
    assert document["notes"][0] == {"pitch": "B2", "midi": 47, "probability": 0.982, "deviation_cents": 1.8}
    assert document["bass"] == {"pitch": "B2", "midi": 47, "probability": 0.99}
    assert [note["midi"] for note in document["notes"]] == sorted(note["midi"] for note in document["notes"])
    first = document["names"][0]
    assert (first["text"], first["harte"], first["inversion"], first["played_as"]) == ("G/B", "G:maj/3", 1, None)
    shape = document["shapes"][0]
    assert shape["frets"] == [None, 2, 0, 0, 0, 3]
    assert shape["fingers"] == list(make_take().reading.shapes[0].fingering.fingers)
    assert shape["why"] == {"ear": 0.0, "hand": -0.4, "book": 0.0, "stroke": 0.0}
    assert document["refused"] is None


def test_shapes_that_are_not_listed_are_not_referred_to() -> None:
    take = make_take(("x32010", "x3x010"), ("C",))
    first, second = (replace(one, same_sound=(0, 1, 2)) for one in take.reading.shapes)
    take = replace(take, reading=replace(take.reading, shapes=(first, second)))
    assert [shape["same_sound"] for shape in _round_trip(take_to_document(take))["shapes"]] == [[0, 1], [0, 1]]
    assert [shape["same_sound"] for shape in _round_trip(take_to_document(take, n_shapes=1))["shapes"]] == [[0]]


def test_harte_labels_are_read_by_mir_eval() -> None:
    # mir_eval.chord.encode (Raffel et al. 2014) reads Harte et al. 2005
    names = take_to_document(make_take())["names"]
    assert names
    for name in names:
        root, bitmap, _ = mir_eval.chord.encode(name["harte"])
        assert 0 <= root < 12
        assert bitmap.sum() >= 3


def test_thumb_and_barres_are_valid() -> None:
    take = make_take(("133211",), ("F",))
    (held,) = take.reading.shapes
    over = Fingering(("T", 3, 4, 2, 1, 1), (Barre(1, 1, 4, 5),), 60.0, 5.0, (Reason("thumb"),))
    document = _round_trip(
        take_to_document(replace(take, reading=replace(take.reading, shapes=(held, replace(held, fingering=over)))))
    )
    assert document["shapes"][0]["barres"] == [{"finger": 1, "fret": 1, "first_string": 0, "last_string": 5}]
    assert document["shapes"][1]["fingers"] == ["T", 3, 4, 2, 1, 1]


def test_a_refusal_has_a_reason_and_no_names() -> None:
    document = _round_trip(take_to_document(make_refusal()))
    assert document["refused"] == "Only noise was heard."
    assert (document["names"], document["shapes"], document["bass"]) == ([], [], None)


def test_an_unreadable_recording_has_file_and_error() -> None:
    document = _round_trip(failure_to_document(WHISTLE, RecordingError("It is empty.")))
    assert document == {"format": "listen.strum/1", "file": WHISTLE, "error": "It is empty."}


def test_impossible_is_a_number_in_json() -> None:
    take = make_take()
    shapes = tuple(replace(shape, why=Shares(-math.inf, 0.0, math.inf)) for shape in take.reading.shapes)
    document = _round_trip(take_to_document(replace(take, reading=replace(take.reading, shapes=shapes))))
    assert document["shapes"][0]["why"] == {"ear": -99.0, "hand": 0.0, "book": 99.0, "stroke": 0.0}


def test_same_sound_points_only_at_shapes_that_are_listed() -> None:
    take = make_take()
    shapes = tuple(replace(shape, same_sound=(1, 7)) for shape in take.reading.shapes)
    document = _round_trip(take_to_document(replace(take, reading=replace(take.reading, shapes=shapes)), n_shapes=2))
    assert [shape["same_sound"] for shape in document["shapes"]] == [[1], [1]]


@pytest.mark.parametrize(
    "wrong",
    [{"probability": 1.2}, {"midi": 200}, {"pitch": "H2"}, {"extra": 1}],
)
def test_schema_refuses_what_is_no_strum(wrong: Document) -> None:
    document = take_to_document(make_take())
    document["bass"] = {**document["bass"], **wrong}
    with pytest.raises(jsonschema.ValidationError):
        VALIDATOR.validate(document)


def test_places_of_a_chord_are_listed_with_what_they_sound() -> None:
    board = Fretboard()
    held = [(shape, best_fingering(shape, board)) for shape in map(parse_shape, ("x32010", "x3555x", "8-7-5-5-x-x"))]
    document = shapes_to_document(parse_chord("C"), held, board)
    jsonschema.Draft202012Validator(load_schema("shapes")).validate(document)
    assert document["chord"] == {"text": "C", "harte": "C:maj"}
    assert document["shapes"][0]["pitches"] == [None, "C3", "E3", "G3", "C4", "E4"]
    assert [shape["same_sound"] for shape in document["shapes"]] == [[], [], []]
