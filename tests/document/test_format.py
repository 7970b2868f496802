"""Documents say what they are; newer ones are refused and never replaced; older ones are brought up to date."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from listen.document import Document, read_document, update_document, write_document
from listen.document import format as format_module
from listen.errors import DocumentError


def _write(path: Path, document: object) -> Path:
    path.write_text(json.dumps(document), "utf-8")
    return path


def test_what_is_written_is_read_again(tmp_path: Path) -> None:
    document = {"format": "listen.part/1", "file": "Kölner Straße ♭.wav", "strums": [1.5, None]}
    assert read_document(write_document(tmp_path / "a.json", document), kind="part") == document


def test_a_byte_order_mark_is_no_damage(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_text('{"format": "listen.part/1"}', "utf-8-sig")
    assert read_document(path, kind="part") == {"format": "listen.part/1"}
    path.write_text('{"format": "listen.part/99"}', "utf-8-sig")
    with pytest.raises(DocumentError, match="was left as it is"):
        write_document(path, {"format": "listen.part/1"}, overwrite=True)


def test_a_newer_document_is_refused_and_left_as_it_is(tmp_path: Path) -> None:
    path = _write(tmp_path / "a.json", {"format": "listen.part/99"})
    before = path.read_bytes()
    with pytest.raises(DocumentError, match=r"newer version .* update the program"):
        read_document(path, kind="part")
    with pytest.raises(DocumentError, match="was left as it is"):
        write_document(path, {"format": "listen.part/1"}, overwrite=True)
    assert path.read_bytes() == before


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "a.json is empty"),
        (" \n", "a.json is empty"),
        ("<!doctype html>", "no JSON text"),
        ("\ufeff\nThese are words.", "no JSON text"),
        ('{"format": "listen.part/1", "str', "damaged or was cut off"),
        ("[" * 100_000, "no JSON text"),
        ('{"format": ' + "9" * 6000 + "}", "far too long"),
        ("[1, 2]", "does not say which format"),
        ('{"format": 3}', "does not say which format"),
        ('{"format": "listen.part/one"}', "does not say which format"),
        ('{"format": "listen.strum/1"}', "holds a strum document where a part document is needed"),
        ('{"format": "listen.part/0"}', "never published"),
    ],
)
def test_what_is_no_document_is_refused_in_one_sentence(tmp_path: Path, text: str, sentence: str) -> None:
    path = tmp_path / "a.json"
    path.write_text(text)
    with pytest.raises(DocumentError, match=sentence) as caught:
        read_document(path, kind="part")
    assert "\n" not in str(caught.value)


def test_bytes_that_are_no_text_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "a.json"
    path.write_bytes(b"\xff\xfe\x00RIFF")
    with pytest.raises(DocumentError, match="no JSON text"):
        read_document(path, kind="part")


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    with pytest.raises(DocumentError, match=r"gone\.json is not there"):
        read_document(tmp_path / "gone.json", kind="part")


def test_an_older_document_is_brought_up_step_by_step(monkeypatch: pytest.MonkeyPatch) -> None:
    def first(document: Document) -> Document:
        return {**document, "capo_fret": document.pop("capo")}

    def second(document: Document) -> Document:
        return {**document, "pins": []}

    monkeypatch.setattr(format_module, "VERSIONS", {"part": 3})
    monkeypatch.setattr(format_module, "MIGRATIONS", {("part", 1): first, ("part", 2): second})
    updated = update_document({"format": "listen.part/1", "capo": 2}, kind="part", name="a.json")
    assert updated["capo_fret"] == 2
    assert updated["pins"] == []
    assert updated["format"] == "listen.part/3"


def test_a_document_of_too_many_values_is_refused_before_they_are_made(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("listen.document.format.MOST_VALUES", 20)
    path = tmp_path / "part.json"
    path.write_text('{"format": "listen.part/1", "strums": [' + "{}," * 20 + "{}]}", "utf-8")
    with pytest.raises(DocumentError, match="holds over 20 values"):
        read_document(path, kind="part")
