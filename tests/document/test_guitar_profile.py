"""Guitars are kept as documents: read back as they were, never written over, and refused in one sentence."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from listen.document import (
    check_guitar_name,
    document_to_profile,
    find_guitar_names,
    find_guitars_folder,
    load_guitar,
    load_schema,
    profile_to_document,
    remove_guitar,
    save_guitar,
)
from listen.errors import BadValueError, DocumentError
from listen.evidence import Measured
from listen.instrument import STANDARD
from listen.reading import GuitarProfile, StringProfile

STRINGS = (
    tuple(
        StringProfile(Measured(ln_b, 0.1), Measured(-6.5, 0.5), Measured(4.0, 0.5), -1.5, 2.25, 2)
        for ln_b in (-8.9, -9.3, -9.9)
    )
    + (StringProfile(),) * 3
)
GUITAR = GuitarProfile("Old Steel", STANDARD, STRINGS, Measured(1.35, 0.05), -17.5, "3 open strings, in take.wav")


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_GUITARS", str(tmp_path / "guitars"))


def test_a_guitar_is_read_back_as_it_was() -> None:
    path = save_guitar(GUITAR)
    assert path.name == "old-steel.json"
    assert load_guitar("old STEEL") == GUITAR
    assert find_guitar_names() == ("old-steel",)


def test_the_document_keeps_to_its_schema() -> None:
    schema = load_schema("guitar")
    jsonschema.Draft202012Validator.check_schema(schema)
    validator = jsonschema.Draft202012Validator(schema)
    assert validator.is_valid(profile_to_document(GUITAR))
    assert not validator.is_valid({**profile_to_document(GUITAR), "strings": [{}]})


def test_a_guitar_is_not_written_over_unless_told() -> None:
    save_guitar(GUITAR)
    with pytest.raises(DocumentError, match="old-steel already"):
        save_guitar(replace(GUITAR, name="OLD steel"))
    with pytest.raises(DocumentError, match="old-steel already"):
        check_guitar_name("Old Steel")
    assert load_guitar("Old Steel") == GUITAR
    save_guitar(replace(GUITAR, made_from="anew"), overwrite=True)
    assert load_guitar("Old Steel").made_from == "anew"


def test_a_file_of_a_newer_version_is_left_alone() -> None:
    path = save_guitar(GUITAR)
    path.write_text(path.read_text("utf-8").replace("listen.guitar/1", "listen.guitar/7"), "utf-8")
    before = path.read_bytes()
    with pytest.raises(DocumentError, match="newer version"):
        load_guitar("Old Steel")
    with pytest.raises(DocumentError, match="newer version"):
        save_guitar(GUITAR, overwrite=True)
    assert path.read_bytes() == before


def test_a_guitar_is_removed_even_when_damaged() -> None:
    path = save_guitar(GUITAR)
    path.write_text("{", "utf-8")
    with pytest.raises(DocumentError, match="damaged"):
        load_guitar("Old Steel")
    remove_guitar("Old Steel")
    assert find_guitar_names() == ()


@pytest.mark.parametrize("name", ["../settings", "a/b", "", "..", "c:\\x"])
def test_a_name_never_leads_out_of_the_folder(name: str) -> None:
    for ask in (load_guitar, remove_guitar, check_guitar_name):
        with pytest.raises(BadValueError, match="letters, digits"):
            ask(name)


def test_an_unknown_guitar_is_answered_with_the_nearest() -> None:
    with pytest.raises(BadValueError, match="guitar add NAME FILE"):
        load_guitar("mine")
    save_guitar(GUITAR)
    with pytest.raises(BadValueError, match="Did you mean old-steel"):
        load_guitar("old stele")


@pytest.mark.parametrize(
    ("key", "value", "sentence"),
    [
        ("name", "a/b", "letters, digits"),
        ("name", None, "name"),
        ("tuning", {"name": "odd", "open_strings": ["E2", "H2"]}, "H2"),
        ("tuning", {"name": "short", "open_strings": ["E2", "A2"]}, "2 strings"),
        ("tuning_offset_cents", "flat", "no number"),
        ("stiffness_growth", {"value": 9.0, "sigma": 0.1}, "0 to 3"),
        ("stiffness_growth", {"value": 1.4, "sigma": 0.0}, "sigma"),
        ("strings", "six", "list"),
        ("strings", [{"ln_stiffness": {"value": 5.0, "sigma": 0.1}}] * 6, "string 1, ln stiffness"),
    ],
)
def test_a_wrong_value_is_said_with_its_place(key: str, value: Any, sentence: str) -> None:
    document = json.loads(json.dumps({**profile_to_document(GUITAR), key: value}))
    with pytest.raises(DocumentError, match=sentence):
        document_to_profile(document, name="guitar.json")


def test_without_a_folder_named_guitars_are_kept_where_the_system_keeps_data(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("LISTEN_GUITARS")
    assert find_guitars_folder().name == "guitars"
    assert find_guitars_folder().parent.name == "listen"


def test_a_folder_of_guitars_that_cannot_be_read_is_not_called_an_empty_one(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert find_guitar_names() == ()  # none is there yet
    (tmp_path / "file").write_text("", "utf-8")
    monkeypatch.setenv("LISTEN_GUITARS", str(tmp_path / "file"))
    with pytest.raises(DocumentError, match="could not be read"):
        find_guitar_names()

    def refuse(*_: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("os.listdir", refuse)
    monkeypatch.setattr("os.scandir", refuse)
    with pytest.raises(DocumentError, match="could not be read: Permission denied"):
        find_guitar_names()
