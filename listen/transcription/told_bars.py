"""What a person told of the bars, and what could not be taken of it; and where another tempo begins."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from listen.reading import OTHER_TEMPO
from listen.transcription.countings import TOLD_OCTAVES
from listen.transcription.grid import Grid
from listen.transcription.part_settings import PartSettings
from listen.transcription.pulse import LEAST_STROKES

TEMPO_CHANGE = 0.12  # of a tempo, from which on another one is said
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
    return (*_tell_tempos(grid), *_tell_tempo(grid, settings), *_tell_lines(grid, settings))


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
        f"{OTHER_TEMPO} {int(at_s) // 60}:{int(at_s) % 60:02d}: {after:.0f} beats a minute, after {before:.0f}."
        for (_, before), (at_s, after) in pairwise(grid.tempos)
        if abs(after / before - 1.0) > TEMPO_CHANGE
    ]


def _tell_tempo(grid: Grid, settings: PartSettings) -> list[str]:
    """Say where the tempo that was told is none of those that are counted."""
    if settings.tempo_bpm is None:
        return []
    far = [bpm for _, bpm in grid.tempos if abs(float(np.log2(bpm / settings.tempo_bpm))) > TOLD_OCTAVES]
    if len(far) < len(grid.tempos):
        return []
    why = f"no regular step of the strokes fits it: they are counted at {far[0]:.0f}"
    return [f"You told the tempo {settings.tempo_bpm:g}, but {why}."]


def _tell_lines(grid: Grid, settings: PartSettings) -> list[str]:
    """Say which bar lines that were told could not be drawn."""
    lines = np.array(grid.bars_s)
    said = []
    for time_s in settings.bar_lines_s:
        off_s = float(np.abs(lines - time_s).min())
        if lines[0] <= time_s <= lines[-1] and off_s > TOLD_LINE_S:
            clock = f"{int(time_s) // 60}:{time_s % 60:04.1f}"
            said.append(f"You told that a bar begins at {clock}, but the nearest bar line lies {off_s:.1f} s away.")
    return said
