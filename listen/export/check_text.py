"""A check in the terminal: a table for a class, and what to say for one student."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence

from listen.assessment import SAME_SHARE
from listen.document import ClassCheck, join_words, praise_words
from listen.export.check_words import (
    MOST_SAID,
    find_matters,
    find_questions,
    overruled_sentences,
    question_sentence,
    summary_text,
)
from listen.export.finding_sentences import key_name
from listen.export.labels import printed
from listen.export.style import TextStyle, visible_width, wrap_text
from listen.reading import BarOutcome, Check, Comparison, OtherKey, SomeBarsRight, StoppedAt, clock_text

STATE_SIGNS = {"right": "·", "finding": "!", "question": "?", "left out": "–", "not judged": " "}
MOST_BARS_SHOWN = 32
LEAST_SUMMARY = 24
_CHORD_NAME = re.compile(r"(?<![A-Za-z])[A-G][#b]\S*")


def render_class_text(checked: ClassCheck, *, style: TextStyle | None = None) -> str:
    """Return a class as a table: a row a student, a sign a bar, and what to work on."""
    style = style or TextStyle()
    if len(checked.checks) == 1 and not checked.failures:
        return render_check_text(checked.checks[0], style=style)
    n_bars = max((len(one.bars) for one in checked.checks), default=0)
    shows_bars = 0 < n_bars <= MOST_BARS_SHOWN
    wide = max((visible_width(style.plain(one.student)) for one in checked.checks), default=7)
    wide = min(max(wide, 7), 24)
    shares = [f"{text}%" if (text := share_text(one)) else "–" for one in checked.checks]
    room_right = max(5, *(len(share) for share in shares)) if shares else 5
    head = f"{'student':<{wide}}  {'right':<{room_right}}"
    if shows_bars:
        head += "  " + "bars".ljust(n_bars)
    lines = [style.weigh(style.plain(checked.title), "strong")] if checked.title else []
    lines.append(style.weigh(f"{head}  to work on", "faint"))
    for one, share in zip(checked.checks, shares, strict=True):
        name = style.plain(one.student)[:wide]
        row = f"{name:<{wide}}  {style.plain(share):>{room_right}}"
        if shows_bars:
            row += "  " + style.plain("".join(STATE_SIGNS[bar.state] for bar in one.bars)).ljust(n_bars)
        room = max(LEAST_SUMMARY, style.width - visible_width(row) - 2)
        words = wrap_text(style.plain(_with_trend(one)), width=room)
        lines.append(f"{row}  {words[0] if words else ''}")
        lines += [" " * (visible_width(row) + 2) + more for more in words[1:]]
    lines += [f"{style.plain(one.student)[:wide]:<{wide}}  {style.plain(one.error)}" for one in checked.failures]
    lines.append("")
    for text in legend(checked.checks).splitlines():
        lines += wrap_text(style.plain(text), width=style.width)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def legend(checks: Sequence[Check]) -> str:
    """Return what the signs mean, and what most missed."""
    text = "· right   ! to work on   ? listen there   – left out"
    most = most_missed(checks)
    return f"{text}\nMost missed: {most}." if most else text


def most_missed(checks: Sequence[Check]) -> str:
    """Return the bars that most students missed, of those who came so far; empty where none was missed twice."""
    missed, reached = count_missed(checks)
    expected = {bar.bar: bar.expected for one in checks for bar in one.bars}
    top = [(bar, n) for bar, n in missed.most_common(2) if n > 1]
    return ", ".join(f"bar {bar} ({printed(expected[bar])}), {n} of {reached[bar]}" for bar, n in top)


def count_missed(checks: Sequence[Check]) -> tuple[Counter[int], Counter[int]]:
    """Return how many missed each bar, and how many came so far, by its number."""
    reached = [bar for one in checks if not one.refused for bar in _reached(one)]
    return (
        Counter(bar.bar for bar in reached if bar.state in {"finding", "left out"}),
        Counter(bar.bar for bar in reached),
    )


def _reached(check: Check) -> tuple[BarOutcome, ...]:
    """Return the bars up to the last that was played: who stopped there missed none of the others."""
    last = max((at for at, bar in enumerate(check.bars) if bar.state not in {"left out", "not judged"}), default=-1)
    return check.bars[: last + 1]


def render_check_text(check: Check, *, style: TextStyle | None = None) -> str:
    """Return one student's check: what was right, at most two things to work on, and where to listen."""
    style = style or TextStyle()
    blocks = [_result_lines(check), *_work_blocks(check), _asked_lines(check), _teacher_lines(check)]
    lines = [style.weigh(style.plain(check.student or check.source), "strong")]
    for block in blocks:
        if not block:
            continue
        lines += [""] if len(lines) > 1 else []
        for text in block:
            indent = "  " if text.startswith("  ") else ""
            lines += wrap_text(style.plain(text), width=style.width, indent=indent) or ("",)
    return "\n".join(line.rstrip() for line in lines) + "\n"


