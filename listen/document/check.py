"""The check document: what ``listen check --json`` prints, one object for all recordings of a run.

A document that is read back holds what the reports need; it is what last week's check is compared with.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from listen.document.cursor import Cursor
from listen.document.finding_words import finding_words, parse_finding_words
from listen.document.format import Document, format_of, read_document
from listen.reading import (
    FINDING_KINDS,
    BarOutcome,
    BarState,
    Check,
    Comparison,
    Finding,
    Round,
    TeacherWord,
    TeacherWords,
    Trend,
    Verdict,
)

BAR_STATES: tuple[BarState, ...] = get_args(BarState)
VERDICTS: tuple[Verdict, ...] = get_args(Verdict)
TRENDS: tuple[Trend, ...] = get_args(Trend)


@dataclass(frozen=True, slots=True)
class CheckFailure:
    """A recording that could not be checked.

    Parameters
    ----------
    student, source : str
    error : str
        One sentence.
    """

    student: str
    source: str
    error: str


@dataclass(frozen=True, slots=True)
class ClassCheck:
    """What came of one run.

    Parameters
    ----------
    title : str
        Of what was set.
    checks : tuple of Check
    failures : tuple of Failure
    complete : bool
        False where it was stopped before the last recording.
    """

    title: str
    checks: tuple[Check, ...]
    failures: tuple[CheckFailure, ...] = ()
    complete: bool = True


def class_to_document(checked: ClassCheck) -> Document:
    """Return the document of a run."""
    return {
        "format": format_of("check"),
        "title": checked.title,
        "complete": checked.complete,
        "checks": [check_to_document(check) for check in checked.checks],
        "failures": [{"student": one.student, "source": one.source, "error": one.error} for one in checked.failures],
    }


def check_to_document(check: Check) -> Document:
    """Return one recording's part of the document."""
    return {
        "student": check.student,
        "source": check.source,
        "title": check.title,
        "refused": check.refused or None,
        "share_right": round(check.share_right, 4),
        "tempo_bpm": None if check.tempo_bpm is None else round(check.tempo_bpm, 2),
        "bars": [
            {"bar": one.bar, "state": one.state, "expected": one.expected, "start_s": one.start_s, "end_s": one.end_s}
            for one in check.bars
        ],
        "findings": [_finding(one) for one in check.findings],
        "rounds": [
            {"start_s": one.start_s, "end_s": one.end_s, "n_bars": one.n_bars, "share": one.share,
             "judged": one.is_judged}
            for one in check.rounds
        ],
        "praise": list(check.praise),
        "warnings": list(check.warnings),
        "teacher": words_to_document(check.teacher),
        "comparison": None if check.comparison is None else _comparison(check.comparison),
    }  # fmt: skip


def _finding(one: Finding) -> Document:
    expected, heard = finding_words(one)
    return {
        "kind": one.kind, "bar": one.bar, "beat": one.beat, "time_s": round(one.time_s, 3), "string": one.string,
        "expected": expected, "heard": heard, "probability": round(one.probability, 4),
        "settled": one.settled, "hint": one.hint, "verdict": one.verdict,
    }  # fmt: skip


def _comparison(one: Comparison) -> Document:
    return {
        "trend": one.trend, "share_before": one.share_before, "share_now": one.share_now,
        "mended": list(one.mended), "again": list(one.again), "new": list(one.new),
    }  # fmt: skip


def words_to_document(words: TeacherWords) -> Document:
    """Return what the teacher said."""
    return {
        "words": [{"bar": one.bar, "beat": one.beat, "verdict": one.verdict} for one in words.words],
        "note": words.note,
    }


def read_class(path: Path | str) -> ClassCheck:
    """Read a check document.

    Raises
    ------
    DocumentError
        It cannot be read, or a value in it is wrong: where, in one sentence.
    """
    return document_to_class(read_document(path, kind="check"), name=str(path))


def document_to_class(document: Document, *, name: str) -> ClassCheck:
    """Read a run from its document."""
    top = Cursor(document, name)
    return ClassCheck(
        top.text("title", ""),
        tuple(document_to_check(one) for one in top.each("checks", "check")),
        tuple(
            CheckFailure(one.text("student", ""), one.text("source", ""), one.text("error"))
            for one in top.each("failures", "failure")
        ),
        top.flag("complete", default=True),
    )


def document_to_check(top: Cursor) -> Check:
    """Read one recording's check."""
    tempo = top.maybe("tempo_bpm")
    compared = top.maybe("comparison")
    teacher = top.maybe("teacher")
    return Check(
        student=top.text("student"),
        source=top.text("source", ""),
        title=top.text("title", ""),
        bars=tuple(_read_bar(one) for one in top.each("bars", "bar")),
        findings=tuple(_read_finding(one) for one in top.each("findings", "finding")),
        rounds=tuple(
            Round(
                one.number("start_s", 0), one.number("end_s", 0), one.integer("n_bars", 0), one.number("share", 0, 1),
                one.flag("judged", default=True),
            )
            for one in top.each("rounds", "round")
        ),
        tempo_bpm=None if tempo is None else tempo.as_number(1, 1000),
        refused=top.text("refused", ""),
        praise=top.texts("praise"),
        warnings=top.texts("warnings"),
        teacher=TeacherWords() if teacher is None else document_to_words(teacher),
        comparison=None if compared is None else _read_comparison(compared),
    )  # fmt: skip


def document_to_words(top: Cursor) -> TeacherWords:
    """Read what the teacher said."""
    words = []
    for one in top.each("words", "word"):
        beat = one.maybe("beat")
        words.append(
            TeacherWord(
                one.integer("bar", 0), None if beat is None else beat.as_number(1), one.choice("verdict", VERDICTS)
            )
        )
    return TeacherWords(tuple(words), top.text("note", ""))


def _read_bar(one: Cursor) -> BarOutcome:
    return BarOutcome(
        one.integer("bar", 0), one.choice("state", BAR_STATES), one.text("expected", ""), _maybe_number(one, "start_s"),
        _maybe_number(one, "end_s"),
    )  # fmt: skip


def _read_finding(one: Cursor) -> Finding:
    string, kind = one.maybe("string"), one.choice("kind", FINDING_KINDS)
    expected, heard, off_ms = parse_finding_words(kind, one.text("expected", ""), one.text("heard", ""))
    return Finding(
        kind, one.integer("bar", 0), one.number("beat", 1), one.number("time_s", 0),
        expected, heard, one.number("probability", 0, 1),
        one.flag("settled", default=True), None if string is None else string.as_integer(1, 99), one.text("hint", ""),
        None if one.maybe("verdict") is None else one.choice("verdict", VERDICTS), off_ms,
    )  # fmt: skip


def _read_comparison(one: Cursor) -> Comparison:
    return Comparison(
        one.choice("trend", TRENDS), one.number("share_before", 0, 1), one.number("share_now", 0, 1),
        one.texts("mended"), one.texts("again"), one.texts("new"),
    )  # fmt: skip


def _maybe_number(one: Cursor, key: str) -> float | None:
    found = one.maybe(key)
    return None if found is None else found.as_number(0)
