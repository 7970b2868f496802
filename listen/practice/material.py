"""Material of the player's own: chords of a part that was read and put right, cut from its recording.

A chord is taken where it is surely named, rings alone for long enough, and is a triad or seventh chord whose bass is a
tone of it. Where all have the same tone in the bass, as in most songs the root, their inversions are played on strings,
and so are the chords as they were: else the recording alone would give the answer away.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from listen.evidence import TimeSpan
from listen.instrument import Fretboard
from listen.practice.bass_questions import DEGREE_KEYS, SEVENTHS, TRIADS
from listen.practice.hand import BASS_RANGE, draw_sounding, find_lowest_bass
from listen.practice.question import BASS_NAMES, Option, Question, Sounding
from listen.reading import Part
from listen.synthesis import StrumStyle, Tone
from listen.theory import Chord, Pitch

LEAST_S, MOST_S = 0.5, 2.5  # of a chord that is cut from a recording: shorter says too little; judged
SURE = 0.8  # a name less sure is no answer to judge by; judged
LEAST_ANSWERS = 2  # different ones: chords that all have their root in the bass ask nothing
OWN_KINDS = ("root or not", "which bass", "which bass of four")


def find_material(part: Part) -> tuple[Sounding, ...]:
    """Find the chords of a part that can be asked about, each as often as it is held: no two strokes sound the same.

    Returns
    -------
    tuple of Sounding
        With their cuts, on strings tuned as in the recording; empty where the part has none.
    """
    strum = StrumStyle(tone=Tone(tuning_offset_cents=part.concert_pitch.offset_cents))  # beside the recording
    found = []
    for span in part.spans:
        if span.name is None or span.shape is None or not (span.pinned or span.name.probability >= SURE):
            continue
        chord = span.name.chord
        lasts_s = span.span.end_s - span.span.start_s
        plain = chord.quality.name in (*TRIADS, *SEVENTHS) and chord.inversion is not None
        if plain and lasts_s >= LEAST_S:
            end_s = min(span.span.end_s, span.span.start_s + MOST_S)
            found.append(Sounding(chord, span.shape.shape, strum, cut=TimeSpan(span.span.start_s, end_s)))
    return tuple(found)


def turn_chords(material: Sequence[Sounding], fretboard: Fretboard) -> tuple[Sounding, ...]:
    """Turn each different chord over each of its tones, on strings.

    Parameters
    ----------
    material : sequence of Sounding
    fretboard : Fretboard

    Returns
    -------
    tuple of Sounding
        Without cuts; those that a hand can hold on this neck.
    """
    turned = []
    for root, quality in dict.fromkeys((each.chord.root, each.chord.quality) for each in material):
        for place, tone in enumerate(quality.tones):
            chord = Chord(root, quality, None if place == 0 else root.above(tone))
            found = _draw_on_strings(np.random.default_rng(place), chord, 0.0, fretboard)
            turned += [] if found is None else [found]
    return tuple(turned)


def _draw_on_strings(rng: np.random.Generator, chord: Chord, level: float, fretboard: Fretboard) -> Sounding | None:
    """Draw a chord over its bass, in any octave of it; None where no hand can hold it."""
    lowest = find_lowest_bass(fretboard)
    octaves = [m for m in range(lowest, lowest + BASS_RANGE + 1) if m % 12 == chord.sounding_bass.pitch_class]
    for midi in rng.permutation(octaves).tolist():
        found = draw_sounding(rng, chord, bass=Pitch(midi), level=level, fretboard=fretboard)
        if found is not None:
            return found
    return None


def find_own_kinds(material: Sequence[Sounding]) -> tuple[str, ...]:
    """Find the kinds of question that chords of the player's own give: those whose answer is not always the same."""
    return tuple(kind for kind in OWN_KINDS if count_answers(material, kind) >= LEAST_ANSWERS)


def count_answers(material: Sequence[Sounding], kind: str) -> int:
    """Count the different answers of a kind; 0 where no chord is of that kind."""
    return len(_group_by_answer(material, kind))


def _group_by_answer(material: Sequence[Sounding], kind: str) -> dict[int, list[Sounding]]:
    """Return the chords that a kind asks about, by their inversions, or by whether they are inverted."""
    groups: dict[int, list[Sounding]] = {}
    for each in material:
        if kind == "root or not" or len(each.chord.notes) == _count_degrees(kind):
            inversion = each.chord.inversion or 0
            groups.setdefault(min(inversion, 1) if kind == "root or not" else inversion, []).append(each)
    return groups


def _count_degrees(kind: str) -> int:
    return 4 if kind == "which bass of four" else 3


def ask_own(material: Sequence[Sounding], kind: str, *, level: float, part: Part, seed: int) -> Question | None:
    """Ask about a chord of the player's own; None where the material does not give that kind (:func:`find_own_kinds`).

    Parameters
    ----------
    material : sequence of Sounding
    kind : str
        One of :data:`OWN_KINDS`.
    level : float
        Kept with the answer; a recording cannot be made easier, chords on strings can.
    part : Part
    seed : int
    """
    rng = np.random.default_rng([seed, 7])
    by_answer = _group_by_answer(material, kind)
    if len(by_answer) < LEAST_ANSWERS:
        return None
    answers = sorted(by_answer)  # each answer is as likely, however often its chord was played
    pool = by_answer[answers[int(rng.integers(len(answers)))]]
    sounding = pool[int(rng.integers(len(pool)))]
    is_cut, right = sounding.cut is not None, sounding.chord.inversion or 0
    if not is_cut:  # drawn anew each time, as on the ladder
        sounding = _draw_on_strings(rng, sounding.chord, level, part.fretboard) or sounding
    options: tuple[Option, ...]
    if kind == "root or not":
        options = (Option("r", "the root"), Option("n", "another tone"))
        answer = "n" if right else "r"
    else:
        options = tuple(Option(DEGREE_KEYS[i], f"the {BASS_NAMES[i]}") for i in range(_count_degrees(kind)))
        answer = DEGREE_KEYS[right]
    whose = "Your own recording" if is_cut else "A chord of your own"
    asked = "is the root in the bass?" if kind == "root or not" else "which tone is in the bass?"
    return Question(
        kind, level, f"{whose}: {asked}", (sounding,), options, answer,
        f"It is {_words(sounding.chord)}: sing its root, then the lowest note.", part.fretboard,
    )  # fmt: skip


def _words(chord: Chord) -> str:
    return f"{chord.root.printed} {chord.quality.name}"
