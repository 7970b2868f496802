"""Check the hand and the search against open shape data, and print the table.

    python -m tests.benchmarks.shapes            the table
    python -m tests.benchmarks.shapes --list     and every entry that is odd, missed or fingered otherwise
    python -m tests.benchmarks.shapes --speed    how long the search for every shape of a chord takes

Source: the npm package `@tombatossals/chords-db` 0.5.1 (MIT), see tests/data/chords-db. An entry *fits* when its
tones are those of its name under the omission rules of :mod:`listen.theory.qualities` (or the whole chord without its
root) and, for a slash chord, its bass sounds lowest. Entries that do not fit are listed with what is odd, never fitted.
"""

from __future__ import annotations

import argparse
import json
import statistics
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from listen.document import reason_text
from listen.instrument import (
    WIDE_HAND,
    Fingering,
    Fretboard,
    Shape,
    best_fingering,
    find_fingerings,
    find_instrument,
)
from listen.theory import QUALITIES, Chord, Note, Pitch, parse_chord
from listen.voicing import ShapeFilters, find_shapes
from tests.benchmarks.rubric import rate_by_rubric

DATA = Path(__file__).parents[1] / "data" / "chords-db"
INSTRUMENTS = {"guitar": "standard", "ukulele": "ukulele"}

# The data's suffixes that are not symbols of the trade as they stand.
SUFFIXES = {
    "major": "",
    "minor": "m",
    "7sg": "7",
    "alt": "7alt",
    "69": "6/9",
    "m69": "m6/9",
    "aug7": "7#5",
    "aug9": "9#5",
    "7b9#5": "7(#5,b9)",
    "13b5b9": "13(b5,b9)",
    "b13b9": "7(b9,b13)",
    "b13#9": "7(#9,b13)",
    "mmaj7": "m(maj7)",
    "mmaj7b5": "dim(maj7)",
    "mmaj9": "m(maj9)",
    "mmaj11": "m(maj11)",
    "madd9": "m(add9)",
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One shape of the data.

    Parameters
    ----------
    key, suffix : str
        As the data names it.
    shape : Shape
    fingers : tuple of int
        0 where none presses.
    midi : tuple of int
        What the data says sounds, string by string.
    """

    key: str
    suffix: str
    shape: Shape
    fingers: tuple[int, ...]
    midi: tuple[int, ...]

    @property
    def name(self) -> str:
        """The name with the frets."""
        return f"{self.key} {self.suffix} {self.shape.text}"

    @property
    def chord(self) -> Chord:
        """The name as this project reads it."""
        return parse_chord(self.key + SUFFIXES.get(self.suffix, self.suffix))


@dataclass
class Report:
    """What was counted."""

    n: int = 0
    midi_equal: int = 0
    fits: int = 0
    found: int = 0
    fingers_equal: int = 0
    fingers_in_three: int = 0
    odd: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    other_fingers: list[str] = field(default_factory=list)
    efforts: list[float] = field(default_factory=list)
    rubric: list[float] = field(default_factory=list)


def load_entries(name: str) -> Iterator[Entry]:
    """Read the shapes of one instrument."""
    data = json.loads((DATA / f"{name}.json").read_text(encoding="utf-8"))
    for chords in data["chords"].values():
        for chord in chords:
            for position in chord["positions"]:
                base = position["baseFret"] - 1
                frets = tuple(None if fret < 0 else fret + base * (fret > 0) for fret in position["frets"])
                yield Entry(
                    chord["key"], chord["suffix"], Shape(frets), tuple(position["fingers"]), tuple(position["midi"])
                )


def name_oddities(entry: Entry, fretboard: Fretboard) -> list[str]:
    """Say why an entry does not sound what its name says; nothing when it does."""
    sounding = [pitch for pitch in entry.shape.pitches(fretboard) if pitch is not None]
    qualities = entry.chord.quality.members or (entry.chord.quality,)
    options = [_find_oddities(sounding, Chord(entry.chord.root, each, entry.chord.bass)) for each in qualities]
    return min(options, key=len)


def _find_oddities(sounding: list[Pitch], chord: Chord) -> list[str]:
    heard = {pitch.pitch_class for pitch in sounding}
    odd = [f"foreign tone {Pitch(60 + each).name[:-1]}" for each in sorted(heard - chord.pitch_classes)]
    needed = {tone: chord.root.above(tone).pitch_class for tone in chord.quality.required}
    missing = [tone for tone, pitch_class in needed.items() if pitch_class not in heard]
    if [tone.degree for tone in missing] != [1]:  # without its root alone it is a rootless reading
        odd += [f"lacks {tone}" for tone in missing]
    if chord.bass is not None and sounding and min(sounding).pitch_class != chord.bass.pitch_class:
        odd.append(f"{chord.bass} is not lowest")
    return odd


@cache
def _find_all(chord: Chord, fretboard: Fretboard, rootless: bool) -> frozenset[tuple[int, ...]]:
    found = find_shapes(chord, fretboard=fretboard, hand=WIDE_HAND, filters=ShapeFilters(rootless=rootless))
    return frozenset(map(tuple, found.frets.tolist()))


def is_found(entry: Entry, fretboard: Fretboard) -> bool:
    """Tell whether the search finds the shape for its name, playable at the wide reach."""
    pitches = [pitch.pitch_class for pitch in entry.shape.pitches(fretboard) if pitch is not None]
    rootless = entry.chord.root.pitch_class not in pitches
    row = tuple(-1 if fret is None else fret for fret in entry.shape.frets)
    return row in _find_all(entry.chord, fretboard, rootless)


def score_instrument(name: str, *, every: int = 1) -> Report:
    """Check the shapes of every chord of one instrument, or of one chord in so many."""
    fretboard, report = find_instrument(INSTRUMENTS[name]).fretboard(), Report()
    entries = list(load_entries(name))
    names = list(dict.fromkeys((entry.key, entry.suffix) for entry in entries))
    chosen = set(names[::every])
    for entry in entries:
        if (entry.key, entry.suffix) not in chosen:
            continue
        report.n += 1
        sounding = tuple(pitch.midi for pitch in entry.shape.pitches(fretboard) if pitch is not None)
        report.midi_equal += sounding == entry.midi
        oddities = name_oddities(entry, fretboard)
        if oddities:
            report.odd.append(f"{entry.name}: {', '.join(oddities)}")
            continue
        report.fits += 1
        if is_found(entry, fretboard):
            report.found += 1
        else:
            held = best_fingering(entry.shape, fretboard, hand=WIDE_HAND)
            report.missed.append(f"{entry.name}: {reason_text(held.reasons[0]) if not held.playable else 'not found'}")
        _score_fingers(entry, fretboard, report)
    return report


def _score_fingers(entry: Entry, fretboard: Fretboard, report: Report) -> None:
    """Compare finger numbers, and note effort beside the rubric's levels for the data's own fingers."""
    ways = find_fingerings(entry.shape, fretboard, limit=3)
    numbers = [_number(way) for way in ways]
    report.fingers_equal += numbers[0] == entry.fingers
    report.fingers_in_three += entry.fingers in numbers
    if numbers[0] != entry.fingers:
        report.other_fingers.append(f"{entry.name}: data {_join(entry.fingers)}, ours {_join(numbers[0])}")
    report.efforts.append(ways[0].effort)
    report.rubric.append(rate_by_rubric(entry.shape, entry.fingers).score)


def _number(way: Fingering) -> tuple[int, ...]:
    return tuple(finger if isinstance(finger, int) else 0 for finger in way.fingers)


def _join(fingers: tuple[int, ...]) -> str:
    return "".join(map(str, fingers))


def correlate_ranks(one: list[float], other: list[float]) -> float:
    """Return Spearman's rank correlation."""
    from scipy.stats import spearmanr

    return float(spearmanr(one, other).statistic)


def time_search() -> str:
    """Time the search of every quality on every root: 22 frets, standard tuning, warm."""
    neck = Fretboard()
    chords = [Chord(Note.plain(root), quality) for quality in QUALITIES for root in range(12)]
    find_shapes(chords[0], fretboard=neck)
    walls, cpus, counts = [], [], []
    for chord in chords:
        wall, cpu = time.perf_counter(), time.thread_time()
        counts.append(len(find_shapes(chord, fretboard=neck)))
        walls.append(1e3 * (time.perf_counter() - wall))
        cpus.append(1e3 * (time.thread_time() - cpu))
    low, high = statistics.quantiles(cpus, n=20)[0], statistics.quantiles(cpus, n=20)[-1]
    clock, core = statistics.median(walls), statistics.median(cpus)
    return (
        f"{len(chords)} chords, {statistics.median(counts):.0f} shapes each (median): {clock:.1f} ms by the clock, "
        f"{core:.1f} ms of one core (5–95 %: {low:.1f}–{high:.1f})"
    )


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument(
        "--list", action="store_true", help="list every entry that is odd, missed or fingered otherwise"
    )
    parser.add_argument("--speed", action="store_true", help="time the search instead")
    asked = parser.parse_args()
    if asked.speed:
        print(time_search())
        return
    reports = {name: score_instrument(name) for name in INSTRUMENTS}
    print(f"| {'':44} | {' | '.join(f'{name:>14}' for name in reports)} |")
    print(f"|{'-' * 46}|{'|'.join('-' * 15 + ':' for _ in reports)}|")
    rows = {
        "shapes": [str(each.n) for each in reports.values()],
        "MIDI notes equal": [f"{each.midi_equal}/{each.n}" for each in reports.values()],
        "tones fit the name": [f"{each.fits} ({each.fits / each.n:.1%})" for each in reports.values()],
        "of these found, playable at usual/wide reach": [_share(each.found, each.fits) for each in reports.values()],
        "finger numbers equal": [_share(each.fingers_equal, each.fits) for each in reports.values()],
        "data's fingers among our first three": [_share(each.fingers_in_three, each.fits) for each in reports.values()],
        "Spearman, effort against rubric": [f"{correlate_ranks(r.efforts, r.rubric):.3f}" for r in reports.values()],
    }
    for label, cells in rows.items():
        print(f"| {label:44} | {' | '.join(f'{cell:>14}' for cell in cells)} |")
    for name, report in reports.items():
        kinds = Counter(line.split(": ", 1)[1].split(" ")[0] for line in report.odd)
        print(
            f"\n{name}: {len(report.odd)} odd entries ({', '.join(f'{n} {kind}' for kind, n in kinds.most_common())})"
        )
        for title, lines in (
            ("odd", report.odd),
            ("missed", report.missed),
            ("fingered otherwise", report.other_fingers),
        ):
            if asked.list or title == "missed":
                print("\n".join(f"  {title}: {line}" for line in lines))


def _share(part: int, whole: int) -> str:
    return f"{part / whole:.3f}"


if __name__ == "__main__":
    main()
