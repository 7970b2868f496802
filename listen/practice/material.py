"""Material of the player's own: chords of a part that was read and put right, cut from its recording.

A chord is taken where it is surely named, rings alone for long enough, and is a triad or seventh chord whose bass is a
tone of it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from listen.evidence import TimeSpan
from listen.practice.bass_questions import DEGREE_KEYS, SEVENTHS, TRIADS
from listen.practice.question import BASS_NAMES, Option, Question, Sounding
from listen.reading import Part
from listen.theory import Chord

LEAST_S, MOST_S = 0.5, 2.5  # of a chord that is cut from a recording: shorter says too little; judged
SURE = 0.8  # a name less sure is no answer to judge by; judged
LEAST_CHORDS = 2  # different ones: of one alone every answer would be the same; judged
OWN_KINDS = ("root or not", "which bass", "which bass of four")


def find_material(part: Part) -> tuple[Sounding, ...]:
    """Find the chords of a part that can be asked about, each as often as it is held: no two strokes sound the same.

    Returns
    -------
    tuple of Sounding
        With their cuts; empty where the part has none.
    """
    found = []
    for span in part.spans:
        if span.name is None or span.shape is None or not (span.pinned or span.name.probability >= SURE):
            continue
        chord = span.name.chord
        lasts_s = span.span.end_s - span.span.start_s
        plain = chord.quality.name in (*TRIADS, *SEVENTHS) and chord.inversion is not None
        if plain and lasts_s >= LEAST_S:
            end_s = min(span.span.end_s, span.span.start_s + MOST_S)
            found.append(Sounding(chord, span.shape.shape, cut=TimeSpan(span.span.start_s, end_s)))
    return tuple(found)


def ask_own(material: Sequence[Sounding], kind: str, *, level: float, part: Part, seed: int) -> Question | None:
    """Ask about a chord of the player's own; None where the material has none of that kind.

    Parameters
    ----------
    material : sequence of Sounding
    kind : str
        One of :data:`OWN_KINDS`.
    level : float
        Kept with the answer; a recording cannot be made easier.
    part : Part
    seed : int
    """
    rng = np.random.default_rng([seed, 7])
    n_degrees = 4 if kind == "which bass of four" else 3
    fitting = [each for each in material if (len(each.chord.notes) == n_degrees) or kind == "root or not"]
    if not fitting:
        return None
    by_answer: dict[int, list[Sounding]] = {}
    for each in fitting:
        inversion = each.chord.inversion or 0
        by_answer.setdefault(min(inversion, 1) if kind == "root or not" else inversion, []).append(each)
    answers = sorted(by_answer)  # each answer is as likely, however often its chord was played
    pool = by_answer[answers[int(rng.integers(len(answers)))]]
    sounding = pool[int(rng.integers(len(pool)))]
    right = sounding.chord.inversion or 0
    options: tuple[Option, ...]
    if kind == "root or not":
        options = (Option("r", "the root"), Option("n", "another tone"))
        answer = "n" if right else "r"
    else:
        options = tuple(Option(DEGREE_KEYS[i], f"the {BASS_NAMES[i]}") for i in range(n_degrees))
        answer = DEGREE_KEYS[right]
    return Question(
        kind, level, "Your own recording: which tone is in the bass?" if kind != "root or not"
        else "Your own recording: is the root in the bass?", (sounding,), options, answer,
        f"It is {_words(sounding.chord)}: sing its root, then the lowest note.", part.fretboard,
    )  # fmt: skip


def _words(chord: Chord) -> str:
    return f"{chord.root.printed} {chord.quality.name}"
