"""Score the reading of parts as people play them: ``python -m tests.benchmarks.people`` (``--quick`` for a third).

Every pattern of :mod:`tests.benchmarks.people_scenes` by every player, in surroundings that take turns, through
FluidR3, by the string model and mixed from single recorded notes in turn. Prints one table by player, by pattern and by
surroundings. The clean parts of :mod:`tests.benchmarks.part` stay beside it.
"""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from listen.reading import Part
from listen.theory import chord_to_harte
from listen.transcription import read_part_samples
from tests.benchmarks.part import GUITARS, MODELS, score_labels, score_onsets, score_setting
from tests.benchmarks.part_scenes import Scene
from tests.benchmarks.part_sound import PROGRAMS, RATE_HZ, RECORDINGS, render_recorded, render_soundfont, render_strings
from tests.benchmarks.people_scenes import PEOPLES_PATTERNS, PLAYERS, make_peoples_scene
from tests.benchmarks.surroundings import SURROUNDINGS

SEED = 510_000
BEAT_WINDOW_S = 0.1
Scores = dict[str, tuple[float, float]]


def make_peoples_parts(seed: int, *, every: int = 1) -> Iterator[tuple[str, str, Scene, NDArray[np.float32]]]:
    """Make parts: yields player, surroundings, scene and samples; with ``every`` = 3, one in three of them."""
    count = 0
    for turn, pattern in enumerate(PEOPLES_PATTERNS):
        for player in PLAYERS:
            count += 1
            if count % every:
                continue
            scene = make_peoples_scene(seed + count, player=player, pattern=pattern)
            where = list(SURROUNDINGS)[(count + turn) % len(SURROUNDINGS)]
            sound = SURROUNDINGS[where](render_in_turn(scene, count), scene, np.random.default_rng(seed + count))
            yield player, where, scene, sound


def render_in_turn(scene: Scene, count: int) -> NDArray[np.float32]:
    """Render by the means whose turn it is."""
    turn = count // len(SURROUNDINGS)
    if turn % 3 == 0:
        return render_soundfont(scene, program=PROGRAMS[turn % len(PROGRAMS)])
    if turn % 3 == 1 or not RECORDINGS.exists():
        return render_strings(scene, guitar=MODELS[turn % len(MODELS)])  # type: ignore[arg-type]
    return render_recorded(scene, guitar=GUITARS[turn % len(GUITARS)])


def score_peoples_part(scene: Scene, part: Part) -> Scores:
    """Score one part."""
    scores: Scores = {}
    score_onsets(part, scene, scores)
    found, right = scores.pop("onset found"), scores.pop("onset right")
    scores["onset F"] = (2.0 * found[0], found[1] + right[1])
    score_labels(part, scene, scores)
    score_setting(part, scene, scores, "notes")
    _score_basses(part, scene, scores)
    _score_counting(part, scene, scores)
    return scores


def _score_basses(part: Part, scene: Scene, scores: Scores) -> None:
    """Score, a truth chord at a time: is a meant bass named, and is none named where none was meant?"""
    meant = meant_right = plain = plain_right = 0
    for chord in scene.chords:
        middle_s = 0.5 * (chord.start_s + chord.end_s)
        name = next((s.name for s in part.spans if s.span.start_s <= middle_s < s.span.end_s), None)
        label = "N" if name is None else chord_to_harte(name.chord)
        if "/" in chord.label:
            meant, meant_right = meant + 1, meant_right + is_same_chord(label, chord.label)
        else:
            plain, plain_right = plain + 1, plain_right + is_same_chord(label, chord.label)
    scores["meant bass: name exact"] = (meant_right, meant)
    scores["no bass meant: name exact"] = (plain_right, plain)


def is_same_chord(label: str, other: str) -> bool:
    """Compare root, tones and bass as mir_eval reads them, however they are spelt: Db is C#, A:min/b7 is A:min7/b7."""
    import mir_eval

    (root, tones, bass), (other_root, other_tones, other_bass) = map(mir_eval.chord.encode, (label, other))
    return bool(root == other_root and bass == other_bass and np.array_equal(tones, other_tones))


def _score_counting(part: Part, scene: Scene, scores: Scores) -> None:
    """Score beats and downbeats at 100 ms, and how beats are grouped and divided."""
    import mir_eval

    beats = np.array([at for at in part.bars.beats_s if at < scene.bars_s[-1] - 0.05])
    bars = np.array([at for at in part.bars.lines_s if at < scene.bars_s[-1] - 0.1])
    truth_beats, truth_bars = np.array(scene.beats_s), np.array(scene.bars_s[:-1])
    scores["beats F"] = (_match(truth_beats, beats, mir_eval.onset.f_measure), 1.0)
    scores["downbeats F"] = (_match(truth_bars, bars, mir_eval.onset.f_measure), 1.0)
    metre = part.bars.metre
    is_right = (
        metre is not None
        and metre.beats_per_bar == scene.beats_per_bar
        and (metre.division == 3) == (scene.division == 3)
    )
    scores["metre"] = (float(is_right), 1.0)
    scores["any bars"] = (float(metre is not None), 1.0)


def _match(reference: NDArray[np.float64], estimated: NDArray[np.float64], f_measure: Callable[..., object]) -> float:
    if not len(estimated):
        return 0.0
    result = f_measure(reference, estimated, window=BEAT_WINDOW_S)
    assert isinstance(result, tuple)
    return float(result[0])


def print_scores(rows: list[tuple[str, str, str, Scores]]) -> None:
    """Print a line for each player, pattern and surroundings; a column for each score."""
    columns = ("onset F", "direction", "sevenths_inv", "majmin_inv", "meant bass: name exact",
               "no bass meant: name exact", "beats F", "downbeats F", "metre", "any bars", "capo")  # fmt: skip
    short = ("onset", "way", "7ths/b", "mm/b", "meant", "plain", "beats", "downb", "metre", "bars", "capo")
    print(f"{'':24}{'n':>4}" + "".join(f"{name:>8}" for name in short))
    for group in range(4):
        names = ["all"] if group == 3 else list(dict.fromkeys(row[group] for row in rows))
        for name in names:
            members = [row[3] for row in rows if group == 3 or row[group] == name]
            cells = []
            for column in columns:
                points = sum(scores[column][0] for scores in members if column in scores)
                out_of = sum(scores[column][1] for scores in members if column in scores)
                cells.append(f"{points / out_of:8.3f}" if out_of else f"{'–':>8}")
            print(f"{name:24}{len(members):4}" + "".join(cells))
        print()


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="one part in three")
    parser.add_argument("--every", type=int, default=0, help="one part in so many")
    parser.add_argument("--json", action="store_true", help="print a JSON object a part")
    parser.add_argument("--seed", type=int, default=SEED, help="which parts are made")
    arguments = parser.parse_args()
    rows = []
    for player, where, scene, samples in make_peoples_parts(
        arguments.seed, every=arguments.every or (3 if arguments.quick else 1)
    ):
        scores = score_peoples_part(scene, read_part_samples(samples, sample_rate_hz=RATE_HZ))
        rows.append((player, scene.pattern, where, scores))
        if arguments.json:
            row = {"player": player, "pattern": scene.pattern, "where": where, "seed": scene.seed, **scores}
            print(json.dumps(row), flush=True)
    if not arguments.json:
        print_scores(rows)


if __name__ == "__main__":
    main()
