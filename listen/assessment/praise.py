"""What was done well, beside what was not."""

from __future__ import annotations

from itertools import pairwise

from listen.assessment.target import Score
from listen.reading import (
    ChangesInTime,
    Check,
    ChordAlwaysRight,
    DriftingTempo,
    EveryBarRight,
    Finding,
    GuitarInTune,
    OtherKey,
    OtherTempo,
    Praise,
    RowOfBarsRight,
    SomeBarsRight,
    TempoFrom,
)

MANY = 4  # right bars in a row that are worth saying; judged


def find_praise(check: Check, score: Score, *, is_tuning_told: bool) -> tuple[Praise, ...]:
    """Return what was done well, the best first; of the tuning nothing where too few strings tell it."""
    return _praise(
        check, always_right=_often_right(check, score), has_beats=not score.assignment.is_free,
        is_tuning_told=is_tuning_told,
    )  # fmt: skip


def renew_praise(check: Check) -> tuple[Praise | str, ...]:
    """Return what was done well after the teacher's word: bars are counted anew, so that there is one count.

    A chord that was right every time stays so unless the teacher hears otherwise; other words stay as they were. Of the
    tuning something is said where something was said of it before. Nothing is praised where nothing was judged.
    """
    if check.refused:
        return ()
    always = next((one.symbol for one in check.praise if isinstance(one, ChordAlwaysRight)), "")
    bars = {bar.bar: bar.expected.split() for bar in check.bars}
    wrong = [one for one in check.findings if one.is_said and one.kind in {"chord", "bass", "teacher"}]
    if any(always == one.expected if one.kind == "chord" else always in bars.get(one.bar, []) for one in wrong):
        always = ""
    has_beats = check.tempo_bpm is not None or ChangesInTime() in check.praise
    is_tuning_told = GuitarInTune() in check.praise or any(one.kind == "out of tune" for one in check.findings)
    kept = tuple(one for one in check.praise if isinstance(one, str))
    return kept + _praise(check, always_right=always, has_beats=has_beats, is_tuning_told=is_tuning_told)


def _praise(check: Check, *, always_right: str, has_beats: bool, is_tuning_told: bool) -> tuple[Praise, ...]:
    said: list[tuple[float, Praise]] = []
    kinds = {one.kind for one in check.findings if one.verdict != "right"}
    n_bars = sum(bar.state != "not judged" for bar in check.bars)
    right = [bar for bar in check.bars if bar.state == "right"]
    other_key = any(isinstance(one.measure, OtherKey) and one.verdict != "right" for one in check.findings)
    if other_key or "metre" in kinds:
        right = []  # bars of another key or metre are not praised as right
    if right and len(right) == n_bars and "stopped" not in kinds:
        said.append((3.0, EveryBarRight(n_bars)))
    elif right:
        longest = _longest_row([bar.bar for bar in right])
        if longest[1] - longest[0] + 1 >= MANY:
            said.append((2.0, RowOfBarsRight(*longest)))
        said.append((1.0, SomeBarsRight(len(right), n_bars)))
    if always_right:
        said.append((1.5, ChordAlwaysRight(always_right)))
    drifts = any(_is_drift(one) and one.verdict != "right" for one in check.findings)
    passed = {bar.bar for bar in check.bars if bar.start_s is not None}
    is_silent = any(one.kind == "left out" and one.bar in passed and one.verdict != "right" for one in check.findings)
    has_stopped = is_silent or kinds & {"late", "restart", "stopped"}
    if has_beats and not drifts and not has_stopped and not kinds & {"early", "uneven", "metre"}:
        said.append((1.8, ChangesInTime()))
    if is_tuning_told and not kinds & {"out of tune", "setting"}:
        said.append((0.5, GuitarInTune()))
    return tuple(praise for _, praise in sorted(said, key=lambda one: -one[0]))


def _is_drift(one: Finding) -> bool:
    """Whether the tempo is not kept: it drifts, or another one that was set further on is not taken there."""
    return isinstance(one.measure, DriftingTempo | TempoFrom) or (isinstance(one.measure, OtherTempo) and one.bar > 1)


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
    gone = {bar.bar for bar in check.bars if bar.state == "left out"}
    if not wrong:
        return ""
    counts: dict[str, list[bool]] = {}
    for slot in score.slots:
        target = score.targets[slot.target]
        if target.is_judged:
            counts.setdefault(target.symbol, []).append((slot.bar, slot.beat) not in wrong and slot.bar not in gone)
    good = [(len(own), name) for name, own in counts.items() if all(own) and len(own) > 1]
    return max(good)[1] if good else ""
