"""Whether the tempo is near the one that was set and stays what it is, and bars have the beats that were set."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.judge_chords import Doubted
from listen.assessment.placing import Placed
from listen.assessment.ritardando import Ritardando
from listen.assessment.target import Score
from listen.reading import Assignment, DriftingTempo, Finding, OtherMetre, OtherTempo, TempoFrom, Tolerances

Floats = NDArray[np.float64]

TEMPO_SIGMA = 0.02  # of the logarithm of a tempo: of how well it is measured; judged
DRIFT_SHARE = 0.6
"""A tempo may change so much of what it may lie off the one that was set: 12 % of the usual 20. Students of the
benchmark that play right drift by 6 % at most, and by as much before this was said."""
SURELY = 4.0  # standard deviations that stand for what the alignment has told already; judged
LEAST_BARS = 4  # fewer tell no drift
ENDS = 2  # bars at either end that a drift is between
BEGUN_SHARE = 0.5  # it is heard from the bar on from which the tempo lies so much of the tolerance off the first


def measure_tempi(placed: Placed, score: Score, beat_s: float) -> tuple[float | None, ...]:
    """Return the tempo that was played in each stretch for which one was set, in beats a minute.

    None where it was not played, in free time, and where no run spans a beat.
    """
    if score.assignment.is_free or not beat_s:
        return (None,) * len(score.stretches)
    return tuple(_measure_stretch(placed, within) for within in _edges(score))


def _edges(score: Score) -> list[tuple[float, float]]:
    """Return from which beat to which each stretch of a tempo goes; nothing bounds the first before, the last after."""
    lines = [-np.inf, *(score.bars[first] for first, _ in score.stretches[1:]), np.inf]
    return list(pairwise(lines))


def _measure_stretch(placed: Placed, within: tuple[float, float]) -> float | None:
    slopes = []
    for run in placed.runs:
        own = run.beats[(run.beats >= within[0]) & (run.beats < within[1])]
        slopes += [pulse[1] for beat in own[::8] if (pulse := run.local_pulse(float(beat), within=within))]
    if not slopes:  # a stroke every other bar: by its first and its last
        for run in placed.runs:
            inside = (run.beats >= within[0]) & (run.beats < within[1])
            if inside.any() and np.ptp(run.beats[inside]) >= 1.0:
                slopes.append(float(np.ptp(run.times_s[inside]) / np.ptp(run.beats[inside])))
    return 60.0 / float(np.median(slopes)) if slopes else None


def judge_tempo(
    tempi: Sequence[float | None], placed: Placed, score: Score, tolerances: Tolerances,
    slowed: Ritardando | None = None,
) -> list[Doubted]:  # fmt: skip
    """Judge the tempo of each stretch for which one was set.

    What is judged is how it drifts, where it sets out near the one that was set; else how far it lies off that, or
    further on how far off the tempo that follows from the student's own at the beginning. Where it slows down to the
    end, it drifts only if it does so before that too.
    """
    found: list[Doubted] = []
    until = np.inf if slowed is None else slowed.start
    allowed = float(np.log1p(tolerances.tempo_share))
    own: float | None = None  # how far the first stretch lies off what was set
    wanted = [score.assignment.tempi_bpm[first] for first in score.set_begins]
    for at, ((since, end), set_bpm, tempo) in enumerate(zip(_edges(score), wanted, tempi, strict=True)):
        drift = _judge_drift(placed, score, tolerances, within=(since, min(end, until)))
        is_unheard = drift is None or drift.finding.probability < tolerances.ask
        if slowed is not None and is_unheard and since <= slowed.start < end:
            drift = _judge_slowing(slowed, score, tolerances)
        measure = drift.finding.measure if drift is not None else None
        is_heard = drift is not None and drift.finding.probability >= tolerances.ask
        if is_heard and set_bpm is not None and isinstance(measure, DriftingTempo):
            is_heard = abs(float(np.log(measure.from_bpm / set_bpm))) <= allowed
        if not is_heard and set_bpm is not None and tempo is not None:
            off = float(np.log(tempo / set_bpm))
            over = abs(off) - allowed if own is None else _weigh_change(off, own, DRIFT_SHARE * tolerances.tempo_share)
            own = off if own is None else own
            measure = OtherTempo(round(tempo), round(set_bpm))
            found.append(_say_tempo(placed, score, score.stretches[at][0], measure, over / TEMPO_SIGMA))
        elif drift is not None:
            found.append(drift)
    for set_for, (begin, _) in zip(score.set_begins, score.stretches, strict=True):
        if begin != set_for:
            found.append(_say_tempo(placed, score, set_for, TempoFrom(score.bar_number(begin)), SURELY))
    return found


def _weigh_change(off: float, own: float, share: float) -> float:
    """Return by how much more a tempo is off what was set than it may, where it sounds off both ways.

    One that comes nearer to what was set than the first was is no fault, nor is one that has it.
    """
    allowed, more = float(np.log1p(share)), off - own
    return abs(more) - allowed if off * more > 0.0 and abs(off) > BEGUN_SHARE * allowed else -allowed


def _say_tempo(placed: Placed, score: Score, place: int, measure: OtherTempo | TempoFrom, off: float) -> Doubted:
    """Say that a tempo, from a bar on, is another than the one that was set, so many standard deviations off."""
    doubt = Grounds("tempo", off)
    run = placed.runs[placed.visits[place]] if place and place in placed.visits else None
    time_s = placed.start_s if run is None else max(0.0, run.time_at(score.bars[place]))
    finding = Finding("tempo", score.bar_number(place), 1.0, time_s, probability=calibrate(doubt), measure=measure)
    return Doubted(finding, doubt)


def judge_metre(played: Score, assignment: Assignment, start_s: float) -> Doubted:
    """Say how many beats the bars had that were played, which are not those that were set."""
    doubt = Grounds("tempo", SURELY)
    measure = OtherMetre(played.assignment.beats_per_bar, assignment.beats_per_bar)
    finding = Finding("metre", played.bar_number(0), 1.0, start_s, probability=calibrate(doubt), measure=measure)
    return Doubted(finding, doubt)


def _judge_slowing(slowed: Ritardando, score: Score, tolerances: Tolerances) -> Doubted:
    """Judge how much slower the last bars are than those before the tempo slows down; a little is as one may."""
    end = float(slowed.run.beats[-1])
    length_s = slowed.beat_length(end - ENDS * score.assignment.beats_per_bar, end)
    off = float(np.log(length_s / slowed.beat_s)) - float(np.log1p(tolerances.tempo_share))
    doubt = Grounds("tempo", off / TEMPO_SIGMA, 1)
    place = int(np.searchsorted(score.bars, slowed.start + 1e-6, side="right")) - 1
    finding = Finding(
        "tempo", score.bar_number(place), 1.0, max(0.0, slowed.time_at(score.bars[place])),
        probability=calibrate(doubt),
        measure=DriftingTempo(
            round(60.0 / slowed.beat_s), round(60.0 / slowed.beat_length(end - 1.0, end)), is_at_end=True
        ),
    )  # fmt: skip
    return Doubted(finding, doubt)


def _judge_drift(
    placed: Placed, score: Score, tolerances: Tolerances, within: tuple[float, float]
) -> Doubted | None:  # fmt: skip
    """Judge how far the tempo changes from the first bars to the last between beats; None where too few tell it."""
    places, bpm = measure_bars(placed, score)
    begin, until = within
    lines = np.array(score.bars)
    index = places.astype(np.int64)
    inside = (lines[index] >= begin - 1e-6) & (lines[index + 1] <= until + 1e-6)
    places, bpm = places[inside], bpm[inside]
    if len(places) < LEAST_BARS:
        return None
    logs = np.log(bpm)
    change = float(np.median(logs[-ENDS:]) - np.median(logs[:ENDS]))
    slope, level = np.polyfit(places, logs, 1)
    steady = float(slope) * (places[-1] - places[0])
    spread = float(np.std(logs - slope * places - level)) / np.sqrt(len(places) / 4.0)
    allowed = float(np.log1p(DRIFT_SHARE * tolerances.tempo_share))
    least = min(abs(change), abs(steady)) if change * steady > 0.0 else 0.0
    doubt = Grounds("tempo", (least - allowed) / max(spread, TEMPO_SIGMA), 1)
    is_off = np.abs(logs - np.median(logs[:ENDS])) > BEGUN_SHARE * allowed
    begun = len(is_off) - int(np.argmin(is_off[::-1])) if not is_off.all() else 0
    place = int(places[min(begun, len(places) - 1)])
    run = placed.runs[placed.visits[place]]
    finding = Finding(
        "tempo", score.bar_number(place), 1.0, max(0.0, run.time_at(score.bars[place])), probability=calibrate(doubt),
        measure=DriftingTempo(round(float(np.median(bpm[:ENDS]))), round(float(np.median(bpm[-ENDS:])))),
    )  # fmt: skip
    return Doubted(finding, doubt)


def measure_bars(placed: Placed, score: Score) -> tuple[Floats, Floats]:
    """Return which bars have a pulse of their own, and their tempo in beats a minute."""
    found, edges = [], _edges(score)
    for place, number in sorted(placed.visits.items()):
        run, middle = placed.runs[number], 0.5 * (score.bars[place] + score.bars[place + 1])
        within = next(each for each in edges if each[0] <= middle < each[1])
        pulse = run.local_pulse(middle, within=within) if run.beats[0] <= middle <= run.beats[-1] else None
        found += [] if pulse is None else [(float(place), 60.0 / pulse[1])]
    places, bpm = zip(*found, strict=True) if found else ((), ())
    return np.array(places), np.array(bpm)
