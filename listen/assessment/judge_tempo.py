"""Whether the tempo is near the one that was set and stays what it is, and bars have the beats that were set."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.judge_chords import Doubted
from listen.assessment.placing import Placed
from listen.assessment.ritardando import Ritardando
from listen.assessment.target import Score
from listen.reading import Assignment, DriftingTempo, Finding, OtherMetre, OtherTempo, Tolerances

Floats = NDArray[np.float64]

TEMPO_SIGMA = 0.02  # of the logarithm of a tempo: of how well it is measured; judged
DRIFT_SHARE = 0.6
"""A tempo may change so much of what it may lie off the one that was set: 12 % of the usual 20. Students of the
benchmark that play right drift by 6 % at most, and by as much before this was said."""
LEAST_BARS = 4  # fewer tell no drift
ENDS = 2  # bars at either end that a drift is between
BEGUN_SHARE = 0.5  # it is heard from the bar on from which the tempo lies so much of the tolerance off the first


def measure_tempo(placed: Placed, score: Score, beat_s: float) -> float | None:
    """Return the tempo that was played, in beats a minute; None in free time, and where no run spans a beat."""
    if score.assignment.is_free or not beat_s:
        return None
    slopes = [pulse[1] for run in placed.runs for beat in run.beats[::8] if (pulse := run.local_pulse(float(beat)))]
    if not slopes:  # a stroke every other bar: by its first and its last
        slopes = [float(np.ptp(run.times_s) / np.ptp(run.beats)) for run in placed.runs if np.ptp(run.beats) >= 1.0]
    return 60.0 / float(np.median(slopes)) if slopes else None


def judge_tempo(
    tempo_bpm: float | None, placed: Placed, score: Score, tolerances: Tolerances, slowed: Ritardando | None = None
) -> Doubted | None:
    """Judge the tempo: how it drifts, where it sets out near the one that was set; else how far it lies off that.

    Where it slows down to the end, it drifts only if it does so before that too.
    """
    drift = _judge_drift(placed, score, tolerances, until=np.inf if slowed is None else slowed.start)
    if slowed is not None and (drift is None or drift.finding.probability < tolerances.ask):
        drift = _judge_slowing(slowed, score, tolerances)
    wanted = score.assignment.tempo_bpm
    allowed = float(np.log1p(tolerances.tempo_share))
    measure = drift.finding.measure if drift is not None else None
    is_heard = drift is not None and drift.finding.probability >= tolerances.ask
    if is_heard and wanted is not None and isinstance(measure, DriftingTempo):
        is_heard = abs(float(np.log(measure.from_bpm / wanted))) <= allowed
    if is_heard or wanted is None or tempo_bpm is None:
        return drift
    off = abs(float(np.log(tempo_bpm / wanted))) - allowed
    doubt = Grounds("tempo", off / TEMPO_SIGMA, 1)
    finding = Finding(
        "tempo", score.bar_number(0), 1.0, placed.start_s, probability=calibrate(doubt),
        measure=OtherTempo(round(tempo_bpm), round(wanted)),
    )  # fmt: skip
    return Doubted(finding, doubt)


def judge_metre(played: Score, assignment: Assignment, start_s: float) -> Doubted:
    """Say how many beats the bars had that were played, which are not those that were set."""
    doubt = Grounds("tempo", 4.0)
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


def _judge_drift(placed: Placed, score: Score, tolerances: Tolerances, until: float) -> Doubted | None:
    """Judge how far the tempo changes from the first bars to the last before a beat; None where too few tell it."""
    places, bpm = measure_bars(placed, score)
    is_before = np.array([score.bars[int(place) + 1] <= until + 1e-6 for place in places], bool)
    places, bpm = places[is_before], bpm[is_before]
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
    found = []
    for place, number in sorted(placed.visits.items()):
        run, middle = placed.runs[number], 0.5 * (score.bars[place] + score.bars[place + 1])
        pulse = run.local_pulse(middle) if run.beats[0] <= middle <= run.beats[-1] else None
        found += [] if pulse is None else [(float(place), 60.0 / pulse[1])]
    places, bpm = zip(*found, strict=True) if found else ((), ())
    return np.array(places), np.array(bpm)
