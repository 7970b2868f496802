"""Strums mixed from real single notes of ``shared/recordings``, with known pitches and, for some sets, known strings.

Conventions: sets are the folders of that collection (its README has their licences: measuring only, nothing of it is
ever committed). A missing note is its nearest neighbour resampled by at most two semitones; resampling leaves the
string's stiffness as it was, 26 % off the neighbour fret's at two semitones (B doubles in six frets).
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

import numpy as np

from tests.benchmarks.cases import LEAD_S, RATE_HZ, Samples
from tests.benchmarks.hands import OPEN_MIDI, Frets

RECORDINGS = Path(__file__).parents[3] / "shared" / "recordings"
MOST_SHIFT = 2  # semitones by resampling
LEVEL_SPREAD_DB = 3.0  # standard deviation between the strings of a strum
SHORTEST_NOTE_S = 0.15  # cuts shorter than this are left out (the G string at fret 3 has none longer than 0.19 s)
STRING_GAP_S = (0.008, 0.025)


@dataclass(frozen=True, slots=True)
class NoteSet:
    """Which recordings make one guitar.

    Parameters
    ----------
    folder : str
        Set in the manifest.
    channel : str or None
        Guitar or microphone within the set.
    frets : frozenset of int or None
        Frets that can be had on every string where strings are known; None where only pitches are.
    """

    folder: str
    channel: str | None = None
    frets: frozenset[int] | None = None


BLACK = NoteSet("notes_electric", "black")
GREEN = NoteSet("notes_electric", "green")
ARCHTOP_MICROPHONE = NoteSet("notes_archtop", "acoustic")
ARCHTOP_PICKUP = NoteSet("notes_archtop", "electric")
NYLON = NoteSet("notes_by_string_nylon", frets=frozenset(range(8)))
ACOUSTIC = NoteSet("notes_by_string_acoustic", frets=frozenset((*range(6), *range(10, 15))))


@dataclass(frozen=True, slots=True)
class _Note:
    path: Path
    midi: int
    string: int | None
    layer: str


@cache
def _notes(note_set: NoteSet) -> tuple[_Note, ...]:
    import soundfile

    entries = json.loads((RECORDINGS / "manifest.json").read_text(encoding="utf-8"))
    chosen = [
        entry
        for entry in entries
        if entry["set"] == note_set.folder and note_set.channel in (None, entry.get("channel"))
    ]
    notes = []
    for entry in chosen:
        path = RECORDINGS / entry["file"]
        if soundfile.info(path).duration >= SHORTEST_NOTE_S:
            layer = str(entry["layer"]) if "layer" in entry else path.stem.rsplit("_", 2)[-2]
            notes.append(_Note(path, entry["midi"], entry.get("string"), layer if note_set.frets is None else ""))
    return tuple(notes)


@lru_cache(maxsize=1500)
def _load(path: Path, semitones: float) -> Samples:
    """Read one note from its attack, its pitch shifted, its level over the first half second set to one."""
    import soundfile
    import soxr

    samples, rate = soundfile.read(path, dtype="float32")
    start = int(np.argmax(np.abs(samples) > 0.1 * np.abs(samples).max()))
    samples = samples[max(0, start - rate // 500) :]
    shifted: Samples = soxr.resample(samples, rate * 2.0 ** (semitones / 12.0), RATE_HZ).astype(np.float32)
    level = float(np.sqrt(np.mean(shifted[: RATE_HZ // 2] ** 2)))
    fade = min(len(shifted), RATE_HZ // 100)
    shifted[-fade:] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
    return shifted / max(level, 1e-6)


def take_note(note_set: NoteSet, string: int, fret: int, random: np.random.Generator, *, layer: str = "") -> Samples:
    """Take a recording of the note: of the very string where strings are known, of the pitch otherwise."""
    wanted = OPEN_MIDI[string] + fret
    notes = [note for note in _notes(note_set) if note.string in (None, string) and layer in ("", note.layer)]
    distance = min(abs(note.midi - wanted) for note in notes)
    if distance > MOST_SHIFT:
        raise ValueError(f"{note_set.folder} has no note near MIDI {wanted}")
    nearest = [note for note in notes if abs(note.midi - wanted) == distance]
    note = nearest[random.integers(len(nearest))]
    return _load(note.path, float(wanted - note.midi))


@dataclass(frozen=True, slots=True)
class Strum:
    """A strum before it is mixed: one string of sound each, so that a later strum can damp it.

    Parameters
    ----------
    strings : dict of int to ndarray
        Samples by string, starting at that string's own stroke.
    delays_s : dict of int to float
        Stroke of each string after the first one.
    direction : str
    """

    strings: dict[int, Samples]
    delays_s: dict[int, float]
    direction: str


def strike(note_set: NoteSet, frets: Frets, random: np.random.Generator) -> Strum:
    """Strike a shape: one layer of loudness, strings one after another, in either direction."""
    layers = sorted({note.layer for note in _notes(note_set)})
    layer = layers[random.integers(len(layers))]
    played = [string for string, fret in enumerate(frets) if fret is not None]
    direction = "down" if random.random() < 0.65 else "up"
    gap = random.uniform(*STRING_GAP_S)
    strings, delays = {}, {}
    order = played if direction == "down" else played[::-1]
    delay = 0.0
    for string in order:
        level = 10.0 ** (random.normal(0.0, LEVEL_SPREAD_DB) / 20.0)
        strings[string] = take_note(note_set, string, frets[string] or 0, random, layer=layer) * np.float32(level)
        delays[string] = delay
        delay += gap * random.uniform(0.7, 1.3)
    return Strum(strings, delays, direction)


def mix(strum: Strum, *, duration_s: float = 2.2, lead_s: float = LEAD_S) -> Samples:
    """Sum a strum's strings after a quiet lead-in; the loudest sample is 0.5."""
    mixed = np.zeros(int((lead_s + duration_s) * RATE_HZ), np.float32)
    for string, samples in strum.strings.items():
        start = int((lead_s + strum.delays_s[string]) * RATE_HZ)
        piece = samples[: len(mixed) - start]
        mixed[start : start + len(piece)] += piece
    fade = RATE_HZ // 20
    mixed[-fade:] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
    return mixed * np.float32(0.5 / max(float(np.abs(mixed).max()), 1e-6))


