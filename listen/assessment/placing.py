"""From an alignment to rounds, visits of bars, and what happened on the way: restarts, bars left out, hesitations."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from listen.assessment.cheapest_way import OUTSIDE, Alignment
from listen.assessment.score_cells import ScoreCells
from listen.assessment.score_clock import ScoreClock
from listen.assessment.target import Score
from listen.reading import Performance

Floats = NDArray[np.float64]

WHOLE_ROUND = 0.6  # a way back to the beginning after so much of the bars is another round, else a new start
LOCAL_BEATS = 8.0  # the pulse around a place is that of the strokes so near
LEAST_LOCAL = 4
AFTERTHOUGHT_BARS = 2  # so few after the last bar that was set are no way back; judged
LEAST_BETWEEN, STILL_SHARE = 2, 0.5  # strokes in a stop, and how much of it may be silence, where it is none; judged


@dataclass(frozen=True, slots=True)
class StrokeRun:
    """Strokes that go on one after another without a jump.

    Parameters
    ----------
    strokes : tuple of int
        Indices, in time order.
    beats : ndarray, shape (n,)
        Where each lies, in beats from the first bar line.
    times_s : ndarray, shape (n,)
    beat_s : float
        Of the whole alignment, at the first tempo; 0 in free time.
    has_waited : bool
        Whether it comes after a stop.
    clock : ScoreClock
        When beats fall.
    """

    strokes: tuple[int, ...]
    beats: Floats
    times_s: Floats
    beat_s: float
    has_waited: bool = False
    clock: ScoreClock = field(default_factory=ScoreClock)

    def local_pulse(
        self, beat: float, *, until_s: float = float("inf"), within: tuple[float, float] = (-np.inf, np.inf)
    ) -> tuple[float, float] | None:
        """Return time at a beat and seconds a beat, by the strokes around it; by those before a time, where given.

        Strokes outside `within`, in beats, are not looked at. None where too few strokes are near, and in free time.
        """
        near = (np.abs(self.beats - beat) <= LOCAL_BEATS) & (self.times_s < until_s)
        near &= (self.beats >= within[0] - 1e-6) & (self.beats < within[1] - 1e-6)
        if not self.beat_s or near.sum() < LEAST_LOCAL or np.ptp(self.beats[near]) < 1.0:
            return None
        x, y = self.clock.at(self.beats[near]), self.times_s[near]
        slope, level = _fit_line(x, y)
        if not 0.7 < slope / self.beat_s < 1.4:
            slope = self.beat_s
            level = float(np.median(y - slope * x))
        return level + slope * self.clock.gone_at(beat), slope * self.clock.length_at(beat)

    def time_at(self, beat: float) -> float:
        """Return when a beat falls, the tempo carried on where no stroke is near; in free time at a stroke."""
        if not self.beat_s:
            return float(self.times_s[min(int(np.searchsorted(self.beats, beat - 1e-6)), len(self.times_s) - 1)])
        pulse = self.local_pulse(beat)
        if pulse is not None:
            return pulse[0]
        nearest = int(np.abs(self.beats - beat).argmin())
        return float(self.times_s[nearest]) + self.span_s(float(self.beats[nearest]), beat)

    def span_s(self, from_beat: float, to_beat: float) -> float:
        """Return how long it takes from one beat to another at the tempo of the whole, in seconds."""
        return (self.clock.gone_at(to_beat) - self.clock.gone_at(from_beat)) * self.beat_s


def _fit_line(x: Floats, y: Floats) -> tuple[float, float]:
    """Fit a line, once more without what lies far off it."""
    for _ in range(2):
        centre, middle = float(x.mean()), float(y.mean())
        slope = float((x - centre) @ (y - middle)) / float((x - centre) @ (x - centre))
        level = middle - slope * centre
        off = np.abs(y - level - slope * x)
        keep = off <= 2.5 * np.median(off) + 1e-3
        if keep.all() or keep.sum() < LEAST_LOCAL or np.ptp(x[keep]) < 1.0:
            break
        x, y = x[keep], y[keep]
    return slope, level


@dataclass(frozen=True, slots=True)
class Jump:
    """What happened between two runs.

    Parameters
    ----------
    kind : str
        ``"start"``, ``"round"``, ``"restart"``, ``"repeated"``, ``"left out"`` or ``"hesitation"``.
    place : int
        Index of the bar that it leads to; of the first bar left out.
    until : int
        Index after the last bar left out; else as ``place``.
    time_s : float
        When the playing goes on.
    late_s : float
        How much later than in time, for a hesitation.
    beat : float
        In the bar that it leads to, from 1.
    """

    kind: str
    place: int
    until: int
    time_s: float
    late_s: float = 0.0
    beat: float = 1.0

    @property
    def parts(self) -> int | None:
        """Index of the bar that it parts; None where it leads to a bar line, or elsewhere."""
        return self.place if self.kind == "hesitation" and self.beat > 1.0 else None


@dataclass(frozen=True, slots=True)
class Placed:
    """One round: the last visit of each bar, and the jumps on the way.

    Parameters
    ----------
    runs : tuple of StrokeRun
    jumps : tuple of Jump
        In time order.
    visits : dict of int to int
        Index of the bar to index of the run that has its last visit.
    """

    runs: tuple[StrokeRun, ...]
    jumps: tuple[Jump, ...]
    visits: dict[int, int]

    @property
    def start_s(self) -> float:
        """When it begins."""
        return float(self.runs[0].times_s[0])

    @property
    def end_s(self) -> float:
        """When its last stroke falls."""
        return float(self.runs[-1].times_s[-1])

    def strokes_in(self, place: int, start: float, end: float) -> list[int]:
        """Return the strokes of the last visit of a bar that lie from one beat to another."""
        found = []
        for run in self._runs_through(place):
            inside = (run.beats >= start - 1e-6) & (run.beats < end - 1e-6)
            found += [run.strokes[at] for at in np.flatnonzero(inside)]
        return found

    def run_at(self, place: int, beat: float) -> StrokeRun:
        """Return the run of the last visit of a bar that reaches a beat: a stop in the bar parts two."""
        runs = self._runs_through(place)
        return next((run for run in reversed(runs) if run.beats[0] <= beat + 1e-6), runs[0])

    def run_of(self, stroke: int) -> StrokeRun:
        """Return the run that a stroke belongs to."""
        return next(run for run in self.runs if stroke in run.strokes)

    def beat_of(self, stroke: int) -> float:
        """Return where a stroke lies, in beats from the first bar line."""
        run = self.run_of(stroke)
        return float(run.beats[run.strokes.index(stroke)])

    def _runs_through(self, place: int) -> list[StrokeRun]:
        """Return the runs of the last visit of a bar, one where no stop parts it."""
        last = first = self.visits[place]
        while first and self.jumps[first].parts == place:
            first -= 1
        return list(self.runs[first : last + 1])


def is_filled(placed: Placed, way: int, performance: Performance) -> bool:
    """Whether there is no stop where a jump comes late: strokes that are none of the piece go on up to it."""
    jump = placed.jumps[way]
    if jump.kind != "hesitation":
        return False
    edges_s = float(placed.runs[way - 1].times_s[-1]), jump.time_s
    between_s = [one.time_s for one in performance.strokes if one.sound >= 0 and edges_s[0] < one.time_s < edges_s[1]]
    longest_s = float(np.diff([edges_s[0], *between_s, edges_s[1]]).max())
    return len(between_s) >= LEAST_BETWEEN and longest_s < STILL_SHARE * jump.late_s


def find_rounds(score: Score, grid: ScoreCells, alignment: Alignment, times_s: Floats) -> list[Placed]:
    """Divide the strokes into rounds."""
    runs = _find_runs(alignment, times_s, grid)
    rounds: list[list[StrokeRun]] = []
    jumps: list[list[Jump]] = []
    bars = np.array(score.bars)
    for run in runs:
        first, _ = _bars_of(run, bars)
        if not rounds:
            rounds.append([run])
            jumps.append([Jump("start", first, first, float(run.times_s[0]))])
            continue
        jump = _tell_jump(rounds[-1], run, bars, score)
        reached = {bar for one in rounds[-1] for bar in range(_bars_of(one, bars)[0], _bars_of(one, bars)[1] + 1)}
        if jump.kind in {"restart", "repeated"} and first == 0 and len(reached) >= WHOLE_ROUND * (len(bars) - 1):
            rounds.append([run])
            jumps.append([Jump("round", 0, 0, float(run.times_s[0]))])
        else:
            rounds[-1].append(run)
            jumps[-1].append(jump)
    for own, on_way in zip(rounds, jumps, strict=True):
        _drop_afterthoughts(own, on_way, bars)
    _drop_begun_round(rounds, jumps, bars)
    return [_place(own, tuple(on_way), score) for own, on_way in zip(rounds, jumps, strict=True)]


def _drop_afterthoughts(runs: list[StrokeRun], jumps: list[Jump], bars: Floats) -> None:
    """Drop what is played on after the last bar was reached, where it is no more than a bar or two."""
    last = len(bars) - 2
    while len(runs) > 1 and _bars_of(runs[-2], bars)[1] == last:
        first, end = _bars_of(runs[-1], bars)
        if end - first >= AFTERTHOUGHT_BARS or end == last:
            break
        runs.pop()
        jumps.pop()


def _drop_begun_round(rounds: list[list[StrokeRun]], jumps: list[list[Jump]], bars: Floats) -> None:
    """Drop a last round that ends in its first bar or two, where the one before it was played to its end."""
    is_over = len(rounds) > 1 and _bars_of(rounds[-2][-1], bars)[1] == len(bars) - 2
    if is_over and max(_bars_of(run, bars)[1] for run in rounds[-1]) < min(AFTERTHOUGHT_BARS, len(bars) - 2):
        del rounds[-1], jumps[-1]


def _find_runs(alignment: Alignment, times_s: Floats, grid: ScoreCells) -> list[StrokeRun]:
    runs: list[list[int]] = []
    for at, cell in enumerate(alignment.cells.tolist()):
        if cell == OUTSIDE:
            continue
        if not runs or alignment.jumps[at] or alignment.waits[at] or alignment.cells[runs[-1][-1]] > cell:
            runs.append([])
        runs[-1].append(at)
    return [
        StrokeRun(
            tuple(own),
            alignment.cells[own] / grid.cells_a_beat,
            times_s[own],
            alignment.beat_s,
            bool(alignment.waits[own[0]]),
            grid.clock,
        )
        for own in runs
    ]


def _bars_of(run: StrokeRun, bars: Floats) -> tuple[int, int]:
    ends = np.searchsorted(bars, [run.beats[0] + 1e-6, run.beats[-1] + 1e-6], side="right") - 1
    return int(ends[0]), int(ends[1])


def _tell_jump(before: list[StrokeRun], run: StrokeRun, bars: Floats, score: Score) -> Jump:
    """Say what a jump was."""
    first, _ = _bars_of(run, bars)
    last = score.held_to(_bars_of(before[-1], bars)[1])
    time_s = float(run.times_s[0])
    gone_s = time_s - float(before[-1].times_s[-1])
    left, begun = float(before[-1].beats[-1]), float(run.beats[0])
    per_bar = score.assignment.beats_per_bar
    if run.has_waited or (begun > left and first - last <= 1):
        beat = begun - float(bars[first]) + 1.0
        pulse = before[-1].local_pulse(begun)
        late_s = gone_s - run.span_s(left, begun) if pulse is None else time_s - pulse[0]
        return Jump("hesitation", first, first, time_s, late_s, beat)
    if begun > left:
        return Jump("left out", last + 1, first, time_s)
    whole = left >= bars[last + 1] - 0.5 * per_bar
    in_time = gone_s < run.span_s(left, float(bars[last + 1]) + 0.5)
    kind = "repeated" if whole and in_time and begun == bars[first] else "restart"
    return Jump(kind, first, first, time_s)


def _place(runs: list[StrokeRun], jumps: tuple[Jump, ...], score: Score) -> Placed:
    """Tell in which run each bar was played last; a bar that only goes on with what was held needs no stroke."""
    visits: dict[int, int] = {}
    bars = np.array(score.bars)
    ends = [_bars_of(run, bars) for run in runs]
    for number, (first, last) in enumerate(ends):
        has_waited = number + 1 < len(runs) and runs[number + 1].has_waited
        until = ends[number + 1][0] - 1 if has_waited else score.held_to(last)
        for place in range(first, max(last, until) + 1):
            visits[place] = number
    return Placed(tuple(runs), jumps, visits)
