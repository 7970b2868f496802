"""Questions as sound: each chord played by the string model, or cut from the player's recording, equally loud.

Conventions: mono float32 at :data:`RATE_HZ`. Loudness is that of ITU-R BS.1770 (pyloudnorm), so that it never tells an
answer.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.evidence import TimeSpan
from listen.instrument import Fretboard
from listen.practice.question import Sounding
from listen.synthesis import PluckedNote, render_notes, shape_to_notes

Samples = NDArray[np.float32]
RATE_HZ = 22_050  # of all that sounds here, whatever a tone says
LOUDNESS_LUFS = -20.0  # moderate; ten decibels under what music is mastered to
CEILING = 0.98  # of full scale, so that coding does not clip
GAP_S = 0.35  # between two sounds of a question; judged
FADE_S = 0.25  # at the end, so that nothing clicks; judged
STEP_S = 0.55  # from note to note where a chord is spelled out


def render_sounds(
    sounds: Sequence[Sounding], fretboard: Fretboard, *, load_cut: Callable[[TimeSpan], Samples] | None = None
) -> Samples:
    """Render chords one after the other.

    Parameters
    ----------
    sounds : sequence of Sounding
    fretboard : Fretboard
    load_cut : callable, optional
        Gives a stretch of the player's own recording, mono, at :data:`RATE_HZ`.

    Returns
    -------
    ndarray of float32, shape (m,), each chord at :data:`LOUDNESS_LUFS`
    """
    pieces: list[Samples] = []
    for sounding in sounds:
        if sounding.cut is not None and load_cut is not None:
            heard = load_cut(sounding.cut)
        else:
            heard = _play(sounding, fretboard)
        pieces.append(even_out(_fade(heard)))
    return _join(pieces)


def render_basses(sounds: Sequence[Sounding], fretboard: Fretboard) -> Samples:
    """Render the basses of chords alone, one after the other."""
    return _join([render_bass(sounding, fretboard) for sounding in sounds])


def render_bass(sounding: Sounding, fretboard: Fretboard) -> Samples:
    """Render the bass of a chord alone, on the string that sounded it."""
    notes = _notes(sounding, fretboard)
    lowest = replace(min(notes, key=lambda note: note.pitch), onset_s=sounding.strum.onset_s)
    return even_out(_fade(_sound(sounding, [lowest])))


def render_spelled(sounding: Sounding, fretboard: Fretboard) -> Samples:
    """Render a chord note by note, from the bass to the top, each ringing on."""
    notes = sorted(_notes(sounding, fretboard), key=lambda note: note.pitch)
    slow = [replace(note, onset_s=0.1 + STEP_S * place) for place, note in enumerate(notes)]
    return even_out(_fade(_sound(sounding, slow, extra_s=STEP_S * len(notes))))


def even_out(samples: Samples) -> Samples:
    """Bring samples to :data:`LOUDNESS_LUFS`, as far as their peak allows; silence stays silence."""
    import pyloudnorm

    shortest = int(0.41 * RATE_HZ)  # the standard's block is 0.4 s
    padded = np.pad(samples, (0, max(0, shortest - len(samples))))
    loudness = pyloudnorm.Meter(RATE_HZ).integrated_loudness(padded.astype(np.float64))
    peak = float(np.abs(samples).max(initial=0.0))
    if not np.isfinite(loudness) or peak == 0.0:
        return samples
    gain = min(10.0 ** ((LOUDNESS_LUFS - loudness) / 20.0), CEILING / peak)
    return np.asarray(samples * gain, np.float32)


def _join(pieces: Sequence[Samples]) -> Samples:
    gap = np.zeros(int(GAP_S * RATE_HZ), np.float32)
    return np.concatenate([each for piece in pieces for each in (piece, gap)][:-1]) if pieces else gap


def _play(sounding: Sounding, fretboard: Fretboard) -> Samples:
    return _sound(sounding, _notes(sounding, fretboard))


def _notes(sounding: Sounding, fretboard: Fretboard) -> list[PluckedNote]:
    notes = list(shape_to_notes(sounding.shape, fretboard, settings=sounding.strum))
    lowest = min(range(len(notes)), key=lambda place: notes[place].pitch)
    notes[lowest] = replace(notes[lowest], level_db=notes[lowest].level_db + sounding.bass_db)
    return notes


def _sound(sounding: Sounding, notes: Sequence[PluckedNote], *, extra_s: float = 0.0) -> Samples:
    duration_s = sounding.strum.duration_s + sounding.strum.spread_s + extra_s
    tone = replace(sounding.strum.tone, sample_rate_hz=RATE_HZ)
    return render_notes(notes, tone=tone, duration_s=duration_s)


def _fade(samples: Samples) -> Samples:
    n = min(len(samples), int(FADE_S * RATE_HZ))
    faded = samples.astype(np.float32, copy=True)
    faded[len(faded) - n :] *= np.linspace(1.0, 0.0, n, dtype=np.float32)
    return faded
