"""The bars of a part: from its pulses and a way to count them to bar lines, and a place in the bars for each stroke.

A part may be played in several tempos, one after another: each stretch is counted by itself, in one metre for all, and
the bars are numbered through. Where a stretch breaks off inside a bar, that bar lasts until the next stretch begins.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from listen.reading import STEPS_PER_BEAT, BarLength, Bars, GridPosition, Metre
from listen.transcription.bar_evidence import CountedStrokes
from listen.transcription.countings import TOLD_OCTAVES, Counting, choose_countings
from listen.transcription.metre import countings_to_metres, measure_lateness
from listen.transcription.part_settings import PartSettings
from listen.transcription.pulse import Pulse, find_pulses, join_levels, join_unstruck, make_lengths, split_pulse
from listen.transcription.short_bars import count_bars
from listen.transcription.step_grid import find_phases, fit_slipped, let_rise
from listen.transcription.told_steps import count_told_bars

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SLIP_NATS, HESITATION_NATS, HESITATES_STEPS = 7.0, 4.0, 0.35
"""A slip; what a full hesitation takes off it; how long that is, in steps; judged."""
STRAYS_STEPS = 0.25  # so far behind a step that is struck already, a stroke lies between two and hesitates in nothing
SHORTEST_BAR_S = 0.01  # where one tempo breaks into another's first bar: a document wants bar lines that rise
SAME_BEAT_S = 0.1  # where one tempo ends and the next begins, beats nearer than this are one; judged
UP_BEGINS_NATS = 2.0  # that a tempo which begins with an upstroke costs, where its way is sure


@dataclass(frozen=True, slots=True)
class StrokeFeatures:
    """What the bars are found from, a place for each stroke.

    Parameters
    ----------
    onsets_s, levels_db : ndarray
    bass : ndarray
        How much of each stroke is low, 0..1.
    lean : ndarray
        Log-odds that it went down.
    is_change : ndarray of bool
        Whether a chord begins with it.
    returns : ndarray, optional
        Of basses: 1 for the one that the chord began with, -1 for another, else 0; 0 also where they are not known.
    """

    onsets_s: Floats
    levels_db: Floats
    bass: Floats
    lean: Floats
    is_change: NDArray[np.bool_]
    returns: Floats | None = None


@dataclass(frozen=True, slots=True)
class Grid:
    """Bars.

    Parameters
    ----------
    metres : tuple of Metre
        Best first; the first is the one that the bars are made of.
    first_bar : int
        Number of the first bar.
    bars_s, beats_s : tuple of float
        Bar lines, the end of the last bar among them; beats, from the first that is played.
    positions : tuple of GridPosition
        Of each stroke.
    hand_odds : ndarray, shape (n_strokes,)
        Log-odds of a downstroke by where the hand is in its swing.
    tempos : tuple of (float, float)
        From when on, and how many beats a minute: one more for each tempo that begins anew.
    slips : tuple of (int, float)
        Bars that are shorter than written, by how many beats (longer where less than 0): where the hand came off the
        count, or another tempo begins inside a bar.
    lengths : tuple of BarLength
        Bars that are written as long as they are: those of two beats among bars of four, and where another bar line is
        told any of whole beats.
    """

    metres: tuple[Metre, ...]
    first_bar: int
    bars_s: tuple[float, ...]
    beats_s: tuple[float, ...]
    positions: tuple[GridPosition, ...]
    hand_odds: Floats
    tempos: tuple[tuple[float, float], ...]
    slips: tuple[tuple[int, float], ...] = ()
    lengths: tuple[BarLength, ...] = ()

    @property
    def bars(self) -> Bars:
        """As a part has them."""
        return Bars(self.metres[0], self.metres, self.beats_s, self.bars_s, self.first_bar, self.lengths)

    @property
    def places(self) -> Ints:
        """The step in its bar of each stroke."""
        return np.array([position.step for position in self.positions], np.int64)


@dataclass(frozen=True, slots=True)
class _Section:
    """The bars of one tempo: its own bar lines and beats, and where its strokes lie."""

    bars_s: Floats
    beats_s: Floats
    bars: Ints  # of each stroke, from 0
    steps: Ints
    late_s: Floats
    pickup: int  # steps before its first bar line
    dropped: Mapping[int, float]  # beats, by bar
    lengths: Mapping[int, int]  # of short bars, in beats


def find_grid(features: StrokeFeatures, *, settings: PartSettings) -> Grid | None:
    """Find the bars of a row of strokes.

    Parameters
    ----------
    features : StrokeFeatures
    settings : PartSettings
        Metre, tempo and bar one, where they are told: then the rest is fitted around them.

    Returns
    -------
    Grid or None
        None in free time, and where fewer than four strokes are.
    """
    grid = _find_grid(features, settings, _tell_beat(settings))
    if grid is None or settings.tempo_bpm is None or has_told_tempo(grid, settings.tempo_bpm):
        return grid
    return _find_grid(features, settings, 0.0)  # no step fits it: as it is played, on the level nearest to it


def has_told_tempo(grid: Grid, tempo_bpm: float) -> bool:
    """Tell whether a part, or a stretch of it, is counted in the tempo that was told."""
    return any(abs(float(np.log2(bpm / tempo_bpm))) <= TOLD_OCTAVES for _, bpm in grid.tempos)


def _find_grid(features: StrokeFeatures, settings: PartSettings, beat_s: float | None) -> Grid | None:
    """Find the bars on a pulse that parts a beat; 0 for any pulse, None also for none."""
    pulses = _find_pulses(features.onsets_s.tobytes(), features.lean.tobytes(), beat_s)
    if not pulses:
        return None
    if settings.metre is not None and settings.metre[1] == 8:  # eighths that are told need a step each
        pulses = join_levels(pulses)
    if len(pulses) == 1 and not beat_s:
        told_s = [at for at in (settings.bar_one_s, *settings.bar_lines_s) if at is not None]
        pulses = (join_unstruck(pulses[0], np.array(told_s)),)
    strokes = [_count_strokes(features, pulse) for pulse in pulses]
    steps_s = [pulse.step_s for pulse in pulses]
    countings = count_told_bars(
        lambda told: choose_countings(
            strokes, steps_s, metre=settings.metre, tempo_bpm=settings.tempo_bpm, bar_steps=told
        ),
        settings,
        pulses,
    )
    if not countings:
        return None
    longest = max(range(len(pulses)), key=lambda k: len(pulses[k].steps))
    late = find_phases(features.onsets_s[_own(pulses[longest])], pulses[longest].step_times_s) - pulses[longest].steps
    metres = countings_to_metres(countings[longest], late, pulses[longest].step_s, signature=settings.metre)
    chosen = [ranked[0] for ranked in countings]
    sections = [
        _lay_bars(features.onsets_s[_own(pulse)], pulse, counting, metres[0], is_told=bool(settings.bar_lines_s))
        for pulse, counting in zip(pulses, chosen, strict=True)
    ]
    metres = (replace(metres[0], pickup_steps=sections[0].pickup), *metres[1:])
    hand = np.concatenate([one.hand_odds for one in chosen])
    tempos = [60.0 / (pulse.step_s * one.beat_steps) for pulse, one in zip(pulses, chosen, strict=True)]
    begins = [float(features.onsets_s[pulse.first]) for pulse in pulses]
    return _join(sections, metres, hand, tuple(zip(begins, tempos, strict=True)), settings.bar_one_s)


@lru_cache(maxsize=2)
def _find_pulses(onsets: bytes, lean: bytes, beat_s: float | None) -> tuple[Pulse, ...]:
    """Find the pulses once, though the bars are asked for again when more is known of the chords."""
    begin_costs = UP_BEGINS_NATS * np.tanh(np.maximum(-np.frombuffer(lean), 0.0))
    lengths_s = None if beat_s is None else make_lengths(beat_s or None)
    return find_pulses(np.frombuffer(onsets), begin_costs=begin_costs, lengths_s=lengths_s)


def _own(pulse: Pulse) -> slice:
    """Return the strokes of a tempo."""
    return slice(pulse.first, pulse.last + 1)


def _count_strokes(features: StrokeFeatures, pulse: Pulse) -> CountedStrokes:
    """Gather what the counting of one tempo listens to."""
    own = _own(pulse)
    levels = features.levels_db[own]
    weights = np.clip(10.0 ** ((levels - np.median(levels)) / 20.0), 0.3, 2.0)
    on_step = pulse.time_of(pulse.steps)
    is_stray = np.diff(pulse.steps, prepend=-1) == 0
    is_stray &= np.abs(find_phases(features.onsets_s[own], pulse.step_times_s) - pulse.steps) > STRAYS_STEPS
    struck_s = np.where(is_stray, on_step, features.onsets_s[own])
    exact = np.diff(struck_s, prepend=struck_s[0]) / np.interp(
        features.onsets_s[own], pulse.step_times_s[:-1], np.diff(pulse.step_times_s)
    )
    off = np.abs(exact - np.diff(pulse.steps, prepend=0)) / HESITATES_STEPS
    slip_costs = SLIP_NATS - HESITATION_NATS * np.clip(off, 0.0, 1.0)
    returns = np.zeros(len(levels)) if features.returns is None else features.returns[own]
    return CountedStrokes(
        pulse.steps, weights, features.bass[own], features.is_change[own], returns, features.lean[own], slip_costs
    )


def _lay_bars(onsets_s: Floats, pulse: Pulse, counting: Counting, metre: Metre, *, is_told: bool) -> _Section:
    """Lay bars over one tempo: they begin at its first full bar, or at the bar line before a pickup."""
    per_beat, n = counting.bar.per_beat, counting.bar.n_steps
    if counting.beat_steps < 1.0:
        pulse = split_pulse(pulse, round(1.0 / counting.beat_steps))
    start = int(counting.steps[0])  # steps before the first stroke
    counted = count_bars(counting, pulse.steps, is_told=is_told)
    lines, steps = counted.lines, counted.steps - start
    if (steps != pulse.steps).any():  # where the hand slipped, the grid is drawn anew
        least_slip = 1 if is_told else 2
        times_s = fit_slipped(onsets_s, steps, pulse.steps, step_s=pulse.step_s, least_slip=least_slip)
        pulse = replace(pulse, steps=steps, step_times_s=times_s)
    late = measure_lateness(find_phases(onsets_s, pulse.step_times_s) - pulse.steps, counting) * pulse.step_s
    pulse = replace(pulse, step_times_s=pulse.step_times_s + late)
    beats = np.arange(-(-start // per_beat) * per_beat, lines[-1] + 1, per_beat)
    beat, part = np.divmod(counted.steps - lines[counted.bars], per_beat)
    twelfths = part * STEPS_PER_BEAT // per_beat
    if per_beat == 3 and not metre.is_compound:  # a swung off-beat is written as a half
        twelfths = np.array([0, STEPS_PER_BEAT // 3, STEPS_PER_BEAT // 2])[part]
    times = pulse.time_of(lines - start)
    times[0] = max(float(times[0]), min(float(times[1]), float(pulse.step_times_s[0])))
    return _Section(
        times, pulse.time_of(beats - start), counted.bars, beat * STEPS_PER_BEAT + twelfths,
        onsets_s - pulse.time_of(pulse.steps), (-start % n) * STEPS_PER_BEAT // per_beat,
        counted.dropped, counted.lengths,
    )  # fmt: skip


def _join(
    sections: list[_Section],
    metres: tuple[Metre, ...],
    hand_odds: Floats,
    tempos: tuple[tuple[float, float], ...],
    bar_one_s: float | None,
) -> Grid:
    """Join the bars of all tempos: one that breaks off lasts until the next tempo's first bar line."""
    full = metres[0].steps_per_bar
    lines, beats = sections[0].bars_s.tolist(), sections[0].beats_s.tolist()
    bars = [sections[0].bars]
    dropped = defaultdict(float, sections[0].dropped)  # beats, by the index of a bar
    lengths = dict(sections[0].lengths)
    for before, after in pairwise(sections):
        # a pickup lies in the bar that broke off, where there is room for it
        shared = int(0 < after.pickup <= full - int(before.steps[-1]) - 1)
        if after.pickup and not shared:
            dropped[len(lines) - 1] += (full - after.pickup) / STEPS_PER_BEAT
        first = len(lines) - 1 - shared
        bars.append(after.bars + first)
        for bar, n_beats in after.dropped.items():
            dropped[first + bar] += n_beats
        lengths = {bar: n_beats for bar, n_beats in lengths.items() if bar < first}
        lengths |= {first + bar: n_beats for bar, n_beats in after.lengths.items()}
        lines[-1:] = after.bars_s[shared:].tolist()
        beats = [at for at in beats if at < after.beats_s[0] - SAME_BEAT_S] + after.beats_s.tolist()
    lines = let_rise(np.array(lines), least_s=SHORTEST_BAR_S).tolist()
    steps, late = (np.concatenate([getattr(one, name) for one in sections]) for name in ("steps", "late_s"))
    first_bar = 0 if sections[0].pickup else 1
    if bar_one_s is not None:
        first_bar = _number_first(lines, bar_one_s, is_short=bool(sections[0].pickup))
    every = zip(np.concatenate(bars).tolist(), steps.tolist(), late.tolist(), strict=True)
    positions = tuple(GridPosition(first_bar + bar, step, late_s) for bar, step, late_s in every)
    slips = tuple((first_bar + bar, n_beats) for bar, n_beats in sorted(dropped.items()) if n_beats)
    own = tuple(BarLength(first_bar + bar, n_beats) for bar, n_beats in lengths.items())
    return Grid(metres, first_bar, tuple(lines), tuple(beats), positions, hand_odds, tempos, slips, own)


def _number_first(lines_s: list[float], bar_one_s: float, *, is_short: bool) -> int:
    """Count from where bar one is told to begin to the first bar; a short one begins where its whole bar would."""
    lines = np.array(lines_s)
    whole = lines[1:] if is_short and len(lines) > 2 else lines
    bar_s = float(np.median(np.diff(whole)))
    begins_s = float(lines[1]) - bar_s if is_short else float(lines[0])
    n_before = round(max(begins_s - bar_one_s, 0.0) / bar_s)  # bar one may lie before what is read
    return 1 + n_before if n_before else 1 - int(np.abs(lines - bar_one_s).argmin())


def _tell_beat(settings: PartSettings) -> float | None:
    """Return the beat that is told, 0 where only bars are told, and None where nothing is."""
    if settings.tempo_bpm is not None:
        return 60.0 / settings.tempo_bpm
    told = (settings.metre, settings.bar_one_s, *settings.bar_lines_s)
    return None if all(one is None for one in told) else 0.0
