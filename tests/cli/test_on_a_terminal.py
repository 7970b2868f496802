"""On a real terminal: colour where welcome, progress that clears itself, a question before a file is replaced."""

from __future__ import annotations

import os
import select
import subprocess
import sys
import time
from pathlib import Path

import pytest

pty = pytest.importorskip("pty", reason="pseudo-terminals are a POSIX matter")
FIXTURES = Path(__file__).parents[2] / "audio_fixtures"
PATIENCE_S = 60


def _run(*words: str, answer: str = "", **environment: str) -> tuple[str, int]:
    """Run a command with a terminal for input, output and errors; answer its question once it asks one."""
    ours, theirs = pty.openpty()
    settings = {key: value for key, value in os.environ.items() if key not in {"NO_COLOR", "TERM", "COLUMNS"}}
    settings |= {"TERM": "xterm", "PYTHONIOENCODING": "utf-8", **environment}
    with subprocess.Popen(
        [sys.executable, "-m", "listen", *words], stdin=theirs, stdout=theirs, stderr=theirs, env=settings
    ) as program:
        os.close(theirs)
        shown, end = b"", time.monotonic() + PATIENCE_S
        while time.monotonic() < end and select.select([ours], [], [], PATIENCE_S)[0]:
            try:
                part = os.read(ours, 65_536)
            except OSError:  # Linux says so when the other side is closed
                break
            if not part:
                break
            shown += part
            if answer and b"[y/N]" in shown:
                os.write(ours, answer.encode())
                answer = ""
        os.close(ours)
        return shown.decode(), program.wait(PATIENCE_S)


def test_a_terminal_gets_weight_and_colour_unless_it_declines() -> None:
    # NO_COLOR: https://no-color.org
    assert "\x1b[1" in _run("name", "x32010")[0]
    assert "\x1b[" not in _run("name", "x32010", NO_COLOR="1")[0]
    assert "\x1b[" not in _run("name", "x32010", TERM="dumb")[0]


def test_progress_on_many_files_clears_itself() -> None:
    files = [str(FIXTURES / name) for name in ("silence.flac", "one_note.flac")]
    shown, status = _run("strum", *files)
    assert status == 0
    assert "reading 1 of 2" in shown
    assert "reading 2 of 2" in shown
    assert shown.count("\r\x1b[K") == 2


def test_a_file_is_replaced_only_after_a_yes(tmp_path: Path) -> None:
    page = tmp_path / "a.html"
    page.write_text("mine")
    shown, status = _run("shapes", "C", "--html", str(page), answer="n\n")
    assert "Replace it?" in shown
    assert status == 2
    assert page.read_text() == "mine"
    assert _run("shapes", "C", "--html", str(page), answer="y\n")[1] == 0
    assert "<svg" in page.read_text("utf-8")
