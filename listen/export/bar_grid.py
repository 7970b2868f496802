"""The bars of a measured part as one row of steps."""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate

from listen.reading import STEPS_PER_BEAT, GridPosition, Metre, Part


class BarGrid:
    """The bars of a measured part as one row of steps."""

    def __init__(self, part: Part, metre: Metre) -> None:
        numbers = range(part.bars.first_bar, part.bars.first_bar + len(part.bars.lines_s) - 1)
        self.between = STEPS_PER_BEAT // (3 if metre.is_compound else 2)
        self.full = metre.steps_per_bar
        self.bars_s = part.bars.lines_s
        self.first_bar = part.bars.first_bar
        self.lengths = [part.bars.count_steps(number) for number in numbers]
        self.before = part.bars.count_beats(self.first_bar) * STEPS_PER_BEAT - self.lengths[0]  # in a pickup's bar
        self.offsets = [0, *accumulate(self.lengths)]

    def place(self, position: GridPosition | None, time_s: float) -> int:
        """Return the step from the first bar line, inside the bars; by the clock where there is no position."""
        if position is None:
            index = min(max(bisect_right(self.bars_s, time_s) - 1, 0), len(self.lengths) - 1)
            start_s, end_s = self.bars_s[index], self.bars_s[index + 1]
            step = round((time_s - start_s) / (end_s - start_s) * self.lengths[index])
        else:
            index, step = position.bar - self.first_bar, position.step
            if index == 0:  # a pickup is counted from where its whole bar would begin
                step -= self.before
        if not 0 <= index < len(self.lengths):
            return 0 if index < 0 else self.offsets[-1] - 1
        return min(max(self.offsets[index] + step, 0), self.offsets[-1] - 1)

    def bar_of(self, at: int) -> tuple[int, int]:
        """Return the index of the bar that a step lies in, and the bar's own first step."""
        index = min(bisect_right(self.offsets, at) - 1, len(self.lengths) - 1)
        return index, self.offsets[index]

    def next_beat(self, at: int) -> int:
        """Return the beat on which a step lies, or the next one: a bar line at the latest."""
        index, first = self.bar_of(at)
        phase = self.lengths[index] % STEPS_PER_BEAT
        inside = at - first - phase
        return min(first + phase + -(-inside // STEPS_PER_BEAT) * STEPS_PER_BEAT, self.offsets[index + 1])

    def next_bar(self, at: int) -> int:
        """Return the bar line on which a step lies, or the next one."""
        return at if at in self.offsets else self.offsets[self.bar_of(at)[0] + 1]

    def settled(self, at: int, *, is_pushed: bool, before: int) -> int:
        """Return where a chart writes a change: on a beat or between two, a pushed one on the beat that it means.

        Between two beats is half a beat, and in a compound metre a third. What lies between those belongs to the
        nearer one, and where two are as near to the beat: a sixteenth after it is late, a sixteenth before it pushed.
        It stays before the next change, or the end of the part: a chord that is struck ahead of a beat and stopped on
        it is not that beat's.
        """
        moved = self.next_beat(at)
        beat = moved - STEPS_PER_BEAT if moved > at else at
        places = range(beat, beat + STEPS_PER_BEAT + 1, self.between)
        if not is_pushed:
            moved = min(places, key=lambda place: (abs(place - at), (place - beat) % STEPS_PER_BEAT))
        if moved >= before:
            moved = max(place for place in places if place <= at)
        return max(moved, 0)
