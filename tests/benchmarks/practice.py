"""Score practice: ``python -m tests.benchmarks.practice [-n 1500] [--hums 100] [--levels 0 2 6 10]``.

Each guesser learns on one half of the questions how its cue goes with the answer and is tried on the other half: with
nothing but the lowest pitch, the top note, the bass's loudness or the number of strings it must score as chance. Prints
how long an item takes to draw and render as well, where simulated learners are held, and how many hums of a bass are
taken as right.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter, defaultdict
from collections.abc import Callable, Sequence
from math import sqrt

from listen.practice import LADDER, Question, draw_question, render_sounds
from tests.benchmarks.hums import score_hums
from tests.practice.test_staircase import simulate_learners

Cue = Callable[[Question], int]


def find_heights(question: Question) -> list[list[int]]:
    """Return the MIDI numbers of each chord, low to high."""
    return [
        sorted(pitch.midi for pitch in sounding.shape.pitches(question.fretboard) if pitch is not None)
        for sounding in question.sounds
    ]


def _rises(question: Question) -> int:
    first, last = find_heights(question)[0][0], find_heights(question)[-1][0]
    return (last > first) - (last < first)


CUES: dict[str, Cue] = {
    "lowest pitch": lambda question: find_heights(question)[-1][0] // 2,
    "which bass is higher": _rises,
    "top note": lambda question: find_heights(question)[-1][-1] // 2,
    "loudness of the bass": lambda question: round(question.sounds[-1].bass_db),
    "number of strings": lambda question: len(find_heights(question)[-1]),
}
EXEMPT = {("same bass", "lowest pitch"), ("same bass", "which bass is higher")}
"""Which bass is higher is what the first step asks for."""
GUESSED = tuple(kind for kind in LADDER if kind not in ("quality", "bass line"))  # their options change


def place_of(question: Question) -> int:
    """Return which option is right, counted from 0."""
    return [option.key for option in question.options].index(question.answer)


def guess(questions: Sequence[Question], cue: Cue) -> tuple[float, float, float]:
    """Return a guesser's share of right answers, chance, and one standard deviation of it."""
    seen: dict[int, Counter[int]] = defaultdict(Counter)
    half = len(questions) // 2
    for question in questions[:half]:
        seen[cue(question)][place_of(question)] += 1
    tried = questions[half:]
    right = sum(place_of(each) == (seen[cue(each)].most_common(1) or [(0, 0)])[0][0] for each in tried)
    chance = 1 / len(questions[0].options)
    return right / len(tried), chance, sqrt(chance * (1 - chance) / len(tried))


def main() -> None:
    """Run the benchmark."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("-n", type=int, default=1500, help="questions of each kind")
    parser.add_argument("--hums", type=int, default=100, help="hums of each kind of voice")
    parser.add_argument("--levels", type=float, nargs="+", default=[0.0, 2.0, 6.0, 10.0], help="how hard they are")
    arguments = parser.parse_args()
    if arguments.hums:
        for line in score_hums(arguments.hums):
            print(line, flush=True)
    for kind in LADDER:
        print(f"{kind}: 200 learners are held at {simulate_learners(kind):.3f} (asked for: .80 ± .03)", flush=True)
        for level in arguments.levels:
            try_level(kind, level, arguments.n)


def try_level(kind: str, level: float, n_questions: int) -> None:
    """Print how long questions of one kind and level take, and what each cue gives away."""
    begin = time.process_time()
    questions = [draw_question(kind, level=level, seed=seed) for seed in range(n_questions)]
    drawn = (time.process_time() - begin) / n_questions
    begin = time.process_time()
    for question in questions[:10]:
        render_sounds(question.sounds, question.fretboard)
    rendered = (time.process_time() - begin) / min(10, n_questions)
    print(f"  level {level:g}: drawn in {1000 * drawn:.0f} ms, rendered in {1000 * rendered:.0f} ms of CPU")
    for name, cue in CUES.items() if kind in GUESSED else ():
        share, chance, sigma = guess(questions, cue)
        note = "  (what is asked for)" if (kind, name) in EXEMPT else ""
        print(f"    {name:22} {share:.3f}  chance {chance:.3f} ± {2 * sigma:.3f}{note}", flush=True)


if __name__ == "__main__":
    main()
