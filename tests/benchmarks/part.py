"""Score the reading of whole parts: ``python -m tests.benchmarks.part`` (``--quick`` for a third of it).

Parts of eight bars from seeds (`part_scenes`), through FluidR3, by the string model, and mixed from single recorded
notes, at 2, 4 and 6 strokes a second. Onsets and chord labels are scored by mir_eval (Raffel et al. 2014): onsets
within 50 ms, chords by ``sevenths_inv`` weighted by time; the rest against the scene's truth.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.audio import load_ear
from listen.instrument import Fretboard, Tuning
from listen.reading import Part
from listen.theory import Pitch, chord_to_harte
from listen.transcription import PartSettings, StrumSettings, read_evidence, read_part_samples
from tests.benchmarks.part_scenes import Scene, make_scene
from tests.benchmarks.part_sound import PROGRAMS, RATE_HZ, RECORDINGS, render_recorded, render_soundfont, render_strings

GUITARS = ("notes_electric:black", "notes_archtop:acoustic", "notes_by_string_nylon:", "notes_electric:green")
MODELS = ("steel", "electric", "nylon")
RATES = (2.0, 4.0, 6.0)
SEED = 90_000
BAR_WINDOW_S = 0.07


@dataclass(frozen=True)
class Row:
    """Scores of one part."""

    source: str
    strums_per_s: float
    scores: dict[str, tuple[float, float]]  # what: (points, out of)


def make_parts(n_each: int, seed: int = SEED) -> Iterator[tuple[str, float, Scene, NDArray[np.float32]]]:
    """Make parts: for each rate so many by each kind of sound."""
    for rate in RATES:
        for k in range(n_each):
            scene = make_scene(seed + 1000 * int(rate) + k, strums_per_s=rate)
            program = PROGRAMS[k % len(PROGRAMS)]
            yield f"FluidR3 {program}", rate, scene, render_soundfont(scene, program=program)
            scene = make_scene(seed + 1000 * int(rate) + 300 + k, strums_per_s=rate)
            guitar = MODELS[k % len(MODELS)]
            yield f"model {guitar}", rate, scene, render_strings(scene, guitar=guitar)  # type: ignore[arg-type]
            if RECORDINGS.exists():
                scene = make_scene(seed + 1000 * int(rate) + 600 + k, strums_per_s=rate)
                guitar = GUITARS[k % len(GUITARS)]
                yield f"notes {guitar.split(':')[0]}", rate, scene, render_recorded(scene, guitar=guitar)


def score_part(source: str, rate: float, scene: Scene, samples: NDArray[np.float32]) -> Row:
    """Read a part, without and with its setting told, and score it."""
    begin = time.process_time()
    part = read_part_samples(samples, sample_rate_hz=RATE_HZ)
    taken = time.process_time() - begin
    scores: dict[str, tuple[float, float]] = {"cpu a second": (taken, len(samples) / RATE_HZ)}
    score_onsets(part, scene, scores)
    score_labels(part, scene, scores)
    score_setting(part, scene, scores, source)
    score_metre(part, scene, scores)
    board = Fretboard(
        Tuning(scene.guitar.tuning_name, tuple(Pitch(midi) for midi in scene.guitar.tuning)),
        capo_fret=scene.guitar.capo,
    )
    told = read_part_samples(
        samples, sample_rate_hz=RATE_HZ, settings=PartSettings(tuning=board.tuning, capo_fret=scene.guitar.capo)
    )
    _score_shapes(told, scene, scores, samples, board)
    return Row(source, rate, scores)


def score_onsets(part: Part, scene: Scene, scores: dict[str, tuple[float, float]]) -> None:
    """Score strokes: found, right, damped or not, and which way."""
    import mir_eval

    strokes = [stroke for event in part.events for stroke in event.strokes if event.kind != "unread"]
    reference = np.array([stroke.onset_s for stroke in scene.strokes])
    estimated = np.array([stroke.span.start_s for stroke in strokes])
    pairs = mir_eval.util.match_events(reference, estimated, 0.05)
    scores["onset found"] = (len(pairs), len(reference))
    scores["onset right"] = (len(pairs), len(estimated))
    hits = chords = hits_right = chords_right = 0
    directed = directed_right = spread = spread_right = 0
    for truth_place, place in pairs:
        truth, stroke = scene.strokes[truth_place], strokes[place]
        if truth.what == "x":
            hits, hits_right = hits + 1, hits_right + (stroke.kind == "muted")
        else:
            chords, chords_right = chords + 1, chords_right + (stroke.kind != "muted")
        if truth.direction is not None:
            right = stroke.direction == truth.direction
            directed, directed_right = directed + 1, directed_right + right
            if truth.spread_s >= 0.015:
                spread, spread_right = spread + 1, spread_right + right
    scores["hit told"] = (hits_right, hits)
    scores["chord not called a hit"] = (chords_right, chords)
    scores["direction"] = (directed_right, directed)
    scores["direction, spread 15 ms or more"] = (spread_right, spread)


def score_labels(part: Part, scene: Scene, scores: dict[str, tuple[float, float]]) -> None:
    """Score chord names by time, as mir_eval does."""
    import mir_eval

    reference = [(chord.start_s, chord.end_s, chord.label) for chord in scene.chords]
    spans = [span for span in part.spans if span.name is not None]
    estimated = []
    for place, span in enumerate(spans):
        end = spans[place + 1].span.start_s if place + 1 < len(spans) else span.span.end_s
        assert span.name is not None
        estimated.append((span.span.start_s, max(end, span.span.start_s + 1e-3), chord_to_harte(span.name.chord)))
    intervals = np.array([[start, end] for start, end, _ in reference])
    labels = [label for *_, label in reference]
    if not estimated:
        estimated = [(float(intervals[0, 0]), float(intervals[-1, 1]), "N")]
    est_intervals, est_labels = mir_eval.util.adjust_intervals(
        np.array([[start, end] for start, end, _ in estimated]), [label for *_, label in estimated],
        float(intervals.min()), float(intervals.max()), "N", "N",
    )  # fmt: skip
    merged, left, right = mir_eval.util.merge_labeled_intervals(intervals, labels, est_intervals, est_labels)
    durations = mir_eval.util.intervals_to_durations(merged)
    for name in ("root", "majmin_inv", "sevenths_inv"):
        points = getattr(mir_eval.chord, name)(left, right)
        counted = points >= 0
        scores[name] = (float((points * durations)[counted].sum()), float(durations[counted].sum()))


def score_setting(part: Part, scene: Scene, scores: dict[str, tuple[float, float]], source: str) -> None:
    """Score capo, tuning and offset."""
    tuning = tuple(pitch.midi for pitch in part.fretboard.tuning.open_strings)
    scores["capo"] = (float(part.fretboard.capo_fret == scene.guitar.capo), 1.0)
    scores["tuning"] = (float(tuning == scene.guitar.tuning), 1.0)
    if not source.startswith("notes"):  # recorded notes have offsets of their own
        off = (part.concert_pitch.offset_cents - scene.guitar.offset_cents + 50.0) % 100.0 - 50.0
        scores["offset within 3 cents"] = (float(abs(off) <= 3.0), 1.0)


def score_metre(part: Part, scene: Scene, scores: dict[str, tuple[float, float]]) -> None:
    """Score tempo, bar lines and beats."""
    import mir_eval

    bpm = 0.0 if part.bars.metre is None else part.bars.metre.tempo_bpm
    ratio = abs(np.log2(max(bpm, 1.0) / scene.tempo_bpm))
    scores["tempo within 4 %"] = (float(ratio < 0.06), 1.0)
    offered = [abs(np.log2(metre.tempo_bpm / scene.tempo_bpm)) < 0.06 for metre in part.bars.metres]
    scores["tempo offered"] = (float(any(offered)), 1.0)
    bars = np.array([at for at in part.bars.lines_s if at < scene.bars_s[-1] - 0.1])
    f_measure = (
        mir_eval.onset.f_measure(np.array(scene.bars_s[:-1]), bars, window=BAR_WINDOW_S)[0] if len(bars) else 0.0
    )
    scores["bar lines, F"] = (float(f_measure), 1.0)
    beats = np.array([at for at in part.bars.beats_s if at < scene.bars_s[-1] - 0.05])
    beat_f = mir_eval.beat.f_measure(np.array(scene.beats_s), beats) if len(beats) else 0.0
    scores["beats, F"] = (float(beat_f), 1.0)


def _score_shapes(
    part: Part, scene: Scene, scores: dict[str, tuple[float, float]], samples: NDArray[np.float32], board: Fretboard
) -> None:
    """Score the shapes of the path, and those of single strums read by themselves (every fourth)."""
    ear, settings = load_ear(), StrumSettings(board)
    path = alone = total = 0
    strokes = [stroke for stroke in scene.strokes if stroke.what in ("D", "U", "d", "u")]
    for place in range(0, len(strokes), 4):
        stroke = strokes[place]
        truth = scene.chords[stroke.chord].frets
        middle = stroke.onset_s + 0.03
        shape = next((s.shape for s in part.spans if s.span.start_s <= middle < s.span.end_s and s.shape), None)
        until = min([one.onset_s for one in scene.strokes if one.onset_s > stroke.onset_s], default=None)
        evidence = ear.hear(
            samples, sample_rate_hz=RATE_HZ, onset_s=stroke.onset_s, until_s=until,
            tuning_offset_cents=part.concert_pitch.offset_cents,
        )  # fmt: skip
        single = read_evidence(evidence, settings=settings).shapes
        total += 1
        path += shape is not None and shape.shape.frets == truth
        alone += bool(single) and single[0].shape.frets == truth
    scores["shape on the path"] = (path, total)
    scores["shape, strum by strum"] = (alone, total)


def print_table(rows: list[Row]) -> None:
    """Print a row for each score: all parts, by rate, by kind of sound."""
    groups: list[tuple[str, list[Row]]] = [("all", rows)]
    groups += [(f"{rate:g}/s", [row for row in rows if row.strums_per_s == rate]) for rate in RATES]
    kinds = sorted({row.source.split()[0] for row in rows})
    groups += [(kind, [row for row in rows if row.source.startswith(kind)]) for kind in kinds]
    print(f"{len(rows)} parts")
    print(f"{'':34}" + "".join(f"{name:>9}" for name, _ in groups))
    for what in rows[0].scores:
        cells = []
        for _, members in groups:
            points = sum(row.scores[what][0] for row in members if what in row.scores)
            out_of = sum(row.scores[what][1] for row in members if what in row.scores)
            cells.append(f"{points / out_of:9.3f}" if out_of else f"{'–':>9}")
        print(f"{what:34}" + "".join(cells))
    found = sum(row.scores["onset found"][0] for row in rows)
    total = sum(row.scores["onset found"][1] + row.scores["onset right"][1] for row in rows)
    print(f"{'onset F':34}{2 * found / total:9.3f}")


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true")
    parser.add_argument("--json", action="store_true", help="print a JSON object a part")
    parser.add_argument("-n", type=int, default=12, help="parts for each rate and kind of sound")
    parser.add_argument("--seed", type=int, default=SEED, help="which parts are made")
    arguments = parser.parse_args()
    rows = []
    for source, rate, scene, samples in make_parts(4 if arguments.quick else arguments.n, arguments.seed):
        row = score_part(source, rate, scene, samples)
        rows.append(row)
        if arguments.json:
            print(json.dumps({"source": source, "rate": rate, "seed": scene.seed, **row.scores}), flush=True)
    if not arguments.json:
        print_table(rows)


if __name__ == "__main__":
    main()
