"""``listen page``: what it says before it serves."""

from __future__ import annotations

import socket
from pathlib import Path

import pytest

from listen.request import Library
from tests.cli.runner import run_listen, run_wrong


def test_a_port_that_is_taken_is_one_sentence(tmp_path: Path) -> None:
    pytest.importorskip("uvicorn")
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        said = run_wrong("page", "--library", str(tmp_path), "--no-open", "--port", str(port))
    assert f"port={port} cannot be used" in said
    assert "--port 0" in said


@pytest.mark.parametrize("port", ["70000", "-1"])
def test_a_port_that_is_none_is_refused(tmp_path: Path, port: str) -> None:
    pytest.importorskip("uvicorn")
    assert "0 for any" in run_wrong("page", "--library", str(tmp_path), "--no-open", f"--port={port}")


def test_a_recording_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    assert "missing.wav is not there" in run_wrong("page", "--library", str(tmp_path), str(tmp_path / "missing.wav"))
    assert Library(tmp_path).list_takes() == ()


def test_a_library_that_cannot_be_made_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    (tmp_path / "take.wav").write_bytes(b"RIFF")
    said = run_wrong("page", "--library", str(tmp_path / "file"), str(tmp_path / "take.wav"))
    assert "cannot be made: a file stands in its place. Give a folder of your own with --library." in said


def test_what_a_class_folder_holds_beside_recordings_is_said(tmp_path: Path) -> None:
    pytest.importorskip("uvicorn")
    chart, folder = tmp_path / "week.chart", tmp_path / "class"
    chart.write_text("| C | G |\n", "utf-8")
    folder.mkdir()
    for name in ("anna.flac", "bo.caf"):
        (folder / name).touch()
    done = run_listen("page", str(chart), str(folder), "--library", str(tmp_path / "library"), "--port", "70000")
    assert "Passed over, since they end as no recording does: bo.caf." in done.err
