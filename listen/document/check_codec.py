"""Checks of homework in documents: bars, findings, rounds, what the teacher said, and how it compares with the last.

What may be missing in a document that is read is what it would be by default; everything is written.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any, get_args

from listen.document.codec import (
    Field,
    Form,
    Record,
    choice,
    flag,
    integer,
    listed,
    made_of,
    nullable,
    number,
    rounded,
    text,
)
from listen.document.finding_words import finding_words, parse_finding_words
from listen.document.hint_words import hint_words, parse_hint
from listen.document.praise_words import parse_praise, praise_words
from listen.instrument import MOST_STRINGS
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

_VERDICTS = get_args(Verdict)
_BAR = integer(0)
_BEAT = number(1)
_TIME_S = number(0)
_FASTEST_BPM = 1000

BAR = Record(
    (
        Field("bar", _BAR),
        Field("state", choice(*get_args(BarState))),
        Field("expected", text(), default="", is_needed=True),
        Field("start_s", nullable(_TIME_S), default=None, is_needed=True),
        Field("end_s", nullable(_TIME_S), default=None, is_needed=True),
        Field(
            "tempo_bpm",
            nullable(rounded(2, 1, _FASTEST_BPM)),
            "The student's own from this bar on, where another was set.",
            default=None,
            is_sparse=True,
        ),
    ),
    made_of(BarOutcome),
)


def _take_finding(one: Finding, _: object) -> dict[str, Any]:
    expected, heard = finding_words(one)
    return {
        "kind": one.kind, "bar": one.bar, "beat": one.beat, "time_s": one.time_s, "string": one.string,
        "expected": expected, "heard": heard, "probability": one.probability, "settled": one.settled,
        "hint": hint_words(one), "verdict": one.verdict,
    }  # fmt: skip


def _make_finding(values: dict[str, Any], *_: object) -> Finding:
    expected, heard, measure = parse_finding_words(
        values["kind"], values.pop("expected"), values.pop("heard"), bar=values["bar"]
    )
    hint = values.pop("hint")
    plain = Finding(expected=expected, heard=heard, measure=measure, **values)
    return plain if hint == hint_words(plain) else replace(plain, hint=parse_hint(hint))


FINDING = Record(
    (
        Field(
            "kind", choice(*FINDING_KINDS),
            "setting: capo or tuning differ, or the whole guitar lies off A = 440 Hz, and everything else is judged "
            "relative to that; teacher: what only the teacher heard.",
        ),
        Field("bar", _BAR, "Counted from 1, repeats written out; a pickup is bar 0."),
        Field("beat", _BEAT),
        Field("time_s", rounded(3, 0), "From the start of the recording."),
        Field(
            "string",
            Form(
                {"type": ["integer", "null"], "minimum": 1},
                lambda cursor, _: cursor.as_integer(1, MOST_STRINGS),
            ),
            "1 the first.", default=None, is_needed=True,
        ),
        Field("expected", text(), default="", is_needed=True),
        Field("heard", text(), default="", is_needed=True),
        Field("probability", rounded(4, 0, 1)),
        Field("settled", flag(), "Whether it is said; if not, it is a question.", default=True, is_needed=True),
        Field("hint", text(), "What would make it right, where that can be told.", default="", is_needed=True),
        Field(
            "verdict", choice(*_VERDICTS, or_null=True), "The teacher's: right says that the student was right.",
            default=None, is_needed=True,
        ),
    ),
    _make_finding,
    take=_take_finding,
)  # fmt: skip

ROUND = Record(
    (
        Field("start_s", _TIME_S),
        Field("end_s", _TIME_S),
        Field("n_bars", integer(0)),
        Field("share", number(0, 1)),
        Field("judged", flag(), name="is_judged", default=True, is_needed=True),
    ),
    made_of(Round),
    doc="One time from the beginning; the best is judged.",
)

TEACHER_WORD = Record(
    (
        Field("bar", _BAR),
        Field("beat", nullable(_BEAT), default=None, is_needed=True),
        Field("verdict", choice(*_VERDICTS)),
        Field(
            "kind",
            choice(*FINDING_KINDS),
            "Of the one finding that is meant; without it, what is played there.",
            default="",
            is_sparse=True,
        ),
        Field("string", integer(1, MOST_STRINGS), "Of that finding.", default=None, is_sparse=True),
    ),
    made_of(TeacherWord),
)
TEACHER = Record(
    (
        Field("words", listed(TEACHER_WORD.form(), "word"), default=(), is_needed=True),
        Field("note", text(), default="", is_needed=True),
    ),
    made_of(TeacherWords),
)

_TEXTS = listed(text())
COMPARISON = Record(
    (
        Field("trend", choice(*get_args(Trend))),
        Field("share_before", number(0, 1)),
        Field("share_now", number(0, 1)),
        Field("mended", _TEXTS, default=(), is_needed=True),
        Field("again", _TEXTS, default=(), is_needed=True),
        Field("new", _TEXTS, default=(), is_needed=True),
    ),
    made_of(Comparison),
)

_PRAISE = Form(
    {"type": "string"},
    lambda cursor, _: parse_praise(cursor.as_text()),
    lambda praise, _: praise_words(praise),
)
CHECK = Record(
    (
        Field("student", text()),
        Field("source", text(), default="", is_needed=True),
        Field("title", text(), default="", is_needed=True),
        Field(
            "refused",
            Form({"type": ["string", "null"]}, text().read, lambda refused, _: refused or None),
            "Why nothing was judged.", default="", is_needed=True,
        ),
        Field("share_right", rounded(4, 0, 1), is_read=False, is_needed=True),
        Field("tempo_bpm", nullable(rounded(2, 1, _FASTEST_BPM)), default=None, is_needed=True),
        Field("bars", listed(BAR.form(), "bar"), default=(), is_needed=True),
        Field("findings", listed(FINDING.form(), "finding"), default=(), is_needed=True),
        Field("rounds", listed(ROUND.form(), "round"), default=(), is_needed=True),
        Field("praise", listed(_PRAISE), default=(), is_needed=True),
        Field("warnings", _TEXTS, default=(), is_needed=True),
        Field("teacher", TEACHER.form(), default=TeacherWords(), is_needed=True),
        Field("comparison", nullable(COMPARISON.form()), default=None, is_needed=True),
    ),
    made_of(Check),
)  # fmt: skip
