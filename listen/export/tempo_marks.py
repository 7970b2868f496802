"""Where the tempo of a part changes for good, or slows down to its end, so that its chart says so at the bar."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace
from statistics import median

from listen.export.bar import Bar, find_metre
from listen.reading import OTHER_TEMPO, SETTLED_BARS, STEPS_PER_BEAT, TEMPO_CHANGED, Metre, Part

RITARDANDO = "rit."
STILL_SLOWS = 0.02  # each bar of a ritardando is slower by so much than the one before; judged
AT_ONCE = 0.7
"""What slows by so much of its way with its first bar is another tempo. Ritardandos over two bars, from 104, 100 and 92
beats a minute to 60, 66 and 58, slowed by 0.2 to 0.5 of what was heard of them; judged."""


def find_tempo_marks(bars: Sequence[Bar]) -> dict[int, int]:
    """Return the bars at which another tempo begins, by their index, in beats a minute; never the first full bar.

    A slowing to the end is no other tempo, and neither is what follows the last stroke, which nothing times.
    """
    if not bars or not bars[0].is_measured:
        return {}
    tempi = _time_bars(bars)[: find_ritardando(bars)]
    first = _find_full(bars)
    marks: dict[int, int] = {}
    shown = median(tempi[first : first + SETTLED_BARS] or [_tempo(bars[first])])
    for index in range(first + 1, len(tempi) - SETTLED_BARS + 1):
        here = tempi[index : index + SETTLED_BARS]
        is_steady = max(here) < (1.0 + TEMPO_CHANGED) * min(here)  # never where no beat of a bar was played
        if is_steady and all(abs(tempo - shown) > TEMPO_CHANGED * shown for tempo in here):
            shown = median(here)
            marks[index] = round(shown)
    return marks


def find_ritardando(bars: Sequence[Bar]) -> int | None:
    """Return the index of the bar from which on a part slows down to its end; None where it does not."""
    if not bars or not bars[0].is_measured:
        return None
    tempi, full = _time_bars(bars), _find_full(bars)
    last = before = len(tempi) - 1
    while before > full and tempi[before] < (1.0 - STILL_SLOWS) * tempi[before - 1]:
        before -= 1
    if last - before < SETTLED_BARS or not 0.0 < tempi[last] <= (1.0 - TEMPO_CHANGED) * tempi[before]:
        return None
    is_at_once = math.log(tempi[before + 1] / tempi[before]) < AT_ONCE * math.log(tempi[last] / tempi[before])
    return None if is_at_once else before + 1


def write_tempi(part: Part, bars: Sequence[Bar]) -> dict[int, str]:
    """Return the same as a chart writes them, by the note that is a beat, and ``rit.`` where it slows down to its end.

    Like ``♩=96``, and ``♩.=59`` in compound time.
    """
    metre, slows = find_metre(part), find_ritardando(bars)
    beat = "♩." if metre is not None and metre.is_compound else "♩"
    tempi = {index: f"{beat}={tempo}" for index, tempo in find_tempo_marks(bars).items()}
    return tempi if slows is None else {**tempi, slows: RITARDANDO}


def find_shown_metre(part: Part, bars: Sequence[Bar]) -> Metre | None:
    """Return the metre for the head of a chart: with the tempo of its first bars where another one follows."""
    metre = find_metre(part)
    if metre is None or not find_tempo_marks(bars):
        return metre
    first = _find_full(bars)
    return replace(metre, tempo_bpm=median(_tempo(bar) for bar in bars[first : first + SETTLED_BARS]))


def drop_marked_tempi(warnings: Sequence[str], bars: Sequence[Bar]) -> tuple[str, ...]:
    """Leave out the sentences on another tempo that a mark over a bar of the chart, or of one beside it, tells."""
    marked = [(bars[index - 1].start_s, bars[index].end_s) for index in find_tempo_marks(bars)]
    if (slows := find_ritardando(bars)) is not None:
        marked.append((bars[slows - 1].start_s, bars[-1].end_s))
    return tuple(warning for warning in warnings if not any(_tells(warning, *around_s) for around_s in marked))


def _tells(warning: str, since_s: float, until_s: float) -> bool:
    told = re.match(rf"{re.escape(OTHER_TEMPO)} (\d+):(\d\d)\b", warning)
    if told is None:
        return False
    at_s = 60 * int(told[1]) + int(told[2])
    return since_s - 1.0 < at_s < until_s  # a clock shows whole seconds


def _time_bars(bars: Sequence[Bar]) -> list[float]:
    """Return the beats a minute of bars, without a last one whose second half nothing is struck in or behind."""
    last = max((index for index, bar in enumerate(bars) if bar.strokes), default=len(bars))
    is_timed = last < len(bars) and 2 * bars[last].strokes[-1].step >= bars[last].n_steps
    return [_tempo(bar) for bar in bars[: last + is_timed]]


def _find_full(bars: Sequence[Bar]) -> int:
    """Return the index of the first bar that is no pickup: half a beat, timed by one stroke, tells no tempo."""
    full = max(bar.n_steps for bar in bars)
    return next(index for index, bar in enumerate(bars) if bar.n_steps == full)


def _tempo(bar: Bar) -> float:
    """Return the beats a minute of one bar: of those that were played, 0 where none was."""
    return 60.0 * (bar.n_steps / STEPS_PER_BEAT - bar.left_out) / max(bar.end_s - bar.start_s, 1e-3)
