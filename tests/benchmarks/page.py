"""Write ``docs/benchmark.md`` from the commands it names: ``python -m tests.benchmarks.page``.

Takes a quarter of an hour at full size; ``--n 20`` is quick. A long run may be kept with ``python -m
tests.benchmarks.strums > strums.md`` and given with ``--strums strums.md``.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
from pathlib import Path

PAGE = Path(__file__).parents[2] / "docs" / "benchmark.md"
HEAD = """# Benchmark

Written by `python -m tests.benchmarks.page`, which runs the commands below and puts what they print here. Proportions
come with Wilson's 95 % interval. Nothing here is a test: figures move with seeds, times with machines.

## What is played

* **Mixes**: strums summed from real single notes of guitars that the ear never heard (an electric pair, an archtop by
  microphone and pickup, a nylon-string guitar string by string, and short notes of a steel-string guitar string by
  string), 8 to 25 ms a string, down and up, with uneven loudness. A missing note is its neighbour resampled by at most
  two semitones. `shared/recordings` is measured only; nothing of it is in this repository.
* **Renders** with Debian's FluidR3 soundfont (MIT), and **drawn guitars**: the equations of `listen.synthesis` with
  string stiffness, decay, pluck and body drawn at random for every strum.
* **Recorded** strums of ten open chords, two guitars, anechoic and in a noisy room (Osmalskyj et al. 2012); only their
  names are known.
* Shapes: the open data of npm `@tombatossals/chords-db` 0.5.1 (MIT) over 22 qualities with inversions; *off the book*:
  shapes that a hand holds and the data does not list, two fifths of them with no chord in mind; *re-fingered*: a book
  shape's pitches at another place, where no book has them.
* What is no chord: speech (`espeak-ng`, eight languages), song, drums (FluidR3's kits and decaying modes), hum, tones,
  noise, silence, clicks; a third of them in a noisy room.

## How it is scored

Notes octave by octave; *exact pitch set* wants all of them and no other. A *label* is right when its tones (a perfect
fifth may be missing) and its bass are what sounds; it is asked only where some chord of the 22 qualities is exactly
what sounds. *Every exact reading in three*: of the readings that are equally exact (C6 and Am7), all, or three, stand
first. *The book's name* asks for the name in the data, of which there may be several equally good. *Strings* are asked
of right notes, and mean something only where the notes were sounded on the very strings of the shape. Refusals and
calibration are over whole answers; the calibration error has ten equal bins (Guo et al. 2017).

The naive way beside it: the mean of librosa's `chroma_cqt` matched to binary templates by cosine (Fujishima 1999), the
root taken for the bass.
"""

HELD = """## What was held

    python -m tests.benchmarks.held{size}

*Right*: for recorded open chords that the name first is the chord's root and quality; for careless strokes that it is
the name of what was held; for the others that it is the name of just what sounds, and no string is called silent.
Recorded chords are the half that the prices of strokes were not fitted on (two choices, how they were rounded and the
weight of faint strings, looked at it too, so its figures flatter a little); `--half set` is the other.
"""

CEILING = """## How well strings could be told at all

    python -m tests.benchmarks.string_ceiling

An oracle is given the true pitches and the stiffness of every string; it takes the stiffness that the program measures
for each note and picks, among the places that a hand can hold, the one that fits best.
"""


def _run(module: str, *arguments: str) -> str:
    command = [sys.executable, "-m", module, *arguments]
    return subprocess.run(command, check=True, capture_output=True, text=True).stdout.strip()


def main() -> None:
    """Run what was not given, and write the page."""
    parser = argparse.ArgumentParser(description="Write docs/benchmark.md.")
    parser.add_argument("--n", type=int, help="cases a row, also of what is given")
    parser.add_argument("--strums", type=Path, help="what the strums command printed earlier")
    parser.add_argument("--held", type=Path, help="what the held command printed earlier")
    given = parser.parse_args()
    size = [] if given.n is None else ["--n", str(given.n)]
    kept = given.strums.read_text(encoding="utf-8").strip() if given.strums else None
    strums = kept or _run("tests.benchmarks.strums", *size)
    held = given.held.read_text(encoding="utf-8").strip() if given.held else _run("tests.benchmarks.held", *size)
    ceiling, speed = _run("tests.benchmarks.string_ceiling", *size), _run("tests.benchmarks.speed")
    parts = [
        HEAD,
        f"## Single strums\n\n    {' '.join(['python -m tests.benchmarks.strums', *size])}\n\n{strums}\n",
        f"{HELD.format(size=' '.join(['', *size]))}\n{held}\n",
        f"{CEILING}\n{ceiling}\n",
        f"## Time and memory\n\n    python -m tests.benchmarks.speed\n\n{speed}\n",
    ]
    PAGE.write_text("\n".join(parts), encoding="utf-8")


if __name__ == "__main__":
    main()
