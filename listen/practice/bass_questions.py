"""Questions about the bass of one chord, and whether two chords share one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from listen.instrument import Fretboard
from listen.practice.hand import count_draws, draw_alike, draw_bass, draw_sounding
from listen.practice.question import BASS_NAMES, HARDEST, Option, Question
from listen.theory import Chord, ChordQuality, Interval, Pitch, find_quality, spell_root

TRIADS = ("major", "minor")
SEVENTHS = ("dominant seventh", "minor seventh", "major seventh", "half-diminished seventh")
FOREIGN = (Interval.parse("2"), Interval.parse("4"))  # C/D and C/F: other foreign basses read as a plain seventh chord
DEGREE_KEYS = ("1", "3", "5", "7")
PROMPTS = {
    "which bass": "Which tone of the chord is in the bass?",
    "which bass of four": "A seventh chord. Which of its tones is in the bass?",
}
FOREIGN_RUBS = "Sing the bass, then the chord: a foreign bass rubs against two of its tones, a step from each."
COUNT_STEPS = "Sing the lowest note, then the root, and count the steps between them."
AT_REST = "Sing the lowest note, then the other tones, one above the other: the chord comes to rest where you began."
SIXTHS = {"minor seventh": "sixth", "half-diminished seventh": "minor sixth"}
"""What these are called over their third: Am7/C has the tones of C6, and Am7♭5/C those of Cm6."""


def quality_for(rng: np.random.Generator, names: tuple[str, ...], level: float) -> ChordQuality:
    """Draw a quality; an easy question takes the first ones."""
    n_open = 1 + int(np.interp(level, [0.0, 0.5 * HARDEST], [0.0, len(names) - 1.0]) + 0.5)
    return quality_named(names[int(rng.integers(min(n_open, len(names))))])


def quality_named(name: str) -> ChordQuality:
    """Return a quality that this room asks about."""
    quality = find_quality(name)
    assert quality is not None  # noqa: S101  (the names are this room's own)
    return quality


def chord_over(bass: Pitch, quality: ChordQuality, place: int) -> Chord:
    """Return the chord whose tone number ``place`` sounds as this bass."""
    tone = quality.tones[place]
    root = spell_root((bass.pitch_class - tone.pitch_class) % 12, quality)
    return Chord(root, quality, None if place == 0 else root.above(tone))


def foreign_chord_over(bass: Pitch, quality: ChordQuality, interval: Interval) -> Chord:
    """Return the chord under which this bass lies as a tone that it does not have."""
    root = spell_root((bass.pitch_class - interval.pitch_class) % 12, quality)
    return Chord(root, quality, root.above(interval))


def ask_root_or_not(rng: np.random.Generator, level: float, fretboard: Fretboard) -> Question:
    """Ask whether the root is in the bass."""
    again = count_draws(fretboard)
    while True:
        next(again)
        bass, quality = draw_bass(rng, fretboard), quality_for(rng, TRIADS, level)
        chords = [chord_over(bass, quality, place) for place in (0, int(rng.integers(1, 3)))]
        made = draw_alike(rng, [(chord, bass) for chord in chords], level=level, fretboard=fretboard)
        if not made:
            continue
        root, other = made
        is_root = bool(rng.integers(2))
        options = (Option("r", "the root", (root,)), Option("n", "another tone", (other,)))
        return Question(
            "root or not", level, "Is the root in the bass?", (root if is_root else other,), options,
            "r" if is_root else "n", "Hum the note at which the chord comes to rest. Is it the lowest?", fretboard,
        )  # fmt: skip


def ask_which_bass(rng: np.random.Generator, level: float, fretboard: Fretboard, among: Sequence[str] = ()) -> Question:
    """Ask which tone of a triad is in the bass; the right one is among some keys, if there are any."""
    return _ask_degree(rng, "which bass", level, fretboard, among=among or DEGREE_KEYS[:3])


def ask_which_bass_of_four(
    rng: np.random.Generator, level: float, fretboard: Fretboard, among: Sequence[str] = ()
) -> Question:
    """Ask which tone of a seventh chord is in the bass; the right one is among some keys, if there are any."""
    return _ask_degree(rng, "which bass of four", level, fretboard, among=among or DEGREE_KEYS)


def _ask_degree(
    rng: np.random.Generator, kind: str, level: float, fretboard: Fretboard, *, among: Sequence[str]
) -> Question:
    names, n_degrees = (TRIADS, 3) if kind == "which bass" else (SEVENTHS, 4)
    again = count_draws(fretboard)
    while True:
        next(again)
        bass, quality = draw_bass(rng, fretboard), quality_for(rng, names, level)
        chords = [chord_over(bass, quality, place) for place in range(n_degrees)]
        made = draw_alike(rng, [(chord, bass) for chord in chords], level=level, fretboard=fretboard)
        if not made:
            continue
        right = DEGREE_KEYS.index(among[int(rng.integers(len(among)))])
        options = tuple(
            Option(DEGREE_KEYS[place], f"the {BASS_NAMES[place]}", (sounding,)) for place, sounding in enumerate(made)
        )
        return Question(
            kind, level, PROMPTS[kind], options[right].example, options, DEGREE_KEYS[right],
            _tell_steps(options[right].example[0].chord), fretboard,
        )  # fmt: skip


def _tell_steps(chord: Chord) -> str:
    """Say how to hear which tone is lowest: from the root itself no steps can be counted."""
    return AT_REST if chord.inversion == 0 else COUNT_STEPS + _tell_sixth(chord)


def _tell_sixth(chord: Chord) -> str:
    """Say where a seventh chord over its third is a sixth chord in root position as well."""
    sixth = SIXTHS.get(chord.quality.name)
    if sixth is None or chord.inversion != 1:
        return ""
    other = Chord(chord.sounding_bass, quality_named(sixth))
    return f" {chord.printed} is {other.printed} as well: as a seventh chord, its third is in the bass."


def ask_foreign_bass(rng: np.random.Generator, level: float, fretboard: Fretboard) -> Question:
    """Ask whether the bass is a tone of the chord."""
    again = count_draws(fretboard)
    while True:
        next(again)
        bass, quality = draw_bass(rng, fretboard), quality_for(rng, TRIADS, level)
        inside = chord_over(bass, quality, int(rng.integers(3)))
        outside = foreign_chord_over(bass, quality, FOREIGN[int(rng.integers(len(FOREIGN)))])
        made = draw_alike(rng, [(inside, bass), (outside, bass)], level=level, fretboard=fretboard)
        if not made:
            continue
        is_inside = bool(rng.integers(2))
        options = (Option("c", "a tone of the chord", (made[0],)), Option("f", "a foreign bass", (made[1],)))
        return Question(
            "foreign bass", level, "Is the bass a tone of the chord above it?", options[0 if is_inside else 1].example,
            options, "c" if is_inside else "f", FOREIGN_RUBS,
            fretboard,
        )  # fmt: skip


def ask_same_bass(rng: np.random.Generator, level: float, fretboard: Fretboard) -> Question:
    """Ask whether two voicings of one chord share their bass."""
    again = count_draws(fretboard)
    while True:
        next(again)
        quality = quality_for(rng, TRIADS, level)
        first_place = int(rng.integers(3))
        bass = draw_bass(rng, fretboard)
        first = draw_sounding(rng, chord_over(bass, quality, first_place), bass=bass, level=level, fretboard=fretboard)
        if first is None:
            continue
        other = _turn(first.chord, (first_place + int(rng.integers(1, 3))) % 3)
        wanted = [(first.chord, bass), (other, _find_bass_near(other, bass, fretboard))]
        second = draw_alike(rng, wanted, level=level, fretboard=fretboard)
        if not second or second[0].shape == first.shape:
            continue
        is_same = bool(rng.integers(2))
        options = (Option("s", "the same bass", (first, second[0])), Option("o", "another bass", (first, second[1])))
        return Question(
            "same bass", level, "The chord sounds twice. Is the bass the same?", options[0 if is_same else 1].example,
            options, "s" if is_same else "o", "Hold the first bass in your voice while the second chord sounds.",
            fretboard,
        )  # fmt: skip


def _turn(chord: Chord, place: int) -> Chord:
    """Return a chord with its tone number ``place`` in the bass."""
    return Chord(chord.root, chord.quality, None if place == 0 else chord.notes[place])


def _find_bass_near(chord: Chord, near: Pitch, fretboard: Fretboard) -> Pitch:
    """Return the bass of a chord near another bass."""
    down = (near.midi - chord.sounding_bass.pitch_class) % 12
    lower = near.midi - down
    return Pitch(lower if down <= 6 and lower >= fretboard.open_pitches[0].midi else lower + 12)
