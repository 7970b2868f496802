"""One note, or a note and its octave, which is no chord: recorded, rendered, drawn, beside strings not struck.

Conventions: keys as MIDI numbers them. A guitar's notes lie from E2 to E6, those of a bass from E1 to G4, two octaves
above its first open string (common practice, no source): above that a soundfont's bass is a sample played faster, which
no string sounds like.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace

import numpy as np

from tests.benchmarks import recorded_notes, simulated, soundfont
from tests.benchmarks.cases import LEAD_S, RATE_HZ, Case, Samples, Truth, random_for
from tests.benchmarks.hands import OPEN_MIDI, Frets
from tests.benchmarks.recorded_notes import ACOUSTIC, ARCHTOP_MICROPHONE, ARCHTOP_PICKUP, BLACK, GREEN, NYLON, NoteSet

E1, E2, A1, G4, E6 = 28, 40, 33, 67, 88
GUITARS, BASSES = (24, 25, 26, 27, 28, 29, 30), (32, 33, 34, 35, 36, 37)
"""General MIDI's guitars, harmonics apart, and its basses with strings."""
OTHER_PROGRAMS = (0, 4, 6, 11, 15, 45, 46, 104, 105, 106, 107)
"""What else is struck or plucked: pianos, vibraphone, dulcimer, pizzicato, harp, sitar, banjo, shamisen, koto. On some
other strings ring along."""
RECORDED, CUT = (BLACK, GREEN, ARCHTOP_MICROPHONE, ARCHTOP_PICKUP, NYLON), (ACOUSTIC,)
"""The second was cut out of playing, from a pickup a string: the other strings bleed into it."""
HIGHEST_FRET = 12
RINGING_UNDER_DB = (20.0, 40.0)
"""How far under a note lie the strings that it sets ringing: judged, beside FluidR3's slap bass 2, a recording in which
open strings ring along 20 to 27 dB under the note."""
BRUSHED_UNDER_DB, BRUSHED_DECAY_S = (3.0, 20.0), (0.04, 0.12)
"""How loud strings are that a hand lies on, and how long until they fell by 60 dB: judged, not measured."""

Make = Callable[[str, int, Iterable[int]], list[Case]]
Place = Callable[[Samples, simulated.Guitar, Frets, np.random.Generator], Samples]


def _draw_place(random: np.random.Generator, usable: frozenset[int], *, octave: bool) -> Frets:
    """Draw a place on the neck, with its octave two strings up, as players hold it."""
    frets: list[int | None] = [None] * 6
    while True:
        string, fret = int(random.integers(0, 4 if octave else 6)), int(random.integers(0, max(usable) + 1))
        above = fret + (2 if string < 2 else 3)
        if fret in usable and (not octave or above in usable):
            break
    frets[string] = fret
    if octave:
        frets[string + 2] = above
    return tuple(frets)


def _case(title: str, number: int, frets: Frets, samples: Samples, where: str) -> Case:
    pitches = tuple(sorted(OPEN_MIDI[place] + one for place, one in enumerate(frets) if one is not None))
    return Case(f"{title} {number} {where} {frets}", samples, RATE_HZ, Truth("note", pitches))


def record_notes(guitars: Sequence[NoteSet], *, octave: bool = False) -> Make:
    """Take notes that were recorded from real strings."""

    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
        cases = []
        for number in numbers:
            random = random_for(title, seed, number)
            guitar = guitars[int(random.integers(len(guitars)))]
            usable = frozenset(range(HIGHEST_FRET + 1)) if guitar.frets is None else guitar.frets
            frets = _draw_place(random, usable, octave=octave)
            samples = recorded_notes.mix(recorded_notes.strike(guitar, frets, random))
            cases.append(_case(title, number, frets, samples, f"{guitar.folder} {guitar.channel or ''}"))
        return cases

    return make


