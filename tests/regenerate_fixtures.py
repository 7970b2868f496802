"""Make the recordings in ``audio_fixtures/`` and their truth: ``python -m tests.regenerate_fixtures``.

Needs ``fluidsynth`` and ``fluid-soundfont-gm`` (Debian) for the scenes rendered with FluidR3; the others are plucked by
``listen.synthesis``. The truth is what this script was told to play, worked out from the shape by adding frets to open
strings; no answer of the program ever becomes truth.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from tests.benchmarks.cases import Samples
from tests.benchmarks.conditions import as_a_phone_hears, sing
from tests.benchmarks.soundfont import DRUM_CHANNEL, Score, Stroke, render_scores

FOLDER = Path(__file__).parent.parent / "audio_fixtures"
RATE_HZ = 22050
LENGTH_S = 2.2
STANDARD = "E2 A2 D3 G3 B3 E4"
NOTE_CLASSES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
PLAIN = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
OWN = "MIT, with this project"
MIT_FLUID = "MIT, see README.md"
FLUID = "FluidR3_GM (Debian fluid-soundfont-gm 3.1-5.3, MIT, by Frank Wen and others)"


@dataclass(frozen=True, slots=True)
class Scene:
    """One strum, as it is to be played.

    Parameters
    ----------
    file : str
    what : str
        In a player's words.
    frets : str
        By string, highest-numbered first, ``x`` not played, blanks between; counted from the capo. Empty for what is
        no chord.
    name, harte : str
        As it sounds.
    guitar : str
        ``"steel"``, ``"nylon"``, ``"electric"``, or a General MIDI program of FluidR3 counted from 0.
    tuning : str
    capo_fret : int
    offset_cents : float
    direction : str
    drive : float
    finish : callable or None
        What happens to the sound afterwards.
    """

    file: str
    what: str
    frets: str
    name: str
    harte: str
    guitar: str = "steel"
    tuning: str = STANDARD
    capo_fret: int = 0
    offset_cents: float = 0.0
    direction: str = "down"
    drive: float = 0.0
    finish: Callable[[Samples], Samples] | None = None

    @property
    def frets_by_string(self) -> list[int | None]:
        """The frets as numbers."""
        return [None if fret == "x" else int(fret) for fret in self.frets.split()]

    @property
    def midi(self) -> list[int]:
        """What each played string sounds, in string order."""
        opens = [_note_to_midi(note) for note in self.tuning.split()]
        return [
            open_midi + self.capo_fret + fret
            for open_midi, fret in zip(opens, self.frets_by_string, strict=False)
            if fret is not None
        ]


def _note_to_midi(note: str) -> int:
    accidental = note.count("#") - note[1:].count("b")
    return 12 * (int(note[-1]) + 1) + NOTE_CLASSES[note[0]] + accidental


def _midi_to_note(midi: int) -> str:
    return f"{PLAIN[midi % 12]}{midi // 12 - 1}"


def _in_noise(samples: Samples) -> Samples:
    """Lay pink-like noise 15 dB under the strum."""
    random = np.random.default_rng(15)
    frequencies = np.maximum(np.fft.rfftfreq(len(samples), 1.0 / RATE_HZ), 40.0)
    noise = np.fft.irfft(np.fft.rfft(random.standard_normal(len(samples))) * frequencies**-0.5, len(samples))
    level = np.sqrt(np.mean(samples[: 2 * RATE_HZ] ** 2)) / np.sqrt(np.mean(noise**2)) * 10.0 ** (-15.0 / 20.0)
    return np.asarray(samples + level * noise, np.float32)


def _murmur(length_s: float, seed: int) -> Samples:
    """Say nothing in syllables: a gliding voice cut into short bursts, hissing between them."""
    random = np.random.default_rng(seed)
    n = int(length_s * RATE_HZ)
    voice = sing(n, random)
    voiced, hissed = np.zeros(n), np.zeros(n)
    at = 0
    while at < n:
        syllable, pause = (int(random.uniform(*span) * RATE_HZ) for span in ((0.08, 0.22), (0.03, 0.12)))
        voiced[at : at + syllable] = np.hanning(syllable)[: n - at]
        hissed[at + syllable : at + syllable + pause] = np.hanning(pause)[: max(0, n - at - syllable)]
        at += syllable + pause
    hiss = np.diff(random.standard_normal(n + 1)) * 0.05
    return np.asarray(voice * voiced + hiss * hissed, np.float32)


def _after_talk(samples: Samples) -> Samples:
    """Put 1.2 s of murmur and 0.8 s of a quiet room before the strum."""
    random = np.random.default_rng(8)
    lead = np.concatenate([0.25 * _murmur(1.2, 8) / 0.5, np.zeros(int(0.8 * RATE_HZ), np.float32)])
    whole = np.concatenate([lead, samples])
    return np.asarray(whole + 2e-4 * random.standard_normal(len(whole)), np.float32)


SCENES: tuple[Scene, ...] = (
    Scene("open_g_over_b.flac", "G with its third in the bass, in open position", "x 2 0 0 0 3", "G/B", "G:maj/3"),
    Scene("open_e_minor_nylon.flac", "open E minor, fingers on nylon strings", "0 2 2 0 0 0", "Em", "E:min", "nylon"),
    Scene("barre_b_flat_minor.flac", "B flat minor under an index barre", "x 1 3 3 2 1", "Bbm", "Bb:min", "electric"),
    Scene("triad_root.flac", "A flat on strings 4 to 2, root in the bass", "x x 6 5 4 x", "Ab", "Ab:maj"),
    Scene("triad_first_inversion.flac", "A flat, third in the bass", "x x 10 8 9 x", "Ab/C", "Ab:maj/3"),
    Scene("triad_second_inversion.flac", "A flat, fifth in the bass", "x x 1 1 1 x", "Ab/Eb", "Ab:maj/5", "nylon"),
    Scene(
        "power_chord.flac",
        "F sharp power chord, driven amplifier",
        "2 4 4 x x x",
        "F#5",
        "F#:(1,5)",
        "electric",
        drive=6.0,
    ),
    Scene(
        "power_chord_inverted.flac",
        "a bare fourth: a power chord upside down",
        "4 4 x x x x",
        "C#5/G#",
        "C#:(1,5)/5",
        "29",
    ),
    Scene("sus2.flac", "B suspended second", "x 2 4 4 2 2", "Bsus2", "B:sus2", "25"),
    Scene("sus4_upstroke.flac", "G suspended fourth, an upstroke", "3 x 0 0 1 3", "Gsus4", "G:sus4", direction="up"),
    Scene("seventh_barre.flac", "E flat seventh under a barre", "x 6 8 6 8 6", "Eb7", "Eb:7", "27"),
    Scene("major_seventh.flac", "A major seventh, open strings outside", "x 0 2 1 2 0", "Amaj7", "A:maj7", "nylon"),
    Scene("minor_seventh.flac", "F sharp minor seventh without the A string", "2 x 2 2 2 x", "F#m7", "F#:min7", "26"),
    Scene("half_diminished.flac", "C sharp half-diminished on the inner strings", "x 4 5 4 5 x", "C#m7b5", "C#:hdim7"),
    Scene("diminished_seventh.flac", "B diminished seventh", "x 2 3 1 3 x", "Bdim7", "B:dim7", "electric"),
    Scene("six_nine.flac", "B flat six-nine around two open strings", "x 1 0 0 1 1", "Bb6/9", "Bb:maj6(9)"),
    Scene("capo_four.flac", "C form over a capo at fret 4", "x 3 2 0 1 0", "E", "E:maj", capo_fret=4),
    Scene("drop_d.flac", "D over all six strings of drop D", "0 0 0 2 3 2", "D", "D:maj", tuning="D2 A2 D3 G3 B3 E4"),
    Scene(
        "thirty_cents_flat.flac",
        "D minor over F on a guitar 30 cents flat",
        "x x 3 2 3 1",
        "Dm/F",
        "D:min/b3",
        offset_cents=-30.0,
    ),
    Scene(
        "phone_band.flac",
        "A minor seventh over G through 180 to 5,500 Hz",
        "3 0 2 0 1 0",
        "Am7/G",
        "A:min7/b7",
        "25",
        finish=lambda samples: as_a_phone_hears(samples, np.random.default_rng(0)),
    ),
    Scene("in_noise.flac", "A seventh in noise 15 dB down", "x 0 2 0 2 0", "A7", "A:7", finish=_in_noise),
    Scene(
        "after_talk.flac", "talk and a quiet second before E seventh", "0 2 0 1 0 0", "E7", "E:7", finish=_after_talk
    ),
    Scene("phone_memo.m4a", "D with a sixth, as a phone records it", "x x 0 2 0 2", "D6", "D:maj6", "nylon"),
    Scene("one_note.flac", "one note, the G string at fret 4", "x x x 4 x x", "", "", "electric"),
)


def _pluck(scene: Scene, seed: int) -> Samples:
    from listen.instrument import Fretboard, Shape, Tuning
    from listen.synthesis import StrumStyle, Tone, render_shape
    from listen.theory import Pitch

    tuning = Tuning(scene.tuning, tuple(Pitch.parse(note) for note in scene.tuning.split()))
    tone = Tone(
        guitar=scene.guitar,  # type: ignore[arg-type]  # one of the three kinds, checked by Tone
        fingers=scene.guitar == "nylon",
        tuning_offset_cents=scene.offset_cents,
        drive=scene.drive,
        sample_rate_hz=RATE_HZ,
        seed=seed,
    )
    direction: Any = scene.direction
    settings = StrumStyle(direction=direction, spread_s=0.07, onset_s=0.2, duration_s=LENGTH_S, tone=tone)
    shape = Shape(tuple(scene.frets_by_string))
    return render_shape(shape, Fretboard(tuning, capo_fret=scene.capo_fret), settings=settings)


def _render_fluid(scene: Scene) -> Samples:
    strokes = tuple(Stroke(0.015 * place, place, midi, 92 - 3 * (place % 3)) for place, midi in enumerate(scene.midi))
    return render_scores([Score(int(scene.guitar), strokes)], rate_hz=RATE_HZ)[0][: int(LENGTH_S * RATE_HZ)]


def _write(file: str, samples: Samples) -> None:
    import soundfile

    faded = samples.copy()
    fade = RATE_HZ // 10
    faded[-fade:] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
    path = FOLDER / file
    if path.suffix == ".flac":
        soundfile.write(path, faded, RATE_HZ, subtype="PCM_16")
        return
    import av
    import soxr

    raised = np.clip(soxr.resample(faded, RATE_HZ, 44100), -1.0, 1.0)
    with av.open(str(path), "w", format="ipod") as output:
        stream = output.add_stream("aac", rate=44100, layout="mono")
        assert isinstance(stream, av.AudioStream)
        stream.bit_rate = 64000
        frame = av.AudioFrame.from_ndarray(raised[None].astype(np.float32), format="fltp", layout="mono")
        frame.sample_rate = 44100
        fifo = av.AudioFifo()
        fifo.write(frame)
        while (piece := fifo.read(1024, partial=True)) is not None:
            output.mux(stream.encode(piece))
        output.mux(stream.encode(None))


def _entry(scene: Scene) -> dict[str, Any]:
    fluid = scene.guitar.isdigit()
    midi = scene.midi
    return {
        "file": scene.file,
        "what": scene.what,
        "kind": "note" if len(midi) == 1 else "power" if len({one % 12 for one in midi}) == 2 else "chord",
        "frets": scene.frets_by_string,
        "pitches": [_midi_to_note(one) for one in sorted(set(midi))],
        "midi": sorted(set(midi)),
        "bass": _midi_to_note(min(midi)),
        "name": scene.name or None,
        "harte": scene.harte or None,
        "tuning": scene.tuning,
        "capo_fret": scene.capo_fret,
        "offset_cents": scene.offset_cents,
        "direction": scene.direction if len(midi) > 1 else None,
        "source": FLUID if fluid else f"listen.synthesis, {scene.guitar}",
        "licence": MIT_FLUID if fluid else OWN,
    }


def _make_not_chords() -> list[tuple[str, str, Samples, str, str]]:
    """Make what is no chord: file, what it is, samples, source, licence."""
    hits = ((0.0, 36), (0.35, 38), (0.7, 42), (1.05, 38))
    drums = Score(0, tuple(Stroke(at_s, DRUM_CHANNEL, key, 100, 0.2) for at_s, key in hits))
    (drummed,) = render_scores([drums], rate_hz=RATE_HZ)
    noise = np.random.default_rng(3).standard_normal(2 * RATE_HZ).astype(np.float32)
    return [
        ("murmur.flac", "a voice in syllables, no words", _murmur(2.2, 21), "formants and hiss", OWN),
        ("drums.flac", "four strokes on a drum kit", drummed, FLUID, MIT_FLUID),
        ("noise.flac", "white noise", np.float32(0.1) * noise, "random numbers", OWN),
        ("silence.flac", "a quiet room: noise at -80 dB", np.float32(1e-4) * noise, "random numbers", OWN),
    ]


def main() -> None:
    """Write every recording and ``manifest.json``."""
    FOLDER.mkdir(exist_ok=True)
    entries = []
    for seed, scene in enumerate(SCENES):
        samples = _render_fluid(scene) if scene.guitar.isdigit() else _pluck(scene, seed)
        _write(scene.file, scene.finish(samples) if scene.finish else samples)
        entries.append(_entry(scene))
    for file, what, samples, source, licence in _make_not_chords():
        _write(file, samples)
        entries.append({"file": file, "what": what, "kind": "nothing", "source": source, "licence": licence})
    text = json.dumps({"format": "listen.audio_fixtures/1", "fixtures": entries}, indent=1, ensure_ascii=False)
    (FOLDER / "manifest.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
