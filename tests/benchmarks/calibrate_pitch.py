"""Fit and check the calibration of an ear's pitches and bass on strums that its weights never saw.

    python -m tests.benchmarks.calibrate_pitch [--ear NAME] [--n 40]

The strums are those of the benchmark's rows (mixes of recorded single notes, soundfont renders, drawn guitars; clean,
driven, noisy, coded, off pitch) with seeds of this script's own. Lines are fitted on the even cases and judged on the
odd ones. They go through the origin (temperature scaling), so that they change no decision: the shift that likelihood
would have, -0.6, pays for false notes under a singing voice with missed octave doublings everywhere else.
Left out: the next strum within 300 ms, and notes that last 0.2 s, where the ear fails for want of sound.
"""

from __future__ import annotations

import argparse

import numpy as np
from numpy.typing import NDArray

from listen.audio import find_strums, load_ear
from listen.audio.calibration import Calibration
from listen.audio.ear import EARS
from listen.audio.trained_ear import BASS_CALIBRATION, PITCH_CALIBRATION
from listen.log_odds import logistic
from tests.benchmarks.cases import Case
from tests.benchmarks.rows import ROWS
from tests.benchmarks.scores import expected_calibration_error

SEED = 60_411
GROUPS = ("strums", "power", "notes")
LEFT_OUT = ("300 ms", "150 ms", "0.2 s")
UNSURE = 6.0  # log-odds within which a pitch is of interest: nearly all of an ear's pitches are surely silent
Pairs = tuple[NDArray[np.float64], NDArray[np.bool_]]


def fit_calibration(
    logits: NDArray[np.floating], is_true: NDArray[np.bool_], *, with_shift: bool = True
) -> Calibration:
    """Fit a calibration by maximum likelihood (Newton's method).

    Parameters
    ----------
    logits : ndarray, shape (n,)
    is_true : ndarray of bool, shape (n,)
    with_shift : bool
        Whether the line may miss the origin.

    Examples
    --------
    >>> rng = np.random.default_rng(0)
    >>> log_odds = rng.normal(0.0, 2.0, 20000)
    >>> is_true = rng.random(20000) < 1.0 / (1.0 + np.exp(-log_odds))
    >>> fitted = fit_calibration(3.0 * log_odds - 1.0, is_true)
    >>> round(fitted.slope, 2), round(fitted.shift, 1)
    (0.33, 0.3)
    """
    inputs = np.stack([logits, np.full(len(logits), float(with_shift))], axis=1).astype(np.float64)
    sign = np.where(is_true, 1.0, -1.0)

    def measure_loss(line: NDArray[np.float64]) -> float:
        return float(np.logaddexp(0.0, -sign * (inputs @ line)).sum())

    line = np.array([1.0, 0.0])
    loss = measure_loss(line)
    for _ in range(100):
        chance = logistic(inputs @ line)
        gradient = inputs.T @ (chance - is_true)
        curvature = (inputs * (chance * (1.0 - chance))[:, None]).T @ inputs + 1e-6 * np.eye(2)
        step = np.linalg.solve(curvature, gradient)
        while (shorter := measure_loss(line - step)) > loss and np.abs(step).max() > 1e-9:
            step *= 0.5  # a full Newton step overshoots where nearly all chances are 0 or 1
        line, loss = line - step, shorter
        if float(np.abs(step).max()) < 1e-7:
            break
    return Calibration(float(line[0]), float(line[1]))


def _measure_error(log_odds: NDArray[np.float64], is_true: NDArray[np.bool_]) -> float:
    return expected_calibration_error(list(zip(logistic(log_odds).tolist(), is_true.tolist(), strict=True)))


def _hear(case: Case, ear_name: str) -> tuple[Pairs, Pairs] | None:
    """Return log-odds and truth of all pitches, and of all basses."""
    strums = find_strums(case.samples, sample_rate_hz=case.sample_rate_hz)
    if not strums:
        return None
    if case.asked_s is None:
        strum = max(strums, key=lambda one: one.level_db)
    else:
        asked_s = case.asked_s
        strum = min(strums, key=lambda one: abs(one.onset_s - asked_s))
    evidence = load_ear(ear_name).hear(
        case.samples, sample_rate_hz=case.sample_rate_hz, onset_s=strum.onset_s, until_s=strum.end_s
    )
    midi = np.array([one.pitch.midi for one in evidence.pitches])
    pitch = np.array([one.log_odds for one in evidence.pitches])
    bass = np.array([one.bass_log_odds for one in evidence.pitches])
    truth = case.truth.pitches
    return (pitch, np.isin(midi, truth)), (bass, midi == min(truth))


def _gather(cases: list[Case], ear_name: str) -> tuple[Pairs, Pairs]:
    heard = [pairs for case in cases if (pairs := _hear(case, ear_name)) is not None]
    pitches, basses = zip(*heard, strict=True)

    def join(pairs: tuple[Pairs, ...]) -> Pairs:
        return np.concatenate([pair[0] for pair in pairs]), np.concatenate([pair[1] for pair in pairs])

    return join(pitches), join(basses)


def _report(name: str, fitting: Pairs, judging: Pairs, applied: Calibration) -> None:
    raw_fit, raw_judge = ((log_odds - applied.shift) / applied.slope for log_odds in (fitting[0], judging[0]))
    line = fit_calibration(raw_fit, fitting[1], with_shift=False)
    print(f"{name}: slope {line.slope:.3f}, shift {line.shift:+.3f} (in the package: {applied})")
    for title, log_odds in (("raw", raw_judge), ("in the package", judging[0]), ("fitted", line.apply(raw_judge))):
        unsure = np.abs(log_odds) < UNSURE
        sounding = log_odds > 0.0
        print(
            f"  {title:15s} error over all {_measure_error(log_odds, judging[1]):.4f}, "
            f"over those within ±{UNSURE:g} {_measure_error(log_odds[unsure], judging[1][unsure]):.4f} "
            f"(n = {unsure.sum()}), over those called sounding "
            f"{_measure_error(log_odds[sounding], judging[1][sounding]):.4f} (n = {sounding.sum()})"
        )


def main() -> None:
    """Fit, judge, print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--ear", default="")
    parser.add_argument("--n", type=int, default=40, help="cases a row")
    arguments = parser.parse_args()
    name = arguments.ear or EARS[0]
    cases: list[Case] = []
    for row in ROWS:
        if row.group in GROUPS and not any(words in row.title for words in LEFT_OUT):
            cases += row.make(row.title, SEED, range(arguments.n))
    fitting, judging = _gather(cases[::2], name), _gather(cases[1::2], name)
    print(f"ear {name}: {len(cases)} strums")
    _report("pitch", fitting[0], judging[0], PITCH_CALIBRATION if name == "trained alone" else Calibration())
    _report("bass", fitting[1], judging[1], BASS_CALIBRATION)


if __name__ == "__main__":
    main()
