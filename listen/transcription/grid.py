"""The bars of a part: from the pulse and a way to count it to bar lines, and a place in the bars for each stroke."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.reading import STEPS_PER_BEAT, GridPosition, Metre
from listen.transcription.metre import CountedStrokes, Counting, countings_to_metres, measure_lateness, rank_countings
from listen.transcription.part_settings import PartSettings
from listen.transcription.pulse import LONGEST_STEP_S, SHORTEST_STEP_S, Pulse, find_pulse

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Grid:
    """Bars over a pulse.

    Parameters
    ----------
    pulse : Pulse
    counting : Counting
    metres : tuple of Metre
        Best first; the first is that of the counting.
    first_bar : int
        Number of the bar in which step 0 lies.
    """

    pulse: Pulse
    counting: Counting
    metres: tuple[Metre, ...]
    first_bar: int

    @property
    def bar_steps(self) -> NDArray[np.int64]:
        """The step that begins each bar, and the one that ends the last."""
        n = self.counting.steps_per_bar
        first = self.counting.first_bar_step % n
        start = first - n if first else 0
        last = len(self.pulse.step_times_s) - 2
        return np.arange(start, start + n * (-(-(last + 1 - start) // n)) + 1, n)

    def time_of(self, steps: NDArray[np.int64]) -> Floats:
        """Return when steps fall, also before the first and after the last."""
        times, step_s = self.pulse.step_times_s, self.pulse.step_s
        inside = times[np.clip(steps, 0, len(times) - 1)]
        beyond = np.minimum(steps, 0) + np.maximum(steps - (len(times) - 1), 0)
        return np.asarray(inside + beyond * step_s)

    @property
    def bars_s(self) -> tuple[float, ...]:
        """Bar lines; a pickup bar begins with its first stroke."""
        times = self.time_of(self.bar_steps)
        return tuple(np.maximum(times, min(times[1], self.pulse.step_times_s[0])).tolist())

    @property
    def beats_s(self) -> tuple[float, ...]:
        """Beats, from the first that is played on to the end of the last bar."""
        steps = np.arange(self.bar_steps[0], self.bar_steps[-1] + 1, self.counting.steps_per_beat)
        return tuple(self.time_of(steps[steps >= 0]).tolist())

    def position_of(self, step: int, time_s: float) -> GridPosition:
        """Return the place of a stroke in the bars."""
        bar, inside = divmod(step - int(self.bar_steps[0]), self.counting.steps_per_bar)
        beat, third = divmod(inside, self.counting.steps_per_beat)
        metre = self.metres[0]
        fraction = third * STEPS_PER_BEAT // self.counting.steps_per_beat
        if self.counting.steps_per_beat == 3 and not metre.is_compound:
            fraction = (0, STEPS_PER_BEAT // 2, STEPS_PER_BEAT // 2)[third] if third != 1 else STEPS_PER_BEAT // 3
        late_s = time_s - float(self.time_of(np.array([step]))[0])
        return GridPosition(self.first_bar + bar, beat * STEPS_PER_BEAT + fraction, late_s)


def find_grid(
    onsets_s: Floats,
    levels_db: Floats,
    bass: Floats,
    lean: Floats,
    is_change: NDArray[np.bool_],
    *,
    settings: PartSettings,
) -> Grid | None:
    """Find the bars of a row of strokes.

    Parameters
    ----------
    onsets_s, levels_db : ndarray, shape (n_strokes,)
    bass : ndarray, shape (n_strokes,)
        How much of each stroke is low, 0..1.
    lean : ndarray, shape (n_strokes,)
        Log-odds that each went down.
    is_change : ndarray of bool, shape (n_strokes,)
    settings : PartSettings
        Metre, tempo and bar one, where they are told.

    Returns
    -------
    Grid or None
        None in free time.
    """
    pulse = find_pulse(onsets_s, np.ones(len(onsets_s)), step_range_s=_step_range(settings))
    if pulse is None:
        return None
    weights = np.clip(10.0 ** ((levels_db - np.median(levels_db)) / 20.0), 0.3, 2.0)
    strokes = CountedStrokes(pulse.steps, weights, bass, is_change, lean)
    bar_step = None
    if settings.bar_one_s is not None:
        bar_step = _find_step(settings.bar_one_s, pulse)
    countings = rank_countings(
        strokes, pulse.step_s, metre=settings.metre, tempo_bpm=settings.tempo_bpm, bar_step=bar_step
    )
    if not countings:
        return None
    phases = np.interp(onsets_s, pulse.step_times_s, np.arange(len(pulse.step_times_s)))
    metres = countings_to_metres(countings, strokes, phases, pulse.step_s, signature=settings.metre)
    counting = countings[0]
    late_s = measure_lateness(phases, pulse.steps, counting) * pulse.step_s
    pulse = replace(pulse, step_times_s=pulse.step_times_s + late_s)
    first = counting.first_bar_step % counting.steps_per_bar
    first_bar = 0 if first else 1
    if bar_step is not None:
        first_bar = 1 - -(-bar_step // counting.steps_per_bar)
    return Grid(pulse, counting, metres, first_bar)


def _find_step(time_s: float, pulse: Pulse) -> int:
    """Return the step nearest to a time; bar 1 may begin before what was read."""
    times = pulse.step_times_s
    inside = float(np.interp(time_s, times, np.arange(len(times))))
    beyond_s = min(time_s - float(times[0]), 0.0) + max(time_s - float(times[-1]), 0.0)
    return round(inside + beyond_s / pulse.step_s)


def _step_range(settings: PartSettings) -> tuple[float, float]:
    """Return the lengths that a step may have: a beat of a told tempo, or a part of it."""
    if settings.tempo_bpm is None:
        return SHORTEST_STEP_S, LONGEST_STEP_S
    beat_s = 60.0 / settings.tempo_bpm
    return max(SHORTEST_STEP_S, beat_s / 4.5), min(LONGEST_STEP_S, beat_s * 1.1)
