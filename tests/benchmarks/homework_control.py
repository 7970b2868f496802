"""Recordings of a person's strumming, set as their own chords (written down by hand): nothing in them is a mistake."""

from __future__ import annotations

import json
import pickle
from bisect import bisect_right
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

from listen.assessment import judge
from listen.document import finding_words, parse_chart
from listen.theory import parse_chord
from listen.transcription import hear_performance
from tests.benchmarks.part_sound import RECORDINGS

TRUTH = Path(__file__).parent / "truth" / "strumming.json"
HALVES = 2  # changes are written to half a beat


def write_chart(truth: dict[str, Any]) -> str:
    """Return a take's truth as the chart that was set."""
    bars, beats = truth["bars_s"], truth["beats_s"]
    counts = [sum(start - 0.05 <= beat < end - 0.05 for beat in beats) for start, end in pairwise(bars)]
    per_bar = max(set(counts), key=counts.count)
    starts = [chord["start_s"] for chord in truth["chords"]]
    names = [parse_chord(chord["harte"]).text for chord in truth["chords"]]
    cells = []
    for start, end in pairwise(bars):
        places = [""] * per_bar * HALVES
        held = bisect_right(starts, start + 0.1) - 1
        if held >= 0:
            places[0] = names[held]
        for at, name in zip(starts, names, strict=True):
            if start + 0.1 < at < end - 0.1:
                place = min(round((at - start) / (end - start) * per_bar * HALVES), per_bar * HALVES - 1)
                places[place] = name
        cells.append(" ".join(_beat(places[2 * beat], places[2 * beat + 1]) for beat in range(per_bar)))
    return f"metre: {per_bar}/4\n| " + " | ".join(cells) + " |\n"


def _beat(on: str, off: str) -> str:
    return (on + (f"&{off}" if off else "")) or "."


def check_control(kept: Path | None) -> Iterator[str]:
    """Check each take against its own chords; yield a line for each, and the sum."""
    if not RECORDINGS.exists() or not TRUTH.exists():
        yield f"{RECORDINGS} is not there; nothing to check."
        return
    bars = faults = questions = refused = 0
    for name, truth in json.loads(TRUTH.read_text("utf-8")).items():
        if not name.startswith("strumming_"):
            continue
        for place in ("line", "phone"):
            path = RECORDINGS / "strumming" / f"{name}_{place}.flac"
            store = None if kept is None else kept / f"{path.stem}.pickle"
            if store is not None and store.exists():
                performance = pickle.loads(store.read_bytes())  # noqa: S301  (made by this command)
            else:
                performance = hear_performance(path)
                if store is not None:
                    store.parent.mkdir(parents=True, exist_ok=True)
                    store.write_bytes(pickle.dumps(performance))
            check = judge(performance, parse_chart(write_chart(truth))).check
            said = sorted({(one.bar, one.kind, finding_words(one)[1]) for one in check.findings if one.settled})
            asked = sorted({(one.bar, one.kind, finding_words(one)[1]) for one in check.findings if not one.settled})
            bars, refused = bars + len(check.bars), refused + bool(check.refused)
            faults += len({one[0] for one in said})
            questions += len({one[0] for one in asked})
            yield f"{path.stem:20} {len(check.bars)} bars, said {said}, asked {asked} {check.refused}"
    shares = f"said of {faults / max(bars, 1):.3f}, asked of {questions / max(bars, 1):.3f}"
    yield f"of {bars} bars: {shares}, refused {refused}"
