"""What ``listen practise`` prints: a question, what was right and where it lies on the neck, how it goes over time.

The chart has a column a day: the share of right answers by its height, a dot where there was none. The confusion table
holds the inversion that was played against the one that was said.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from listen.document import Answered
from listen.export.describe import describe_inversion
from listen.export.diagram import shape_to_diagram
from listen.export.labels import pitch_text, printed
from listen.export.progress_drawing import (
    INVERSION_KEYS,
    LATELY,
    count_inversions,
    find_level_texts,
    share_by_day,
    tell_future,
)
from listen.export.style import TextStyle, join_beside, wrap_text
from listen.export.terminal import render_box
from listen.instrument import Fretboard
from listen.practice import (
    ABOUT,
    HARDEST,
    HOLDS_ANSWERS,
    HOLDS_LEVEL,
    INVERSION_NAMES,
    LADDER,
    Judgement,
    Question,
    Sounding,
    advise,
    find_shut_step,
)

MARGIN = "  "
CHART_ROWS = 8
REST = (
    "Keep the level moderate and give your ears a rest after ten minutes; if they ring or feel dull, stop for the day, "
    "and see a clinician when it stays."
)


def render_question_text(question: Question, number: int, *, style: TextStyle) -> tuple[str, ...]:
    """Render a question: what is asked, and what may be answered."""
    head = style.weigh(f"{number}. {style.plain(question.prompt)}", "strong")
    options = [
        f"{MARGIN}{style.weigh(str(number), 'strong')}  {style.plain(option.text)}"
        for number, option in enumerate(question.options, 1)
    ]
    return head, *options


def render_answer_text(
    question: Question, judged: Judgement, *, style: TextStyle, left_handed: bool = False
) -> tuple[str, ...]:
    """Render what was right, where it lies on the neck, and what to listen for next time."""
    right = question.option(question.answer)
    assert right is not None  # noqa: S101 - a question holds its answer
    verdict = "Right" if judged.is_right else "Not this time"
    off = "" if judged.cents is None else f" ({judged.cents:+.0f} cents)"
    heard = f" {judged.text[:1].upper()}{judged.text[1:]}{off}." if judged.text else ""
    lines = [
        *wrap_text(style.plain(f"{verdict}: {right.text}.{heard}"), width=style.width),
        *(f"{MARGIN}{_sounding_words(sounding, question.fretboard, style)}" for sounding in question.sounds),
    ]  # fmt: skip
    if style.pictures:
        blocks = [_neck(sounding, question.fretboard, style, left_handed) for sounding in question.sounds[:4]]
        lines += ["", *(f"{MARGIN}{line}" for line in join_beside(blocks, width=style.width - 2))]
    return (*lines, "", *wrap_text(style.plain(advise(question, judged.key)), width=style.width))


def _sounding_words(sounding: Sounding, fretboard: Fretboard, style: TextStyle) -> str:
    sounding_pitches = [
        (pitch, fretboard.n_strings - index)
        for index, pitch in enumerate(sounding.shape.pitches(fretboard))
        if pitch is not None
    ]
    lowest, string = min(sounding_pitches)
    bass = printed(pitch_text(lowest, sounding.chord))
    where, held = describe_inversion(sounding.chord), f"held as {sounding.shape.text}"
    return style.plain(f"{sounding.chord.printed}: {where}, bass {bass} on string {string}, {held}")


def _neck(sounding: Sounding, fretboard: Fretboard, style: TextStyle, left_handed: bool) -> tuple[str, ...]:
    diagram = shape_to_diagram(
        sounding.shape, fretboard, chord=sounding.chord, labels="degree", left_handed=left_handed
    )
    return (style.plain(sounding.chord.printed), *render_box(diagram, style=style))


def render_session_text(
    answers: Sequence[Answered], every: Sequence[Answered] = (), *, style: TextStyle
) -> tuple[str, ...]:
    """Render the end of a session: how many were right, by kind, how the next step opens, and a word on rest.

    The next step opens by all answers that were ever given; without these nothing is said of it.
    """
    if not answers:
        return ("Nothing was answered.",)
    lines = []
    for kind in LADDER:
        own = [answer.is_right for answer in answers if answer.kind == kind]
        if own:
            lines.append(f"{MARGIN}{kind:20} {sum(own)} of {len(own)} right")
    told = [*([_tell_next_step(every)] if every else []), REST]
    return (*lines, *(line for each in told if each for line in ("", *wrap_text(each, width=style.width))))


def _tell_next_step(every: Sequence[Answered]) -> str:
    shut = find_shut_step((answer.kind, answer.is_right) for answer in every if answer.own_level)
    if shut is None:
        return ""
    kind, below, stairs = shut
    return (
        f"The next step, {kind!r}, opens when {below!r} holds: {HOLDS_ANSWERS} answers and level {HOLDS_LEVEL:g} of "
        f"{HARDEST:g}. You stand at {stairs.n_answers} and {stairs.level:.1f}; --kind {kind!r} asks it at once."
    )


def render_progress_text(
    answers: Sequence[Answered], *, style: TextStyle, today: date | None = None
) -> tuple[str, ...]:
    """Render progress: days as columns, kinds as rows, inversions said against inversions played.

    Today is that of this computer's clock when not given.
    """
    if not answers:
        return ("No answer is kept yet: 'listen practise' asks the first question.",)
    today = today or date.today()
    ahead = tell_future(answers, today=today)
    n_days = len({answer.day for answer in answers})
    return (
        style.weigh(f"Answers: {len(answers)}, days: {n_days}", "strong"),
        "",
        *_chart(share_by_day(answers, today=today), style),
        *(wrap_text(ahead, width=style.width) if ahead else ()),
        "",
        *_kinds(answers, style),
        *_confusion(answers, style),
    )


def _chart(rows: Sequence[tuple[date, float, int]], style: TextStyle) -> list[str]:
    if not rows:
        return []
    mark, gap = ("█", "·") if style.unicode else ("#", ".")
    lines = []
    for row in range(CHART_ROWS, 0, -1):
        label = {CHART_ROWS: "100 %", CHART_ROWS // 2: " 50 %"}.get(row, "")
        empty = gap if row == 1 else " "
        cells = "".join(
            f"{(mark if share * CHART_ROWS >= row - 0.5 else ' ') if n else empty} " for _, share, n in rows
        )
        lines.append(f"{label:>7} {'│' if style.unicode else '|'}{cells}".rstrip())
    lines.append(f"{'':7} {'└' if style.unicode else '+'}{('─' if style.unicode else '-') * (2 * len(rows))}")
    told = f"; {gap} a day without practice" if any(not n for _, _, n in rows) else ""
    lines.append(f"{'':9}{rows[0][0]} to {rows[-1][0]}: share right, a column a day{told}")
    return lines


def _kinds(answers: Sequence[Answered], style: TextStyle) -> list[str]:
    lines, levels = [], find_level_texts(answers)
    for kind in LADDER:
        own = [answer for answer in answers if answer.kind == kind]
        if own:
            lately = own[-LATELY:]
            right = sum(answer.is_right for answer in lately)
            level = style.plain(levels[kind])
            lines.append(f"{MARGIN}{kind:20} level {level:>4}   {right} of the last {len(lately)} right")
            lines.append(f"{MARGIN}{'':20} {ABOUT[kind]}")
    return lines


def _confusion(answers: Sequence[Answered], style: TextStyle) -> list[str]:
    counts = count_inversions(answers)
    if not counts:
        return []
    used = [key for key in INVERSION_KEYS if any(key in pair for pair in counts)]
    names = {key: INVERSION_NAMES[INVERSION_KEYS.index(key)] for key in used}
    lines = ["", "Inversion played (rows) against inversion said:", ""]
    lines.append(f"{MARGIN}{'':18}" + "".join(f"{names[key].split()[0]:>9}" for key in used))
    for played in used:
        cells = "".join(f"{counts[played, said] or ('·' if style.unicode else '.'):>9}" for said in used)
        lines.append(f"{MARGIN}{names[played]:18}{cells}")
    return lines
