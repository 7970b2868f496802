"""Score the reading of what a person strummed: ``python -m tests.benchmarks.takes``.

Half-minutes of a steel-string guitar, each by line and by a phone, with the time and way of every stroke
(``../shared/recordings/strumming``; Murgul and Heizmann 2022); the times came from a sensor at the hand and are good
to some 60 ms, so onsets and beats are scored at ±100 ms, by mir_eval (Raffel et al. 2014). Where
``tests/benchmarks/truth`` holds a take's beats and chords, written down by hand, these are scored too.

``--strokes`` finds strokes alone, which takes seconds; ``--json`` prints an object a take.
"""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass, field
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio import STROKE_RATE_HZ, find_strokes, stream_for_strokes
from listen.reading import Part
from listen.theory import chord_to_harte
from listen.transcription import read_part_samples
from tests.benchmarks.take_truth import TakeStroke, TakeTruth, load_strokes, load_truth

RECORDINGS = Path(__file__).parents[3] / "shared" / "recordings" / "strumming"
CHANNELS = ("line", "phone")
WINDOW_S = 0.1
NEAR_S = 0.15  # a sensor's stroke may come before the chord's first sound


@dataclass(frozen=True, slots=True)
class TakeScore:
    """One take's scores.

    Parameters
    ----------
    take, channel : str
    points : dict of str to (float, float)
        What was scored: points, and out of how many.
    tempos_bpm : tuple of float
        As the part says them.
    """

    take: str
    channel: str
    points: dict[str, tuple[float, float]] = field(default_factory=dict)
    tempos_bpm: tuple[float, ...] = ()


def match(reference_s: Sequence[float], estimated_s: Sequence[float]) -> list[tuple[int, int]]:
    """Pair times within ±100 ms, as many as can be, each once."""
    import mir_eval

    if not len(reference_s) or not len(estimated_s):
        return []
    pairs = mir_eval.util.match_events(np.asarray(reference_s), np.asarray(estimated_s), WINDOW_S)
    return [(int(one), int(other)) for one, other in pairs]


def _count(
    points: dict[str, tuple[float, float]], what: str, reference_s: Sequence[float], estimated_s: Sequence[float]
) -> None:
    """Count for an F-measure: twice the pairs, out of both rows."""
    pairs = match(reference_s, estimated_s)
    points[what] = (2.0 * len(pairs), float(len(reference_s) + len(estimated_s)))


def score_strokes(take: str, channel: str) -> TakeScore:
    """Score the finding of strokes alone."""
    samples = np.concatenate(list(stream_for_strokes(_path_of(take, channel))))
    truth = load_strokes(_strokes_of(take))
    points: dict[str, tuple[float, float]] = {}
    _count(points, "onsets, F", [one.time_s for one in truth], [one.onset_s for one in find_strokes(samples)])
    return TakeScore(take, channel, points)


def score_take(take: str, channel: str) -> TakeScore:
    """Read a take as a part and score it."""
    begin = time.process_time()
    samples = np.concatenate(list(stream_for_strokes(_path_of(take, channel))))
    part = read_part_samples(samples, sample_rate_hz=STROKE_RATE_HZ)
    taken_s = time.process_time() - begin
    strokes = load_strokes(_strokes_of(take))
    points: dict[str, tuple[float, float]] = {}
    _score_strokes(part, strokes, points)
    points["takes with bars"] = (float(part.bars.metre is not None), 1.0)
    truth = load_truth(take)
    if truth is not None:
        _score_bars(part, truth, points)
        _score_names(part, truth, strokes, points)
    points["changes written"] = (float(_count_changes(part)), 1.0)
    points["CPU a second"] = (taken_s, part.recording.duration_s)
    return TakeScore(take, channel, points, () if part.bars.metre is None else (part.bars.metre.tempo_bpm,))


