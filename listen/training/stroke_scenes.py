"""Scenes of strokes: a part as a recording of it sounds, and the truth about when it was struck.

Conventions: 16 kHz mono; a scene lasts :data:`SCENE_S`; a number of seeds makes always the same scene.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from listen.audio import EAR_RATE_HZ
from listen.training.note_bank import BankGuitar, NoteBank, Samples
from listen.training.stroke_chain import pass_recording_chain
from listen.training.stroke_performance import Burst, PlayedStroke, ScenePerformance
from listen.training.stroke_player import draw_performance

SCENE_S = 20.0
AMID_SHARE, CUT_OFF_S = 0.3, (0.3, 3.0)
"""Of scenes that start amid the music, and what is cut off of them: recordings are often started, or cut, too late."""
START_S, START_BEFORE_CUT_S = (0.3, 1.5), (0.05, 0.3)  # where playing begins; judged
REST_S = (-0.4, 2.5)  # between the last bar and the end; playing may go on past it; judged
RELEASE_S = 0.03  # a finger stills a string within this time
SHORTEST_NOTE = 8  # samples


@dataclass(frozen=True, slots=True, eq=False)
class StrokeScene:
    """A recording and its truth.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,), 16 kHz mono, within −1..1
    strokes : tuple of PlayedStroke
        In time, all within the recording.
    cut_off_s : float
        How much of the part had passed when the recording began.
    """

    samples: Samples
    strokes: tuple[PlayedStroke, ...]
    cut_off_s: float = 0.0


def draw_stroke_scene(
    bank: NoteBank, seed: int | Sequence[int], *, amid_share: float = AMID_SHARE, dry: bool = False
) -> StrokeScene:
    """Draw a scene.

    Parameters
    ----------
    bank : NoteBank
    seed : int or sequence of int
    amid_share : float
        How often a scene starts amid the music.
    dry : bool
        Leave the strings as they are, with nothing beside them and no recording chain.
    """
    rng = np.random.default_rng(seed)
    guitar = bank.draw_guitar(rng)
    amid = rng.random() < amid_share
    cut_off_s = rng.uniform(*CUT_OFF_S) if amid else 0.0
    whole_s = SCENE_S + cut_off_s
    played = draw_performance(
        rng,
        start_s=rng.uniform(*(START_BEFORE_CUT_S if amid else START_S)),
        until_s=whole_s - rng.uniform(*REST_S),
    )
    samples = mix_performance(played, guitar, rng, duration_s=whole_s)
    if not dry:
        samples = pass_recording_chain(samples, rng, bank, played)
    first = round(cut_off_s * EAR_RATE_HZ)
    samples = samples[first : first + round(SCENE_S * EAR_RATE_HZ)]
    return StrokeScene(samples, shift_strokes(played.strokes, by_s=-first / EAR_RATE_HZ), first / EAR_RATE_HZ)


def shift_strokes(strokes: Sequence[PlayedStroke], *, by_s: float) -> tuple[PlayedStroke, ...]:
    """Shift strokes in time; those that come to lie outside a scene are left out."""
    shifted = [replace(stroke, onset_s=stroke.onset_s + by_s) for stroke in strokes]
    return tuple(stroke for stroke in shifted if 0.0 <= stroke.onset_s < SCENE_S)


def mix_performance(
    played: ScenePerformance, guitar: BankGuitar, rng: np.random.Generator, *, duration_s: float
) -> Samples:
    """Mix notes of a guitar as they were played, and the noises of the hand.

    Returns
    -------
    ndarray of float32, shape (duration_s × 16 000,)
    """
    samples = np.zeros(round(duration_s * EAR_RATE_HZ), np.float32)
    for note in played.notes:
        sound = guitar.draw_note(note.midi, rng, softer_db=note.softer_db)
        sound = sound[: max(0, int((note.end_s - note.onset_s + RELEASE_S) * EAR_RATE_HZ))]
        if len(sound) >= SHORTEST_NOTE:
            n_release = min(len(sound), int(RELEASE_S * EAR_RATE_HZ))
            faded = sound * np.float32(10.0 ** (note.level_db / 20.0))
            faded[len(faded) - n_release :] *= np.linspace(1.0, 0.0, n_release, dtype=np.float32)
            _add_at(samples, faded, note.onset_s)
    peak = float(np.abs(samples).max()) + 1e-6
    for burst in played.bursts:
        _add_at(samples, 0.5 * peak * _make_burst(burst, rng), burst.onset_s)
    return samples


def _add_at(samples: Samples, sound: Samples, onset_s: float) -> None:
    """Add a sound where it begins; one that begins outside is left out."""
    first = int(onset_s * EAR_RATE_HZ)
    if 0 <= first < len(samples):
        samples[first : first + len(sound)] += sound[: len(samples) - first]


def _make_burst(burst: Burst, rng: np.random.Generator) -> Samples:
    """Make a band of noise that dies away, of its level at the peak."""
    n = int(6.0 * burst.decay_s * EAR_RATE_HZ)
    hz = np.fft.rfftfreq(n, 1.0 / EAR_RATE_HZ)
    octave = np.log2(np.maximum(hz, 20.0) / burst.centre_hz)
    noise = np.fft.irfft(np.fft.rfft(rng.standard_normal(n)) * np.exp(-0.5 * (octave / 1.1) ** 2), n)
    noise *= np.exp(-np.arange(n) / (burst.decay_s * EAR_RATE_HZ))
    return np.asarray(noise / np.abs(noise).max() * 10.0 ** (burst.level_db / 20.0), np.float32)
