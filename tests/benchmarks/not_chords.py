"""Sounds that are no chord: speech, song, drums, a wind or bowed instrument alone, hum, tones, noise, clapping, rooms.

Speech is spoken by ``espeak-ng`` (Debian) from sentences of our own; drums are FluidR3's kits and decaying modes of our
own, instruments FluidR3's; the others are written out here.
"""

from __future__ import annotations

import io
import subprocess
from collections.abc import Callable

import numpy as np

from tests.benchmarks.cases import LEAD_S, RATE_HZ, Samples
from tests.benchmarks.conditions import in_a_noisy_room, sing
from tests.benchmarks.soundfont import Score, Stroke, render_scores, score_drums

LENGTH_S = 2.5
_N = int(LENGTH_S * RATE_HZ)
_TIME = np.arange(_N) / RATE_HZ
LINE_PROGRAMS = (40, 41, 42, 56, 57, 60, 65, 68, 70, 71, 73, 74, 75, 78, 79)  # bowed and blown
SENTENCES = {
    "en-gb": "Let me just move the chair a little closer to the window before we begin.",
    "en-us": "I think the cable on the left is the one that keeps crackling.",
    "de": "Warte einen Augenblick, ich muss noch die tiefe Saite nachstimmen.",
    "fr-fr": "Attends une seconde, je cherche mon carnet sous la table.",
    "es": "La ventana del taller se queda abierta cuando hace calor.",
    "it": "Domani portiamo il gatto dal vicino e poi torniamo a casa.",
    "pl": "Wczoraj padało, a dzisiaj znowu świeci słońce.",
    "sv": "Vi tar bussen hem när regnet har slutat.",
}


def _placed(samples: Samples, level: float) -> Samples:
    """Put a sound after the lead-in, its peak at the level."""
    placed = np.zeros(int(LEAD_S * RATE_HZ) + _N, np.float32)
    piece = samples[:_N]
    start = int(LEAD_S * RATE_HZ)
    placed[start : start + len(piece)] = piece * (level / max(float(np.abs(piece).max()), 1e-9))
    return placed


def _speech(random: np.random.Generator) -> Samples:
    import soundfile
    import soxr

    voice = list(SENTENCES)[random.integers(len(SENTENCES))]
    variant = ("", "+m3", "+m7", "+f2", "+f4", "+whisper")[random.integers(6)]
    words = SENTENCES[voice].split()
    text = " ".join(words[random.integers(0, 4) :])
    command = [
        "espeak-ng",
        "-v",
        voice + variant,
        "-p",
        str(random.integers(20, 90)),
        "-s",
        str(random.integers(120, 190)),
    ]
    spoken = subprocess.run([*command, "--stdout", text], check=True, capture_output=True).stdout
    samples, rate = soundfile.read(io.BytesIO(spoken), dtype="float32")
    return _placed(soxr.resample(samples, rate, RATE_HZ), random.uniform(0.2, 0.8))


def _song(random: np.random.Generator) -> Samples:
    return _placed(sing(_N, random), random.uniform(0.2, 0.8))


def _soundfont_drums(random: np.random.Generator) -> Samples:
    return render_scores([score_drums(random)])[0]


def _modal_drums(random: np.random.Generator) -> Samples:
    hits = np.zeros(_N)
    for _ in range(int(random.integers(1, 6))):
        start = int(random.uniform(0.0, LENGTH_S - 0.6) * RATE_HZ)
        time_s = _TIME[: _N - start]
        body_hz = np.exp(random.uniform(np.log(60.0), np.log(400.0)))
        sweep = body_hz * (1.0 + random.uniform(0.0, 1.5) * np.exp(-time_s / 0.03))
        # Modes of a round membrane against its lowest (Fletcher & Rossing, The Physics of Musical Instruments).
        phase = 2 * np.pi * np.cumsum(sweep) / RATE_HZ
        modes = np.zeros(len(time_s))
        for ratio in (1.0, 1.594, 2.136, 2.296, 2.653):
            decay = np.exp(-time_s * ratio / random.uniform(0.05, 0.25))
            modes += random.uniform(0.1, 1.0) * np.sin(ratio * phase) * decay
        rattle = (
            random.uniform(0.0, 1.0) * random.standard_normal(len(time_s)) * np.exp(-time_s / random.uniform(0.02, 0.2))
        )
        hits[start:] += modes + rattle
    return _placed(hits.astype(np.float32), random.uniform(0.3, 0.9))


