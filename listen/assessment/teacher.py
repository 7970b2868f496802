"""The teacher's word on a check: it goes before what the program found, and is shown as the teacher's.

A word is on one finding, by its kind, or on a place: then on all that makes its bar right or wrong. What is said of the
hand, the tempo or the guitar changes no bar.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import replace

from listen.assessment.praise import renew_praise
from listen.assessment.target import lay_out_score
from listen.errors import BadValueError, bad_value
from listen.reading import (
    BAR_KINDS,
    Assignment,
    BarOutcome,
    Check,
    Finding,
    PartOfChord,
    StoppedAt,
    TeacherWord,
    TeacherWords,
)

NEAR_BEAT = 0.26  # a finding so near to the beat that was named is meant


def check_places(words: TeacherWords, assignment: Assignment) -> None:
    """Say before any recording is read that a word is on no place of what was set.

    Raises
    ------
    BadValueError
        A bar that is not there, or a beat that its bar does not have.
    """
    score = lay_out_score(assignment)
    lengths = {score.bar_number(place): score.bars[place + 1] - start for place, start in enumerate(score.bars[:-1])}
    for word in words.words:
        if word.bar not in lengths:
            raise _no_bar(word, lengths)
        if word.beat is not None and not 1 <= word.beat < lengths[word.bar] + 1:
            last = round(lengths[word.bar])
            raise bad_value(
                "correct", _where(word), allowed=f"a beat of bar {word.bar}, which has {last}"
                if last > 1 else f"beat 1 of bar {word.bar}, which has no other",
                remedy=f"Write {word.bar}={word.verdict} for the whole bar.",
            )  # fmt: skip


def add_words(check: Check, given: TeacherWords) -> TeacherWords:
    """Join what the teacher said before with what is said now; what is said now comes last, and goes before.

    Of several words on one place the last is kept.

    Raises
    ------
    BadValueError
        A bar that is not there.
    """
    numbers = [bar.bar for bar in check.bars]
    for word in given.words:
        if word.bar not in numbers:
            raise _no_bar(word, numbers)
    said = check.teacher.words + given.words
    last = {word.place: at for at, word in enumerate(said)}
    return TeacherWords(tuple(said[at] for at in sorted(last.values())), given.note or check.teacher.note)


def take_back(words: TeacherWords, word: TeacherWord) -> TeacherWords:
    """Return the words without the one that settled a finding or a bar.

    It is the word on the very same, else the one on its beat, else the one on its bar. What only the teacher heard goes
    with every word that said so.
    """
    if word.kind == "teacher":
        here = [one for one in words.words if one.bar == word.bar and (one.beat or 1.0) == word.beat]
        gone = {one.place for one in here if one.verdict == "wrong" and (not one.kind or one.kind in BAR_KINDS)}
    else:
        said = {one.place for one in words.words}
        wider = (word.place, (word.bar, word.beat, "", None), (word.bar, None, "", None))
        gone = {next((place for place in wider if place in said), word.place)}
    return TeacherWords(tuple(one for one in words.words if one.place not in gone), words.note)


def take_back_place(words: TeacherWords, bar: int, beat: float | None) -> TeacherWords:
    """Return the words without those on a bar, whatever they are on; or without those on one beat of it."""
    kept = (one for one in words.words if one.bar != bar or (beat is not None and one.beat != beat))
    return TeacherWords(tuple(kept), words.note)


def apply_words(check: Check, words: TeacherWords) -> Check:
    """Return a check with the teacher's verdicts on its findings and bars, those that it has among them."""
    findings = [replace(finding, verdict=None) for finding in check.findings if finding.kind != "teacher"]
    bars = {bar.bar: bar for bar in check.bars}
    settled: set[int] = set()
    for word in words.words:
        if word.bar not in bars:
            continue
        meant = [at for at, finding in enumerate(findings) if _is_meant(finding, word)]
        for at in meant:
            findings[at] = replace(findings[at], verdict=word.verdict)
        if not meant and word.verdict == "wrong" and (not word.kind or word.kind in BAR_KINDS):
            meant = [len(findings)]
            findings.append(_say(bars[word.bar], word))
        if any(findings[at].kind in BAR_KINDS for at in meant) or (not meant and not word.kind):
            settled.add(word.bar)
    for number in settled:
        bars[number] = _settle(bars[number], [one for one in findings if one.bar == number and one.kind in BAR_KINDS])
    findings = [replace(one, verdict="right") if _goes_on(one, bars) else one for one in findings]
    findings.sort(key=lambda one: (one.time_s, one.bar, one.kind))
    told = replace(check, findings=tuple(findings), bars=tuple(bars.values()), teacher=words)
    return replace(told, praise=renew_praise(told)) if words.words else told


def _is_meant(finding: Finding, word: TeacherWord) -> bool:
    if finding.bar != word.bar:
        return False
    if word.kind and (finding.kind, finding.string) != (word.kind, word.string):
        return False
    if word.beat is None:
        return bool(word.kind) or finding.kind in BAR_KINDS
    part = finding.measure
    beats = [finding.beat, *([part.beat] if isinstance(part, PartOfChord) and part.goes_on else [])]
    return any(abs(beat - word.beat) < NEAR_BEAT for beat in beats)


def _goes_on(finding: Finding, bars: Mapping[int, BarOutcome]) -> bool:
    """Whether it is said to stop before bars that the teacher calls right, all of them."""
    if finding.verdict is not None or not isinstance(finding.measure, StoppedAt) or finding.measure.breaks_off:
        return False
    return all(bar.state == "right" for number, bar in bars.items() if number > finding.bar)


def _say(bar: BarOutcome, word: TeacherWord) -> Finding:
    return Finding(
        "teacher", bar.bar, word.beat or 1.0, bar.start_s or 0.0, bar.expected, "", probability=1.0, verdict="wrong"
    )


def _settle(bar: BarOutcome, own: list[Finding]) -> BarOutcome:
    """Return a bar as the teacher's verdicts on its own findings leave it."""
    if any(one.is_said for one in own):
        return replace(bar, state="left out" if bar.state == "left out" else "finding")
    if any(one.is_asked for one in own):
        return replace(bar, state="question")
    return replace(bar, state="right")


def _no_bar(word: TeacherWord, numbers: Collection[int]) -> BadValueError:
    there = f"a bar from {min(numbers)} to {max(numbers)} of what was set" if numbers else "a bar of what was set"
    return bad_value("correct", _where(word), allowed=there, remedy="Write BAR=right, BAR.BEAT=right or BAR=wrong.")


def _where(word: TeacherWord) -> str:
    return f"{word.bar}" if word.beat is None else f"{word.bar}.{word.beat:g}"
