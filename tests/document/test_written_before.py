"""Documents of every kind as the first published program wrote them are read for ever.

They were written once, at format 1, by the commands themselves and from parts made by hand (pins and corrections in
them), and are never written again: a document that a person keeps must not become unreadable by an update.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from listen.document import load_guitar, load_part, load_schema, load_settings, parse_part, read_document, write_part
from listen.instrument import parse_tuning

WRITTEN = Path(__file__).parents[1] / "data" / "written_at_format_1"
PARTS = sorted(path.name for path in WRITTEN.glob("part_*.json"))
KINDS = {
    "strum.json": "strum",
    "strum_refused.json": "strum",
    "shapes.json": "shapes",
    "name.json": "name",
    "guitar.json": "guitar",
    "settings.json": "settings",
    **dict.fromkeys(PARTS, "part"),
}


def _load(name: str) -> Any:
    return json.loads((WRITTEN / name).read_text("utf-8"))


def test_there_is_one_of_every_kind() -> None:
    assert set(KINDS.values()) == {"strum", "shapes", "name", "part", "settings", "guitar"}
    assert {path.name for path in WRITTEN.iterdir()} == set(KINDS)
    assert len(PARTS) == 8


@pytest.mark.parametrize("name", sorted(KINDS))
def test_its_kind_is_known_and_its_schema_takes_it(name: str) -> None:
    document = read_document(WRITTEN / name, kind=KINDS[name])
    if KINDS[name] != "settings":  # a settings file is the program's own and has no published schema
        jsonschema.Draft202012Validator(load_schema(KINDS[name])).validate(document)


@pytest.mark.parametrize("name", PARTS)
def test_a_part_keeps_its_chords_its_pins_and_its_corrections(name: str, tmp_path: Path) -> None:
    written = _load(name)
    part = load_part(WRITTEN / name)
    assert [span.name.text if span.name else None for span in part.spans] == [
        chord["names"][0]["text"] if chord["names"] else None for chord in written["chords"]
    ]
    assert [list(pin.shape.frets) for pin in part.settled.pins] == [pin["frets"] for pin in written["pins"]]
    assert [pin.text for pin in part.settled.pins] == [pin["text"] for pin in written["pins"]]
    assert [(one.what, one.value, one.event_number) for one in part.settled.corrections] == [
        (one["what"], one["value"], one.get("event")) for one in written["corrections"]
    ]
    assert len(part.events) == len(written["strums"]) + len(written["other_events"])
    again = load_part(write_part(part, tmp_path / "again.json"))
    assert again == parse_part(written, name=name)


def test_a_part_that_was_heard_holds_every_kind_of_pin_and_correction() -> None:
    part = load_part(WRITTEN / "part_heard.json")
    assert [pin.text for pin in part.settled.pins] == ["3.4.5=3x0003", "13=x32030"]
    assert {one.what for one in part.settled.corrections} == {
        "tuning",
        "capo",
        "key",
        "metre",
        "tempo",
        "bar one",
        "name",
    }


def test_a_guitar_keeps_its_strings(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "red-one.json").write_bytes((WRITTEN / "guitar.json").read_bytes())
    monkeypatch.setenv("LISTEN_GUITARS", str(tmp_path))
    guitar = load_guitar("Red one")
    assert guitar.tuning.open_strings == parse_tuning("standard").open_strings
    assert [one.n_notes for one in guitar.strings] == [string["n_notes"] for string in _load("guitar.json")["strings"]]


def test_settings_keep_what_was_set(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_SETTINGS", str(WRITTEN / "settings.json"))
    kept = load_settings()
    assert (kept.tuning, kept.reach, kept.thumb, kept.fingerpicked, kept.left_handed) == (
        "drop D", "95", False, True, True,
    )  # fmt: skip
