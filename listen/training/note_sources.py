"""Where the notes of the bank come from: recordings, soundfonts, and the project's own plucked string.

Recorded notes are those of the folder's ``manifest.json`` (rows of file, set, midi, channel, string) whose sets may be
trained on; soundfonts are rendered by fluidsynth. The weights that a bank made may be given away only where the
licences of all its sounds allow it.
"""

from __future__ import annotations

import json
import shutil
import subprocess
import tempfile
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

import numpy as np

from listen.audio import EAR_RATE_HZ
from listen.errors import RecordingError, bad_value
from listen.instrument import NOMINAL_MIDI, GuitarKind
from listen.synthesis import PluckedNote, Tone, render_notes
from listen.theory import Pitch
from listen.training.note_bank import BankGuitar, NoteBank, Samples, cut_note, read_sound

TRAINABLE_SETS = ("notes_archtop", "notes_electric", "notes_by_string_acoustic")
"""CC0 and CC BY. Others of the folder either forbid training or do not speak of it."""
MOST_TAKES = {"notes_electric": 2}  # of one pitch: the rest are alike
RECORDED_WEIGHT = 3.0  # against a guitar that was rendered; judged
GUITAR_PROGRAMS = (24, 25, 26, 27, 28)  # General MIDI from 0: nylon, steel, jazz, clean, muted
VELOCITIES = (60, 110)
PROGRAM_MIDIS = range(38, 87, 3)
NOTE_S, NOTE_EVERY_S = 1.98, 2.5
DRUM_KEYS = (35, 36, 38, 40, 42, 44, 46, 49, 51, 37, 39, 54, 45, 50, 70)  # General MIDI percussion
DRUM_S, DRUM_EVERY_S = 0.78, 0.8
N_MODELLED = 12
MODELLED_FRETS = (0, 2, 5, 9)
MODELLED_SHARE = 0.75  # of those frets: no two guitars of the bank hold the same
FIRST_BY_FINGERS = 9  # the modelled guitars from here on are plucked with fingers, and all of nylon
KINDS: tuple[GuitarKind, ...] = ("steel", "nylon", "electric")


def gather_bank(recordings: Path | None, soundfonts: Sequence[Path], speech: Path | None, *, seed: int) -> NoteBank:
    """Gather a bank from all that is given, and from the project's own string in any case.

    Parameters
    ----------
    recordings : Path or None
        A folder with a ``manifest.json``.
    soundfonts : sequence of Path
        Drums are taken from the first.
    speech : Path or None
        A folder of sound files in which somebody speaks.
    seed : int
        Of the modelled guitars.

    Raises
    ------
    RecordingError
        The recordings cannot be read, or hold no set that may be trained on.
    BadValueError
        A folder is none, a soundfont is missing, or fluidsynth is.
    """
    guitars = read_recorded_guitars(recordings) if recordings else []
    for soundfont in soundfonts:
        guitars += render_soundfont_guitars(soundfont)
    guitars += [render_model_guitar(index, seed=seed) for index in range(N_MODELLED)]
    drums = render_soundfont_drums(soundfonts[0]) if soundfonts else ()
    return NoteBank(tuple(guitars), drums, read_speech(speech) if speech else ())


def read_recorded_guitars(folder: Path) -> list[BankGuitar]:
    """Read the recorded notes that may be trained on, a guitar for each set and channel."""
    path = folder / "manifest.json"
    try:
        rows: list[dict[str, Any]] = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError) as error:
        raise RecordingError(f"{path} cannot be read: {error}. --recordings takes a folder with a manifest.") from error
    taken: Counter[tuple[object, ...]] = Counter()
    found: list[tuple[str, int, Samples | None]] = []
    for row in rows:
        kind, name = row["set"], f"{row['set']}:{row.get('channel') or ''}"
        take = (name, row.get("midi"), row.get("string"))
        if kind in TRAINABLE_SETS and taken[take] < MOST_TAKES.get(kind, len(rows)):
            taken[take] += 1
            found.append((name, int(row["midi"]), cut_note(read_sound(folder / row["file"]))))
    if not found:
        raise RecordingError(f"{path} lists no notes of the sets that may be trained on: {', '.join(TRAINABLE_SETS)}.")
    return _group(found, weight=RECORDED_WEIGHT)


def read_speech(folder: Path) -> tuple[Samples, ...]:
    """Read every file of a folder that holds sound, in the order of their names."""
    if not folder.is_dir():
        raise bad_value("speech", folder, allowed="a folder of sound files")
    sounds = [read_sound(path) for path in sorted(folder.iterdir()) if path.is_file()]
    return tuple(sound / np.abs(sound).max() for sound in sounds if np.abs(sound).max(initial=0.0) > 0.0)


