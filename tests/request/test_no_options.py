"""Sentences that the page shows too say the thing itself, not the option of the command line that shows it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

import listen

ROOMS = Path(listen.__file__).parent
SHARED = (
    "reading/refused_place.py", "transcription/told_names.py", "request/said_of_events.py", "request/own_material.py",
    "request/stretch.py", "export/playback.py",
)  # fmt: skip
"""Which refuse what was asked, whoever asked it."""
OPTION = re.compile(r"(?<![\w-])--[a-z]")


@pytest.mark.parametrize("file", SHARED)
def test_a_refusal_that_the_page_shows_names_no_option(file: str) -> None:
    lines = (ROOMS / file).read_text(encoding="utf-8").splitlines()
    assert lines
    assert not [line for line in lines if OPTION.search(line)]
