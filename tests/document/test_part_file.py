"""Part documents on disk: what a person settled is never lost, and nothing is written over unasked."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

import listen.document.format as document_format
from listen.document import carry_over, load_part, parse_part, part_to_document, render_part_document, write_part
from listen.errors import DocumentError
from listen.instrument import parse_shape
from listen.reading import Correction, Pin
from tests.hand_made_parts import free_part, line_part, straight_part


def test_work_is_carried_over_and_what_is_given_now_comes_first() -> None:
    now = Pin(parse_shape("x35543"), bar=3)
    pins, corrections = carry_over(straight_part(), pins=[now], corrections=[Correction("key", "E minor")])
    assert [pin.text for pin in pins] == ["20=320003", "3.1=x35543"]
    assert [one.what for one in corrections] == ["metre", "name", "key"]


def test_a_reading_without_the_pins_never_replaces_one_that_has_them(tmp_path: Path) -> None:
    path = write_part(straight_part(), tmp_path / "part.json")
    before = path.read_bytes()
    with pytest.raises(DocumentError, match=r"3\.1=x32030.*left as it is"):
        write_part(replace(straight_part(), settled=replace(straight_part().settled, pins=())), path, overwrite=True)
    assert path.read_bytes() == before
    moved = replace(
        straight_part(),
        settled=replace(
            straight_part().settled,
            pins=(*straight_part().settled.pins, Pin(parse_shape("022000"), bar=1, beat=Fraction(5, 2))),
        ),
    )
    write_part(moved, path, overwrite=True)
    assert load_part(path).settled.pins == moved.settled.pins


def test_a_reading_without_the_corrections_never_replaces_one_that_has_them(tmp_path: Path) -> None:
    path, part = write_part(straight_part(), tmp_path / "part.json"), straight_part()
    before = path.read_bytes()
    for at, lost in enumerate(part.settled.corrections):
        kept = tuple(one for place, one in enumerate(part.settled.corrections) if place != at)
        with pytest.raises(DocumentError, match=f"{lost.what} {lost.value}.*left as it is"):
            write_part(replace(part, settled=replace(part.settled, corrections=kept)), path, overwrite=True)
        assert path.read_bytes() == before


def test_a_file_that_is_there_is_not_replaced_unasked(tmp_path: Path) -> None:
    path = write_part(free_part(), tmp_path / "part.json")
    with pytest.raises(DocumentError, match="is there already"):
        write_part(line_part(), path)
    assert load_part(path) == free_part()


def test_a_newer_version_is_refused_and_never_rewritten(tmp_path: Path) -> None:
    path = tmp_path / "part.json"
    newer = render_part_document({**part_to_document(free_part()), "format": "listen.part/2"})
    path.write_text(newer, "utf-8")
    with pytest.raises(DocumentError, match="newer version"):
        load_part(path)
    with pytest.raises(DocumentError, match="newer version"):
        write_part(free_part(), path, overwrite=True)
    assert path.read_text("utf-8") == newer


def test_an_older_version_is_brought_up_to_date_step_by_step(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(document_format, "VERSIONS", {**document_format.VERSIONS, "part": 3})
    steps = {
        ("part", 1): lambda old: {**old, "file": f"{old['take']}", "format": "listen.part/2"},
        ("part", 2): lambda old: {**old, "channel": "left", "format": "listen.part/3"},
    }
    monkeypatch.setattr(document_format, "MIGRATIONS", steps)
    document = part_to_document(free_part()) | {"format": "listen.part/1", "take": "old.wav"}
    del document["file"]
    part = parse_part(document, name="old part")
    assert (part.recording.file, part.recording.channel) == ("old.wav", "left")


def test_a_truncated_file_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = write_part(straight_part(), tmp_path / "part.json")
    cut = path.read_text("utf-8")[:5000]
    path.write_text(cut, "utf-8")
    with pytest.raises(DocumentError, match=r"damaged or was cut off.*line \d+"):
        load_part(path)
    with pytest.raises(DocumentError, match="left as it is"):
        write_part(straight_part(), path, overwrite=True)
    assert path.read_text("utf-8") == cut