def render_soundfont_guitars(soundfont: Path) -> list[BankGuitar]:
    """Render the guitars of a General MIDI soundfont, every third semitone at two velocities."""
    struck = [(midi, velocity) for velocity in VELOCITIES for midi in PROGRAM_MIDIS]
    found: list[tuple[str, int, Samples | None]] = []
    for program in GUITAR_PROGRAMS:
        sounds = _render_soundfont(soundfont, struck, program=program, every_s=NOTE_EVERY_S, last_s=NOTE_S)
        name = f"{soundfont.stem}:{program}"
        found += [(name, midi, cut_note(sound)) for (midi, _), sound in zip(struck, sounds, strict=True)]
    return _group(found, weight=1.0)


def render_soundfont_drums(soundfont: Path) -> tuple[Samples, ...]:
    """Render single strokes of a soundfont's drums, of peak one."""
    struck = [(key, 100) for key in DRUM_KEYS]
    sounds = _render_soundfont(soundfont, struck, program=None, every_s=DRUM_EVERY_S, last_s=DRUM_S)
    return tuple(sound / np.abs(sound).max() for sound in sounds if np.abs(sound).max(initial=0.0) > 0.0)


def render_model_guitar(index: int, *, seed: int) -> BankGuitar:
    """Render some notes of a drawn guitar of :mod:`listen.synthesis`."""
    rng = np.random.default_rng([seed, index])
    kind = KINDS[index % len(KINDS)]
    tone = Tone(
        guitar=kind,
        pluck_position=float(rng.uniform(0.08, 0.28)),
        fingers=kind == "nylon" or index >= FIRST_BY_FINGERS,
        detune_cents=2.0,
        drive=float(rng.choice([0.0, 1.0, 4.0])) if kind == "electric" else 0.0,
        room_db=-40.0,
        sample_rate_hz=EAR_RATE_HZ,
        seed=index,
    )
    found: list[tuple[str, int, Samples | None]] = []
    for string, open_midi in enumerate(NOMINAL_MIDI):
        for fret in MODELLED_FRETS:
            if rng.random() < MODELLED_SHARE or fret == 0:
                note = PluckedNote(0.05, Pitch(open_midi + fret), string, string, fret, duration_s=1.9)
                sound = render_notes([note], tone=tone, duration_s=2.0)
                found.append((f"model:{index}", open_midi + fret, cut_note(sound)))
    return _group(found, weight=1.0)[0]


def _group(found: Iterable[tuple[str, int, Samples | None]], *, weight: float) -> list[BankGuitar]:
    """Return a guitar for each name, with the takes of each of its pitches."""
    guitars: defaultdict[str, defaultdict[int, list[Samples]]] = defaultdict(lambda: defaultdict(list))
    for name, midi, note in found:
        if note is not None:
            guitars[name][midi].append(note)
    return [
        BankGuitar(name, {midi: tuple(takes) for midi, takes in sorted(pitches.items())}, weight)
        for name, pitches in sorted(guitars.items())
    ]


def _render_soundfont(
    soundfont: Path, struck: Sequence[tuple[int, int]], *, program: int | None, every_s: float, last_s: float
) -> list[Samples]:
    """Render keys at velocities, one after another, and cut them apart; no program stands for the drums."""
    import mido

    fluidsynth = shutil.which("fluidsynth")
    if fluidsynth is None:
        raise bad_value("soundfont", soundfont, allowed="nothing here", remedy="Install fluidsynth, which renders it.")
    if not soundfont.is_file():
        raise bad_value("soundfont", soundfont, allowed="a file (.sf2)")
    channel = 9 if program is None else 0
    track = mido.MidiTrack()
    if program is not None:
        track.append(mido.Message("program_change", channel=channel, program=program))
    every, held = round(every_s * 2000), round(0.8 * every_s * 2000)  # ticks: a beat of half a second has 1000
    for index, (key, velocity) in enumerate(struck):
        rest = every - held if index else 0
        track.append(mido.Message("note_on", channel=channel, note=key, velocity=velocity, time=rest))
        track.append(mido.Message("note_off", channel=channel, note=key, time=held))
    track.append(mido.MetaMessage("end_of_track", time=2000))
    with tempfile.TemporaryDirectory() as folder:
        score, rendered = Path(folder) / "notes.mid", Path(folder) / "notes.wav"
        mido.MidiFile(ticks_per_beat=1000, tracks=[track]).save(score)
        dry = ["-ni", "-q", "-g", "0.5", "-C", "0", "-R", "0"]
        command = [fluidsynth, *dry, "-r", str(EAR_RATE_HZ), "-F", str(rendered), str(soundfont), str(score)]
        subprocess.run(command, check=True, capture_output=True)  # noqa: S603  (no shell reads the words)
        sound = read_sound(rendered)
    starts = [round(index * every_s * EAR_RATE_HZ) for index in range(len(struck))]
    return [sound[start : start + round(last_s * EAR_RATE_HZ)] for start in starts]
