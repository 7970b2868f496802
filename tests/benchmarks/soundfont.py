"""Strums and drums rendered with Debian's FluidR3 soundfont (``fluid-soundfont-gm``, MIT) by ``fluidsynth``.

Conventions: General MIDI programs counted from 0 here (24 nylon, 25 steel, 26 jazz, 27 clean, 28 muted, 29 overdriven,
30 distorted guitar); one MIDI channel a string; no reverb, no chorus. One run renders many strums, :data:`SPACING_S`
apart.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.benchmarks.cases import LEAD_S, RATE_HZ, Samples
from tests.benchmarks.hands import OPEN_MIDI, Frets

SOUNDFONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
SPACING_S = 4.0
LENGTH_S = 2.5
TICKS_A_SECOND = 960
DRUM_CHANNEL = 9
DRUM_KEYS = (35, 36, 38, 40, 37, 39, 42, 44, 46, 49, 51, 41, 45, 48, 54, 56)


@dataclass(frozen=True, slots=True)
class Stroke:
    """One key going down.

    Parameters
    ----------
    at_s : float
        After the start of its strum.
    channel, key, velocity : int
    length_s : float
    """

    at_s: float
    channel: int
    key: int
    velocity: int
    length_s: float = LENGTH_S


@dataclass(frozen=True, slots=True)
class Score:
    """What one rendering plays.

    Parameters
    ----------
    program : int
    strokes : tuple of Stroke
    """

    program: int
    strokes: tuple[Stroke, ...]


def score_strum(frets: Frets, program: int, random: np.random.Generator) -> tuple[Score, str]:
    """Write a strum down, string by string; return it with its direction."""
    played = [string for string, fret in enumerate(frets) if fret is not None]
    direction = "down" if random.random() < 0.65 else "up"
    gap, velocity = random.uniform(0.008, 0.025), random.uniform(70, 112)
    strokes, at_s = [], 0.0
    for string in played if direction == "down" else played[::-1]:
        struck = int(np.clip(velocity + random.normal(0, 8), 30, 127))
        strokes.append(Stroke(at_s, string, OPEN_MIDI[string] + (frets[string] or 0), struck))
        at_s += gap * random.uniform(0.7, 1.3)
    return Score(program, tuple(strokes)), direction


def score_drums(random: np.random.Generator) -> Score:
    """Write down a bar or so of drums: one to four hits, some together."""
    strokes, at_s = [], 0.0
    for _ in range(int(random.integers(1, 5))):
        keys = random.choice(DRUM_KEYS, size=int(random.integers(1, 3)), replace=False)
        strokes += [Stroke(at_s, DRUM_CHANNEL, int(key), int(random.integers(60, 125)), 0.2) for key in keys]
        at_s += random.uniform(0.12, 0.6)
    return Score(int(random.choice((0, 8, 16, 24, 25, 32, 40))), tuple(strokes))


def _to_midi(scores: Sequence[Score], path: Path) -> None:
    import mido

    events: list[tuple[int, mido.Message]] = []
    for place, score in enumerate(scores):
        start_s = LEAD_S + place * SPACING_S
        for channel in {stroke.channel for stroke in score.strokes}:
            program = mido.Message("program_change", channel=channel, program=score.program)
            events.append((round((start_s - 0.1) * TICKS_A_SECOND), program))
        for stroke in score.strokes:
            down = round((start_s + stroke.at_s) * TICKS_A_SECOND)
            up = down + round(min(stroke.length_s, SPACING_S - 1.0) * TICKS_A_SECOND)
            key = {"channel": stroke.channel, "note": stroke.key}
            events.append((down, mido.Message("note_on", velocity=stroke.velocity, **key)))
            events.append((up, mido.Message("note_off", **key)))
    track = mido.MidiTrack()
    track.append(mido.MetaMessage("set_tempo", tempo=500_000))
    now = 0
    for tick, message in sorted(events, key=lambda event: event[0]):
        track.append(message.copy(time=tick - now))
        now = tick
    track.append(mido.MetaMessage("end_of_track", time=2 * TICKS_A_SECOND))
    mido.MidiFile(ticks_per_beat=TICKS_A_SECOND // 2, tracks=[track]).save(path)


def render_scores(scores: Sequence[Score], *, rate_hz: int = RATE_HZ) -> list[Samples]:
    """Render each score to mono samples with a quiet lead-in, in one run of fluidsynth.

    Parameters
    ----------
    scores : sequence of Score
    rate_hz : int

    Returns
    -------
    list of ndarray, shape (n,), peak 0.5
    """
    import soundfile

    with tempfile.TemporaryDirectory() as folder:
        midi, wave = Path(folder) / "strums.mid", Path(folder) / "strums.wav"
        _to_midi(scores, midi)
        subprocess.run(
            ["fluidsynth", "-ni", "-g", "0.5", "-R", "0", "-C", "0", "-r", str(rate_hz), "-F", str(wave),
             str(SOUNDFONT), str(midi)],
            check=True, capture_output=True,
        )  # fmt: skip
        rendered, _ = soundfile.read(wave, dtype="float32", always_2d=True)
    mono = rendered.mean(1)
    length = int((LEAD_S + LENGTH_S) * rate_hz)
    cut = []
    for place in range(len(scores)):
        start = int(place * SPACING_S * rate_hz)
        piece = mono[start : start + length]
        cut.append(np.asarray(piece * (0.5 / max(float(np.abs(piece).max()), 1e-6)), np.float32))
    return cut
