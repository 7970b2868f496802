"""Score parts in grips that are to be left alone: ``python -m tests.benchmarks.grips_in_parts [-n 16]``.

Power chords and other grips without a third, suspended chords, forms of songs and drones, four to a part; then two
grips without a third among three open chords. Each is played by players who do not miss strings, by the string model
and mixed from single recorded notes in turn. *As played* wants the pitches of the grip and no others, *tones* its pitch
classes, by chords; a chord that its player struck otherwise than it is held counts all the same.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator

import numpy as np

from listen.reading import Part
from listen.transcription import read_part_samples
from tests.benchmarks.grips import DRONES, SONG_FORMS, SUSPENDED, WITHOUT_THIRD, parse_grip
from tests.benchmarks.part import GUITARS, MODELS
from tests.benchmarks.part_scenes import OPEN_FORMS, Scene
from tests.benchmarks.part_sound import RATE_HZ, RECORDINGS, render_recorded, render_strings
from tests.benchmarks.people_scenes import Form, make_peoples_scene

SEED = 270_000
PATTERNS = ("halves", "down and up in quarters", "sway", "eighths")
PLAYERS = ("steady", "swings")
ROWS = {"without a third": WITHOUT_THIRD, "suspended": SUSPENDED, "forms of songs": SONG_FORMS, "drones": DRONES}
MIXED = "two without a third, three open"


def make_parts(row: str, n: int, seed: int = SEED) -> Iterator[Scene]:
    """Make the scenes of a row; roots and names of grips are of no account, and left empty."""
    for number in range(n):
        rng = np.random.default_rng(seed + number)
        grips = rng.permutation(ROWS.get(row, WITHOUT_THIRD))[: 2 if row == MIXED else 4]
        forms: dict[str, Form] = {str(grip): (parse_grip(str(grip)), 0, "N", "") for grip in grips}
        if row == MIXED:
            opened = rng.permutation(
                [name for name, form in OPEN_FORMS.items() if form[2] in ("maj", "min") and not form[3]]
            )
            forms |= {str(name): OPEN_FORMS[str(name)] for name in opened[:3]}
        yield make_peoples_scene(
            seed + number,
            player=PLAYERS[number % len(PLAYERS)],
            pattern=PATTERNS[number // 2 % len(PATTERNS)],
            forms=forms,
        )


def score_part(scene: Scene, part: Part) -> tuple[int, int, int]:
    """Count chords read as they were played, those with the right tones, and all."""
    exact = tones = 0
    for chord in scene.chords:
        middle_s = 0.5 * (chord.start_s + chord.end_s)
        span = next((one for one in part.spans if one.span.start_s <= middle_s < one.span.end_s), None)
        found = set() if span is None else {note.pitch.midi for note in span.notes}
        held = {
            midi + scene.guitar.capo + fret
            for midi, fret in zip(scene.guitar.tuning, chord.frets, strict=True)
            if fret is not None
        }
        exact += found == held
        tones += {midi % 12 for midi in found} == {midi % 12 for midi in held}
    return exact, tones, len(scene.chords)


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("-n", type=int, default=16, help="parts a row")
    parser.add_argument("--seed", type=int, default=SEED)
    given = parser.parse_args()
    print(f"{'':34}{'chords':>8}{'as played':>11}{'tones':>8}")
    for row in (*ROWS, MIXED):
        counts = np.zeros(3, int)
        for number, scene in enumerate(make_parts(row, given.n, given.seed)):
            if number % 4 < 2 or not RECORDINGS.exists():
                samples = render_strings(scene, guitar=MODELS[number % len(MODELS)])  # type: ignore[arg-type]
            else:
                samples = render_recorded(scene, guitar=GUITARS[number % len(GUITARS)])
            counts += score_part(scene, read_part_samples(samples, sample_rate_hz=RATE_HZ))
        exact, tones, n = counts.tolist()
        print(f"{row:34}{n:8}{exact / n:11.3f}{tones / n:8.3f}", flush=True)


if __name__ == "__main__":
    main()
