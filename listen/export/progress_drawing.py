"""Progress in practice as a drawing and tables, for a page: days as columns, kinds, inversions said against played."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from html import escape

from listen.document import Answered
from listen.export.svg import ACCENT, FONT, INK, QUIET
from listen.practice import ABOUT, INVERSION_NAMES, LADDER, find_staircases

MOST_DAYS = 28
COLUMN, HEIGHT, LEFT, TOP, LEAST_WIDTH = 22.0, 120.0, 44.0, 10.0, 220.0  # of the drawing, in px
INVERSION_KINDS = ("which bass", "which bass of four")
INVERSION_KEYS = ("1", "3", "5", "7")
LATELY = 20


def share_by_day(answers: Sequence[Answered], *, today: date) -> tuple[tuple[date, float, int], ...]:
    """Return day, share right and number of answers, every day up to the last that has any; on some there are none.

    Days are those of the player's own clock, at most :data:`MOST_DAYS`, none after today: a clock that was once ahead
    would else hide all others. Empty where all lie there.
    """
    by_day: dict[date, list[bool]] = {}
    for answer in answers:
        if answer.day <= today:
            by_day.setdefault(answer.day, []).append(answer.is_right)
    if not by_day:
        return ()
    first, last = min(by_day), max(by_day)
    n_days = min(MOST_DAYS, (last - first).days + 1)
    days = [last - timedelta(days=back) for back in range(n_days - 1, -1, -1)]
    return tuple((day, _share(by_day.get(day, [])), len(by_day.get(day, []))) for day in days)


def tell_future(answers: Sequence[Answered], *, today: date) -> str:
    """Say how many answers lie on days that are still to come by this computer's clock; empty where none does."""
    n_ahead = sum(answer.day > today for answer in answers)
    lie = "1 answer lies in the future and is" if n_ahead == 1 else f"{n_ahead} answers lie in the future and are"
    return f"{lie} not drawn: the clock was ahead." if n_ahead else ""


def _share(rights: Sequence[bool]) -> float:
    return sum(rights) / len(rights) if rights else 0.0


def find_level_texts(answers: Sequence[Answered]) -> dict[str, str]:
    """Return where the player stands with each kind that was asked, a dash where no answer says so."""
    stairs = find_staircases(answers)
    return {answer.kind: f"{stairs[answer.kind].level:.1f}" if answer.kind in stairs else "–" for answer in answers}


def count_inversions(answers: Sequence[Answered]) -> Counter[tuple[str, str]]:
    """Count which inversion was said for which that was played, by the degree in the bass."""
    return Counter(
        (answer.played, answer.said)
        for answer in answers
        if answer.kind in INVERSION_KINDS and answer.played in INVERSION_KEYS and answer.said in INVERSION_KEYS
    )


def render_progress_fragment(answers: Sequence[Answered], *, today: date | None = None) -> str:
    """Render progress as HTML to stand in a page; today is that of this computer's clock when not given."""
    if not answers:
        return "<p>No answer is kept yet.</p>"
    today = today or date.today()
    ahead = tell_future(answers, today=today)
    told = f"<p>{ahead}</p>" if ahead else ""
    rows = share_by_day(answers, today=today)
    return "".join((_draw_days(rows) if rows else "", told, _list_kinds(answers), _lay_out_inversions(answers)))


def _draw_days(rows: Sequence[tuple[date, float, int]]) -> str:
    width = max(LEAST_WIDTH, LEFT + COLUMN * len(rows) + 10)
    told = [f"{day}: {round(100 * share)} of 100 right in {n} answers" for day, share, n in rows if n]
    n_gaps = len(rows) - len(told)
    words = "; ".join(told) + (f"; {n_gaps} days between without practice" if n_gaps else "")
    head = (
        f"<svg xmlns='http://www.w3.org/2000/svg' width='{width:.0f}' height='{HEIGHT + 40:.0f}' role='img' "
        f"viewBox='0 0 {width:.0f} {HEIGHT + 40:.0f}' {FONT} font-size='11' fill='{INK}' "
        f"aria-label='{escape('Share of right answers by day. ' + words, quote=True)}'>"
    )
    parts = [head]
    for share in (0.0, 0.5, 0.8, 1.0):
        y = TOP + HEIGHT * (1.0 - share)
        dashes = " stroke-dasharray='3 3'" if share == 0.8 else ""
        parts.append(f"<path d='M{LEFT} {y:.1f}H{width - 6:.0f}' stroke='{QUIET}' stroke-width='.6'{dashes}/>")
        parts.append(f"<text x='{LEFT - 6}' y='{y + 4:.1f}' text-anchor='end' fill='{QUIET}'>{share:.0%}</text>")
    for place, (day, share, n) in enumerate(rows):
        if not n:
            continue
        x, high = LEFT + 4 + COLUMN * place, HEIGHT * share
        parts.append(
            f"<rect x='{x:.1f}' y='{TOP + HEIGHT - high:.1f}' width='{COLUMN - 8}' height='{high:.1f}' "
            f"fill='{ACCENT}'><title>{day}: {share:.0%} of {n}</title></rect>"
        )
    first, last = rows[0][0], rows[-1][0]
    shown = str(first) if first == last else f"{first} to {last}"
    parts.append(f"<text x='{LEFT}' y='{TOP + HEIGHT + 20:.0f}' fill='{QUIET}'>{shown}</text></svg>")
    caption = "Share right, a column a day" + ("; a gap is a day without practice." if n_gaps else ".")
    return f"<figure class='wide'>{''.join(parts)}<figcaption>{caption}</figcaption></figure>"


def _list_kinds(answers: Sequence[Answered]) -> str:
    rows, levels = [], find_level_texts(answers)
    for kind in LADDER:
        own = [answer for answer in answers if answer.kind == kind]
        if own:
            lately = own[-LATELY:]
            right = sum(answer.is_right for answer in lately)
            rows.append(
                f"<tr><td>{escape(kind)}</td><td>{escape(ABOUT[kind])}</td><td class='num'>{levels[kind]}</td>"
                f"<td class='num'>{right} of {len(lately)}</td></tr>"
            )
    head = "<tr><th>Step</th><th>What is asked</th><th>Level</th><th>Right lately</th></tr>"
    return f"<div class='wide'><table>{head}{''.join(rows)}</table></div>"


def _lay_out_inversions(answers: Sequence[Answered]) -> str:
    counts = count_inversions(answers)
    if not counts:
        return ""
    used = [key for key in INVERSION_KEYS if any(key in pair for pair in counts)]
    names = {key: INVERSION_NAMES[INVERSION_KEYS.index(key)] for key in used}
    head = "".join(f"<th scope='col'>{names[key]}</th>" for key in used)
    rows = []
    for played in used:
        cells = "".join(f"<td class='num'>{counts[played, said] or '·'}</td>" for said in used)
        rows.append(f"<tr><th scope='row'>{names[played]}</th>{cells}</tr>")
    caption = "<caption>Inversion played (rows) against inversion said</caption>"
    return f"<div class='wide'><table>{caption}<tr><td></td>{head}</tr>{''.join(rows)}</table></div>"