def _score_strokes(part: Part, truth: Sequence[TakeStroke], points: dict[str, tuple[float, float]]) -> None:
    found = [stroke for event in part.events for stroke in event.strokes if event.kind != "unread"]
    times = [one.time_s for one in truth]
    pairs = match(times, [stroke.span.start_s for stroke in found])
    points["onsets, F"] = (2.0 * len(pairs), float(len(truth) + len(found)))
    points["onsets, found"] = (float(len(pairs)), float(len(truth)))
    points["onsets, right"] = (float(len(pairs)), float(len(found)))
    right = sum(found[place].direction == truth[k].direction for k, place in pairs)
    points["direction of matched strokes"] = (float(right), float(len(pairs)))


def _score_bars(part: Part, truth: TakeTruth, points: dict[str, tuple[float, float]]) -> None:
    """Score beats and downbeats where the truth has some; what is read beyond its first and last beat is not asked."""
    _count(points, "beats, F", truth.beats_s, [at for at in part.bars.beats_s if truth.is_asked(at)])
    _count(points, "downbeats, F", truth.bars_s, [at for at in part.bars.lines_s[:-1] if truth.is_asked(at)])
    points["metre, 4/4"] = (float(part.bars.metre is not None and part.bars.metre.signature == "4/4"), 1.0)


def _score_names(
    part: Part, truth: TakeTruth, strokes: Sequence[TakeStroke], points: dict[str, tuple[float, float]]
) -> None:
    """Score the name that each stroke of the truth is given: exactly, and bass aside; and the changes."""
    spans = [span for span in part.spans if span.name is not None]
    plain = right = asked = 0
    for stroke in strokes:
        label = truth.chord_at(stroke.time_s)
        if label is None:
            continue
        asked += 1
        holding = [span for span in spans if span.span.start_s <= stroke.time_s + NEAR_S]
        name = holding[-1].name if holding else None
        heard = "N" if name is None else chord_to_harte(name.chord)
        plain += heard == label
        right += heard.split("/")[0] == label.split("/")[0]
    points["strokes with the plain name"] = (float(plain), float(asked))
    points["strokes with the name, bass aside"] = (float(right), float(asked))
    points["changes within one"] = (float(abs(_count_changes(part) - truth.n_changes) <= 1), 1.0)
    points["changes played"] = (float(truth.n_changes), 1.0)


def _count_changes(part: Part) -> int:
    names = [chord_to_harte(span.name.chord) for span in part.spans if span.name is not None]
    return sum(one != other for one, other in pairwise(names))


def _path_of(take: str, channel: str) -> Path:
    return RECORDINGS / f"{take}_{channel}.flac"


def _strokes_of(take: str) -> Path:
    return RECORDINGS / f"{take}.strums"


def print_table(scores: Sequence[TakeScore]) -> None:
    """Print a row for each score: line, phone, then each take."""
    takes = sorted({one.take for one in scores})
    groups = [(channel, [one for one in scores if one.channel == channel]) for channel in CHANNELS]
    groups += [
        (f"{take.removeprefix('strumming_')} {channel}", [o for o in scores if (o.take, o.channel) == (take, channel)])
        for take in takes
        for channel in CHANNELS
    ]
    print(f"{'':34}" + "".join(f"{name:>9}" for name, _ in groups))
    for what in dict.fromkeys(what for one in scores for what in one.points):
        cells: list[str] = []
        for _, members in groups:
            counted: NDArray[np.float64] = np.array([one.points[what] for one in members if what in one.points])
            out_of = float(counted[:, 1].sum()) if len(counted) else 0.0
            cells.append(f"{counted[:, 0].sum() / out_of:9.3f}" if out_of else f"{'–':>9}")
        print(f"{what:34}" + "".join(cells))


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--strokes", action="store_true", help="find strokes alone")
    parser.add_argument("--json", action="store_true", help="print a JSON object a take")
    arguments = parser.parse_args()
    takes = sorted(path.stem for path in RECORDINGS.glob("*.strums")) if RECORDINGS.exists() else []
    if not takes:
        print(f"There are no recordings in {RECORDINGS}, so nothing was measured.")
        return
    score = score_strokes if arguments.strokes else score_take
    scores = [score(take, channel) for take in takes for channel in CHANNELS]
    if arguments.json:
        for one in scores:
            print(json.dumps(asdict(one)))
    else:
        print_table(scores)


if __name__ == "__main__":
    main()
