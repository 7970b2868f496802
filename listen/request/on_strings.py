"""Sounds on strings: a stretch of a part, a shape, a chord at its easiest place, as FLAC (RFC 9639)."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import TYPE_CHECKING

from listen.errors import bad_value
from listen.evidence import TimeSpan
from listen.export import render_part
from listen.instrument import Fretboard, Shape
from listen.reading import Part
from listen.request.one_shape import parse_one_shape
from listen.request.setup import parse_fretboard, parse_player
from listen.synthesis import PEAK
from listen.theory import parse_chord

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

RATE_HZ = 22_050  # a string's partials above 11 kHz are inaudible
LONGEST_S = 120.0  # longer stretches take too long to wait for
EARLY_S = 0.05  # that a stroke may begin before its beat, by which a stretch is cut; judged
STRUM_S = 2.5  # a strum rings so long; judged


def render_strings(part: Part, start_s: float, end_s: float) -> bytes:
    """Render a stretch of a part.

    Raises
    ------
    BadValueError
        It is no stretch of the part, or longer than :data:`LONGEST_S`.
    """
    if not 0 <= start_s < end_s <= start_s + LONGEST_S:
        raise bad_value("end_s", end_s, allowed=f"a time after {start_s:g}, at most {LONGEST_S:.0f} s later")
    events = tuple(
        replace(event, strokes=strokes)
        for event in part.events  # a picked pattern is one event, which may have begun long before
        if (strokes := tuple(one for one in event.strokes if start_s - EARLY_S <= one.span.start_s < end_s))
    )
    shown = replace(part, events=events, recording=replace(part.recording, span=TimeSpan(start_s, end_s)))
    samples = render_part(shown, sample_rate_hz=RATE_HZ)
    return samples_to_flac(samples[: round((end_s - start_s) * RATE_HZ)])


def render_frets_sound(frets: str, tuning: str, capo_fret: int) -> bytes:
    """Render a shape, strummed; no tuning is the one that the player keeps."""
    board = parse_fretboard(tuning or None, capo_fret)
    return _strum(parse_one_shape([frets], board), board)


def render_chord_sound(chord: str, tuning: str, capo_fret: int) -> bytes:
    """Render a chord, strummed at its easiest place; no tuning is the one that the player keeps."""
    from listen.voicing import find_shapes

    board = parse_fretboard(tuning or None, capo_fret)
    hand = parse_player(reach=None, thumb=None, fingerpicked=None)
    found = find_shapes(parse_chord(chord), fretboard=board, hand=hand)
    if not found:
        raise bad_value("chord", chord, allowed="a chord that this neck has")
    return _strum(found[0].shape, board)


def _strum(shape: Shape, board: Fretboard) -> bytes:
    from listen.synthesis import StrumStyle, Tone, render_shape

    if all(fret is None for fret in shape.frets):
        raise bad_value("frets", shape.text, allowed="at least one string that sounds")
    settings = StrumStyle(onset_s=0.02, duration_s=STRUM_S, tone=Tone(sample_rate_hz=RATE_HZ, seed=1))
    return samples_to_flac(render_shape(shape, board, settings=settings))


def samples_to_flac(samples: npt.NDArray[np.float32]) -> bytes:
    """Return a sound as FLAC, its peak at :data:`~listen.synthesis.PEAK`: nobody should be startled."""
    import numpy as np
    import soundfile

    peak = float(np.abs(samples).max(initial=0.0))
    buffer = io.BytesIO()
    scaled = samples * (PEAK / peak) if peak > 0 else samples
    soundfile.write(buffer, scaled, RATE_HZ, format="FLAC", subtype="PCM_16")
    return buffer.getvalue()
