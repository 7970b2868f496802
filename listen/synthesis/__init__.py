"""Synthesis: a shape or a sequence of plucked notes in, samples out, by one physical model of the plucked string.

    >>> from listen.instrument import Fretboard, Shape
    >>> from listen.synthesis import StrumStyle, Tone, render_shape
    >>> tone = Tone(guitar="electric", sample_rate_hz=22_050, seed=3)
    >>> strum = StrumStyle(direction="up", spread_s=0.03, duration_s=0.4, tone=tone)
    >>> samples = render_shape(Shape((None, 0, 2, 2, 1, 0)), Fretboard(capo_fret=2), settings=strum)
    >>> samples.dtype, samples.shape
    (dtype('float32'), (8820,))

The equations (`pluck`, `filters`, `amplifier`) run on any array library of the array API standard: numpy here, torch in
batches where an ear is trained.
"""

from listen.synthesis.amplifier import overdrive, saturate
from listen.synthesis.filters import (
    apply_response,
    band_response,
    fast_length,
    pickup_response,
    resonance_response,
    room_tail,
)
from listen.synthesis.notes import PluckedNote, render_notes
from listen.synthesis.pluck import (
    comb_amplitudes,
    decay_rates,
    partial_frequencies,
    pluck_amplitudes,
    sum_partials,
)
from listen.synthesis.stream import stream_notes
from listen.synthesis.strum import StrumStyle, render_shape, shape_to_notes
from listen.synthesis.tone import PEAK, Tone

__all__ = [
    "PEAK",
    "PluckedNote",
    "StrumStyle",
    "Tone",
    "apply_response",
    "band_response",
    "comb_amplitudes",
    "decay_rates",
    "fast_length",
    "overdrive",
    "partial_frequencies",
    "pickup_response",
    "pluck_amplitudes",
    "render_notes",
    "render_shape",
    "resonance_response",
    "room_tail",
    "saturate",
    "shape_to_notes",
    "stream_notes",
    "sum_partials",
]
