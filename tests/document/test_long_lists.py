"""A long document is read item by item, and is refused as a short one is."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from listen.document import format as document_format
from listen.document import load_part, long_lists, write_part
from listen.document.long_lists import LongList, parse_long
from listen.errors import DocumentError
from tests.hand_made_parts import straight_part

VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(),
    lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
    max_leaves=20,
)


@pytest.fixture(autouse=True)
def _all_are_long(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(long_lists, "SHORT_BYTES", 0)
    monkeypatch.setattr(document_format, "LEAST_BYTES", 0)


def _whole(value: Any) -> Any:
    return {key: list(each) if isinstance(each, LongList) else each for key, each in value.items()}


@given(st.dictionaries(st.text(), VALUES), st.sampled_from([None, 2]), st.booleans())
def test_what_is_read_item_by_item_is_what_json_reads(value: dict[str, Any], indent: int | None, ascii_: bool) -> None:
    # The reference is Python's own json (RFC 8259).
    raw = json.dumps(value, indent=indent, ensure_ascii=ascii_).encode("utf-8", "surrogatepass")
    try:
        raw.decode()
    except UnicodeDecodeError:
        with pytest.raises(UnicodeDecodeError):
            parse_long(raw)
        return
    read = parse_long(b"\xef\xbb\xbf" + raw)
    assert _whole(read) == json.loads(raw)
    assert all(isinstance(read[key], LongList) for key, each in json.loads(raw).items() if isinstance(each, list))


@pytest.mark.parametrize(
    "text",
    ['{"a": [1, 2', '{"a": [1 2]}', '{"a": [1,]}', '{"a" [1]}', '{"a": [1]} x', '{"a": [1]', '{"a": [1],}', "{1: 2}",
     '{"a": [' + "[" * 100_000, '{"a": [' + "9" * 5_000 + "]}", '["a"', "", '{"a": ["\n"]}'],
)  # fmt: skip
def test_what_json_refuses_is_refused_in_a_sentence(text: str, tmp_path: Path) -> None:
    path = tmp_path / "part.json"
    path.write_text(text)
    with pytest.raises((ValueError, RecursionError)):
        json.loads(text)
    with pytest.raises(DocumentError, match=r"part\.json (is|holds)"):
        load_part(path)


def test_a_long_part_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    path = write_part(straight_part(), tmp_path / "part.json")
    assert load_part(path) == straight_part()
    path.write_text(path.read_text("utf-8").replace('"kind": "strum"', '"kind": "waltz"', 1), "utf-8")
    with pytest.raises(DocumentError, match=r'event \d+: kind is "waltz"'):
        load_part(path)
    path.write_bytes(path.read_bytes().replace(b'"waltz"', b'"w\xe9ltz"', 1))
    with pytest.raises(DocumentError, match="is no JSON text"):
        load_part(path)
