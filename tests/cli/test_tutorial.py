"""The README and the tutorial show what their commands print."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.regenerate_tutorial import PAGES, render_tutorial

# How sure, and how far off pitch, may differ in the last digit from one processor to another.
_MEASURED = re.compile(r"(?:over |under )?\d+ %|\d+ cents? (?:flat|sharp)|in tune|[+−]?\d+\.\d")


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_a_page_says_how_a_terminal_comes_to_know_the_command(path: Path) -> None:
    """Its commands begin with ``listen``; what the README's first one sets up is ``.venv/bin/listen``."""
    page = path.read_text(encoding="utf-8")
    assert ". .venv/bin/activate" in page[: page.index("$ listen ")]


def test_the_readme_has_a_command_to_hear_something_and_one_to_run_the_tests() -> None:
    assert PAGES[0].read_text(encoding="utf-8").count("```sh\n") == 2


def test_the_tutorial_shows_how_a_part_that_was_written_is_put_right() -> None:
    corrections = PAGES[1].read_text(encoding="utf-8").partition("## 4.")[2]
    assert "listen part verse.m4a --keep verse.json --name " in corrections


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_a_page_shows_what_its_commands_print(path: Path) -> None:
    page = path.read_text(encoding="utf-8")
    assert page.count("$ listen ") >= 2
    shown, printed = (_MEASURED.sub("#", text).split() for text in (page, render_tutorial(page)))
    assert shown == printed, "run python -m tests.regenerate_tutorial"
