"""The tutorial shows what its commands print."""

from __future__ import annotations

import re

from tests.regenerate_tutorial import PAGE, render_tutorial

# How sure, and how far off pitch, may differ in the last digit from one processor to another.
_MEASURED = re.compile(r"(?:over |under )?\d+ %|\d+ cents? (?:flat|sharp)|in tune|[+−]?\d+\.\d")


def test_the_tutorial_shows_what_its_commands_print() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert page.count("$ listen ") >= 8
    shown, printed = (_MEASURED.sub("#", text).split() for text in (page, render_tutorial(page)))
    assert shown == printed, "run python -m tests.regenerate_tutorial"
