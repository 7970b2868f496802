"""Bars that are passed in time and in which nothing is struck, though a chord is set there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.judge_chords import Doubted
from listen.assessment.placing import Placed, StrokeRun
from listen.assessment.slots import PlayedSlot
from listen.assessment.target import Score
from listen.reading import Finding, Performance

MOST_NATS = 4.0  # as of a bar that was jumped over


def judge_silent_bars(played: Sequence[PlayedSlot], placed: Placed, score: Score) -> list[Doubted]:
    """Judge bars without a stroke that sounds.

    One stroke may have been missed by the ear: each that other bars have says a nat more. A chord that is held over
    from the bar before may ring on where no pattern was set, and in a bar in which nothing was written.
    """
    counts = [0] * len(score.assignment.bars)
    for one in played:
        counts[one.slot.place] += len(one.sounds)
    usual = float(np.median([count for count in counts if count] or [0]))
    found = []
    for place in sorted(placed.visits):
        if counts[place] or not _is_due(score, place):
            continue
        doubt = Grounds("left out", min(MOST_NATS, usual))
        time_s = placed.run_at(place, score.bars[place]).time_at(score.bars[place])
        finding = Finding(
            "left out", score.bar_number(place), 1.0, max(0.0, time_s), probability=calibrate(doubt)
        )  # fmt: skip
        found.append(Doubted(finding, doubt))
    return found


def drop_silent_end(placed: Placed, score: Score, performance: Performance) -> Placed:
    """Take away the bars that strokes without a sound alone reach after the last that has one, and these strokes.

    A hand that damps the strings, or knocks as it is put down, ends what was played: such bars are not left out on the
    way, the playing has stopped before them.
    """
    reached = max(placed.visits)
    sounding = {stroke for run in placed.runs for stroke in run.strokes if performance.strokes[stroke].sound >= 0}
    silent = []
    for place in range(reached, min(placed.visits), -1):
        if place not in placed.visits or not sounding.isdisjoint(
            placed.strokes_in(place, score.bars[place], score.bars[place + 1])
        ):
            break
        silent.append(place)
    due = [place for place in silent if _is_due(score, place)]
    if not due:
        return placed
    gone = {
        stroke
        for place in placed.visits
        if place >= min(due)
        for stroke in placed.strokes_in(place, score.bars[place], score.bars[place + 1])
    }
    left = {number: run for number, run in enumerate(placed.runs) if not gone.issuperset(run.strokes)}
    now = {number: at for at, number in enumerate(left)}
    return Placed(
        tuple(_cut_run(run, gone) for run in left.values()),
        (placed.jumps[0], *(placed.jumps[number] for number in list(left)[1:])),
        {place: now[number] for place, number in placed.visits.items() if place < min(due)},
    )


def _cut_run(run: StrokeRun, gone: set[int]) -> StrokeRun:
    kept = [at for at, stroke in enumerate(run.strokes) if stroke not in gone]
    return replace(run, strokes=tuple(run.strokes[at] for at in kept), beats=run.beats[kept], times_s=run.times_s[kept])


def _is_due(score: Score, place: int) -> bool:
    """Whether a bar sets a chord that has to be struck in it."""
    if not score.assignment.bars[place].changes:
        return False
    is_strummed = bool(score.assignment.pattern)
    for at, slot in enumerate(score.slots):
        before = score.slots[at - 1].target if at else None
        if slot.place == place and score.targets[slot.target].is_judged and (is_strummed or slot.target != before):
            return True
    return False
