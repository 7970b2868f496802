"""The teacher's word on a check: it goes before what the program found, and is shown as the teacher's."""

from __future__ import annotations

from dataclasses import replace

from listen.errors import bad_value
from listen.reading import BarOutcome, Check, Finding, TeacherWord, TeacherWords

NEAR_BEAT = 0.26  # a finding so near to the beat that was named is meant


def add_words(check: Check, given: TeacherWords) -> TeacherWords:
    """Join what the teacher said before with what is said now; what is said now comes first.

    Raises
    ------
    BadValueError
        A bar that is not there.
    """
    numbers = [bar.bar for bar in check.bars]
    for word in given.words:
        if word.bar not in numbers:
            raise bad_value(
                "correct", _where(word), allowed=f"a bar from {numbers[0]} to {numbers[-1]} of what was set"
                if numbers else "a bar of what was set",
                remedy="Write BAR=right, BAR.BEAT=right or BAR=wrong.",
            )  # fmt: skip
    said = {(word.bar, word.beat) for word in given.words}
    kept = tuple(word for word in check.teacher.words if (word.bar, word.beat) not in said)
    return TeacherWords(kept + given.words, given.note or check.teacher.note)


def apply_words(check: Check, words: TeacherWords) -> Check:
    """Return a check with the teacher's verdicts on its findings and bars."""
    findings = [replace(finding, verdict=None) for finding in check.findings if finding.kind != "teacher"]
    bars = list(check.bars)
    for word in words.words:
        place = next((at for at, bar in enumerate(bars) if bar.bar == word.bar), None)
        if place is None:
            continue
        meant = [
            at
            for at, finding in enumerate(findings)
            if finding.bar == word.bar and (word.beat is None or abs(finding.beat - word.beat) < NEAR_BEAT)
        ]
        for at in meant:
            findings[at] = replace(findings[at], verdict=word.verdict)
        if not meant and word.verdict == "wrong":
            findings.append(_say(bars[place], word))
    for at, bar in enumerate(bars):
        bars[at] = _settle(bar, [one for one in findings if one.bar == bar.bar], words)
    findings.sort(key=lambda one: (one.time_s, one.bar, one.kind))
    return replace(check, findings=tuple(findings), bars=tuple(bars), teacher=words)


def _say(bar: BarOutcome, word: TeacherWord) -> Finding:
    return Finding(
        "teacher", bar.bar, word.beat or 1.0, bar.start_s or 0.0, bar.expected, "", probability=1.0, verdict="wrong"
    )


def _settle(bar: BarOutcome, own: list[Finding], words: TeacherWords) -> BarOutcome:
    """Return a bar as the teacher's verdicts leave it."""
    verdicts = [word.verdict for word in words.words if word.bar == bar.bar]
    if not verdicts:
        return bar
    if any(one.is_said for one in own):
        return replace(bar, state="left out" if bar.state == "left out" else "finding")
    if any(one.is_asked for one in own):
        return replace(bar, state="question")
    return replace(bar, state="right")


def _where(word: TeacherWord) -> str:
    return f"{word.bar}" if word.beat is None else f"{word.bar}.{word.beat:g}"
