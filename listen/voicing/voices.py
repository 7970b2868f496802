"""Voices: how the tones of a chord lie above one another.

A *close* voicing has every sounding tone once, within an octave; a *spread* one has every tone once, over more than an
octave; a *shell* is root, third and seventh (or root, seventh and third) with the root lowest; *drop-2* and *drop-3*
are close voicings whose second or third voice from the top sounds an octave lower, so that it becomes the bass (common
practice; an inversion is named by the sounding bass).
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from listen.errors import bad_value
from listen.theory import Chord
from listen.voicing.shape_table import SILENT, Kept, ShapeTable

Voices = Literal["close", "spread", "shell", "drop-2", "drop-3"]


def shell_classes(chord: Chord) -> tuple[int, int, int] | None:
    """Return root, third and seventh (or sixth) as pitch classes; None where the chord lacks one."""
    found = {tone.degree: note.pitch_class for tone, note in zip(chord.quality.tones, chord.notes, strict=True)}
    seventh = found.get(7, found.get(6))
    if 3 not in found or seventh is None:
        return None
    return chord.root.pitch_class, found[3], seventh


def keep_voices(candidates: ShapeTable, chord: Chord, voices: Voices) -> Kept:
    """Tell which shapes lay their voices so.

    Raises
    ------
    BadValueError
        A shell is asked of a chord without a third or a seventh.
    """
    if voices == "shell":
        return _keep_shell(candidates, chord)
    ordered = np.sort(candidates.pitches, axis=1).astype(np.int32)
    count = candidates.played.sum(axis=1)
    classes = np.zeros(len(ordered), np.int32)
    for column in range(ordered.shape[1]):
        classes |= np.where(column < count, 1 << (ordered[:, column] % 12), 0)
    distinct = np.array([mask.bit_count() for mask in range(1 << 12)])[classes] == count
    span = candidates.highest.astype(np.int32) - ordered[:, 0]
    if voices == "close":
        return np.asarray(distinct & (span < 12) & (count >= 3))
    if voices == "spread":
        return np.asarray(distinct & (span > 12) & (count >= 3))
    dropped = {"drop-2": 1, "drop-3": 2}[voices]
    if ordered.shape[1] < 3:
        return np.zeros(len(ordered), bool)
    above = ((ordered > ordered[:, :1] + 12) & (ordered < SILENT)).sum(axis=1)
    within = candidates.highest - ordered[:, 1] < 12
    return np.asarray(
        distinct & within & (above == dropped) & (count >= 2 + dropped) & (ordered[:, 1] < ordered[:, 0] + 12)
    )


def _keep_shell(candidates: ShapeTable, chord: Chord) -> Kept:
    classes = shell_classes(chord)
    if classes is None:
        raise bad_value(
            "voices", "shell", allowed="a chord with a third and a seventh", remedy=f"{chord.text} lacks one."
        )
    root, third, seventh = classes
    ordered = np.sort(candidates.pitches, axis=1)
    three = candidates.played.sum(axis=1) == 3
    if ordered.shape[1] < 3:
        return np.zeros(len(ordered), bool)
    low, middle, high = (ordered[:, voice] % 12 for voice in range(3))
    rest = ((middle == third) & (high == seventh)) | ((middle == seventh) & (high == third))
    return np.asarray(three & (low == root) & rest)
