"""Single notes that are held as no chord: those of lines, those that lead up to the first bar line, and short runs.

Lines go by steps, where the tones of a chord lie thirds apart. A run of fewer notes, from chord to chord or as a tune
over one, belongs to the chord that was struck before it.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from listen.evidence import Stretch, StrokeEvidence

STRING_ABOVE = 4  # semitones from a bass to the next string of its chord, as in x32010; judged
LEAST_NOTES = 5  # fewer are a run from chord to chord; judged
LEAST_OF_CHORD, SURE_NATS = 3, 2.0  # strings that a strum before a run sounds for sure: picked ones ring on faintly
LEAST_STEPS, WHOLE_TONE = 0.5, 2  # share of moves by so many semitones at most; judged
RINGS_NATS = 2.0  # by which what rings on is less sure than what is struck; judged
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
    notes = _list_notes(stretches, strokes)
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
    notes = [note for note in _list_notes(stretches[:before], strokes) if note is not None]
    goes_by_steps = all(0 < abs(after - first) <= WHOLE_TONE for first, after in pairwise(notes))
    is_all = before < len(stretches) and len(notes) == before
    return dict(enumerate(notes)) if is_all and goes_by_steps else {}


def find_runs(stretches: Sequence[Stretch]) -> NDArray[np.bool_]:
    """Find single notes between strums, too few for a line.

    Parameters
    ----------
    stretches : sequence of Stretch
        In time order.

    Returns
    -------
    ndarray of bool, shape (n_stretches,)
        Not the last one where it may be the bass of the strum after it: a chord begins with its bass.
    """
    in_run = np.zeros(len(stretches), bool)
    after_chord = False
    singles = _list_singles(stretches)
    for is_single, run in groupby(range(len(stretches)), key=lambda place: bool(singles[place])):
        places = list(run)
        last, following = places[-1], places[-1] + 1
        if is_single and after_chord and len(places) < LEAST_NOTES:
            in_run[places] = True
            in_run[last] = following == len(stretches) or not _is_bass_of(
                max(singles[last]), stretches[following].sounding
            )
        n_sure = np.count_nonzero(stretches[last].log_odds > SURE_NATS)
        after_chord = bool(not is_single and not stretches[last].is_picked and n_sure >= LEAST_OF_CHORD)
    return in_run


def _is_bass_of(note: int, chord: frozenset[int]) -> bool:
    """Tell whether a note is the bass of the strum after it: it rings on below it, or lies on a string below it."""
    lowest = min(chord, default=0)
    return note == lowest or note + STRING_ABOVE <= lowest


def _list_singles(stretches: Sequence[Stretch]) -> list[frozenset[int]]:
    """List what each stroke sounds that is a single note, and perhaps the one before; nothing where it is a chord.

    Strings of the last strum ring on beside it: the ear is less sure of them than of what was struck.
    """
    singles: list[frozenset[int]] = []
    chord: frozenset[int] = frozenset()
    for stretch in stretches:
        surest = max((stretch.log_odds[midi] for midi in stretch.sounding), default=0.0)
        struck = frozenset(
            midi for midi in stretch.sounding if midi not in chord or stretch.log_odds[midi] > surest - RINGS_NATS
        )
        is_single = stretch.first == stretch.last and len(struck) <= (MOST_SOUNDING if stretch.is_picked else 1)
        singles.append(struck if is_single else frozenset())
        chord = chord if is_single or stretch.is_picked else stretch.sounding
    return singles


def _list_notes(stretches: Sequence[Stretch], strokes: Sequence[StrokeEvidence]) -> list[int | None]:
    """List the one note that each stroke sounds, which rises most; None where it is a chord or nothing."""
    notes: list[int | None] = []
    for stretch, struck in zip(stretches, _list_singles(stretches), strict=True):
        rises = strokes[stretch.first].rises
        ranked = sorted((rises.get(midi, 0.0), stretch.log_odds[midi], midi) for midi in struck)
        notes.append(ranked[-1][-1] if ranked else None)
    return notes
