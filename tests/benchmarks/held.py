"""Score what was held apart from what sounded: recorded open chords, careless strokes, and grips to be left alone.

    python -m tests.benchmarks.held [--n 40] [--rows REGEX] [--seed 1] [--half report]

Recorded open chords have their label only; prices of strokes were set on one half of them (``--half set``), the other
is reported. The other rows are made from seeds. Scores: *label* is the chord's root and quality and nothing else;
*label and bass* wants the root lowest as well; *as played* wants the name of just what sounds first, and no string of
the first shape called silent; a careless stroke wants the name of the chord that was held.
"""

from __future__ import annotations

import argparse
import json
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from tests.benchmarks import recorded_notes, simulated
from tests.benchmarks.cases import RATE_HZ, Case, Truth, random_for
from tests.benchmarks.conditions import soft_overdrive
from tests.benchmarks.draws import draw_power_chord
from tests.benchmarks.grips import (
    DRONES,
    SONG_FORMS,
    SUSPENDED,
    WITHOUT_THIRD,
    draw_careless,
    draw_triad,
    name_grip,
    one_of,
)
from tests.benchmarks.hands import frets_to_pitches
from tests.benchmarks.recorded_notes import (
    ARCHTOP_MICROPHONE,
    ARCHTOP_PICKUP,
    BLACK,
    GREEN,
    NYLON,
    RECORDINGS,
)
from tests.benchmarks.rows import Make, mix_notes, render_notes, strum_drawn_guitars
from tests.benchmarks.scores import Rate, expected_calibration_error, label_is_right, short
from tests.benchmarks.system import Answer, Named, answer_case
from tests.benchmarks.vocabulary import QUALITIES, find_exact_readings

ELECTRIC = (BLACK, GREEN)
EVERY = (*ELECTRIC, ARCHTOP_MICROPHONE, ARCHTOP_PICKUP)
CLEAN_PROGRAMS = (24, 25, 26, 27)
HALVES_SEED = 7
ROOTS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}


@dataclass(frozen=True, slots=True)
class HeldRow:
    """One row.

    Parameters
    ----------
    title : str
    kind : str
        ``"recorded"``, ``"careless"``, ``"as played"`` or ``"refused"``.
    make : callable
        (title, seed, numbers) to cases.
    """

    title: str
    kind: str
    make: Make


def take_recorded(half: str) -> Make:
    """Take one half of the recorded open chords, ``"set"`` or ``"report"``, or ``"both"``."""

    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:  # noqa: ARG001  (halves must not move)
        import soundfile

        manifest = json.loads((RECORDINGS / "manifest.json").read_text(encoding="utf-8"))
        entries = [entry for entry in manifest if entry["set"] == "strums_open_chords"]
        order = np.random.default_rng(HALVES_SEED).permutation(len(entries))
        middle = len(entries) // 2
        chosen = {"set": order[:middle], "report": order[middle:], "both": order}[half]
        cases = []
        for number in numbers:
            if number >= len(chosen):
                break
            entry = entries[chosen[number]]
            samples, rate_hz = soundfile.read(RECORDINGS / entry["file"], dtype="float32")
            root, quality = entry["harte"].split(":")
            truth = Truth("triad", root=ROOTS[root], quality={"maj": "major", "min": "minor"}[quality])
            cases.append(Case(f"{title} {entry['file']} {entry['harte']}", samples, rate_hz, truth))
        return cases

    return make


