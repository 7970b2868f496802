"""Homework on the page: the class as a table whose rows and bars lead to a student, and one student in full."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, get_args

from listen.document import ClassCheck, hint_words
from listen.export.check_drawings import Drawings
from listen.export.check_page import AROUND_S, STATE_WORDS, check_facts, names_note
from listen.export.check_text import comparison_text, shown_praise, shown_warnings
from listen.export.check_words import verdict_words
from listen.export.class_page import class_content
from listen.export.finding_sentences import finding_sentence
from listen.export.labels import printed
from listen.export.page import render_page
from listen.export.style import TextStyle
from listen.export.words import sure_text
from listen.reading import Assignment, Check, Finding, Verdict, clock_text

Link = Callable[[str, int | None], str]


def render_class_fragment(checked: ClassCheck, link: Link) -> str:
    """Return the table of a class, to stand in a page.

    Parameters
    ----------
    checked : ClassCheck
    link : callable
        Given a student and a bar, or None for all of it, returns where that leads.
    """
    links = {one.student: link(one.student, None) for one in checked.checks}
    return render_page("class_table.html.j2", class_content(checked, links, link))


def render_student_fragment(check: Check, assignment: Assignment, *, left_handed: bool = False) -> str:
    """Return what was found of one student, for the teacher: every finding and question in time order, each bar.

    Parameters
    ----------
    check : Check
        With the teacher's words.
    assignment : Assignment
    left_handed : bool
    """
    plain = TextStyle()
    drawn = Drawings(assignment, left_handed=left_handed)
    findings = [_finding(one, drawn) for one in check.findings]
    return render_page(
        "homework_student.html.j2",
        {
            "student": plain.plain(check.student),
            "title": plain.plain(check.title),
            "refused": check.refused,
            "praise": shown_praise(check)[:3],
            "comparison": comparison_text(check),
            "facts": check_facts(check),
            "names": names_note(assignment),
            "findings": findings,
            "bars": _bars(check),
            "cautions": sorted(drawn.cautions),
            "warnings": shown_warnings(check),
        },
    )


def _finding(one: Finding, drawn: Drawings) -> dict[str, Any]:
    state: str
    if one.verdict is not None:
        state, words = one.verdict, f"You say: {verdict_words(one, one.verdict)}"
    elif one.settled:
        state, words = "finding", f"Found, {sure_text(one.probability)} sure"
    else:
        state, words = "question", f"Not sure ({sure_text(one.probability)}): listen"
    expected = drawn.expected(one.expected)
    return {
        "state": state,
        "words": words,
        "sentence": finding_sentence(one).replace("wrong, says your teacher", "wrong, you say"),
        "hint": hint_words(one),
        "bar": one.bar,
        "beat": f"{one.beat:g}",
        "start": f"{max(0.0, one.time_s - AROUND_S):.2f}",
        "end": f"{one.time_s + AROUND_S:.2f}",
        "clock": clock_text(one.time_s),
        "kind": one.kind,
        "string": one.string,
        "verdict": one.verdict,
        "verdicts": [(verdict, verdict_words(one, verdict)) for verdict in get_args(Verdict)],
        "set": expected,
        "frets": "" if expected is None else expected["frets"],
        "heard": drawn.heard(one.heard) if one.kind == "chord" else None,
    }


def _bars(check: Check) -> Sequence[dict[str, Any]]:
    right = {bar.bar for bar in check.bars if bar.state == "right"}
    said = {  # of whole bars, unless a later word on a finding settled the bar otherwise
        one.bar: one.verdict
        for one in check.teacher.words
        if one.beat is None and not one.kind and (one.verdict == "right") == (one.bar in right)
    }
    return [
        {
            "number": bar.bar,
            "expected": printed(bar.expected),
            "state": bar.state.replace(" ", "-"),
            "words": f"you say: {said[bar.bar]}" if bar.bar in said else STATE_WORDS[bar.state],
            "said": said.get(bar.bar, ""),
            "start": f"{bar.start_s or 0.0:.2f}",
            "end": "" if bar.end_s is None else f"{bar.end_s:.2f}",
        }
        for bar in check.bars
    ]