def _drums(random: np.random.Generator) -> Samples:
    return _soundfont_drums(random) if random.random() < 0.5 else _modal_drums(random)


def _instrument(random: np.random.Generator) -> Samples:
    """A line of one to four notes of an instrument that sounds one at a time."""
    notes, at_s, key = [], 0.0, int(random.integers(48, 80))
    for _ in range(int(random.integers(1, 5))):
        length_s = random.uniform(0.3, 1.2)
        notes.append(Stroke(at_s, 0, key, int(random.integers(60, 120)), length_s - 0.03))
        at_s, key = at_s + length_s, int(np.clip(key + random.integers(-7, 8), 45, 84))
    return render_scores([Score(int(random.choice(LINE_PROGRAMS)), tuple(notes))])[0]


def _applause(random: np.random.Generator) -> Samples:
    """Many hands, each at a pace of its own; a clap is a burst of noise through the hollow of two palms."""
    clapping = np.zeros(_N)
    for _ in range(int(random.integers(2, 60))):
        period_s, at_s = random.uniform(0.18, 0.35), random.uniform(0.0, 0.3)
        time_s = _TIME[: RATE_HZ // 10]
        hollow_hz, level = random.uniform(500.0, 2200.0), random.uniform(0.1, 1.0)
        ring = np.exp(-time_s / random.uniform(0.002, 0.008)) * np.sin(2 * np.pi * hollow_hz * time_s)
        while at_s < LENGTH_S - 0.15:
            burst = random.standard_normal(len(time_s)) * np.exp(-time_s / random.uniform(0.003, 0.012))
            start = int(at_s * RATE_HZ)
            clapping[start : start + len(time_s)] += level * (ring + 0.7 * burst)
            at_s += period_s * random.uniform(0.9, 1.1)
    return _placed(clapping.astype(np.float32), random.uniform(0.05, 0.8))


def _room(random: np.random.Generator) -> Samples:
    """A room in which nobody plays: air, mains, and now and then something that is put down."""
    frequencies = np.maximum(np.fft.rfftfreq(_N, 1.0 / RATE_HZ), 10.0)
    air = np.fft.irfft(np.fft.rfft(random.standard_normal(_N)) / frequencies ** random.uniform(0.6, 1.4), _N)
    air /= np.abs(air).max()
    mains_hz = random.choice((50.0, 60.0))
    for harmonic in (1, 2, 3):
        air += random.uniform(0.0, 0.2) * np.sin(2 * np.pi * mains_hz * harmonic * _TIME)
    for _ in range(int(random.integers(0, 4))):
        start, time_s = int(random.uniform(0.0, LENGTH_S - 0.4) * RATE_HZ), _TIME[: RATE_HZ // 4]
        knock = random.standard_normal(len(time_s)) * np.exp(-time_s / random.uniform(0.005, 0.04))
        for _ in range(3):  # wood and glass ring at no multiples of one another
            ring_hz = np.exp(random.uniform(np.log(90.0), np.log(1500.0)))
            knock += 2.0 * np.sin(2 * np.pi * ring_hz * time_s) * np.exp(-time_s / random.uniform(0.01, 0.06))
        air[start : start + len(time_s)] += random.uniform(0.2, 3.0) * knock
    return _placed(air.astype(np.float32), random.uniform(0.003, 0.3))


def _hum(random: np.random.Generator) -> Samples:
    mains_hz = random.choice((50.0, 60.0)) * random.uniform(0.999, 1.001)
    hum = np.zeros(_N)
    for harmonic in range(1, 16):
        level = 10.0 ** (random.uniform(-30.0, 0.0) / 20.0)
        hum += level * np.sin(2 * np.pi * mains_hz * harmonic * _TIME + random.uniform(0, 6.28))
    noise = random.standard_normal(_N) * 10.0 ** (random.uniform(-50.0, -25.0) / 20.0)
    steady = np.concatenate([hum + noise, (hum + noise)[: int(LEAD_S * RATE_HZ)]])
    return np.asarray(steady * (random.uniform(0.02, 0.4) / np.abs(steady).max()), np.float32)


def _tones(random: np.random.Generator) -> Samples:
    kind = random.integers(4)
    low_hz = np.exp(random.uniform(np.log(150.0), np.log(2000.0)))
    if kind == 0:
        tone = np.sin(2 * np.pi * low_hz * _TIME)
    elif kind == 1:  # a sweep
        ratio = random.uniform(1.5, 6.0)
        tone = np.sin(2 * np.pi * low_hz * LENGTH_S / np.log(ratio) * (ratio ** (_TIME / LENGTH_S) - 1.0))
    elif kind == 2:  # beeps
        tone = np.sign(np.sin(2 * np.pi * low_hz * _TIME)) * (np.sin(2 * np.pi * random.uniform(1.0, 6.0) * _TIME) > 0)
    else:  # a siren
        sway = low_hz * (1.0 + 0.3 * np.sin(2 * np.pi * random.uniform(0.3, 2.0) * _TIME))
        tone = np.sin(2 * np.pi * np.cumsum(sway) / RATE_HZ)
    noise = random.standard_normal(_N) * 10.0 ** (random.uniform(-60.0, -30.0) / 20.0)
    return _placed((tone + noise).astype(np.float32), random.uniform(0.1, 0.8))


def _noise(random: np.random.Generator) -> Samples:
    frequencies = np.fft.rfftfreq(_N, 1.0 / RATE_HZ)
    colour = np.maximum(frequencies, 20.0) ** -random.choice((0.0, 0.5, 1.0))
    if random.random() < 0.4:
        centre = np.exp(random.uniform(np.log(200.0), np.log(4000.0)))
        colour *= np.exp(-0.5 * (np.log2(np.maximum(frequencies, 1.0) / centre) / random.uniform(0.2, 1.5)) ** 2)
    noise = np.fft.irfft(np.fft.rfft(random.standard_normal(_N)) * colour, _N)
    if random.random() < 0.5:  # wind, surf, clothes
        noise *= np.interp(_TIME, np.linspace(0, LENGTH_S, 9), random.uniform(0.1, 1.0, 9))
    return _placed(noise.astype(np.float32), random.uniform(0.02, 0.8))


def _silence(random: np.random.Generator) -> Samples:
    level = 0.0 if random.random() < 0.3 else 10.0 ** (random.uniform(-90.0, -60.0) / 20.0)
    return np.asarray(random.standard_normal(_N) * level, np.float32)


def _clicks(random: np.random.Generator) -> Samples:
    clicks = random.standard_normal(_N) * 1e-4
    for _ in range(int(random.integers(1, 9))):
        start = int(random.uniform(0.0, LENGTH_S - 0.3) * RATE_HZ)
        time_s = _TIME[: RATE_HZ // 5]
        ring_hz = np.exp(random.uniform(np.log(150.0), np.log(6000.0)))
        knock = np.sin(2 * np.pi * ring_hz * time_s) * np.exp(-time_s / random.uniform(0.0005, 0.012))
        clicks[start : start + len(knock)] += random.uniform(0.3, 1.0) * (
            knock + 0.3 * random.standard_normal(len(knock)) * np.exp(-time_s / 0.002)
        )
    return _placed(clicks.astype(np.float32), random.uniform(0.1, 0.9))


KINDS: dict[str, Callable[[np.random.Generator], Samples]] = {
    "speech": _speech,
    "song": _song,
    "drums": _drums,
    "one instrument": _instrument,
    "applause": _applause,
    "room": _room,
    "hum": _hum,
    "tones": _tones,
    "noise": _noise,
    "silence": _silence,
    "clicks": _clicks,
}


def make_sound(kind: str, random: np.random.Generator) -> Samples:
    """Make one sound of a kind; a third of the audible ones in a noisy room."""
    sound = KINDS[kind](random)
    in_room = random.random() < 1 / 3 and kind not in ("silence", "hum", "room")
    return in_a_noisy_room(sound, random) if in_room else sound
