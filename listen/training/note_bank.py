"""A bank of single notes, from which strokes are mixed whose truth is known, and of what else sounds in a room.

Conventions: 16 kHz mono float32. A note begins :data:`LEAD_S` before it has risen to a tenth of its peak, lasts at most
:data:`LONGEST_S`, and is as loud as every other over its first quarter of a second.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio import EAR_RATE_HZ
from listen.errors import RecordingError

Samples = NDArray[np.float32]

LEAD_S = 0.004
LONGEST_S = 1.8
RISEN = 0.1  # of the peak
LOUDNESS_S, LOUDNESS = 0.25, 0.08  # root mean square over the first of it; judged
FADE_S = 0.15
SILENT = 1e-5
BRIGHT_HZ, DULL_PER_DB = 6000.0, 0.06  # a note played softer is duller: octaves of ten a decibel; judged


@dataclass(frozen=True, slots=True, eq=False)
class BankGuitar:
    """The notes of one guitar.

    Parameters
    ----------
    name : str
    notes : mapping of int to tuple of ndarray
        By MIDI pitch: the takes of it.
    weight : float
        How often it is drawn, against the others.
    """

    name: str
    notes: Mapping[int, tuple[Samples, ...]]
    weight: float = 1.0

    def draw_note(self, midi: float, rng: np.random.Generator, *, softer_db: float = 0.0) -> Samples:
        """Draw a take of the nearest pitch, bend it to the one that is asked for, and dull it where it is soft.

        Parameters
        ----------
        midi : float
            Fractions are a string's detuning.
        rng : Generator
        softer_db : float
            How much softer than an ordinary stroke; it changes the colour, not the level.
        """
        near = min(self.notes, key=lambda pitch: (abs(pitch - midi), pitch))
        takes = self.notes[near]
        note = takes[int(rng.integers(len(takes)))]
        if midi != near:
            note = resample_by(note, 2.0 ** ((midi - near) / 12.0))
        if softer_db > 0.0:
            from scipy import signal

            keep = float(np.exp(-2.0 * np.pi * BRIGHT_HZ * 10.0 ** (-DULL_PER_DB * softer_db) / EAR_RATE_HZ))
            note = np.asarray(signal.lfilter([1.0 - keep], [1.0, -keep], note), np.float32)
        return note


@dataclass(frozen=True, slots=True, eq=False)
class NoteBank:
    """Guitars, and recorded sounds that may stand beside them.

    Parameters
    ----------
    guitars : tuple of BankGuitar
    drums : tuple of ndarray
        Single strokes; none leaves drums out.
    speech : tuple of ndarray
        Peak about one; none leaves speech to a drawn voice.
    """

    guitars: tuple[BankGuitar, ...]
    drums: tuple[Samples, ...] = ()
    speech: tuple[Samples, ...] = ()

    def draw_guitar(self, rng: np.random.Generator) -> BankGuitar:
        """Draw a guitar by the guitars' weights."""
        weights = np.array([guitar.weight for guitar in self.guitars])
        return self.guitars[int(rng.choice(len(weights), p=weights / weights.sum()))]


def read_sound(path: Path) -> Samples:
    """Read a sound file as 16 kHz mono.

    Raises
    ------
    RecordingError
        It cannot be read.
    """
    import soundfile
    import soxr

    try:
        samples, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
    except (OSError, RuntimeError) as error:
        raise RecordingError(f"{path} cannot be read as a recording: {error}.") from error
    return np.asarray(soxr.resample(samples.mean(axis=1), rate_hz, EAR_RATE_HZ), np.float32)


def cut_note(samples: NDArray[np.floating]) -> Samples | None:
    """Cut a note out of its recording and bring it to the bank's loudness; None where nothing sounds.

    Parameters
    ----------
    samples : ndarray, shape (n,), 16 kHz mono
    """
    level = np.abs(samples)
    if level.size == 0 or level.max() < SILENT:
        return None
    risen = int(np.flatnonzero(level > RISEN * level.max())[0])
    first = max(0, risen - int(LEAD_S * EAR_RATE_HZ))
    note = samples[first : first + int(LONGEST_S * EAR_RATE_HZ)].astype(np.float64)
    note *= LOUDNESS / (np.sqrt(np.mean(note[: int(LOUDNESS_S * EAR_RATE_HZ)] ** 2)) + 1e-9)
    n_fade = min(len(note), int(FADE_S * EAR_RATE_HZ))
    note[len(note) - n_fade :] *= np.linspace(1.0, 0.0, n_fade)
    return note.astype(np.float32)


def resample_by(samples: Samples, factor: float) -> Samples:
    """Play samples faster by a factor, and higher with it (linear interpolation)."""
    places = np.arange(int(len(samples) / factor)) * factor
    return np.asarray(np.interp(places, np.arange(len(samples)), samples), np.float32)
