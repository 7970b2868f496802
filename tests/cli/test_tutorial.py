"""The README and the tutorial show what their commands print."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.regenerate_tutorial import PAGES, render_tutorial

# How sure, and how far off pitch, may differ in the last digit from one processor to another.
_MEASURED = re.compile(r"(?:over |under )?\d+ %|\d+ cents? (?:flat|sharp)|in tune|[+−]?\d+\.\d")


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.name)
def test_a_page_shows_what_its_commands_print(path: Path) -> None:
    page = path.read_text(encoding="utf-8")
    assert page.count("$ listen ") >= 2
    shown, printed = (_MEASURED.sub("#", text).split() for text in (page, render_tutorial(page)))
    assert shown == printed, "run python -m tests.regenerate_tutorial"
