"""Questions about whole chords: their kind, two inversions in order, the same chord at another place, a bass line."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from listen.instrument import Fretboard, Shape
from listen.practice.bass_questions import TRIADS, chord_over, quality_for, quality_named
from listen.practice.hand import BASS_RANGE, count_draws, draw_alike, draw_bass, draw_sounding, find_lowest_bass
from listen.practice.question import HARDEST, INVERSION_NAMES, Option, Question, Sounding
from listen.theory import Chord, ChordQuality, Key, Note, Pitch

QUALITIES_BY_LEVEL = (
    ("major", "minor"), ("suspended fourth", "diminished"), ("augmented", "suspended second"),
    ("dominant seventh", "major seventh"), ("minor seventh", "half-diminished seventh"),
    ("six-nine", "diminished seventh"), ("seventh sharp ninth", "seventh flat ninth"),
)  # fmt: skip
NEVER_INVERTED = ("suspended fourth", "suspended second", "augmented", "six-nine", "diminished seventh")
"""Whose inversions are no such thing to the ear: Csus2/G is Gsus4, Caug/E is Eaug; C6/9 is a stack of fourths."""
INVERTS_ABOVE = 7.0  # this level; judged
MOST_OPTIONS = 6
DIATONIC = ("major", "minor", "minor", "major", "major", "minor")  # I to vi of a major key
LINES_OFFERED = 4
TRIES = 20  # of one pair of chords
ROOT_STANDS = "Root position stands; an inversion wants to go on. Which of the two would you end a song on?"
ROOT_ABOVE = (
    "Sing the lowest note, then up to the root: from the third in the bass it is a sixth, from the fifth a fourth."
)


def ask_quality(rng: np.random.Generator, level: float, fretboard: Fretboard, among: Sequence[str] = ()) -> Question:
    """Ask what kind of chord it is; the right one is among some keys, where all of these may be asked."""
    n_groups = 1 + int(np.interp(level, [0.0, HARDEST], [0.0, len(QUALITIES_BY_LEVEL) - 0.01]))
    known = [name for group in QUALITIES_BY_LEVEL[:n_groups] for name in group]
    inverted = level > INVERTS_ABOVE and rng.random() < 0.4
    known = [name for name in known if not (inverted and name in NEVER_INVERTED)]
    first = [name for name in known if _find_key(name) in among]
    first = first if len(first) == len(among) else []
    rest = [name for name in rng.permutation(known).tolist() if name not in first]
    offered = sorted([*first, *rest][:MOST_OPTIONS], key=known.index)
    again = count_draws(fretboard)
    while True:
        next(again)
        bass = draw_bass(rng, fretboard)
        made: list[Option] = []
        for name in offered:
            quality = quality_named(name)
            place = int(rng.integers(1, 3)) if inverted else 0
            sounding = draw_sounding(rng, chord_over(bass, quality, place), bass=bass, level=level, fretboard=fretboard)
            if sounding is not None:
                made.append(Option(_find_key(name), quality.name, (sounding,)))
        if len(made) < len(offered):
            continue
        right = made[offered.index(rng.choice(first or offered))]
        return Question(
            "quality", level, "What kind of chord is it?", right.example, tuple(made), right.key,
            "First the third: bright, dark, or none; then the fifth; then whether a seventh rubs against the root.",
            fretboard,
        )  # fmt: skip


def _find_key(name: str) -> str:
    return quality_named(name).symbol or "maj"


def ask_which_came_first(rng: np.random.Generator, level: float, fretboard: Fretboard) -> Question:
    """Ask which of two inversions came first, on two roots."""
    again = count_draws(fretboard)
    while True:
        next(again)
        quality = quality_for(rng, TRIADS, level)
        low, high = sorted(rng.permutation(3)[:2].tolist())
        pairs = [
            draw_alike(rng, [(chord_over(bass, quality, place), bass) for place in (low, high)], level=level,
                       fretboard=fretboard)
            for bass in (draw_bass(rng, fretboard), draw_bass(rng, fretboard))
        ]  # fmt: skip
        if not all(pairs):
            continue
        (low_first, high_first), (low_last, high_last) = pairs
        options = (
            Option("1", f"{INVERSION_NAMES[low]}, then {INVERSION_NAMES[high]}", (low_first, high_last)),
            Option("2", f"{INVERSION_NAMES[high]}, then {INVERSION_NAMES[low]}", (high_first, low_last)),
        )
        right = options[int(rng.integers(2))]
        return Question(
            "which came first", level, "Two chords, each in another position. In which order do they sound?",
            right.example, options, right.key, ROOT_STANDS if low == 0 else ROOT_ABOVE, fretboard,
        )  # fmt: skip


def ask_other_place(rng: np.random.Generator, level: float, fretboard: Fretboard) -> Question:
    """Ask whether two places on the neck hold the same chord."""
    again = count_draws(fretboard)
    while True:
        next(again)
        quality = quality_for(rng, TRIADS, level)
        other_quality = quality_named("minor" if quality.name == "major" else "major")
        bass = draw_bass(rng, fretboard)
        first = draw_sounding(rng, chord_over(bass, quality, 0), bass=bass, level=level, fretboard=fretboard)
        if first is None:
            continue
        second = _draw_elsewhere(rng, first, other_quality, level, fretboard)
        if not second:
            continue
        options = (Option("s", "the same chord", (first, second[0])), Option("o", "another chord", (first, second[1])))
        right = options[int(rng.integers(2))]
        return Question(
            "other place", level, "Two places on the neck. Is it the same chord?", right.example, options, right.key,
            "Do not follow the top note: listen for the third inside both.", fretboard,
        )  # fmt: skip


def _draw_elsewhere(
    rng: np.random.Generator, first: Sounding, other: ChordQuality, level: float, fretboard: Fretboard
) -> tuple[Sounding, ...]:
    """Voice a chord and another on its root, alike, each held in another place than the first."""
    lowest, chord = find_lowest_bass(fretboard), first.chord
    octaves = [m for m in range(lowest, lowest + 24) if m % 12 == chord.root.pitch_class]
    for _ in range(TRIES):
        bass = Pitch(octaves[int(rng.integers(len(octaves)))])
        wanted = [(chord, bass), (Chord(chord.root, other), bass)]
        found = draw_alike(rng, wanted, level=level, fretboard=fretboard)
        if found and not any(_is_same_place(each.shape, first.shape) for each in found):
            return found
    return ()


def _is_same_place(shape: Shape, other: Shape) -> bool:
    """Whether one is the other with a string more or fewer."""
    held, other_held = (
        {(string, fret) for string, fret in enumerate(one.frets) if fret is not None} for one in (shape, other)
    )
    return held <= other_held or other_held <= held


def ask_bass_line(rng: np.random.Generator, level: float, fretboard: Fretboard) -> Question:
    """Ask on which degrees of a key the bass of a progression walks."""
    n_chords = 3 if level < 4.0 else 4
    again = count_draws(fretboard)
    while True:
        next(again)
        tonic = Note.parse(str(rng.choice(["C", "D", "Eb", "E", "F", "G", "A", "Bb"])))
        lines = {_draw_line(rng, n_chords) for _ in range(LINES_OFFERED * 4)}
        if len(lines) < LINES_OFFERED:
            continue
        offered = sorted(sorted(lines)[i] for i in rng.permutation(len(lines))[:LINES_OFFERED])
        options = []
        for line in offered:
            sounds = _play_line(rng, tonic, line, level, fretboard)
            if sounds is not None:
                degrees = " ".join(str(degree) for degree, _ in line)
                options.append(Option(degrees, f"the bass walks {degrees}", sounds))
        if len({option.key for option in options}) < LINES_OFFERED:
            continue
        right = options[int(rng.integers(len(options)))]
        return Question(
            "bass line", level, f"{n_chords} chords, the tonic first. Which degrees does the bass walk on?",
            right.example, tuple(options), right.key,
            "Sing the bass only, and name each note by its distance from the first.", fretboard,
        )  # fmt: skip


def _draw_line(rng: np.random.Generator, n_chords: int) -> tuple[tuple[int, int], ...]:
    """Draw degrees of the bass, each with the degree of the chord that it belongs to; the tonic first."""
    line = [(1, 1)]
    while len(line) < n_chords:
        chord = int(rng.integers(1, 7))
        bass = (chord - 1 + 2 * int(rng.choice([0, 0, 1, 2]))) % 7 + 1
        if bass != line[-1][0]:
            line.append((bass, chord))
    return tuple(line)


def _play_line(
    rng: np.random.Generator, tonic: Note, line: tuple[tuple[int, int], ...], level: float, fretboard: Fretboard
) -> tuple[Sounding, ...] | None:
    """Voice a line; each bass lies as near to the one before as it can, and the hand about where it was."""
    scale = Key(tonic, "major").scale
    lowest = find_lowest_bass(fretboard)
    before = lowest + 8
    sounds: list[Sounding] = []
    for bass_degree, chord_degree in line:
        note = scale[bass_degree - 1]
        near = min((m for m in range(lowest, lowest + BASS_RANGE + 1) if m % 12 == note.pitch_class),
                   key=lambda midi: abs(midi - before))  # fmt: skip
        root, quality = scale[chord_degree - 1], quality_named(DIATONIC[chord_degree - 1])
        chord = Chord(root, quality, None if bass_degree == chord_degree else note)
        held = sounds[-1].shape if sounds else None
        found = draw_sounding(rng, chord, bass=Pitch(near), level=level, fretboard=fretboard, near=held)
        if found is None:
            return None
        sounds.append(found)
        before = near
    return tuple(sounds)
