"""The same chord in root position: after an answer an inversion, or a chord over a foreign bass, is held against it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from listen.instrument import Fretboard
from listen.practice.hand import BASS_RANGE, draw_sounding, find_lowest_bass
from listen.practice.question import Sounding
from listen.theory import Chord, Pitch


def find_root_positions(sounds: Sequence[Sounding], fretboard: Fretboard) -> tuple[Sounding, ...]:
    """Return chords in root position, those as they are that stand on their roots; empty where all of them do.

    Empty also where no hand can hold one of them so.
    """
    found = [
        sounding if sounding.chord.inversion == 0 else find_root_position(sounding, fretboard) for sounding in sounds
    ]
    held = tuple(sounding for sounding in found if sounding is not None)
    return held if len(held) == len(sounds) and held != tuple(sounds) else ()


def find_root_position(sounding: Sounding, fretboard: Fretboard) -> Sounding | None:
    """Return a chord with its root in the bass, near where it lay, struck by the same hand on the same guitar.

    Returns
    -------
    Sounding or None
        None where its root is in the bass already, or where no hand can hold it so.

    Examples
    --------
    >>> from listen.practice import draw_question
    >>> question = draw_question("foreign bass", seed=1)
    >>> sounding = question.option("f").example[0]
    >>> found = find_root_position(sounding, question.fretboard)
    >>> found.chord.root == sounding.chord.root, sounding.chord.inversion == 0, found.chord.inversion
    (True, False, 0)
    """
    chord = sounding.chord
    if chord.inversion == 0:
        return None
    lowest = min(pitch.midi for pitch in sounding.shape.pitches(fretboard) if pitch is not None)
    first = find_lowest_bass(fretboard)
    octaves = [midi for midi in range(first, first + BASS_RANGE + 12) if midi % 12 == chord.root.pitch_class]
    for midi in sorted(octaves, key=lambda midi: abs(midi - lowest)):
        found = draw_sounding(
            np.random.default_rng(midi), Chord(chord.root, chord.quality), bass=Pitch(midi), level=0.0,
            fretboard=fretboard, near=sounding.shape,
        )  # fmt: skip
        if found is not None:
            return replace(found, strum=sounding.strum)
    return None
