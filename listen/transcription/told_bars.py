"""What a person told of the bars, what came of it and what could not be taken; and where another tempo begins."""

from __future__ import annotations

from itertools import pairwise
from statistics import median

import numpy as np

from listen.reading import OTHER_TEMPO, SETTLED_BARS, STEPS_PER_BEAT, TEMPO_CHANGED, clock_text
from listen.transcription.grid import Grid, has_told_tempo
from listen.transcription.part_settings import PartSettings
from listen.transcription.pulse import LEAST_STROKES

TEMPO_CHANGE = 0.12  # of a tempo, from which on another one is said
NEAR_TOLD = 0.08  # of the tempo told, how far a player may be from it without a word
_PARTS = {0: "", 3: "¼", 4: "⅓", 6: "½", 8: "⅔", 9: "¾"}  # of a beat, by twelfths of it
TOLD_LINE_S = 0.15  # so near to what is told a bar line is meant by it: nobody tells a time more exactly


def tell_bars(grid: Grid | None, settings: PartSettings, *, n_strokes: int) -> tuple[str, ...]:
    """Say in sentences where another tempo begins, and what was told and could not be taken.

    Parameters
    ----------
    grid : Grid or None
    settings : PartSettings
    n_strokes : int

    Returns
    -------
    tuple of str
    """
    if grid is None:
        return _tell_none(settings, n_strokes)
    return (
        *_tell_tempos(grid),
        *_tell_tempo(grid, settings),
        *_tell_lines(grid, settings),
        *_tell_short(grid, settings),
    )


def _tell_none(settings: PartSettings, n_strokes: int) -> tuple[str, ...]:
    told = []
    if settings.metre is not None:
        told.append(f"metre {settings.metre[0]}/{settings.metre[1]}")
    if settings.tempo_bpm is not None:
        told.append(f"tempo {settings.tempo_bpm:g}")
    if settings.bar_one_s is not None:
        told.append("where bar 1 begins")
    if settings.bar_lines_s:
        told.append("where another bar begins")
    if not told:
        return ()
    few = f"there are {n_strokes} strokes, and bars need four"
    why = few if n_strokes < LEAST_STROKES else "no such bar is known"
    return (f"You told the {', '.join(told)}, but {why}: free time is written.",)


def _tell_tempos(grid: Grid) -> list[str]:
    """Say where another tempo begins."""
    return [
        f"{OTHER_TEMPO} {clock_text(at_s)}: {after:.0f} beats a minute, after {before:.0f}."
        for (_, before), (at_s, after) in pairwise(grid.tempos)
        if abs(after / before - 1.0) > TEMPO_CHANGE
    ]


def _tell_tempo(grid: Grid, settings: PartSettings) -> list[str]:
    """Say how fast the bars are where that is not the tempo that was told: at the beginning, on the whole, or anywhere.

    What a chart marks as another tempo is said; less than that is how people play.
    """
    told = settings.tempo_bpm
    if told is None:
        return []
    beginning, settled = _list_tempi(grid)
    is_near = all(abs(bpm / told - 1.0) <= NEAR_TOLD for bpm in (beginning, grid.metres[0].tempo_bpm))
    if is_near and all(abs(bpm / told - 1.0) <= TEMPO_CHANGE for bpm in settled):
        return []
    slowest, fastest = (f"{bpm:.0f}" for bpm in (min(beginning, *settled), max(beginning, *settled)))
    run = f"keep to {slowest}" if slowest == fastest else f"run from {slowest} to {fastest}"
    why = "" if has_told_tempo(grid, told) else "no regular step of the strokes fits it: "
    return [f"You told the tempo {told:g}, but {why}the bars {run} beats a minute."]


def _list_tempi(grid: Grid) -> tuple[float, list[float]]:
    """List the tempi that a chart may show, each of two bars: the beginning's, and where two agree."""
    metre = grid.metres[0]
    n_beats = np.full(len(grid.bars_s) - 1, float(metre.beats_per_bar))
    if metre.pickup_steps:
        n_beats[0] = metre.pickup_steps / STEPS_PER_BEAT
    for bar, dropped in grid.slips:
        n_beats[bar - grid.first_bar] -= dropped
    for own in grid.lengths:
        n_beats[own.bar - grid.first_bar] = own.n_beats
    bars = (60.0 * n_beats / np.diff(grid.bars_s)).tolist()
    bars = bars[1:] if metre.pickup_steps and len(bars) > 1 else bars
    runs = [bars[at : at + SETTLED_BARS] for at in range(len(bars) - SETTLED_BARS + 1)]
    settled = [median(run) for run in runs if max(run) / min(run) < 1.0 + TEMPO_CHANGED]
    return median(bars[:SETTLED_BARS]), [metre.tempo_bpm, *settled]


def _tell_lines(grid: Grid, settings: PartSettings) -> list[str]:
    """Say which bar lines that were told could not be drawn, bar one's among them."""
    lines = np.array(grid.bars_s)
    one = () if settings.bar_one_s is None else (("bar 1 begins", settings.bar_one_s),)
    said = []
    for before_s, time_s in pairwise(sorted({*settings.bar_lines_s, *filter(None, [settings.bar_one_s])})):
        if np.abs(lines - before_s).argmin() == np.abs(lines - time_s).argmin() and time_s - before_s <= TOLD_LINE_S:
            both = f"{clock_text(before_s, 2)} and at {clock_text(time_s, 2)}"
            said.append(
                f"You told that bars begin at {both}: no bar is so short, and one bar line is written for both."
            )
    for what, time_s in (*one, *(("a bar begins", time_s) for time_s in settings.bar_lines_s)):
        off_s = float(np.abs(lines - time_s).min())
        if lines[0] <= time_s <= lines[-1] and off_s > TOLD_LINE_S:
            clock = clock_text(time_s, 1)
            said.append(f"You told that {what} at {clock}, but the nearest bar line lies {off_s:.1f} s away.")
    return said


def _tell_short(grid: Grid, settings: PartSettings) -> list[str]:
    """Say which bars have more or fewer beats than are written, where a further bar line was told."""
    written = grid.metres[0].beats_per_bar
    slips = grid.slips if settings.bar_lines_s else ()
    lengths = [(bar, round((written - dropped) * STEPS_PER_BEAT)) for bar, dropped in slips]
    return [
        f"Bar {bar} has {_count_beats(steps)}, and is written with {written}." for bar, steps in lengths if steps > 0
    ]


def _count_beats(steps: int) -> str:
    whole, rest = divmod(steps, STEPS_PER_BEAT)
    part = _PARTS.get(rest)
    if part is None:  # bars of two feels, one after the other
        return f"{steps / STEPS_PER_BEAT:.1f} beats"
    return f"{whole or ''}{part} beat{'s' if steps > STEPS_PER_BEAT else ''}"
