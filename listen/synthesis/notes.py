"""Notes on strings, rendered: each string rings until its note ends or the string is used again.

Conventions: seconds from the start of the rendering; level in dB against an ordinary stroke.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from listen.errors import bad_value
from listen.instrument import find_string_table, fretted_decay_s, fretted_stiffness, retuned_stiffness
from listen.synthesis.pluck import (
    comb_amplitudes,
    decay_rates,
    partial_frequencies,
    pluck_amplitudes,
    sum_partials,
)
from listen.synthesis.tone import Tone, apply_tone
from listen.theory import Pitch

Mute = Literal["open", "palm", "dead"]
Samples = np.ndarray[Any, np.dtype[np.float32]]

N_PARTIALS = 96
LONGEST_S = 1200.0
"""Of a rendering in one piece; :func:`listen.synthesis.stream_notes` goes on to :data:`LATEST_S`."""
LATEST_S = 4 * 3600.0  # four hours: longer than any part that is read
RING_S = 8.0  # no string is rendered for longer: by then it has fallen by 60 dB
RELEASE_S = 0.035  # a finger laid on a string stills it with about this time constant
RESTRIKE_S = 0.006  # the pick touches the string just before it plucks it
PALM_DAMPING, DEAD_DAMPING = 12.0, 90.0  # times the string's own losses


@dataclass(frozen=True, slots=True)
class PluckedNote:
    """One pluck of one string.

    Parameters
    ----------
    onset_s : float
    pitch : Pitch
        What sounds.
    string : int
        Which string of the instrument; a later note on it damps this one.
    kind : int
        Which of the six kinds of string (0 the heaviest), see :func:`listen.instrument.find_string_kinds`.
    fret : int
        Frets between nut (not capo) and finger; 0 the open string.
    level_db : float
    duration_s : float or None
        When the hand damps it; None lets it ring.
    mute : "open", "palm" or "dead"
        Ringing, under the palm, or a damped string that only clicks.
    """

    onset_s: float
    pitch: Pitch
    string: int
    kind: int
    fret: int = 0
    level_db: float = 0.0
    duration_s: float | None = None
    mute: Mute = "open"

    def __post_init__(self) -> None:
        if not 0.0 <= self.onset_s <= LATEST_S:
            raise bad_value("onset", self.onset_s, allowed=f"0 to {LATEST_S:g} seconds")
        if not 0 <= self.kind <= 5:
            raise bad_value("kind of string", self.kind, allowed="0 (heaviest) to 5 (lightest)")


def render_notes(notes: Sequence[PluckedNote], *, tone: Tone | None = None, duration_s: float | None = None) -> Samples:
    """Render plucked notes to mono samples.

    Parameters
    ----------
    notes : sequence of PluckedNote
        In any order.
    tone : Tone, optional
        Guitar, pluck, room, sample rate and seed.
    duration_s : float, optional
        Length of the rendering; by default until the last note has rung for three seconds or was damped.

    Returns
    -------
    ndarray of float32, shape (n,), mono, peak 0.7

    Raises
    ------
    BadValueError
        The rendering would be longer than :data:`LONGEST_S`.

    Examples
    --------
    >>> low = PluckedNote(0.1, Pitch.parse("E2"), string=0, kind=0)
    >>> render_notes([low], duration_s=1.0).shape
    (44100,)
    """
    tone = tone or Tone()
    ends = find_ends(notes)
    if duration_s is None:
        duration_s = (
            max((min(end, note.onset_s + 3.0) for note, end in zip(notes, ends, strict=True)), default=0.0) + 0.3
        )
    if not 0.0 <= duration_s <= LONGEST_S:
        raise bad_value("duration", duration_s, allowed=f"0 to {LONGEST_S:g} seconds")
    rate = tone.sample_rate_hz
    total = np.zeros(round(duration_s * rate))
    player = StringPlayer(tone)
    for note, end_s in zip(notes, ends, strict=True):
        start = round(note.onset_s * rate)
        samples = player.ring(note, end_s, most_s=duration_s - note.onset_s)
        stop = min(start + samples.size, total.size)
        if start < stop:
            total[start:stop] += samples[: stop - start]
    return apply_tone(total, tone)


class StringPlayer:
    """Rings one note after another; what is drawn by chance goes on from note to note.

    Parameters
    ----------
    tone : Tone
    alike : bool
        Whether a note that comes again sounds just as it did before, which costs next to nothing.
    """

    def __init__(self, tone: Tone, *, alike: bool = False) -> None:
        self.tone, self.alike = tone, alike
        self._known: dict[PluckedNote, Samples] = {}
        self.rng = np.random.default_rng([tone.seed, 0])
        self.detune_cents = tone.detune_cents * self.rng.standard_normal(64)

    def ring(self, note: PluckedNote, end_s: float, *, most_s: float) -> np.ndarray[Any, np.dtype[np.float64]]:
        """Return a note from its onset until it is damped at `end_s`, for `most_s` at most; nothing where that is over.

        Returns
        -------
        ndarray, shape (n,)
            Force on the bridge, or voltage of the pickup.
        """
        ring_s = min(RING_S, end_s + 6.0 * RELEASE_S - note.onset_s, most_s)
        if ring_s <= 0 or round(most_s * self.tone.sample_rate_hz) <= 0:
            return np.zeros(0)
        samples = self._sound_as_before(note, ring_s) if self.alike else self._sound(note, ring_s)
        time_s = np.arange(samples.size) / self.tone.sample_rate_hz
        samples *= np.exp(-np.maximum(0.0, time_s - (end_s - note.onset_s)) / RELEASE_S)
        return samples

    def _sound(self, note: PluckedNote, ring_s: float) -> np.ndarray[Any, np.dtype[np.float64]]:
        """Return a note that nothing damps."""
        cents = self.tone.tuning_offset_cents + float(self.detune_cents[note.string % self.detune_cents.size])
        return _render_note(note, self.tone, cents=cents, ring_s=ring_s, rng=self.rng)

    def _sound_as_before(self, note: PluckedNote, ring_s: float) -> np.ndarray[Any, np.dtype[np.float64]]:
        """Return the beginning of what the same note was before, where that rang as long."""
        n_samples, same = int(ring_s * self.tone.sample_rate_hz), replace(note, onset_s=0.0, duration_s=None)
        known = self._known.get(same)
        if known is None or known.size < n_samples:
            known = self._known[same] = self._sound(note, ring_s).astype(np.float32)
        return known[:n_samples].astype(np.float64)


def find_ends(notes: Sequence[PluckedNote]) -> list[float]:
    """Return when each note is damped: at its own end, or just before its string is plucked again."""
    ends = [np.inf if note.duration_s is None else note.onset_s + note.duration_s for note in notes]
    following: dict[int, float] = {}
    for index in sorted(range(len(notes)), key=lambda i: -notes[i].onset_s):
        note = notes[index]
        if note.string in following:
            ends[index] = min(ends[index], max(note.onset_s, following[note.string] - RESTRIKE_S))
        following[note.string] = note.onset_s
    return [float(end) for end in ends]


def _render_note(
    note: PluckedNote, tone: Tone, *, cents: float, ring_s: float, rng: np.random.Generator
) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Render one string's force on the bridge (or its pickup's voltage)."""
    table = find_string_table(tone.guitar)
    fundamental = note.pitch.frequency_hz * 2.0 ** (cents / 1200.0)
    stiffness = fretted_stiffness(retuned_stiffness(table, note.kind, note.pitch.midi - note.fret), note.fret)
    decay_s = fretted_decay_s(table.decay_s[note.kind], note.fret)
    contact_hz = table.contact_hz * (0.5 if tone.fingers and tone.guitar != "nylon" else 1.0)
    sounding = 2.0 ** (note.fret / 12.0)  # the pluck stays where it is while the string gets shorter
    frequency = partial_frequencies(np.asarray([fundamental]), np.asarray([stiffness]), n_partials=N_PARTIALS)
    position = np.asarray([min(0.5, tone.pluck_position * sounding * (1.0 + 0.03 * rng.standard_normal()))])
    amplitude = pluck_amplitudes(frequency, position, np.ones(1), np.asarray([contact_hz]))
    if table.pickup_position is not None:
        amplitude = amplitude * comb_amplitudes(
            np.asarray([min(0.5, table.pickup_position * sounding)]), n_partials=N_PARTIALS
        )
    amplitude = amplitude * (frequency < min(0.46 * tone.sample_rate_hz, 16_000.0))
    amplitude = amplitude * np.exp(0.15 * rng.standard_normal(amplitude.shape))
    amplitude *= 10.0 ** (note.level_db / 20.0) / np.sqrt((amplitude**2).sum())
    damping = {"open": 1.0, "palm": PALM_DAMPING, "dead": DEAD_DAMPING}[note.mute]
    decay = decay_rates(
        frequency, np.asarray([decay_s]), np.asarray([table.decay_slope]), np.asarray([table.decay_curve])
    )
    decay = decay * damping * np.exp(0.1 * rng.standard_normal(decay.shape))
    # The second polarisation is weaker, a trace off in pitch, and rings longer: beats and a double decay (Weinreich).
    second_hz = frequency * (1.0 + 1.5e-4 * rng.standard_normal()) + 0.15 * rng.standard_normal()
    level = 0.35 * np.exp(0.2 * rng.standard_normal(amplitude.shape))
    n_samples = max(1, int(ring_s * tone.sample_rate_hz))
    samples = sum_partials(
        np.concatenate([frequency, second_hz], axis=-1),
        np.concatenate([amplitude, amplitude * level], axis=-1),
        np.concatenate([decay, 0.55 * decay], axis=-1),
        np.zeros((1, 2 * N_PARTIALS)),  # let go from rest: every mode starts at its crest
        n_samples=n_samples,
        sample_rate_hz=tone.sample_rate_hz,
    )[0]
    time_s = np.arange(n_samples) / tone.sample_rate_hz
    samples *= 1.0 - np.exp(-time_s / (1.5e-3 if tone.fingers or tone.guitar == "nylon" else 3e-4))
    samples += _contact_noise(note, tone, time_s, rng)
    return np.asarray(samples)


def _contact_noise(
    note: PluckedNote, tone: Tone, time_s: np.ndarray[Any, Any], rng: np.random.Generator
) -> np.ndarray[Any, np.dtype[np.float64]]:
    """Return the scrape of pick or fingertip: a few milliseconds of dull noise."""
    n_burst = min(time_s.size, int(0.03 * tone.sample_rate_hz))
    noise = np.zeros(time_s.size)
    burst = rng.standard_normal(n_burst)
    smooth = max(1, int(tone.sample_rate_hz / (3000.0 if tone.fingers or tone.guitar == "nylon" else 8000.0)))
    burst = np.convolve(burst, np.ones(smooth) / smooth, mode="same")
    level_db = note.level_db + {"open": -27.0, "palm": -20.0, "dead": -6.0}[note.mute]
    noise[:n_burst] = burst * np.exp(-time_s[:n_burst] / 0.004) * 10.0 ** (level_db / 20.0)
    return noise
