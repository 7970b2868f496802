"""Score weights of the trained ear by themselves, without hand or book: how its ablations were decided.

    python -m tests.benchmarks.ear_weights --n 50 base.npz other.npz
    python -m tests.benchmarks.ear_weights --n 100                      the weights in the package

The ear is told where the strum begins and, in context, where the next one does. *Strings* are of the true pitches, laid
on the places that a hand can hold by what the ear says of kinds of string and by nothing else. Wilson's 95 % intervals.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Sequence
from functools import partial
from pathlib import Path

import numpy as np

from listen.audio import find_strums
from listen.audio.ear import Ear, load_ear
from listen.audio.trained_ear import TrainedEar
from listen.audio.trained_network import TrainedNetwork
from listen.evidence import StrumEvidence
from tests.benchmarks.cases import LEAD_S, Case
from tests.benchmarks.hands import OPEN_MIDI, Frets, find_places, frets_to_pitches
from tests.benchmarks.rows import ROWS
from tests.benchmarks.scores import Rate

KINDS = ("chord", "power", "note", "nothing")
SEED = 5


def hear_case(ear: Ear, case: Case, title: str) -> StrumEvidence:
    """Hear a case where its strum begins, up to where the next one does."""
    onset_s, until_s = LEAD_S if case.asked_s is None else case.asked_s, None
    if case.truth.kind == "nothing":
        strums = find_strums(case.samples, sample_rate_hz=case.sample_rate_hz)
        onset_s = max(strums, key=lambda one: one.level_db).onset_s if strums else 0.0
    if follows := re.search(r"after (\d+) ms", title):
        until_s = onset_s + int(follows[1]) / 1000.0
    return ear.hear(case.samples, sample_rate_hz=case.sample_rate_hz, onset_s=onset_s, until_s=until_s)


def place_by_ear(heard: StrumEvidence, frets: Frets) -> Frets:
    """Lay true pitches on the place whose strings the ear likes best, among those that a hand can hold."""
    kinds = {one.pitch.midi: one.string_log_odds or (0.0,) * len(OPEN_MIDI) for one in heard.pitches}

    def weigh(place: Frets) -> float:
        return sum(kinds[OPEN_MIDI[k] + fret][k] for k, fret in enumerate(place) if fret is not None)

    return max({*find_places(frets_to_pitches(frets)), frets}, key=weigh)


def score_row(ear: Ear, title: str, cases: Sequence[Case]) -> tuple[str, float]:
    """Score one row: rendered, and its share of exact pitch sets."""
    exact = bass = strings = asked = shapes = placed = refused = 0
    for case in cases:
        heard, truth = hear_case(ear, case, title), case.truth
        refused += heard.no_chord_reason is not None
        sounding = tuple(one.pitch.midi for one in heard.pitches if one.log_odds > 0.0)
        exact += sounding == truth.pitches
        if truth.pitches:
            lowest = max(heard.pitches, key=lambda one: one.bass_log_odds).pitch.midi
            bass += lowest == truth.pitches[0]
        if truth.strings_known and truth.frets is not None:
            place = place_by_ear(heard, truth.frets)
            strings += sum(a == b for a, b in zip(place, truth.frets, strict=True) if b is not None)
            asked += sum(fret is not None for fret in truth.frets)
            shapes, placed = shapes + (place == truth.frets), placed + 1
    cells = [_cell(exact, len(cases)), _cell(bass, len(cases)), _cell(strings, asked), _cell(shapes, placed)]
    if cases[0].truth.kind == "nothing":
        cells = ["–"] * 4
    rendered = f"| {title} | {len(cases)} | " + " | ".join([*cells, _cell(refused, len(cases))]) + " |"
    return rendered, exact / len(cases)


def _cell(right: int, asked: int) -> str:
    if not asked:
        return "–"
    found = Rate(right, asked)
    low, high = found.bounds
    return f"{found.value:.3f} ({low:.3f}–{high:.3f})"


def load_weights(path: Path) -> Ear:
    """Load an ear from a file of weights."""
    with np.load(path, allow_pickle=False) as weights:
        return TrainedEar(TrainedNetwork(dict(weights)))


def main() -> None:
    """Score and print."""
    parser = argparse.ArgumentParser(description="Score weights of the trained ear by themselves.")
    parser.add_argument("weights", nargs="*", type=Path, help="by default those in the package")
    parser.add_argument("--n", type=int, default=50)
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--rows", default="", metavar="REGEX")
    given = parser.parse_args()
    loaders = {path.stem: partial(load_weights, path) for path in given.weights} or {
        f"in the package, {name}": partial(load_ear, name) for name in ("trained", "trained alone")
    }
    for name, load in loaders.items():
        ear = load()
        print(f"\n{name}\n\n| row | n | exact | bass | strings | shape | refused |\n|---|---|---|---|---|---|---|")
        exact_of_chords = []
        for row in ROWS:
            if re.search(given.rows, row.title):
                cases = row.make(row.title, given.seed, range(min(given.n, row.n)))
                if cases[0].truth.kind in KINDS:
                    rendered, exact = score_row(ear, row.title, cases)
                    print(rendered, flush=True)
                    exact_of_chords += [exact] if cases[0].truth.kind in ("chord", "power") else []
        print(f"\nexact, mean over {len(exact_of_chords)} rows of chords: {np.mean(exact_of_chords):.3f}")


if __name__ == "__main__":
    main()
