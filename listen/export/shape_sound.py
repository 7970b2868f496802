"""A shape to hear beside its picture: strummed, then from the bass to the top, then the bass alone."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from listen.export.sound import PAGE_RATE_HZ, samples_to_uri
from listen.instrument import Fretboard, Shape
from listen.synthesis import StrumStyle, Tone, render_notes, shape_to_notes

# a strum, its notes one by one, the last of them, and between; judged
STRUM_S, STEP_S, LAST_S, PAUSE_S = 1.8, 0.45, 1.2, 0.2
MOST_SOUNDS = 24  # on a page: each takes some 200 kB
MOST_STRUMS = 40  # on a page: each takes some 60 kB
_FADE = np.linspace(1.0, 0.0, int(0.15 * PAGE_RATE_HZ), dtype=np.float32)


def render_strum_uri(shape: Shape, fretboard: Fretboard) -> str:
    """Render a shape strummed once as a data URI."""
    tone = Tone(sample_rate_hz=PAGE_RATE_HZ, seed=1)
    notes = shape_to_notes(shape, fretboard, settings=StrumStyle(onset_s=0.02, spread_s=0.03, tone=tone))
    samples = render_notes(notes, tone=tone, duration_s=STRUM_S)
    samples[-_FADE.size :] *= _FADE
    return samples_to_uri(samples, sample_rate_hz=PAGE_RATE_HZ)


def render_shape_uri(shape: Shape, fretboard: Fretboard) -> str:
    """Render a shape's three sounds one after the other as a data URI.

    Parameters
    ----------
    shape : Shape
        With at least one string that sounds.
    fretboard : Fretboard
    """
    tone = Tone(sample_rate_hz=PAGE_RATE_HZ, seed=1)
    notes = shape_to_notes(shape, fretboard, settings=StrumStyle(onset_s=0.02, spread_s=0.03, tone=tone))
    rising = sorted(notes, key=lambda note: note.pitch)
    spelled = [replace(note, onset_s=0.02 + STEP_S * place) for place, note in enumerate(rising)]
    pieces = [
        render_notes(notes, tone=tone, duration_s=STRUM_S),
        render_notes(spelled, tone=tone, duration_s=STEP_S * len(rising) + LAST_S),
        render_notes([replace(rising[0], onset_s=0.02)], tone=tone, duration_s=LAST_S),
    ]
    pause = np.zeros(int(PAUSE_S * PAGE_RATE_HZ), np.float32)
    for piece in pieces:
        piece[-_FADE.size :] *= _FADE
    return samples_to_uri(
        np.concatenate([part for piece in pieces for part in (piece, pause)]), sample_rate_hz=PAGE_RATE_HZ
    )
