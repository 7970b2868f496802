"""What came of each bar that was set, by what was found in it."""

from __future__ import annotations

from collections.abc import Sequence

from listen.assessment.placing import Placed
from listen.assessment.slots import PlayedSlot
from listen.assessment.target import Score
from listen.reading import BAR_KINDS, BarOutcome, BarState, Finding, StoppedAt


def leave_unjudged(score: Score) -> tuple[BarOutcome, ...]:
    """Return the bars of what was not played, or is not judged."""
    return tuple(
        BarOutcome(score.bar_number(place), "not judged", _expected(score, place))
        for place in range(len(score.bars) - 1)
    )


def find_bar_outcomes(
    score: Score, placed: Placed, findings: Sequence[Finding], played: Sequence[PlayedSlot],
    tempi: Sequence[float | None],
) -> tuple[BarOutcome, ...]:  # fmt: skip
    """Return what came of each bar; `tempi` are those that were played in the stretches of a tempo that were set."""
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
        run = placed.runs[placed.visits[place]] if place in placed.visits else None
        start_s = None if run is None else max(0.0, round(run.time_at(score.bars[place]), 3))
        end_s = None if run is None else round(run.time_at(score.bars[place + 1]), 3)
        outcomes.append(BarOutcome(number, state, _expected(score, place), start_s, end_s, begun.get(place)))
    return tuple(outcomes)


def _expected(score: Score, place: int) -> str:
    names = [score.targets[slot.target].symbol for slot in score.slots if slot.place == place]
    return " ".join(name for at, name in enumerate(names) if at == 0 or name != names[at - 1])
