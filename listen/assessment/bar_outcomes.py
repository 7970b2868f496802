"""What came of each bar that was set, by what was found in it."""

from __future__ import annotations

from collections.abc import Sequence

from listen.assessment.placing import Placed
from listen.assessment.slots import PlayedSlot
from listen.assessment.target import Score
from listen.reading import BAR_KINDS, BarOutcome, BarState, Finding, Performance, StoppedAt

MOST_RING_S = 2.0  # for which a last stroke is heard; judged


def leave_unjudged(score: Score) -> tuple[BarOutcome, ...]:
    """Return the bars of what was not played, or is not judged."""
    return tuple(
        BarOutcome(score.bar_number(place), "not judged", _expected(score, place))
        for place in range(len(score.bars) - 1)
    )


def find_bar_outcomes(
    score: Score, placed: Placed, findings: Sequence[Finding], played: Sequence[PlayedSlot],
    tempi: Sequence[float | None], performance: Performance,
) -> tuple[BarOutcome, ...]:  # fmt: skip
    """Return what came of each bar; `tempi` are those that were played in the stretches of a tempo that were set."""
    times_s = _find_played_times(played, performance) if score.assignment.is_free else _find_times(score, placed)
    said = {one.bar for one in findings if one.settled and one.kind in BAR_KINDS}
    gone = {one.bar for one in findings if one.settled and one.kind == "left out"}
    asked = {one.bar for one in findings if not one.settled and one.kind in BAR_KINDS}
    judged = {one.slot.place for one in played if one.target.is_judged and one.sounds}
    wanted = {slot.place for slot in score.slots if score.targets[slot.target].is_judged}
    breaks_off = any(isinstance(one.measure, StoppedAt) and one.measure.breaks_off for one in findings)
    begun = {first: tempo for (first, _), tempo in zip(score.stretches, tempi, strict=True) if first}
    outcomes = []
    for place in range(len(score.bars) - 1):
        number = score.bar_number(place)
        state: BarState
        if place not in placed.visits or number in gone:
            is_beyond = breaks_off and place > max(placed.visits)  # nobody knows what was played there
            state = "not judged" if is_beyond else "left out"
        elif number in said:
            state = "finding"
        elif number in asked:
            state = "question"
        else:
            state = "right" if place in judged or place not in wanted else "not judged"
        start_s, end_s = times_s.get(place, (None, None))
        outcomes.append(BarOutcome(number, state, _expected(score, place), start_s, end_s, begun.get(place)))
    return tuple(outcomes)


def _find_times(score: Score, placed: Placed) -> dict[int, tuple[float, float]]:
    """Return from when to when each bar that was played lasts, by the student's own pulse."""
    return {
        place: (
            max(0.0, round(placed.runs[run].time_at(score.bars[place]), 3)),
            round(placed.runs[run].time_at(score.bars[place + 1]), 3),
        )
        for place, run in placed.visits.items()
    }


def _find_played_times(played: Sequence[PlayedSlot], performance: Performance) -> dict[int, tuple[float, float]]:
    """Return from when to when each bar in free time sounds: from its first stroke until its last one is over.

    Strokes that still sound the chord before belong to that.
    """
    strokes: dict[int, list[int]] = {}
    before = None
    for one in played:
        if before is not None:
            strokes[before] += one.held_over
        strokes.setdefault(one.slot.place, []).extend(at for at in one.strokes if at not in one.held_over)
        before = one.slot.place
    return {
        place: (round(performance.strokes[min(own)].time_s, 3), round(_find_end_s(max(own), performance), 3))
        for place, own in strokes.items()
        if own
    }


def _find_end_s(at: int, performance: Performance) -> float:
    """Return until when a stroke is heard: to the next one, or until it has rung for a while."""
    stroke = performance.strokes[at]
    after = [one.time_s for one in performance.strokes[at + 1 : at + 2]]
    return min(stroke.time_s + MOST_RING_S, performance.duration_s, *after)


def _expected(score: Score, place: int) -> str:
    names = [score.targets[slot.target].symbol for slot in score.slots if slot.place == place]
    return " ".join(name for at, name in enumerate(names) if at == 0 or name != names[at - 1])
