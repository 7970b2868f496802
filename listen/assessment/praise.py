"""What was done well, said in the same breath as what was not."""

from __future__ import annotations

from itertools import pairwise

from listen.assessment.target import Score
from listen.reading import Check

MANY = 4  # right bars in a row that are worth saying; judged


def find_praise(check: Check, score: Score) -> tuple[str, ...]:
    """Return what was done well, as sentences, the best first."""
    said: list[tuple[float, str]] = []
    kinds = {one.kind for one in check.findings}
    n_bars = len(check.bars)
    right = [bar for bar in check.bars if bar.state == "right"]
    if len(right) == n_bars:
        said.append((3.0, f"Every one of the {n_bars} bars is right."))
    elif right:
        longest = _longest_row([bar.bar for bar in right])
        if longest[1] - longest[0] + 1 >= MANY:
            said.append((2.0, f"Bars {longest[0]} to {longest[1]} are right, one after another."))
        said.append((1.0, f"{len(right)} of {n_bars} bars are right."))
    hardest = _often_right(check, score)
    if hardest:
        said.append((1.5, hardest))
    if not score.assignment.is_free and not kinds & {"late", "early", "uneven", "restart"}:
        said.append((1.8, "The changes come in time, without a stop."))
    if not kinds & {"out of tune", "setting"}:
        said.append((0.5, "The guitar is in tune."))
    return tuple(text for _, text in sorted(said, key=lambda one: -one[0]))


def _longest_row(bars: list[int]) -> tuple[int, int]:
    best = (bars[0], bars[0])
    start = bars[0]
    for before, bar in pairwise(bars):
        if bar != before + 1:
            start = bar
        if bar - start > best[1] - best[0]:
            best = (start, bar)
    return best


def _often_right(check: Check, score: Score) -> str:
    """Return the chord that was set most often and is right every time, where others are not."""
    wrong = {(one.bar, one.beat) for one in check.findings if one.kind in {"chord", "bass"}}
    if not wrong:
        return ""
    counts: dict[str, list[bool]] = {}
    for slot in score.slots:
        target = score.targets[slot.target]
        if target.is_judged:
            counts.setdefault(target.symbol, []).append((slot.bar, slot.beat) not in wrong)
    good = [(len(own), name) for name, own in counts.items() if all(own) and len(own) > 1]
    return f"{max(good)[1]} is right every time." if good else ""
