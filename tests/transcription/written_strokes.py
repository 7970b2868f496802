"""Strokes and what is heard of them, written by hand, for the tests of what was held.

Which shapes players hold is common practice (no source): x02210 is A minor, x20003 is G over B, 320003 is G.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

import numpy as np

from listen.evidence import PartEvidence, PitchEvidence, Stretch, StrokeEvidence, StrumEvidence, TimeSpan
from listen.instrument import Fretboard
from listen.reading import STEPS_PER_BEAT
from listen.theory import Pitch
from listen.transcription.chord_decoding import HeardChords
from listen.transcription.held_chords import HeldChord, decode_held_chords
from listen.transcription.held_decoding import decode_held

STROKE_S, IN_BAR = 0.5, 4
C = (48, 52, 55, 60, 64)
AM = (45, 52, 57, 60, 64)
G = (43, 47, 50, 55, 59, 67)
G_OVER_B = G[1:]
EM = (40, 47, 52, 55, 59, 64)
F = (41, 48, 53, 57, 60, 65)
D = (50, 57, 62, 66)
BM = (47, 54, 59, 62, 66)
OPEN_E = 40


def hear_strokes(sounding: tuple[tuple[int, ...], ...]) -> tuple[list[Stretch], list[StrokeEvidence]]:
    """Hear downstrokes, four to a bar, each of which sounds these pitches."""
    stretches, strokes = [], []
    for place, midis in enumerate(sounding):
        span = TimeSpan(STROKE_S * place, STROKE_S * (place + 1))
        heard = tuple(
            PitchEvidence(Pitch(midi), 5.0 if midi in midis else -5.0, 3.0 if midi == min(midis) else -5.0)
            for midi in range(36, 84)
        )
        stretches.append(Stretch.of(StrumEvidence(span, heard), (place, place), span))
        strokes.append(StrokeEvidence(span.start_s, -20.0, lean=2.0))
    return stretches, strokes


def hear_bars(played: tuple[tuple[int, ...], ...], *, lost: tuple[int, ...] = (), joined: int = 1) -> PartEvidence:
    """Hear bars of four beats, a stroke to the beat or two; so many strokes are heard as one stretch."""
    a_beat = 2 if len(played) > 48 else 1
    kept = [place for place in range(len(played)) if place not in lost]
    stretches, strokes = hear_strokes(tuple(played[place] for place in kept))
    ends = [*kept[1:], kept[-1] + 1]
    for number, (place, end) in enumerate(zip(kept, ends, strict=True)):
        span = TimeSpan(1.0 + STROKE_S * place / a_beat, 1.0 + STROKE_S * end / a_beat)
        low_share = 1.0 if place % (4 * a_beat) == 0 else 0.5
        stretches[number] = replace(stretches[number], span=span)
        strokes[number] = replace(strokes[number], onset_s=span.start_s, low_share=low_share)
    wide: list[Stretch] = []
    for first in range(0, len(stretches), joined):
        row = stretches[first : first + joined]
        span = TimeSpan(row[0].span.start_s, row[-1].span.end_s)
        wide.append(replace(row[0], last=row[-1].last, span=span))
    return PartEvidence(TimeSpan(0.0, 30.0), tuple(strokes), tuple(wide))


def hold_chords(
    sounding: tuple[tuple[int, ...], ...],
    *,
    is_picked: bool | None = False,
    faint: int | None = None,
    heard: Mapping[int, Mapping[int, float]] | None = None,
    up: tuple[int, ...] = (),
    fretboard: Fretboard | None = None,
) -> tuple[HeldChord, ...]:
    """Decode what is held; a faint pitch is heard a little in all strokes but the first of a bar; some of a bar go up.

    Where it is not said whether strings are picked, those that sound alone are. `heard` gives log-odds of pitches at
    some places.
    """
    stretches, strokes = hear_strokes(sounding)
    stretches = [
        replace(one, is_picked=len(one.sounding) == 1 if is_picked is None else is_picked) for one in stretches
    ]
    strokes = [replace(one, lean=-2.0) if place % IN_BAR in up else one for place, one in enumerate(strokes)]
    if faint is not None:
        for place, one in enumerate(stretches):
            one.log_odds[faint] = -1.0 if place % IN_BAR else one.log_odds[faint]
    for place, odds in (heard or {}).items():
        stretches[place].log_odds[list(odds)] = list(odds.values())
    bars = np.arange(len(stretches)) // IN_BAR
    steps = np.arange(len(stretches)) % IN_BAR * STEPS_PER_BEAT
    costs = np.where(steps == 0, 1.5, 4.5)
    heard_chords = HeardChords(decode_held_chords(stretches), costs, costs < 2.0, bars, steps)
    return decode_held(heard_chords, strokes, fretboard or Fretboard())
