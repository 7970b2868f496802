"""Whether the first stroke of a change is the one that was due and came late, or a later one after one left out.

A stroke is placed on the nearest cell, so that one which is late by a third of a beat stands on the next half beat, as
if it belonged there. It does belong there where the pattern that was set has a stroke, or the student's other bars do.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from listen.assessment.placing import Placed
from listen.assessment.target import Score
from listen.reading import STEPS_PER_BEAT

LEAST_BARS, LEAST_BEFORE = 3, 2  # other bars, and before a stop; fewer do not say where strokes usually lie
USUAL_SHARE, RARE_SHARE = 0.6, 0.2  # of other bars that have a stroke at a place; judged
Steps = frozenset[int]


@dataclass(frozen=True, slots=True)
class StrokePlaces:
    """Where in the bar strokes lie.

    Parameters
    ----------
    bars : tuple of float
        Where each bar begins, in beats.
    wanted : frozenset of int
        Steps at which the pattern that was set has a stroke; empty where any will do.
    played : dict of int to frozenset of int
        Index of each bar that was played to the steps at which it has strokes.
    """

    bars: tuple[float, ...]
    wanted: Steps
    played: dict[int, Steps]

    def is_moved(self, placed: Placed, stroke: int, due: float) -> bool:
        """Whether a stroke is the one that was due at a beat, and not one that stands after it anyway.

        So it is where a stroke is usual at that beat and rare where it stands, and all others of the bar are in their
        places. Or where the hand has stopped: all that comes after it lies as far off. The stroke before is in its
        place: else the hand had gone off the beat before. A last stroke that is alone in its bar is the one that was
        due in any case: whoever plays on in the pattern plays more than that.
        """
        run = placed.run_of(stroke)
        at = run.strokes.index(stroke)
        (place, step), (beside, own) = self._find(due), self._find(float(run.beats[at]))
        others = [steps for bar, steps in self.played.items() if bar != place]
        if not at or beside != place or own == step or len(others) < LEAST_BARS:
            return False
        usual, before = _find_usual(others), self._find(float(run.beats[at - 1]))[1]
        rest = self.played.get(place, frozenset()) - {own}
        if not rest and place == max(self.played):
            return {step, before} <= usual
        if own in self.wanted:
            return False
        full = [steps for steps in others if step in steps]
        is_alone = {step, before} | rest <= usual and own not in usual and _share(full, own) <= RARE_SHARE
        return is_alone or self._has_stopped(place, {step, before}, own - step)

    def _has_stopped(self, place: int, due: set[int], late: int) -> bool:
        """Whether strokes lie in their usual places before a bar, and from it on all as many steps off them."""
        before = [steps for bar, steps in self.played.items() if bar < place]
        after = [steps for bar, steps in self.played.items() if bar >= place]
        if len(before) < LEAST_BEFORE or len(after) < LEAST_BARS:
            return False
        n_steps = round((self.bars[place + 1] - self.bars[place]) * STEPS_PER_BEAT)
        old, moved = _find_usual(before), {(step + late) % n_steps for step in _find_usual(before)}
        return due <= old and not moved & old and _find_usual(after) == moved

    def _find(self, beat: float) -> tuple[int, int]:
        """Return the bar of a beat and its step there."""
        place = bisect_right(self.bars, beat + 1e-6) - 1
        return place, round((beat - self.bars[place]) * STEPS_PER_BEAT)


def _share(bars: Sequence[Steps], step: int) -> float:
    return sum(step in steps for steps in bars) / len(bars) if bars else 0.0


def _find_usual(bars: Sequence[Steps]) -> Steps:
    return frozenset(step for steps in bars for step in steps if _share(bars, step) >= USUAL_SHARE)


def find_stroke_places(placed: Placed, score: Score) -> StrokePlaces:
    """Find where in the bar strokes lie, in each bar that was played."""
    played = {}
    for place in placed.visits:
        run = placed.run_at(place, score.bars[place])
        beats = run.beats[(run.beats > score.bars[place] - 1e-6) & (run.beats < score.bars[place + 1] - 1e-6)]
        played[place] = frozenset(round((beat - score.bars[place]) * STEPS_PER_BEAT) for beat in beats.tolist())
    wanted = frozenset(stroke.step for stroke in score.assignment.pattern)
    return StrokePlaces(score.bars, wanted, {place: steps for place, steps in played.items() if steps})
