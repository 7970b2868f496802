"""What was worked out before is kept under one limit, whoever keeps it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from listen.document import content_key, find_kept_folder, load_kept, save_kept


def _name(number: int, ending: str = "heard") -> str:
    return f"{number:064x}.{ending}"


def _age(path: Path, days: int) -> None:
    os.utime(path, (1e9 - 86_400 * days,) * 2)


def test_what_was_used_longest_ago_goes_when_there_is_too_much(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("listen.document.kept.MOST_KEPT_BYTES", 1000)
    for number, ending in enumerate(("heard", "heard.json", "check.json")):
        save_kept(tmp_path, _name(number, ending), bytes(300))
        _age(tmp_path / _name(number, ending), days=10 - number)
    (tmp_path / "notes.heard").write_bytes(bytes(5000))  # nobody's entry
    _age(tmp_path / "notes.heard", days=1000)
    assert load_kept(tmp_path, _name(0)) == bytes(300)  # and so used last
    save_kept(tmp_path, _name(9), bytes(300))
    left = {_name(0), _name(2, "check.json"), _name(9), "notes.heard"}
    assert {one.name for one in tmp_path.iterdir()} == left
    save_kept(tmp_path, _name(10), bytes(2000))  # more than there may be is kept until the next comes
    assert {one.name for one in tmp_path.iterdir()} == {_name(10), "notes.heard"}
    assert load_kept(tmp_path, _name(9)) is None


def test_a_folder_that_cannot_be_written_to_costs_nothing_but_time(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    save_kept(tmp_path / "file", _name(1), b"x")
    assert load_kept(tmp_path / "file", _name(1)) is None


def test_the_key_is_another_one_when_the_content_or_the_way_is(tmp_path: Path) -> None:
    path, other = tmp_path / "a.wav", tmp_path / "b.wav"
    path.write_bytes(b"RIFF")
    other.write_bytes(b"RIFF")
    assert content_key(path, "heard 1") == content_key(other, "heard 1") != content_key(path, "heard 2")
    other.write_bytes(b"RIFX")
    assert content_key(path, "heard 1") != content_key(other, "heard 1")


def test_one_name_in_the_environment_is_for_all_kinds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_CACHE", str(tmp_path))
    assert find_kept_folder("heard") == find_kept_folder("check") == tmp_path
    monkeypatch.delenv("LISTEN_CACHE")
    assert find_kept_folder("heard").name == "heard" != find_kept_folder("check").name
