"""Single notes that are held as no chord: those of lines, and those that lead up to the first bar line.

Lines go by steps, where the tones of a chord lie thirds apart.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from listen.evidence import Stretch, StrokeEvidence

LEAST_NOTES = 5  # fewer are a run from chord to chord; judged
LEAST_STEPS, WHOLE_TONE = 0.5, 2  # share of moves by so many semitones at most; judged
MOST_SOUNDING = 2  # the note, and what is left of the one before or of the fret beside


def find_lines(stretches: Sequence[Stretch], strokes: Sequence[StrokeEvidence]) -> dict[int, int]:
    """Find lines of single notes.

    Parameters
    ----------
    stretches : sequence of Stretch
    strokes : sequence of StrokeEvidence
        Of the whole part.

    Returns
    -------
    dict of int to int
        MIDI number of the note of each stretch that lies in a line, by its place.
    """
    notes = [_find_note(stretch, strokes) for stretch in stretches]
    played: dict[int, int] = {}
    for is_note, run in groupby(enumerate(notes), key=lambda item: item[1] is not None):
        row = [(place, note) for place, note in run if note is not None]
        moves = [abs(after - before) for (_, before), (_, after) in pairwise(row) if after != before]
        n_steps = sum(move <= WHOLE_TONE for move in moves)
        if is_note and len(row) >= LEAST_NOTES and moves and n_steps >= LEAST_STEPS * len(moves):
            played.update(row)
    return played


def find_pickup(
    stretches: Sequence[Stretch],
    strokes: Sequence[StrokeEvidence],
    *,
    bars: NDArray[np.int64],
    steps: NDArray[np.int64] | None,
) -> dict[int, int]:
    """Find the notes that a part begins with before its first bar line: one, or some by steps, and nothing else.

    Parameters
    ----------
    stretches : sequence of Stretch
    strokes : sequence of StrokeEvidence
        Of the whole part.
    bars, steps : ndarray of int, shape (n_stretches,)
        Where each stretch lies; steps None in free time.

    Returns
    -------
    dict of int to int
        MIDI number of each note by its place, as of lines.
    """
    if steps is None or not len(stretches) or steps[0] == 0 or len(stretches[0].sounding) > 1:
        return {}
    before = int(np.count_nonzero(bars == bars[0]))
    notes = [note for note in (_find_note(one, strokes) for one in stretches[:before]) if note is not None]
    goes_by_steps = all(0 < abs(after - first) <= WHOLE_TONE for first, after in pairwise(notes))
    is_all = before < len(stretches) and len(notes) == before
    return dict(enumerate(notes)) if is_all and goes_by_steps else {}


def _find_note(stretch: Stretch, strokes: Sequence[StrokeEvidence]) -> int | None:
    """Return the one note that is picked; None where several may be."""
    sounding = sorted(stretch.sounding)
    if not (stretch.is_picked and stretch.first == stretch.last and 0 < len(sounding) <= MOST_SOUNDING):
        return None
    rises = strokes[stretch.first].rises
    return max(sounding, key=lambda midi: (rises.get(midi, 0.0), stretch.log_odds[midi]))
