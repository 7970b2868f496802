"""Performances made from scenes without any sound: what an ear would say of the notes that a scene plays.

Log-odds are drawn around what the ear says of recorded strums (5 for a note that sounds, -5 for one that does not),
so that everything above the ear is tested in milliseconds.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from listen.reading import HeardCents, HeardPitch, HeardSound, Performance, PerformedStroke
from listen.theory import Pitch
from tests.benchmarks.part_scenes import Scene

SOUNDS, SILENT, SPREAD = 5.0, -5.0, 1.5
KNOWN_MIDI = range(33, 89)
CENTS_SPREAD = 3.0
NOTES = {"C": "C3 E3 G3 C4 E4", "G": "G2 B2 D3 G3 B3 G4", "Am": "A2 E3 A3 C4 E4", "F": "F2 C3 F3 A3 C4 F4",
         "Dm": "D3 A3 D4 F4", "Em": "E2 B2 E3 G3 B3 E4"}  # fmt: skip
SWAY = (0.0, 1.0, 1.5, 2.5, 3.0, 3.5)


def hear_scene(scene: Scene, *, seed: int = 0, missed: float = 0.02) -> Performance:
    """Return what would be heard of a scene; a share of the strokes is missed."""
    rng = np.random.default_rng([seed, scene.seed])
    strokes: list[PerformedStroke] = []
    sounds: list[HeardSound] = []
    onsets = [stroke.onset_s for stroke in scene.strokes]
    for at, stroke in enumerate(scene.strokes):
        if rng.random() < missed:
            continue
        end_s = onsets[at + 1] if at + 1 < len(onsets) else onsets[at] + 1.5
        time_s = stroke.onset_s + float(rng.normal(0, 0.004))
        lean = {"down": 1.5, "up": -1.5, None: 0.0}[stroke.direction] + float(rng.normal(0, 1.0))
        if stroke.what == "x":
            strokes.append(PerformedStroke(time_s, -14.0, lean, is_hit=True))
            continue
        ringing = {
            note.midi: note for note in scene.notes if note.onset_s < end_s - 0.02 and note.end_s > time_s + 0.06
        }
        began_s = scene.chords[stroke.chord].start_s - 0.05
        over = {midi for midi, note in ringing.items() if note.onset_s < began_s}
        lowest = min(set(ringing) - over, default=0)
        pitches = []
        for midi in KNOWN_MIDI:
            log_odds = float(rng.normal(SOUNDS if midi in ringing else SILENT, SPREAD))
            log_odds = -abs(log_odds) if midi in over else log_odds  # as the ear says of strings that only ring on
            if log_odds > -6.0:
                bass = float(rng.normal(4.0 if midi == lowest else -6.0, 1.0))
                pitches.append(HeardPitch(midi, log_odds, bass))
        cents = tuple(
            HeardCents(midi, float(rng.normal(scene.guitar.string_cents[note.string], CENTS_SPREAD)), 5.0)
            for midi, note in sorted(ringing.items())
            if rng.random() < 0.7
        )
        strokes.append(PerformedStroke(time_s, -14.0, lean, sound=len(sounds)))
        sounds.append(HeardSound(time_s, end_s, tuple(pitches), cents))
    return Performance(scene.duration_s, tuple(strokes), tuple(sounds), scene.guitar.offset_cents)


def hear_chords(chords: Sequence[str], gap_s: float = 1.0, *, moved: int = 0) -> Performance:
    """Return what would be heard of strokes, each by its pitches in words, without anything doubtful."""
    sounds, strokes = [], []
    for at, text in enumerate(chords):
        midis = sorted(Pitch.parse(word).midi + moved for word in text.split())
        pitches = tuple(HeardPitch(midi, SOUNDS, 4.0 if midi == midis[0] else -6.0) for midi in midis)
        strokes.append(PerformedStroke(1.0 + at * gap_s, sound=at))
        sounds.append(HeardSound(1.0 + at * gap_s, 1.0 + (at + 1) * gap_s, pitches, _in_tune(midis)))
    return Performance(2.0 + len(chords) * gap_s, tuple(strokes), tuple(sounds))


def _in_tune(midis: Sequence[int]) -> tuple[HeardCents, ...]:
    return tuple(HeardCents(midi, 0.0, 5.0) for midi in midis)


def perform(strokes: Sequence[tuple[float, str]]) -> Performance:
    """Strokes on chords at seconds, heard without doubt."""
    sounds, played = [], []
    ends = [*(time_s for time_s, _ in strokes[1:]), strokes[-1][0] + 2.0]
    for at, ((time_s, name), end_s) in enumerate(zip(strokes, ends, strict=True)):
        midis = sorted(Pitch.parse(word).midi for word in NOTES[name].split())
        pitches = tuple(HeardPitch(midi, 5.0, 4.0 if midi == midis[0] else -6.0) for midi in midis)
        played.append(PerformedStroke(1.0 + time_s, sound=at))
        sounds.append(HeardSound(1.0 + time_s, 1.0 + end_s, pitches, _in_tune(midis)))
    return Performance(ends[-1] + 2.0, tuple(played), tuple(sounds))


def strum(
    row: Sequence[str], waits: dict[int, float] | None = None, *, pattern: Sequence[float] = SWAY, beat_s: float = 0.6,
    n_beats: int = 4,
) -> list[tuple[float, str]]:  # fmt: skip
    """Strum bars, after a wait before some of them, from 1; two names share a bar."""
    strokes, now = [], 0.0
    for bar, names in enumerate(row, start=1):
        now += (waits or {}).get(bar, 0.0)
        own = names.split()
        strokes += [(now + beat * beat_s, own[int(beat * len(own) / n_beats)]) for beat in pattern]
        now += n_beats * beat_s
    return strokes
