"""The sound of a scene: through a soundfont, by the string model, or mixed from single recorded notes."""

from __future__ import annotations

import json
import subprocess
import tempfile
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.instrument import GuitarKind
from listen.synthesis import PluckedNote, Tone, render_notes
from listen.theory import Pitch
from tests.benchmarks.part_scenes import Scene

RATE_HZ = 44100
SOUNDFONT = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")  # MIT; Debian's fluid-soundfont-gm
PROGRAMS = (24, 25, 26, 27)  # nylon, steel, jazz, clean; General MIDI counted from 0
RECORDINGS = Path(__file__).parents[3] / "shared" / "recordings"


def _hits(scene: Scene, samples: NDArray[np.float32], rng: np.random.Generator) -> None:
    """Add the muted strokes: a short burst of damped strings and pick noise."""
    for stroke in scene.strokes:
        if stroke.what == "x":
            n = int(0.07 * RATE_HZ)
            noise = rng.normal(0, 1, n)
            spectrum = np.fft.rfft(noise)
            hz = np.fft.rfftfreq(n, 1 / RATE_HZ)
            spectrum *= np.exp(-0.5 * ((np.log2(np.maximum(hz, 20) / 900)) / 1.1) ** 2)
            burst = np.fft.irfft(spectrum, n) * np.exp(-np.arange(n) / (0.012 * RATE_HZ))
            burst *= 0.5 * float(np.abs(samples).max()) / float(np.abs(burst).max())
            start = int(stroke.onset_s * RATE_HZ)
            samples[start : start + n] += burst[: len(samples) - start].astype(np.float32)


def render_soundfont(scene: Scene, *, program: int = 25) -> NDArray[np.float32]:
    """Render through FluidR3 with a channel a string, bent to the scene's tuning offset."""
    import mido
    import soundfile

    ticks = 1000  # a tick is half a millisecond at 120 beats a minute
    events: list[tuple[float, int, mido.Message]] = []
    for string in range(6):
        events.append((0.0, 0, mido.Message("program_change", channel=string, program=program)))
        bend = round((scene.guitar.offset_cents + scene.guitar.string_cents[string]) / 200.0 * 8192)
        events.append((0.0, 1, mido.Message("pitchwheel", channel=string, pitch=bend)))
    for note in scene.notes:
        velocity = int(np.clip(110 * note.level, 1, 127))
        events.append(
            (note.onset_s, 3, mido.Message("note_on", channel=note.string, note=note.midi, velocity=velocity))
        )
        events.append((note.end_s, 2, mido.Message("note_off", channel=note.string, note=note.midi)))
    events.sort(key=lambda event: (round(event[0] * 2 * ticks), event[1]))
    track = mido.MidiTrack()
    at = 0
    for when, _, message in events:
        tick = round(when * 2 * ticks)
        track.append(message.copy(time=tick - at))
        at = tick
    track.append(mido.MetaMessage("end_of_track", time=ticks * 2))
    midi = mido.MidiFile(ticks_per_beat=ticks)
    midi.tracks.append(track)
    with tempfile.TemporaryDirectory() as folder:
        score, sound = Path(folder) / "s.mid", Path(folder) / "s.wav"
        midi.save(score)
        subprocess.run(
            ["fluidsynth", "-ni", "-q", "-g", "0.5", "-C", "0", "-R", "0", "-r", str(RATE_HZ), "-F", str(sound),
             str(SOUNDFONT), str(score)], check=True, capture_output=True,
        )  # fmt: skip
        samples, _ = soundfile.read(sound, dtype="float32", always_2d=True)
    mono: NDArray[np.float32] = samples.mean(1).astype(np.float32)
    _hits(scene, mono, np.random.default_rng(scene.seed + 1))
    return mono


def render_strings(scene: Scene, *, guitar: GuitarKind = "steel") -> NDArray[np.float32]:
    """Render by the string model, damped strokes as dead strings."""
    rng = np.random.default_rng(scene.seed + 3)
    notes = [
        PluckedNote(
            note.onset_s, Pitch(note.midi), note.string, note.string, note.fret + scene.guitar.capo,
            20.0 * float(np.log10(note.level)), max(0.03, note.end_s - note.onset_s),
        )
        for note in scene.notes
    ]  # fmt: skip
    for stroke in scene.strokes:
        if stroke.what == "x":
            for string in range(6):
                pitch = Pitch(scene.guitar.tuning[string] + scene.guitar.capo)
                at = stroke.onset_s + 0.003 * string
                notes.append(PluckedNote(at, pitch, string, string, scene.guitar.capo, -3.0, mute="dead"))
    tone = Tone(
        guitar=guitar, fingers=guitar == "nylon", tuning_offset_cents=scene.guitar.offset_cents, detune_cents=2.0,
        pluck_position=float(rng.uniform(0.1, 0.25)), seed=scene.seed, sample_rate_hz=RATE_HZ,
    )  # fmt: skip
    return render_notes(notes, tone=tone, duration_s=scene.duration_s)


@cache
def _notes_of(name: str) -> dict[int, list[Path]]:
    folder, _, channel = name.partition(":")
    found: dict[int, list[Path]] = {}
    for row in json.loads((RECORDINGS / "manifest.json").read_text()):
        if (row["set"], row.get("channel")) == (folder, channel or None):
            found.setdefault(row["midi"], []).append(RECORDINGS / row["file"])
    return found


@cache
def _note(path: Path, semitones: float) -> NDArray[np.float32]:
    import soundfile
    import soxr

    samples, rate = soundfile.read(path, dtype="float32", always_2d=True)
    mono = samples.mean(1)
    loud = np.flatnonzero(np.abs(mono) > 0.1 * np.abs(mono).max())[0]
    mono = mono[max(0, loud - int(0.004 * rate)) :]
    mono = soxr.resample(mono, rate * 2.0 ** (semitones / 12), RATE_HZ)
    return np.asarray(mono / (np.sqrt(np.mean(mono[: RATE_HZ // 4] ** 2)) + 1e-9) * 0.08, np.float32)


def render_recorded(scene: Scene, *, guitar: str = "notes_electric:black") -> NDArray[np.float32]:
    """Mix from single recorded notes of one guitar (its own tuning; the scene's offset is not applied)."""
    rng = np.random.default_rng(scene.seed + 2)
    pool = _notes_of(guitar)
    samples = np.zeros(int((scene.duration_s + 3) * RATE_HZ), np.float32)
    for note in scene.notes:
        nearest = min(pool, key=lambda midi: (abs(midi - note.midi), midi))
        paths = pool[nearest]
        cents = scene.guitar.string_cents[note.string]
        sound = _note(paths[int(rng.integers(len(paths)))], note.midi - nearest + cents / 100.0)
        start, n = int(note.onset_s * RATE_HZ), min(len(sound), int((note.end_s - note.onset_s + 0.06) * RATE_HZ))
        piece = sound[:n] * note.level
        fade = min(n, int(0.05 * RATE_HZ))
        piece[n - fade :] *= np.linspace(1, 0, fade, dtype=np.float32)
        samples[start : start + n] += piece[: len(samples) - start]
    _hits(scene, samples, rng)
    return samples
