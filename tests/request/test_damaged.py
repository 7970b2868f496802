"""Takes and homework whose files were damaged: nothing that was settled is lost, nothing disappears without a word."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from listen.document import load_part
from listen.errors import DocumentError, RecordingError
from listen.reading import Correction
from listen.request import AskedChange, DamagedTakeError, Desk, HomeworkShelf, Library, Take
from listen.request.history import document_to_history

DEEP = "[" * 100_000
TITLE = Correction("title", "Evening")
Wrong = Callable[[Path], object]


def _put(**values: object) -> Wrong:
    def damage(path: Path) -> None:
        path.write_text(json.dumps({**json.loads(path.read_text("utf-8")), **values}), "utf-8")

    return damage


WAYS: dict[str, Wrong] = {
    "empty": lambda path: path.write_bytes(b""),
    "zeros": lambda path: path.write_bytes(bytes(300)),
    "half": lambda path: path.write_bytes(path.read_bytes()[: path.stat().st_size // 2]),
    "list": lambda path: path.write_text("[]", "utf-8"),
    "null": lambda path: path.write_text("null", "utf-8"),
    "deep": lambda path: path.write_text(DEEP, "utf-8"),
    "no text": lambda path: path.write_bytes(b"\xff\xfe{"),
    "gone": Path.unlink,
}
TAKE_WAYS = WAYS | {
    "no time": _put(added_s=None),
    "time in words": _put(added_s="x"),
    "endless time": _put(added_s=float("inf")),
    "name 5": _put(name=5),
    "document 5": _put(document=5),
    "recording 5": _put(recording=5),
    "another state": _put(state="odd"),
    "length in words": _put(duration_s="a"),
}
HOMEWORK_WAYS = WAYS | {
    "time in words": _put(added_s="x"),
    "title 5": _put(title=5),
    "students 5": _put(students=5),
    "a student 5": _put(students=[5], recordings=["a.wav"]),
    "a recording of nobody": _put(recordings=["a.wav"]),
    "taken out 5": _put(taken_out=[5]),
}


@pytest.fixture
def titled(library: Library, take: Take) -> Take:
    """A take whose title was settled, at version 2."""
    Desk(library).change(take.ident, AskedChange("title", "Evening"), version=1)
    return take


@pytest.mark.parametrize("way", TAKE_WAYS)
def test_a_take_that_is_damaged_is_listed_as_that_and_costs_no_other(library: Library, take: Take, way: str) -> None:
    other = library.add("morning.wav", ".wav")
    folder = library.folder_of(take.ident)
    TAKE_WAYS[way](folder / "take.json")
    takes, (damaged,) = library.sort_takes()
    assert takes == library.list_takes() == (other,)
    assert damaged.folder == folder
    assert str(folder / "take.json") in damaged.why
    assert [one.ident for one in library.mend()] == [other.ident]
    with pytest.raises(DocumentError, match=r"take\.json"):
        library.take(take.ident)


@pytest.mark.parametrize("way", HOMEWORK_WAYS)
def test_homework_that_is_damaged_is_listed_as_that_and_costs_no_other(library: Library, way: str) -> None:
    shelf = HomeworkShelf(library)
    ident, other = shelf.add("C G").ident, shelf.add("Am F")
    HOMEWORK_WAYS[way](shelf.folder_of(ident) / "homework.json")
    homework, (damaged,) = shelf.sort_homework()
    assert homework == shelf.list_homework() == (other,)
    assert damaged.folder == shelf.folder_of(ident)
    assert "homework.json" in damaged.why
    shelf.mend()


def _correction(**values: object) -> dict[str, object]:
    return {"what": "name", "value": "C", "event": None, "bar": 1, "beat": "1", **values}


def _steps(pins: list[Any] | None = None, corrections: list[Any] | None = None) -> dict[str, object]:
    return {"steps": [{"label": "", "pins": pins or [], "corrections": corrections or []}], "at": 0}


@pytest.mark.parametrize(
    "wrong",
    [
        {"version": float("inf")},
        {"version": "x"},
        {"at": 7},
        {"at": -1},
        {"steps": []},
        {"steps": 5},
        _steps(corrections=[_correction(beat="1/0")]),
        _steps(corrections=[_correction(bar=None, event="x")]),
        _steps(corrections=[_correction(value=5)]),
        _steps(corrections=[_correction(what="colour")]),
        _steps(pins=[{"frets": "x32010", "event": 1, "bar": None, "beat": "1"}]),
        _steps(pins=[{"frets": [None, 3, "2", 0, 1, 0], "event": 1}]),
        _steps(pins=[{"frets": [1, 2], "event": "x"}]),
        _steps(pins=[5]),
    ],
)
def test_a_wrong_value_in_what_was_settled_is_one_sentence(wrong: dict[str, object]) -> None:
    right = {"version": 1, "counts": "", **_steps()}
    document_to_history(right, name="settled.json")
    with pytest.raises(DocumentError, match=r"settled\.json"):
        document_to_history({**right, **wrong}, name="settled.json")


def test_what_an_earlier_version_settled_is_read() -> None:
    pins = [{"frets": [None, 3, 2, 0, 1, 0], "event": 4, "bar": None, "beat": "1"}]
    corrections = [_correction(beat="5/2"), _correction(what="key", value="C major", bar=None)]
    history = document_to_history({"version": 3, **_steps(pins, corrections)}, name="settled.json")
    assert [(pin.text, pin.event_number, pin.bar) for pin in history.now.pins] == [("4=x32010", 4, None)]
    assert [(one.what, one.bar, float(one.beat)) for one in history.now.corrections] == [
        ("name", 1, 2.5),
        ("key", None, 1),
    ]


def test_without_its_steps_a_take_goes_on_from_what_its_part_holds(library: Library, titled: Take) -> None:
    folder = library.folder_of(titled.ident)
    (folder / "settled.json").unlink()
    before = (folder / "part.json").read_bytes()
    desk = Desk(library)
    opened = desk.open(titled.ident)
    assert (folder / "part.json").read_bytes() == before
    assert opened.history.now.corrections == (TITLE,)
    changed = desk.change(titled.ident, AskedChange("title", "Morning"), version=opened.history.version)
    assert [one.value for one in changed.history.now.corrections] == ["Morning"]
    back = desk.undo(titled.ident, version=changed.history.version)
    assert back.part is not None
    assert back.part.settled.corrections == (TITLE,)


def test_a_part_that_opening_writes_over_is_kept_among_the_versions(library: Library, titled: Take) -> None:
    folder = library.folder_of(titled.ident)
    part = load_part(folder / "part.json")
    found = replace(part, settled=replace(part.settled, corrections=(Correction("title", "by hand"),)))
    library.write_part(titled, found)
    opened = Desk(library).open(titled.ident)
    assert opened.part is not None
    assert opened.part.settled.corrections == (TITLE,)
    kept = [load_part(path) for path in (folder / "versions").glob("*.part.json")]
    assert found in kept


@pytest.mark.parametrize("way", [way for way in WAYS if way != "gone"])
def test_a_take_whose_steps_are_damaged_goes_on_from_its_part(library: Library, titled: Take, way: str) -> None:
    folder = library.folder_of(titled.ident)
    WAYS[way](folder / "settled.json")
    damaged = (folder / "settled.json").read_bytes()
    desk = Desk(library)
    with pytest.raises(DamagedTakeError, match=r"settled\.json"):
        desk.open(titled.ident)
    restored = desk.restore(titled.ident)
    assert restored.history.now.corrections == (TITLE,)
    assert [path.read_bytes() for path in folder.glob("damaged-*-settled.json")] == [damaged]
    changed = desk.change(titled.ident, AskedChange("title", "Morning"), version=restored.history.version)
    assert changed.history.undone


@pytest.mark.parametrize("way", WAYS)
def test_a_take_whose_part_is_damaged_goes_on_from_the_part_before_with_all_its_steps(
    library: Library, titled: Take, way: str
) -> None:
    folder = library.folder_of(titled.ident)
    WAYS[way](folder / "part.json")
    restored = Desk(library).restore(titled.ident)
    assert restored.part is not None
    assert restored.part.settled.corrections == (TITLE,)  # decided again from the part before
    assert restored.history.undone
    assert library.part(titled) == restored.part


def test_a_take_without_any_part_waits_to_be_read_anew_with_all_its_steps(library: Library, titled: Take) -> None:
    folder = library.folder_of(titled.ident)
    for path in (folder / "part.json", *(folder / "versions").iterdir()):
        path.write_bytes(b"")
    desk = Desk(library)
    with pytest.raises(RecordingError, match="nor its recording is left"):
        desk.restore(titled.ident)
    assert (folder / "part.json").read_bytes() == b""
    (folder / "recording.wav").write_bytes(b"RIFF")
    restored = desk.restore(titled.ident)
    assert (restored.take.state, restored.part) == ("waiting", None)
    assert restored.history.now.corrections == (TITLE,)


def test_what_a_newer_version_wrote_is_not_offered_to_be_put_aside(library: Library, titled: Take) -> None:
    path = library.document_of(titled)
    path.write_text(path.read_text("utf-8").replace("listen.part/1", "listen.part/9"), "utf-8")
    desk = Desk(library)
    for do in (desk.open, desk.restore):
        with pytest.raises(DocumentError, match="newer version") as refused:
            do(titled.ident)
        assert not isinstance(refused.value, DamagedTakeError)


def test_a_document_outside_of_the_library_is_not_replaced(library: Library, titled: Take, tmp_path: Path) -> None:
    path = tmp_path / "mine.json"
    path.write_text("{", "utf-8")
    library.save(replace(titled, document=str(path)))
    with pytest.raises(DocumentError, match="was left as it is"):
        Desk(library).restore(titled.ident)
    assert path.read_text("utf-8") == "{"
