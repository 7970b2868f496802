"""No number, text or list of a document is too large to be refused in one sentence."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from listen.document import load_part, parse_part, read_chart, read_document, read_exercise, read_tolerances
from listen.document.cursor import Cursor
from listen.errors import DocumentError

WRITTEN = Path(__file__).parents[1] / "data" / "written_at_format_1"
SMALL, LARGE = (
    (WRITTEN / f"part_{name}.json").read_text("utf-8") for name in ("line", "waltz")
)  # the large one has a field of every kind


def _document(text: str = SMALL) -> Any:
    return json.loads(text)


def _numbers(value: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    """Return the address of every number of a document, one of each kind of field."""
    if isinstance(value, dict):
        return [found for key, inner in value.items() for found in _numbers(inner, (*path, key))]
    if isinstance(value, list):
        return [found for at, inner in enumerate(value[:1]) for found in _numbers(inner, (*path, at))]
    return [path] if isinstance(value, int | float) and not isinstance(value, bool) else []


def _put(document: Any, path: tuple[str | int, ...], value: object) -> None:
    for key in path[:-1]:
        document = document[key]
    document[path[-1]] = value


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (10**400, LARGE),
        (-(10**400), SMALL),
        (1e300, SMALL),
        (float("inf"), SMALL),
        (float("nan"), SMALL),
        ("9" * 5000, SMALL),
        ({}, SMALL),
    ],
    ids=["large, every field", "low", "1e300", "inf", "nan", "digits", "object"],
)
def test_no_field_takes_a_number_without_end(value: object, text: str) -> None:
    paths = _numbers(_document(text))
    assert len(paths) > (60 if text is LARGE else 20)
    for path in paths:
        document = _document(text)
        _put(document, path, value)
        try:
            parse_part(document, name="part.json")
        except DocumentError as error:
            assert len(str(error)) < 400, path  # noqa: PT017  (many a field may also leave such a value unread)


@pytest.mark.parametrize(
    "beat",
    ["1e99999999", 10**400, "9" * 5000, "1/0", "-1", "0/1", True, [1], 1e300, "1_0"],
    ids=lambda beat: str(beat)[:12],
)
def test_a_beat_is_a_small_number(beat: object) -> None:
    document = _document()
    document["pins"] = [{"text": "?", "bar": 1, "beat": beat, "frets": [None, 3, 2, 0, 1, 0]}]
    with pytest.raises(DocumentError, match="pin 1, beat"):
        parse_part(document, name="part.json")


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda part: part.update(file="x" * 5000), "5000 letters; it takes 255"),
        (lambda part: part.update(channel="x" * 100_000), "letters; it takes 4000"),
        (lambda part: part.update(file="half \ud800.wav"), "half of a sign"),
        (lambda part: part.update(beats_s=[0.0] * 1_000_001), "1000001 entries"),
    ],
)
def test_no_text_or_list_goes_on_without_end(change: Callable[[Any], None], said: str) -> None:
    document = _document()
    change(document)
    with pytest.raises(DocumentError, match=said):
        parse_part(document, name="part.json")


def test_a_number_of_four_thousand_digits_is_shown_short() -> None:
    with pytest.raises(DocumentError) as caught:
        Cursor({"capo": 10**4000}, "part.json").integer("capo", 0, 12)
    assert len(str(caught.value)) < 200


def test_a_pipe_or_a_device_named_as_a_document_is_not_waited_for(tmp_path: Path) -> None:
    pipe, zero = tmp_path / "pipe.json", tmp_path / "zero.json"
    os.mkfifo(pipe)
    zero.symlink_to("/dev/zero")
    for path in (pipe, zero):
        with pytest.raises(DocumentError, match="no ordinary file"):
            load_part(path)
        with pytest.raises(DocumentError, match="no ordinary file"):
            read_document(path, kind="settings")


@pytest.mark.parametrize("read", [read_chart, read_tolerances, read_exercise], ids=lambda read: read.__name__)
def test_no_file_that_a_person_writes_is_waited_for_or_read_without_end(
    read: Callable[[Path], object], tmp_path: Path
) -> None:
    pipe, zero, deep, long, hexadecimal = (tmp_path / name for name in ("pipe", "zero", "deep", "long", "hex"))
    os.mkfifo(pipe)
    zero.symlink_to("/dev/zero")
    deep.write_text(f"cents = {'[' * 20_000}", "utf-8")
    long.write_text(f"items = {'9' * 5000}\n", "utf-8")
    hexadecimal.write_text(f"items = 0x{'f' * 5000}\ncents = 0x{'f' * 5000}\n", "utf-8")
    for path in (pipe, zero):
        with pytest.raises(DocumentError, match="no ordinary file"):
            read(path)
    for path in (deep, long, hexadecimal):
        with pytest.raises(DocumentError) as caught:
            read(path)
        assert len(str(caught.value)) < 400