def mix_in_context(
    strums: tuple[Strum, Strum, Strum], *, gaps_s: tuple[float, float], left_ringing: bool
) -> tuple[Samples, float]:
    """Play three strums one after another as one guitar does: a string struck again stops what it sounded.

    Parameters
    ----------
    strums : tuple of Strum
        The one before, the one that is asked for, the one after.
    gaps_s : tuple of float
        From stroke to stroke.
    left_ringing : bool
        Whether the chord before also rings on 12 dB down (a pedal, a live room); otherwise the hand that leaves it
        damps the strings that are not struck again within 80 ms.

    Returns
    -------
    samples : ndarray
    asked_s : float
        Stroke of the strum in the middle.
    """
    starts = [LEAD_S, LEAD_S + gaps_s[0], LEAD_S + gaps_s[0] + gaps_s[1]]
    mixed = np.zeros(int((starts[2] + 1.2) * RATE_HZ), np.float32)
    for place, strum in enumerate(strums):
        for string, samples in strum.strings.items():
            start = int((starts[place] + strum.delays_s[string]) * RATE_HZ)
            piece = samples[: len(mixed) - start].copy()
            if place < 2:
                later = strums[place + 1]
                struck_again = string in later.delays_s
                stop_s = starts[place + 1] + later.delays_s.get(string, 0.0)
                stop, fade = int(stop_s * RATE_HZ) - start, int((0.008 if struck_again else 0.08) * RATE_HZ)
                envelope = np.clip(1.0 - (np.arange(len(piece)) - stop) / fade, 0.0, 1.0).astype(np.float32)
                if left_ringing and place == 0:
                    envelope = np.maximum(envelope, np.float32(10.0 ** (-12.0 / 20.0)))
                piece *= envelope
            mixed[start : start + len(piece)] += piece
    fade = RATE_HZ // 20
    mixed[-fade:] *= np.linspace(1.0, 0.0, fade, dtype=np.float32)
    return mixed * np.float32(0.5 / max(float(np.abs(mixed).max()), 1e-6)), starts[1]
