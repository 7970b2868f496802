"""Where the tempo of a part changes for good, so that its chart says so at the bar."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import median

from listen.export.bar import Bar
from listen.reading import STEPS_PER_BEAT

CHANGED = 0.1  # of the tempo given last: a drift within it is how people play; judged, not measured
SETTLED_BARS = 2  # a new tempo holds so long before it is one


def find_tempo_marks(bars: Sequence[Bar]) -> dict[int, int]:
    """Return the bars at which another tempo begins, by their index, in beats a minute; never the first bar."""
    if not bars or not bars[0].is_measured:
        return {}
    tempi = [60.0 * bar.n_steps / STEPS_PER_BEAT / max(bar.end_s - bar.start_s, 1e-3) for bar in bars]
    marks: dict[int, int] = {}
    shown = median(tempi[:SETTLED_BARS])
    for index in range(1, len(tempi) - SETTLED_BARS + 1):
        here = tempi[index : index + SETTLED_BARS]
        if all(abs(tempo / shown - 1.0) > CHANGED for tempo in here) and max(here) / min(here) < 1.0 + CHANGED:
            shown = median(here)
            marks[index] = round(shown)
    return marks
