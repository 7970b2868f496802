"""Which chords are held when: decoded, barred by their changes, cleared of what rings over, and decoded again."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from listen.evidence import PartEvidence, Stretch
from listen.reading import STEPS_PER_BEAT, GridPosition, Metre
from listen.transcription.bass_returns import find_returns
from listen.transcription.grid import Grid, StrokeFeatures, find_grid
from listen.transcription.held_chords import CHANGE_COST, HeldChord, decode_held_chords
from listen.transcription.note_lines import find_runs
from listen.transcription.part_settings import PartSettings
from listen.transcription.ringing import take_out_ringing
from listen.transcription.told_steps import check_bar_lines

Floats = NDArray[np.float64]

AT_BAR_LINE, AT_HALF_BAR, AT_BEAT, OFF_BEAT = -1.5, 0.1, 0.7, 2.5
"""Nats that a change of chord costs more there: four nats apart, and 1.6 at half a bar, as shares of changes are
(`bar_evidence`)."""
AT_BASS, AFTER_BASS = -1.0, 2.0  # a chord begins with a bass that is picked just before it is strummed; judged
IN_RUN = 2.0  # single notes between strums belong to the chord before; judged
FREE_BAR_S = 2.0  # in free time so long a stretch stands for a bar; judged
MOST_KEPT = 8  # of grids: two for each reading
LEAST_STROKES = 4  # fewer are in free time


@dataclass(frozen=True, slots=True, eq=False)
class HeardChords:
    """The chords as they were heard, and what the bars say of each stretch.

    Parameters
    ----------
    chords : tuple of HeldChord
    change_costs : ndarray, shape (n_stretches,)
        What it costs to begin a chord with each stretch, in nats.
    stressed : ndarray of bool, shape (n_stretches,)
        Whether it begins a bar.
    bars : ndarray of int, shape (n_stretches,)
        In which bar it lies; in free time every two seconds are one.
    steps : ndarray of int, shape (n_stretches,), or None
        At which step of its bar it begins; None in free time.
    """

    chords: tuple[HeldChord, ...]
    change_costs: Floats
    stressed: NDArray[np.bool_]
    bars: NDArray[np.int64]
    steps: NDArray[np.int64] | None = None


def hear_chords(heard: PartEvidence, settings: PartSettings) -> HeardChords:
    """Find the chords that were heard, the bars by their changes, and the chords again: they change on bar lines.

    What rings over from the chord before can be told when the chords are known; it is taken out, and they are decoded
    once more.
    """
    costs = CHANGE_COST + _weigh_basses(heard.stretches)
    chords = decode_held_chords(heard.stretches, change_costs=costs)
    grid = decode_grid(heard, find_chord_starts(chords, [len(chord.pitches) > 1 for chord in chords]), settings)
    laid = lay_in_bars(chords, grid)
    if grid is not None:
        chords = decode_held_chords(heard.stretches, change_costs=laid.change_costs)
    chords = decode_held_chords(take_out_ringing(chords, heard.strokes), change_costs=laid.change_costs)
    return replace(laid, chords=chords)


def lay_in_bars(chords: Sequence[HeldChord], grid: Grid | None) -> HeardChords:
    """Lay what was heard in bars: where a chord may begin, and which stretches lie in one bar."""
    stretches = [stretch for chord in chords for stretch in chord.stretches]
    costs = CHANGE_COST + _weigh_basses(stretches)
    stressed = np.zeros(len(stretches), bool)
    bars = np.array([one.span.start_s // FREE_BAR_S for one in stretches]).astype(np.int64)
    steps = None
    if grid is not None:
        places = [grid.positions[stretch.first] for stretch in stretches]
        costs += [_weigh_change(at, grid.metres[0]) for at in places]
        stressed = np.array([at.step == 0 for at in places], bool)
        bars = np.array([at.bar for at in places], np.int64)
        steps = np.array([at.step for at in places], np.int64)
    return HeardChords(tuple(chords), costs, stressed, bars, steps)


def _weigh_basses(stretches: Sequence[Stretch]) -> Floats:
    """Return what a change costs more, or less, at single notes between strums, and at the strum after a bass."""
    picked = np.array([False, *(stretch.is_picked for stretch in stretches), True])
    in_run = find_runs(stretches)
    basses = ~picked[:-2] & picked[1:-1] & ~picked[2:] & ~in_run
    return np.asarray(AT_BASS * basses + AFTER_BASS * np.append(False, basses[:-1]) + IN_RUN * in_run)


def _weigh_change(at: GridPosition, metre: Metre) -> float:
    """Return what a change costs more, or less, at a place in the bar."""
    if at.step % STEPS_PER_BEAT:
        return OFF_BEAT
    return AT_BAR_LINE if at.step == 0 else AT_HALF_BAR if 2 * at.step == metre.steps_per_bar else AT_BEAT


def find_chord_starts(chords: Sequence[HeldChord], sounds: Sequence[bool]) -> frozenset[int]:
    """Find the strokes with which chords begin.

    Parameters
    ----------
    chords : sequence of HeldChord
        In time order, covering all stretches.
    sounds : sequence of bool
        Whether each is a chord.

    Returns
    -------
    frozenset of int
        A chord whose lowest note is picked alone just before its first strum begins with that note. Another inversion
        of the chord before, of the same tones, begins no chord: it comes in the middle of bars as well.
    """
    starts = set()
    tones = [{midi % 12 for midi in chord.pitches} for chord in chords]
    for place, (chord, is_chord) in enumerate(zip(chords, sounds, strict=True)):
        if is_chord and (place == 0 or tones[place] != tones[place - 1]):
            basses = [one for one in chords[max(0, place - 1) : place] if _is_bass_of(one, chord)]
            starts.add((*basses, chord)[0].strokes[0])
    return frozenset(starts)


def _is_bass_of(before: HeldChord, chord: HeldChord) -> bool:
    return len(before.strokes) == 1 and before.pitches == {min(chord.pitches)}


def decode_grid(heard: PartEvidence, changes: Collection[int], settings: PartSettings) -> Grid | None:
    """Find the bars from the strokes, their level, how low they reach, and with which of them chords begin."""
    if len(heard.strokes) < LEAST_STROKES:
        return None
    check_bar_lines(settings, float(heard.onsets_s[0]))
    low = np.array([stroke.low_share for stroke in heard.strokes])
    bottom, top = np.quantile(low, [0.1, 0.9])
    rows = (
        heard.onsets_s,
        np.array([stroke.level_db for stroke in heard.strokes]),
        np.clip((low - bottom) / max(float(top - bottom), 1e-9), 0.0, 1.0),
        np.array([0.0 if stroke.is_hit else stroke.lean for stroke in heard.strokes]),
        np.array([place in changes for place in range(len(heard.strokes))], dtype=float),
        find_returns(heard.strokes, changes),
    )
    return _find_grid(tuple(row.astype(float).tobytes() for row in rows), replace(settings, pins=(), corrections=()))


@lru_cache(maxsize=MOST_KEPT)
def _find_grid(rows: tuple[bytes, ...], settings: PartSettings) -> Grid | None:
    """Find the grid; the last ones are kept, since most corrections of a part leave its bars as they are."""
    onsets_s, levels_db, bass, leans, changes, returns = (np.frombuffer(row) for row in rows)
    return find_grid(StrokeFeatures(onsets_s, levels_db, bass, leans, changes > 0, returns), settings=settings)