def render_notes_alone(programs: Sequence[int], lowest: int, highest: int, *, octave: bool = False) -> Make:
    """Render notes with the soundfont; of an octave both notes lie within the range."""

    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
        keys, scores = [], []
        for number in numbers:
            random = random_for(title, seed, number)
            key, velocity = int(random.integers(lowest, highest - 12 * octave + 1)), int(random.integers(50, 115))
            keys.append((number, (key, key + 12) if octave else (key,)))
            strokes = [
                soundfont.Stroke(channel * random.uniform(0.0, 0.02), channel, one, velocity)
                for channel, one in enumerate(keys[-1][1])
            ]
            scores.append(soundfont.Score(programs[int(random.integers(len(programs)))], tuple(strokes)))
        rendered = soundfont.render_scores(scores)
        return [
            Case(f"{title} {number} {sounding} program {score.program}", samples, RATE_HZ, Truth("note", sounding))
            for (number, sounding), score, samples in zip(keys, scores, rendered, strict=True)
        ]

    return make


def draw_notes(place: Place | None = None, *, octave: bool = False) -> Make:
    """Pluck a drawn guitar, and let its other strings do what `place` says."""

    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
        cases = []
        for number in numbers:
            random = random_for(title, seed, number)
            guitar = simulated.draw_guitar(random)
            frets = _draw_place(random, frozenset(range(HIGHEST_FRET + 1)), octave=octave)
            samples, _ = simulated.strum_guitar(guitar, frets, random)
            if place is not None:
                samples = place(samples, guitar, frets, random)
            cases.append(_case(title, number, frets, samples, "drawn"))
        return cases

    return make


def let_others_ring(samples: Samples, guitar: simulated.Guitar, frets: Frets, random: np.random.Generator) -> Samples:
    """Add the open strings that the bridge shakes: each answers where its own partials lie, and rings on.

    A string that is driven at the bridge is a row of damped modes (Fletcher & Rossing, The Physics of Musical
    Instruments, ch. 4, from memory), so what it adds is the sound through their response.
    """
    time_s = np.arange(len(samples)) / RATE_HZ
    response = np.zeros(len(samples))
    for string, fret in enumerate(frets):
        if fret is not None:
            continue
        stiffness, open_hz = guitar.stiffness[string], 440.0 * 2.0 ** ((OPEN_MIDI[string] - 69) / 12.0)
        open_hz *= 2.0 ** (random.normal(0.0, 4.0) / 1200.0)
        for number in range(1, 16):
            mode_hz = number * open_hz * np.sqrt(1.0 + stiffness * number**2)
            fall = 6.9 / guitar.decay_s[string] * (1.0 + guitar.decay_slope * mode_hz / 1000.0)
            response += np.exp(-fall * time_s) * np.sin(2 * np.pi * mode_hz * time_s) / number
    n_fft = 2 ** int(np.ceil(np.log2(2 * len(samples))))
    ringing = np.fft.irfft(np.fft.rfft(samples, n_fft) * np.fft.rfft(response, n_fft), n_fft)[: len(samples)]
    return _add(samples, ringing, random.uniform(*RINGING_UNDER_DB))


def brush_others_damped(
    samples: Samples, guitar: simulated.Guitar, frets: Frets, random: np.random.Generator
) -> Samples:
    """Strum through all strings while the hand lies on those that are not to sound: they only thud."""
    damped = replace(guitar, decay_s=(random.uniform(*BRUSHED_DECAY_S),) * 6)
    touched = tuple(int(random.integers(3, 9)) if fret is None else None for fret in frets)
    thuds, _ = simulated.strum_guitar(damped, touched, random)
    return _add(samples, thuds, random.uniform(*BRUSHED_UNDER_DB))


def _add(samples: Samples, other: np.ndarray[tuple[int], np.dtype[np.floating]], under_db: float) -> Samples:
    """Add a sound whose loudest moment lies so far under that of the first."""
    start = int(LEAD_S * RATE_HZ)
    peak = float(np.abs(other[start:]).max()) or 1.0
    mixed = samples + other * (float(np.abs(samples).max()) / peak * 10.0 ** (-under_db / 20.0))
    return np.asarray(mixed * (0.5 / np.abs(mixed).max()), np.float32)
