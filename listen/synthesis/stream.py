"""Notes on strings, rendered block after block: a part of an hour in the memory of a few seconds.

The blocks are filtered by overlap-add (Oppenheim, Schafer, *Discrete-Time Signal Processing*, ch. 8: the convolution of
a long signal by blocks), with room before and after each block, since body and room ring on and a band's response of
zero phase begins before its sound.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from listen.errors import bad_value
from listen.synthesis.filters import fast_length
from listen.synthesis.notes import LATEST_S, RING_S, PluckedNote, StringPlayer, find_ends
from listen.synthesis.tone import Tone, find_response, room_length

Samples = np.ndarray[Any, np.dtype[np.float32]]
Strings = np.ndarray[Any, np.dtype[np.float64]]

BLOCK_S = 5.0  # rendered at once; judged for memory, not measured


def stream_notes(
    notes: Sequence[PluckedNote], *, tone: Tone, duration_s: float, alike: bool = False
) -> Iterator[Samples]:
    """Render plucked notes as :func:`listen.synthesis.render_notes` does, but for the scale, which needs all of them.

    Parameters
    ----------
    notes : sequence of PluckedNote
    tone : Tone
        With a clean amplifier.
    duration_s : float
    alike : bool
        Whether a note that comes again sounds just as it did before: many times quicker where chords are repeated.

    Yields
    ------
    ndarray of float32, shape (n,), mono
        Of no particular scale.

    Raises
    ------
    BadValueError
        The rendering would be longer than :data:`LATEST_S`, or the tone is driven.
    """
    if not 0.0 <= duration_s <= LATEST_S:
        raise bad_value("duration", duration_s, allowed=f"0 to {LATEST_S:g} seconds")
    block = round(BLOCK_S * tone.sample_rate_hz)
    spare = room_length(tone)
    n_fft = fast_length(block + 2 * spare)
    response = find_response(n_fft, tone)
    waiting = np.zeros(n_fft)  # from `spare` before the block on
    to_skip = spare
    for strings in _stream_strings(notes, StringPlayer(tone, alike=alike), duration_s, block):
        waiting += np.roll(np.fft.irfft(np.fft.rfft(strings, n=n_fft) * response, n=n_fft), spare)
        done = waiting[: strings.size]
        yield done[min(to_skip, done.size) :].astype(np.float32)
        to_skip = max(0, to_skip - done.size)
        waiting = np.concatenate([waiting[strings.size :], np.zeros(strings.size)])
    yield waiting[to_skip:spare].astype(np.float32)


def _stream_strings(
    notes: Sequence[PluckedNote], player: StringPlayer, duration_s: float, block: int
) -> Iterator[Strings]:
    """Ring the strings; no note rings for longer than :data:`RING_S`."""
    rate = player.tone.sample_rate_hz
    ends = dict(zip(range(len(notes)), find_ends(notes), strict=True))
    order = sorted(range(len(notes)), key=lambda place: notes[place].onset_s)
    sounding = np.zeros(block + int(RING_S * rate) + 1)
    n_total, base, at = round(duration_s * rate), 0, 0
    while base < n_total:
        while at < len(order) and (start := round(notes[order[at]].onset_s * rate) - base) < block:
            note = notes[order[at]]
            samples = player.ring(note, ends[order[at]], most_s=duration_s - note.onset_s)
            sounding[start : start + samples.size] += samples
            at += 1
        size = min(block, n_total - base)
        yield sounding[:size].copy()
        sounding = np.concatenate([sounding[size:], np.zeros(size)])
        base += size
