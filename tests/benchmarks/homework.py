"""Score the checking of homework: ``python -m tests.benchmarks.homework`` (``--n 1`` while developing).

Classes from seeds (`homework_scenes`), one student for each kind of mistake, through FluidR3, by the string model, and
mixed from single recorded notes, a third of them each. Found: the mistake is said (settled), with its kind and its bar.
A fault is something said of playing that was right, in share of the bars; a question likewise. Alignment: bars whose
beginning lies within half a beat of the truth, and F of mir_eval.beat at 70 ms on bar lines (Raffel et al. 2014).

``--keep FOLDER`` keeps what was heard, by what is played, so that judgement is set in seconds; ``--fit`` prints the
lines of calibration fitted on these seeds; score on others (``--seed``). ``--control`` sets the recordings of
`../shared/recordings/strumming` as the chords of ``tests/benchmarks/truth`` say, where those are.
``--speed N`` checks N recordings of 30 s, with one process and with two, and then again from what was kept.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import pickle
import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from listen.assessment import JudgedCheck, judge
from listen.reading import OffPitch, Performance, Tolerances
from listen.transcription import hear_performance_samples
from tests.benchmarks.homework_control import check_control
from tests.benchmarks.homework_scenes import MISTAKES, Homework, make_homework
from tests.benchmarks.homework_score import find_faults, is_found, sign_cents
from tests.benchmarks.homework_speed import measure_speed
from tests.benchmarks.part_sound import PROGRAMS, RATE_HZ, RECORDINGS, render_recorded, render_soundfont, render_strings

GUITARS = ("notes_electric:black", "notes_archtop:acoustic", "notes_by_string_nylon:", "notes_electric:green")
MODELS = ("steel", "electric", "nylon")
SEED = 2_000
BAR_WINDOW_S = 0.07
N_BINS = 10
N_DRAWS = 400
ASKED = Tolerances().ask


@dataclass
class Scores:
    """Points and out of how many, by name."""

    points: dict[str, list[tuple[float, float]]] = field(default_factory=lambda: defaultdict(list))

    def add(self, name: str, points: float, out_of: float) -> None:
        """Add a score."""
        self.points[name].append((points, out_of))

    def rows(self) -> list[tuple[str, float, float]]:
        """Each name with its share and how many it is of."""
        totals = {name: np.array(own).sum(axis=0) for name, own in self.points.items()}
        return [(name, float(total[0] / max(total[1], 1e-9)), float(total[1])) for name, total in totals.items()]


def hear_class(
    n: int, seed: int, kept: Path | None, *, hears: bool = True
) -> Iterator[tuple[str, Homework, Performance]]:
    """Make and hear n classes of one student a mistake; what was heard is kept in a folder, where one is given.

    Without `hears` students who were not heard before are passed over.
    """
    for number in range(n):
        for place, mistake in enumerate(MISTAKES):
            own = seed + 10 * number + place
            made = make_homework(own, mistake)
            sources = ["FluidR3", "model", "notes"]
            source = sources[(number + place) % 3]
            if source == "model" and mistake == "out of tune":
                source = "FluidR3"  # the model's strings have no tuning of their own
            if source == "notes" and not RECORDINGS.exists():
                source = "FluidR3"
            path = None if kept is None else kept / f"{own}-{source}-{_name_content(made, number)}.pickle"
            if path is not None and path.exists():
                performance = pickle.loads(path.read_bytes())  # noqa: S301  (made by this command)
            elif not hears:
                continue
            else:
                performance = hear_performance_samples(_render(made, source, number), sample_rate_hz=RATE_HZ)
                if path is not None:
                    path.parent.mkdir(parents=True, exist_ok=True)
                    path.write_bytes(pickle.dumps(performance))
            yield source, made, performance


def _name_content(made: Homework, number: int) -> str:
    """Return a name for what is played, so that what was heard of another scene is never taken for it."""
    return hashlib.sha256(f"{number} {made.scene!r}".encode()).hexdigest()[:12]


def _render(made: Homework, source: str, number: int) -> np.ndarray[tuple[int], np.dtype[np.float32]]:
    if source == "FluidR3":
        return render_soundfont(made.scene, program=PROGRAMS[number % len(PROGRAMS)])
    if source == "model":
        return render_strings(made.scene, guitar=MODELS[number % len(MODELS)])  # type: ignore[arg-type]
    return render_recorded(made.scene, guitar=GUITARS[number % len(GUITARS)])


def score_one(made: Homework, judged: JudgedCheck, scores: Scores, source: str) -> None:
    """Score one student."""
    import mir_eval

    check = judged.check
    for planted in made.planted:
        found = any(is_found(finding, planted) for finding in check.findings)
        asked = any(is_found(finding, planted, settled=False) for finding in check.findings)
        scores.add(f"found: {planted.kind}", found, 1)
        scores.add(f"found or asked: {planted.kind}", asked, 1)
    faults = find_faults(check, made.planted)
    n_bars = len(made.assignment.bars)
    for name in ("", f", {source}"):
        scores.add(f"right playing faulted{name}", len({one.bar for one in faults if one.settled}), n_bars)
        scores.add(f"right playing asked about{name}", len({one.bar for one in faults if not one.settled}), n_bars)
    started = {bar.bar: bar.start_s for bar in check.bars if bar.start_s is not None}
    beat_s = 60.0 / made.scene.tempo_bpm
    near = [number in started and abs(started[number] - start) < beat_s / 2 for number, start, _ in made.bars]
    groups = {"restart": "with a skip or restart", "left out": "with a skip or restart", "drift": "with a drift"}
    group = groups.get(made.mistake, "in one go")
    scores.add(f"bars aligned, {group}", sum(near), len(near))
    truth = np.array([start for _, start, _ in made.bars])
    heard = np.array(sorted(started.values()))
    f = mir_eval.beat.f_measure(truth, heard, f_measure_threshold=BAR_WINDOW_S) if len(heard) else 0.0
    scores.add("bar lines, F", float(f), 1)
    tempo = check.tempo_bpm or 1.0
    if made.mistake != "drift":
        scores.add("tempo within 4 %", float(abs(np.log(tempo / made.scene.tempo_bpm)) < 0.04), 1)
    if made.mistake == "setting":
        others = [one for one in check.findings if one.settled and one.kind != "setting"]
        scores.add("capo or tuning as one finding", float(not others and judged.shift != 0), 1)
    for one in check.findings:
        if (
            one.kind == "out of tune"
            and made.mistake == "out of tune"
            and is_found(one, made.planted[0], settled=False)
        ):
            assert isinstance(one.measure, OffPitch)
            scores.add("cents off, mean", abs(sign_cents(one.measure) - float(made.planted[0].detail)), 1)


def gather_doubts(made: Homework, judged: JudgedCheck) -> list[tuple[str, float, int, float, bool]]:
    """Return each doubt with whether it is true; doubts beside a planted mistake in its bar are left out."""
    bars = {planted.bar for planted in made.planted}
    rows: list[tuple[str, float, int, float, bool]] = []
    for one in judged.doubts:
        true = any(is_found(one.finding, planted, settled=False) for planted in made.planted)
        if true or one.finding.bar not in bars:
            rows.append((one.doubt.kind, one.doubt.value, one.doubt.n, one.finding.probability, true))
    return rows


def calibration_error(chances: np.ndarray, true: np.ndarray) -> float:
    """Return the expected calibration error of what is said or asked (Naeini et al. 2015), ten bins."""
    bins = np.minimum((chances * N_BINS).astype(int), N_BINS - 1)
    return float(
        sum(
            abs(chances[bins == each].mean() - true[bins == each].mean()) * (bins == each).mean()
            for each in np.unique(bins)
        )
    )


def chance_error(chances: np.ndarray) -> float:
    """Return how large the calibration error would be in the mean if every probability were right: few show some."""
    rng = np.random.default_rng(0)
    return float(np.mean([calibration_error(chances, rng.random(len(chances)) < chances) for _ in range(N_DRAWS)]))


def fit_lines(doubts: list[tuple[str, float, int, float, bool]]) -> dict[str, tuple[float, float]]:
    """Fit level and slope of each kind that has both true and false doubts, by maximum likelihood with a weak prior."""
    from scipy.optimize import minimize

    lines = {}
    for kind in sorted({row[0] for row in doubts}):
        own = [row for row in doubts if row[0] == kind]
        x, y = np.array([row[1] for row in own]), np.array([row[4] for row in own], float)
        if not 0 < y.sum() < len(y):
            continue

        def loss(line: np.ndarray, x: np.ndarray = x, y: np.ndarray = y) -> float:
            nats = np.clip(line[0] + line[1] * x, -30, 30)
            fit = np.logaddexp(0.0, nats) - y * nats
            return float(fit.sum() + 0.5 * ((line[0] / 3.0) ** 2 + ((line[1] - 1.0) / 0.5) ** 2))

        best = minimize(loss, np.array([0.0, 1.0])).x
        lines[kind] = (float(best[0]), float(best[1]))
    return lines


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--n", type=int, default=12, help="classes of eleven students")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--keep", type=Path, help="a folder for what was heard")
    parser.add_argument("--judge-only", action="store_true", help="judge what is kept already, hear nothing")
    parser.add_argument("--fit", action="store_true")
    parser.add_argument("--control", action="store_true")
    parser.add_argument("--speed", type=int, default=0, metavar="N")
    parser.add_argument("--verbose", action="store_true")
    asked = parser.parse_args()
    if asked.control:
        for line in check_control(asked.keep):
            print(line)
        return
    if asked.speed:
        for line in measure_speed(asked.speed):
            print(line)
        return
    scores, doubts, n_students = Scores(), [], 0
    begin = time.process_time()
    for source, made, performance in hear_class(asked.n, asked.seed, asked.keep, hears=not asked.judge_only):
        judged = judge(performance, made.assignment)
        n_students += 1
        score_one(made, judged, scores, source)
        doubts += gather_doubts(made, judged)
        if asked.verbose:
            _tell(source, made, judged)
    print(f"{n_students} students")
    for name, share, n in sorted(scores.rows()):
        print(f"{name:48} {share:6.3f}  of {n:.0f}")
    _tell_calibration([row for row in doubts if row[3] >= ASKED])
    if asked.fit:
        print(json.dumps({kind: [round(one, 2) for one in line] for kind, line in fit_lines(doubts).items()}))
    print(f"{time.process_time() - begin:.0f} s of processor time", file=sys.stderr)


def _tell_calibration(said: list[tuple[str, float, int, float, bool]]) -> None:
    """Print how often what is said or asked comes true."""
    if not said:
        return
    chances = np.array([row[3] for row in said])
    error = calibration_error(chances, np.array([row[4] for row in said], float))
    by_chance = f"{chance_error(chances):.3f} by chance, were all right"
    print(f"{'calibration error of what is said or asked':48} {error:6.3f}  of {len(said)}; {by_chance}")
    for kind in sorted({row[0] for row in said}):
        own = [row for row in said if row[0] == kind]
        mean, true = np.mean([row[3] for row in own]), np.mean([row[4] for row in own])
        print(f"    {kind:20} said with {mean:.2f}, true {true:.2f}  of {len(own)}")


def _tell(source: str, made: Homework, judged: JudgedCheck) -> None:
    print(f"{made.scene.seed} {source} {made.mistake} {made.planted} refused={judged.check.refused!r}")
    for one in judged.check.findings:
        print(f"    {'said' if one.settled else 'asked'} {one}")


if __name__ == "__main__":
    main()