def strike_carelessly(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
    """Strike open chords of which a string or two do not sound, on drawn guitars and mixed from real notes."""
    cases = []
    for number in numbers:
        random = random_for(title, seed, number)
        drawn = draw_careless(random)
        if number % 2:
            samples, direction = simulated.strum_guitar(simulated.draw_guitar(random), drawn.sounded, random)
        else:
            guitar = (*EVERY, NYLON)[random.integers(5)]
            strum = recorded_notes.strike(guitar, drawn.sounded, random)
            samples, direction = recorded_notes.mix(strum), strum.direction
        held = name_grip(drawn.held)
        truth = Truth(
            "chord",
            frets_to_pitches(drawn.held),
            frets=drawn.held,
            strings_known=bool(number % 2),
            root=held.root,
            direction=direction,
        )
        cases.append(Case(f"{title} {number} {drawn.held} {drawn.sounded}", samples, RATE_HZ, truth))
    return cases


def strike_octaves(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
    """Strike octaves as players hold them, two or three strings, with the damped string between left out."""
    cases = []
    for number in numbers:
        random = random_for(title, seed, number)
        string, fret = int(random.integers(0, 4)), int(random.integers(1, 11))
        frets: list[int | None] = [None] * 6
        frets[string], frets[string + 2] = fret, fret + (2 if string < 2 else 3)
        drawn = tuple(frets)
        samples = recorded_notes.mix(recorded_notes.strike(EVERY[random.integers(4)], drawn, random))
        cases.append(Case(f"{title} {number} {drawn}", samples, RATE_HZ, Truth("note", frets_to_pitches(drawn))))
    return cases


def build_rows(half: str) -> tuple[HeldRow, ...]:
    """Build the rows; of the recorded chords one half."""

    def both(title: str, grips: Sequence[str]) -> tuple[HeldRow, ...]:
        draw = one_of(grips)
        return (
            HeldRow(f"{title}, mixed", "as played", mix_notes(EVERY, draw)),
            HeldRow(f"{title}, drawn guitars", "as played", strum_drawn_guitars(draw)),
        )

    return (
        HeldRow("recorded open chords", "recorded", take_recorded(half)),
        HeldRow("careless strokes", "careless", strike_carelessly),
        HeldRow("triads on three strings, mixed", "as played", mix_notes(EVERY, draw_triad)),
        HeldRow("triads on three strings, drawn guitars", "as played", strum_drawn_guitars(draw_triad)),
        HeldRow("triads on three strings, soundfont", "as played", render_notes(CLEAN_PROGRAMS, draw_triad)),
        HeldRow("power chords, mixed", "as played", mix_notes(EVERY, draw_power_chord)),
        HeldRow("power chords, overdriven", "as played", mix_notes(ELECTRIC, draw_power_chord, soft_overdrive)),
        HeldRow("power chords, drawn guitars", "as played", strum_drawn_guitars(draw_power_chord)),
        *both("grips without a third", WITHOUT_THIRD),
        *both("suspended", SUSPENDED),
        *both("forms of songs", SONG_FORMS),
        *both("drones", DRONES),
        HeldRow("octaves", "refused", strike_octaves),
    )


def score(kind: str, truth: Truth, answer: Answer) -> tuple[dict[str, bool], tuple[float, bool] | None]:
    """Score one answer; also what was said of the first name, and whether it came true."""
    if kind == "refused":
        listed = tuple(midi for midi, _ in answer.notes)
        return {"right": answer.refused is not None, "notes": listed == truth.pitches}, None
    says: Callable[[Named], bool]
    if kind == "recorded":
        tones = frozenset(QUALITIES[truth.quality or "major"])

        def says(name: Named) -> bool:
            return (name.root, name.tones) == (truth.root, tones)
    else:

        def says(name: Named) -> bool:
            return label_is_right(name, truth)

    right = [says(name) for name in answer.names]
    first = right[:1] == [True]
    marks = {"right": first, "within two": any(right[:2])}
    if kind == "recorded":
        marks["with its bass"] = first and answer.names[0].bass == truth.root
    held, silent = answer.held[0] if answer.held else ((), ())
    if kind == "careless":
        marks["shape"] = held == truth.frets
    if kind == "as played":
        marks["notes"] = tuple(midi for midi, _ in answer.notes) == truth.pitches
        exact = bool(find_exact_readings(truth.pitch_classes))
        marks["right"] = not silent and (first if exact else marks["notes"])
        if not exact:
            del marks["within two"]
    said = (_say_first(answer.names, kind), marks["right"] if kind != "as played" else first) if answer.names else None
    return marks, said


def _say_first(names: Sequence[Named], kind: str) -> float:
    """Return what was said of the first name: where the bass is not asked, of its chord over any bass."""
    if kind != "recorded":
        return names[0].probability
    return sum(one.probability for one in names if (one.root, one.tones) == (names[0].root, names[0].tones))


Scored = tuple[Case, Answer, dict[str, bool], tuple[float, bool] | None]


def run_row(row: HeldRow, *, seed: int, n: int) -> Iterator[Scored]:
    """Read and score the cases of a row."""
    for case in row.make(row.title, seed, range(n)):
        answer = answer_case(case, without_book=False)
        yield case, answer, *score(row.kind, case.truth, answer)


def render_line(title: str, marks: Sequence[dict[str, bool]], said: Sequence[tuple[float, bool]]) -> str:
    """Render one line of the table."""
    cells = []
    for mark in ("right", "within two", "with its bass", "notes", "shape"):
        asked = [one[mark] for one in marks if mark in one]
        cells.append(repr(Rate(sum(asked), len(asked))).rsplit(" of ", 1)[0] if asked else "–")
    error = short(expected_calibration_error(said)) if said else "–"
    return f"| {title} | {len(marks)} | " + " | ".join(cells) + f" | {error} |"


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--n", type=int, default=40, help="cases a row; of the recorded chords all")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rows", default="", metavar="REGEX")
    parser.add_argument("--half", choices=("set", "report", "both"), default="report")
    parser.add_argument("--misses", action="store_true", help="print the cases that are not right")
    given = parser.parse_args()
    print("| strums | n | right | within two | with its bass | notes exactly | held shape first | calibration error |")
    print("|---|---|---|---|---|---|---|---|")
    for row in build_rows(given.half):
        if not re.search(given.rows, row.title):
            continue
        found = list(run_row(row, seed=given.seed, n=10_000 if row.kind == "recorded" else given.n))
        print(render_line(row.title, [one[2] for one in found], [one[3] for one in found if one[3]]), flush=True)
        for case, answer, marks, _ in found if given.misses else ():
            if not marks["right"]:
                names = [(name.text, round(name.probability, 2)) for name in answer.names[:3]]
                print(f"  {case.name}: {answer.refused or names} {answer.held[:3]}")


if __name__ == "__main__":
    main()