def right_text(check: Check) -> str:
    """Return how many bars are right, in words.

    Examples
    --------
    >>> from listen.reading import BarOutcome
    >>> right_text(Check("", "", bars=(BarOutcome(1, "right", "C"), BarOutcome(2, "question", "G"))))
    '1 of 2 bars is right, 1 to listen to'
    """
    judged = [bar.state for bar in check.bars if bar.state != "not judged"]
    right, asked = judged.count("right"), judged.count("question")
    bars = "bar" if len(judged) == 1 else "bars"
    text = f"{right} of {len(judged)} {bars} {'is' if right == 1 else 'are'} right"
    if (key := _other_key(check)) is not None:
        text = f"In {key_name(key.played)}, where {key_name(key.wanted)} was set, {text}"
    return f"{text}, {asked} to listen to" if asked else text


def tempo_text(check: Check) -> str:
    """Return the student's own tempo, and those from bars on where another was set; empty where there are no beats.

    Examples
    --------
    >>> from listen.reading import BarOutcome
    >>> bars = (BarOutcome(1, "right", "C"), BarOutcome(2, "right", "G", tempo_bpm=118.7))
    >>> tempo_text(Check("", "", bars=bars, tempo_bpm=95.6))
    '96 beats a minute, 119 from bar 2'
    """
    if check.tempo_bpm is None:
        return ""
    text, last = f"{check.tempo_bpm:.0f} beats a minute", round(check.tempo_bpm)
    for bar in check.bars:
        if bar.tempo_bpm is not None and round(bar.tempo_bpm) != last:
            last = round(bar.tempo_bpm)
            text += f", {last} from bar {bar.bar}"
    return text


def shown_praise(check: Check) -> list[str]:
    """Return what was done well, the best first; how many bars are right stands beside it (:func:`right_text`).

    Examples
    --------
    >>> from listen.reading import RowOfBarsRight
    >>> shown_praise(Check("", "", praise=(RowOfBarsRight(7, 12), SomeBarsRight(11, 12))))
    ['Bars 7 to 12 are right, one after another.']
    """
    return [praise_words(one) for one in check.praise if not check.refused and not isinstance(one, SomeBarsRight)]


def shown_warnings(check: Check) -> list[str]:
    """Return what is to be known of the recording, but not once more that it breaks off where a finding says so."""
    if not any(isinstance(one.measure, StoppedAt) and one.measure.breaks_off for one in check.findings):
        return list(check.warnings)
    from listen.audio import BREAKS_OFF

    return [one for one in check.warnings if not one.startswith(BREAKS_OFF)]


def share_text(check: Check) -> str:
    """Return how many of 100 bars are right, as far as that is known: bars to listen to may be; empty where refused.

    Examples
    --------
    >>> from listen.reading import BarOutcome
    >>> share_text(Check("", "", bars=(BarOutcome(1, "right", "C"), BarOutcome(2, "question", "G"))))
    '50–100'
    """
    least, most = (round(100 * share) for share in (check.share_surely_right, check.share_right))
    return "" if check.refused else f"{most}" if least == most else f"{least}–{most}"


