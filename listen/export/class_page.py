"""The class on one page, for the teacher: a row a student, a column a bar, and what most missed. It holds no sound."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Callable, Mapping
from functools import cache
from importlib.resources import files
from typing import Any

from listen.document import ClassCheck
from listen.export.check_text import STATE_SIGNS, count_missed, most_missed, share_text
from listen.export.check_words import summary_text
from listen.export.labels import printed
from listen.export.page import as_drawing, render_page
from listen.export.style import TextStyle
from listen.reading import Check

STATE_WORDS = {"right": "right", "finding": "to work on", "question": "listen there", "left out": "left out",
               "not judged": "not judged"}  # fmt: skip


def render_class_page(checked: ClassCheck, *, links: Mapping[str, str] | None = None) -> str:
    """Return the page of a class.

    Parameters
    ----------
    checked : ClassCheck
    links : mapping of str to str or None
        Where each student's page lies.
    """
    script = render_class_script()
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    return render_page(
        "class.html.j2",
        {
            "title": TextStyle().plain(checked.title) or "Homework",
            "n_students": len(checked.checks),
            "missed": most_missed(checked.checks),
            "complete": checked.complete,
            **class_content(checked, links or {}),
            "failures": failure_rows(checked),
            "script": as_drawing(script),
            "script_hash": f"sha256-{digest}",
        },
    )


def class_content(
    checked: ClassCheck, links: Mapping[str, str], link: Callable[[str, int | None], str] | None = None
) -> dict[str, Any]:
    """Return what the table of a class is filled with.

    Parameters
    ----------
    checked : ClassCheck
    links : mapping of str to str
        Where each student's page lies.
    link : callable or None
        Given a student and a bar, returns where the bar's cell leads; nowhere when None.
    """
    n_bars = max((len(one.bars) for one in checked.checks), default=0)
    longest = max(checked.checks, key=lambda one: len(one.bars), default=None)
    missed, _ = count_missed(checked.checks)
    return {
        "bars": [] if longest is None else [(bar.bar, printed(bar.expected)) for bar in longest.bars],
        "rows": [_row(one, n_bars, links.get(one.student, ""), link) for one in checked.checks],
        "counts": [] if longest is None else [missed[bar.bar] for bar in longest.bars],
    }


def failure_rows(checked: ClassCheck) -> list[tuple[str, str]]:
    """Return whose recordings could not be checked, and why."""
    plain = TextStyle()
    return [(plain.plain(one.student), plain.plain(one.error)) for one in checked.failures]


def _row(check: Check, n_bars: int, where: str, link: Callable[[str, int | None], str] | None) -> dict[str, Any]:
    cells = [
        {
            "sign": STATE_SIGNS[bar.state],
            "state": bar.state.replace(" ", "-"),
            "words": f"bar {bar.bar}: {STATE_WORDS[bar.state]}",
            "link": "" if link is None else link(check.student, bar.bar),
        }
        for bar in check.bars
    ]
    empty = {"sign": "", "state": "not-judged", "words": "", "link": ""}
    return {
        "student": TextStyle().plain(check.student),
        "link": where,
        "right": share_text(check),
        "least_right": -1 if check.refused else round(100 * check.share_surely_right),
        "questions": sum(one.is_asked for one in check.findings),
        "tempo": None if check.tempo_bpm is None else round(check.tempo_bpm),
        "trend": "" if check.comparison is None else check.comparison.trend,
        "words": summary_text(check),
        "cells": cells + [empty] * (n_bars - len(cells)),
    }


@cache
def render_class_script() -> str:
    """Return the script that sorts the table of a class."""
    return files("listen.export").joinpath("templates", "class.js").read_text("utf-8")
