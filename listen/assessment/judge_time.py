"""Whether changes come late or early, and strokes are even.

Everything is held against the student's own pulse: the line through the strokes around.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.judge_chords import Doubted
from listen.assessment.own_stroke import find_stroke_places
from listen.assessment.placing import Placed, StrokeRun, is_filled
from listen.assessment.ritardando import Ritardando
from listen.assessment.slots import PlayedSlot
from listen.assessment.slowing import slows_to_end
from listen.assessment.target import Score
from listen.reading import (
    STEPS_PER_BEAT,
    Finding,
    FindingKind,
    OffBeat,
    Performance,
    Tolerances,
    UnevenStrokes,
)

TIME_SIGMA_MS = 40.0  # of how well a change is placed in time: onsets, the pulse, and the ear's sureness together
HELD_NATS = 2.5
"""What is set is played in most bars: so much more must strokes say that they still sound the chord before. Of five
late changes that 66 students (seeds 2000 to 2060) were told of by such strokes two were made, with 6 and 18 nats; the
others were one stroke each, in which strings of the chord before rang on, with 1.5, 1.7 and 3.1."""
LEAST_STROKES = 12  # fewer say nothing of how even they are
PULSE_BEATS = 2  # the pulse is measured so often


def judge_changes(
    played: Sequence[PlayedSlot], placed: Placed, performance: Performance, score: Score, tolerances: Tolerances,
    *, slowed: Ritardando | None = None,
) -> list[Doubted]:  # fmt: skip
    """Judge how late or early each change of chord comes.

    Where strokes go on with the chord before, or the first stroke of the new one stands where there is usually none, it
    is held against when it was due; else against its own place in the pattern, by the pulse before it, so that a stroke
    that was left out is not late. Where the tempo slows down to the end, it is held against the clock that does so too,
    and the last stroke is not judged.
    """
    habits = _find_habits(played, placed)
    places = find_stroke_places(placed, score)
    found = []
    for one in played:
        if one.before is None or not one.sounds or one.before.symbol == one.target.symbol:
            continue
        own = [
            stroke for stroke in one.strokes if stroke not in one.held_over and performance.strokes[stroke].sound >= 0
        ]
        if not own:
            continue
        run = placed.run_of(own[0])
        first_s = performance.strokes[own[0]].time_s
        if slowed is not None and first_s >= placed.end_s - 1e-3:
            continue  # the last stroke of a tempo that slows down is held back as one likes
        is_due = bool(one.held_over) or places.is_moved(placed, own[0], one.slot.start)
        due = one.slot.start if is_due else placed.beat_of(own[0])
        pulse = _find_pulse(run, due, min(first_s, one.start_s) - 1e-3, slowed)
        late_s = first_s - pulse[0]
        if one.held_over:
            late_s -= max(0.0, habits.get(one.slot.beat, 0.0)) * pulse[1]
            if late_s <= 0:
                continue
        if _is_on_curve(run, due, slowed) if late_s <= 0 else slows_to_end(placed, run, due, first_s):
            continue
        kind: FindingKind = "late" if late_s > 0 else "early"
        doubt = Grounds(kind, (1000.0 * abs(late_s) - tolerances.change_ms) / TIME_SIGMA_MS, 1 + len(one.held_over))
        held = 1.0 / (1.0 + math.exp(HELD_NATS - one.held_nats)) if one.held_over else 1.0
        finding = Finding(
            kind, one.slot.bar, one.slot.beat, max(0.0, first_s - max(0.0, late_s)),
            one.target.symbol, probability=calibrate(doubt) * held, measure=OffBeat(round(1000.0 * abs(late_s))),
        )  # fmt: skip
        found.append(Doubted(finding, doubt))
    return found


def _find_pulse(run: StrokeRun, due: float, until_s: float, slowed: Ritardando | None) -> tuple[float, float]:
    """Return when a beat is due and how long one is, by the strokes before, or by the curve of a tempo that slows."""
    if slowed is not None and _is_on_curve(run, due, slowed):
        return slowed.time_at(due), slowed.beat_length(due - 0.5, due + 0.5)
    return run.local_pulse(due, until_s=until_s) or (run.time_at(due), run.beat_s * run.clock.length_at(due))


def _is_on_curve(run: StrokeRun, due: float, slowed: Ritardando | None) -> bool:
    """Whether the tempo has begun to slow down to the end: what comes sooner than the curve says is not early."""
    return slowed is not None and run is slowed.run and due > slowed.start - 1e-6


def _find_habits(played: Sequence[PlayedSlot], placed: Placed) -> dict[float, float]:
    """Return how long after a place in the bar the first stroke comes, in beats, in most bars."""
    waits: dict[float, list[float]] = {}
    for beat in {one.slot.beat for one in played}:
        for one in {own.slot.place: own for own in played}.values():
            run = placed.run_at(one.slot.place, one.slot.start)
            at = one.slot.start - one.slot.beat + beat
            after = run.beats[(run.beats >= at - 0.1) & (run.beats < at + 2.0)]
            if len(after):
                waits.setdefault(beat, []).append(float(after[0] - at))
    return {beat: float(np.median(own)) for beat, own in waits.items()}


def judge_hesitations(
    placed: Placed, performance: Performance, score: Score, tolerances: Tolerances, known: set[int]
) -> list[Doubted]:
    """Judge stops before a bar, and what is played there instead; known late changes are left out."""
    found = []
    for way, jump in enumerate(placed.jumps):
        number = score.bar_number(jump.place)
        if jump.kind != "hesitation" or number in known:
            continue
        doubt = Grounds("late", (1000.0 * jump.late_s - tolerances.change_ms) / TIME_SIGMA_MS, 1)
        measure = OffBeat(round(1000.0 * jump.late_s), is_filled=is_filled(placed, way, performance))
        finding = Finding(
            "late", number, jump.beat, max(0.0, jump.time_s - jump.late_s),
            probability=calibrate(doubt), measure=measure,
        )  # fmt: skip
        found.append(Doubted(finding, doubt))
    return found


def judge_evenness(
    placed: Placed, score: Score, tolerances: Tolerances, slowed: Ritardando | None = None
) -> Doubted | None:
    """Judge how far strokes lie off the student's own pulse, in the mean; the usual swing is no fault.

    What slows down to the end is left out: no pulse goes there.
    """
    by_phase: dict[int, list[float]] = {}
    first_s = placed.start_s
    for run in placed.runs:
        if len(run.strokes) < LEAST_STROKES:
            continue
        pulses: dict[int, tuple[float, float] | None] = {}
        until = slowed.start if slowed is not None and run is slowed.run else np.inf
        for beat, time_s in zip(run.beats.tolist(), run.times_s.tolist(), strict=True):
            if beat >= until:
                break
            near = round(beat / PULSE_BEATS) * PULSE_BEATS
            pulse = pulses.setdefault(near, run.local_pulse(near)) if near not in pulses else pulses[near]
            if pulse is not None:
                gone = run.clock.gone_at(beat) - run.clock.gone_at(near)
                off = time_s - pulse[0] - gone * pulse[1] / run.clock.length_at(near)
                by_phase.setdefault(round(beat % 1.0 * STEPS_PER_BEAT), []).append(1000.0 * off)
    rests = [off - float(np.median(own)) for own in by_phase.values() if len(own) >= 3 for off in own]
    if len(rests) < LEAST_STROKES:
        return None
    spread = float(np.median(np.abs(rests)) * 1.4826)
    doubt = Grounds("uneven", (spread - tolerances.uneven_ms) / (0.15 * tolerances.uneven_ms), len(rests))
    finding = Finding(
        "uneven", score.bar_number(0), 1.0, first_s, probability=calibrate(doubt),
        measure=UnevenStrokes(round(spread), round(tolerances.uneven_ms)),
    )  # fmt: skip
    return Doubted(finding, doubt)