def _other_key(check: Check) -> OtherKey | None:
    found = (one.measure for one in check.findings if one.verdict != "right")
    return next((one for one in found if isinstance(one, OtherKey)), None)


def _result_lines(check: Check) -> list[str]:
    if check.refused:
        return [check.refused]
    tempo = tempo_text(check)
    lines = [f"{right_text(check)} · {tempo}" if tempo else right_text(check)]
    if len(check.bars) <= MOST_BARS_SHOWN:
        lines.append("|" + "".join(STATE_SIGNS[bar.state] for bar in check.bars) + "|")
    if len(check.rounds) > 1:
        place = next(number for number, one in enumerate(check.rounds, start=1) if one.is_judged)
        start = clock_text(check.rounds[place - 1].start_s)
        lines.append(f"Played {len(check.rounds)} times; the best is judged: number {place}, from {start}.")
    return lines + shown_praise(check)[:1]


def _work_blocks(check: Check) -> list[list[str]]:
    matters = find_matters(check)
    work, later = [], []
    for matter in matters[:MOST_SAID]:
        first = matter.findings[0]
        teacher = " (your teacher)" if first.verdict == "wrong" and first.kind != "teacher" else ""
        work.append(f"  {clock_text(first.time_s)}  {matter.sentence}{teacher} {matter.hint}")
    later = [f"  {clock_text(one.findings[0].time_s)}  {one.sentence}" for one in matters[MOST_SAID:]]
    return [block for block in (["To work on", *work], ["Later", *later]) if len(block) > 1]


def _asked_lines(check: Check) -> list[str]:
    asked = [f"  {question_sentence(own)}" for own in find_questions(check)]
    return ["Not sure", *asked] if asked else []


def _teacher_lines(check: Check) -> list[str]:
    lines = overruled_sentences(check)
    if check.comparison is not None:
        lines.append(comparison_text(check))
    if check.teacher.note:
        lines += f"Your teacher writes: {check.teacher.note}".splitlines()
    return lines + shown_warnings(check)


def comparison_text(check: Check) -> str:
    """Return the comparison with last time in sentences.

    Examples
    --------
    >>> from listen.reading import Comparison
    >>> comparison_text(Check("", "", comparison=Comparison("worse", 0.88, 0.88, ("the chord Bm",), ())))
    'As many bars are right as last time (88 %), but there is more to work on. The chord Bm is mended.'
    """
    one = check.comparison
    if one is None:
        return ""
    sentences = [_trend_sentence(one)]
    for texts, what in ((one.mended, "mended"), (one.again, "still to work on")):
        if texts:
            told = _CHORD_NAME.sub(lambda name: printed(name[0]), join_words(texts))
            sentences.append(f"{told[0].upper()}{told[1:]} {'is' if len(texts) == 1 else 'are'} {what}.")
    return " ".join(sentences)


def _trend_sentence(one: Comparison) -> str:
    now, before = round(100 * one.share_now), round(100 * one.share_before)
    if abs(one.share_now - one.share_before) > SAME_SHARE:
        word = "Better" if one.share_now > one.share_before else "Less"
        return f"{word} than last time: {now} % of the bars are right, {before} % before."
    shares = f"{now} %" if now == before else f"{now} %, {before} % before"
    work = {"better": ", and there is less to work on", "same": "", "worse": ", but there is more to work on"}
    return f"As many bars are right as last time ({shares}){work[one.trend]}."


def _with_trend(check: Check) -> str:
    if check.comparison is None:
        return summary_text(check)
    sign = {"better": "better", "same": "same", "worse": "worse"}[check.comparison.trend]
    return f"{summary_text(check)} ({sign})"
