"""Parts of our own, made from seeds, with their truth: who plays what, when, on which strings.

Progressions are random walks over the forms of a key, patterns are written here; no song is quoted. Conventions:
seconds; strings 0 (low E) to 5; label in Harte syntax with the bass degree, as mir_eval reads it.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from listen.theory import PLAIN_NAMES

STANDARD = (40, 45, 50, 55, 59, 64)
X = None

# frets, root pitch class, Harte quality, bass degree ("" root); open forms every player knows, common practice
OPEN_FORMS: dict[str, tuple[tuple[int | None, ...], int, str, str]] = {
    "C": ((X, 3, 2, 0, 1, 0), 0, "maj", ""), "A": ((X, 0, 2, 2, 2, 0), 9, "maj", ""),
    "G": ((3, 2, 0, 0, 0, 3), 7, "maj", ""), "E": ((0, 2, 2, 1, 0, 0), 4, "maj", ""),
    "D": ((X, X, 0, 2, 3, 2), 2, "maj", ""), "F": ((1, 3, 3, 2, 1, 1), 5, "maj", ""),
    "Am": ((X, 0, 2, 2, 1, 0), 9, "min", ""), "Em": ((0, 2, 2, 0, 0, 0), 4, "min", ""),
    "Dm": ((X, X, 0, 2, 3, 1), 2, "min", ""), "Bm": ((X, 2, 4, 4, 3, 2), 11, "min", ""),
    "F#m": ((2, 4, 4, 2, 2, 2), 6, "min", ""), "Bb": ((X, 1, 3, 3, 3, 1), 10, "maj", ""),
    "B7": ((X, 2, 1, 2, 0, 2), 11, "7", ""), "E7": ((0, 2, 0, 1, 0, 0), 4, "7", ""),
    "A7": ((X, 0, 2, 0, 2, 0), 9, "7", ""), "D7": ((X, X, 0, 2, 1, 2), 2, "7", ""),
    "G7": ((3, 2, 0, 0, 0, 1), 7, "7", ""), "C7": ((X, 3, 2, 3, 1, 0), 0, "7", ""),
    "Cmaj7": ((X, 3, 2, 0, 0, 0), 0, "maj7", ""), "Fmaj7": ((X, X, 3, 2, 1, 0), 5, "maj7", ""),
    "Dmaj7": ((X, X, 0, 2, 2, 2), 2, "maj7", ""), "Amaj7": ((X, 0, 2, 1, 2, 0), 9, "maj7", ""),
    "Am7": ((X, 0, 2, 0, 1, 0), 9, "min7", ""), "Em7": ((0, 2, 0, 0, 0, 0), 4, "min7", ""),
    "Dm7": ((X, X, 0, 2, 1, 1), 2, "min7", ""), "G/B": ((X, 2, 0, 0, 0, 3), 7, "maj", "3"),
    "D/F#": ((2, X, 0, 2, 3, 2), 2, "maj", "3"), "C/E": ((0, 3, 2, 0, 1, 0), 0, "maj", "3"),
    "C/G": ((3, 3, 2, 0, 1, 0), 0, "maj", "5"), "A/C#": ((X, 4, 2, 2, 2, 0), 9, "maj", "3"),
    "F/A": ((X, 0, 3, 2, 1, 1), 5, "maj", "3"), "Am/G": ((3, 0, 2, 2, 1, 0), 9, "min7", "b7"),
    "D/A": ((X, 0, 0, 2, 3, 2), 2, "maj", "5"), "Em/G": ((3, 2, 2, 0, 0, 0), 4, "min", "b3"),
}  # fmt: skip
KEYS: dict[str, tuple[str, ...]] = {
    "G": ("G", "C", "D", "Em", "Am", "D7", "G/B", "D/F#", "Bm", "Em7", "Cmaj7"),
    "C": ("C", "F", "G", "Am", "Dm", "Em", "G7", "C/E", "G/B", "Fmaj7", "Am7", "F/A", "Am/G"),
    "D": ("D", "G", "A", "Bm", "Em", "A7", "D/F#", "A/C#", "Dmaj7", "Em7"),
    "A": ("A", "D", "E", "F#m", "Bm", "E7", "A/C#", "Amaj7", "D/A"),
    "E": ("E", "A", "B7", "F#m", "A/C#", "E7"),
    "Am": ("Am", "Dm", "E", "F", "C", "G", "E7", "C/G", "Am/G", "G7"),
    "Em": ("Em", "Am", "B7", "C", "D", "G", "G/B", "Em/G", "D/F#"),
    "Dm": ("Dm", "Bb", "F", "C", "A7", "Dm7", "G", "Am"),
}
# movable forms on fret n: offsets, which string carries the root (0 or 1), quality
BARRE_FORMS: tuple[tuple[tuple[int | None, ...], int, str], ...] = (
    ((0, 2, 2, 1, 0, 0), 0, "maj"), ((0, 2, 2, 0, 0, 0), 0, "min"), ((0, 2, 0, 1, 0, 0), 0, "7"),
    ((0, 2, 0, 0, 0, 0), 0, "min7"), ((X, 0, 2, 2, 2, 0), 1, "maj"), ((X, 0, 2, 2, 1, 0), 1, "min"),
    ((X, 0, 2, 0, 2, 0), 1, "7"), ((X, 0, 2, 0, 1, 0), 1, "min7"), ((X, 0, 2, 1, 2, 0), 1, "maj7"),
)  # fmt: skip

# patterns: beats a bar, division, and strokes as (twelfths of a beat, what); D U full strokes, d u light ones,
# B the bass string alone, x a muted stroke, 0..5 a picked string counted from the chord's lowest
PATTERNS: dict[str, tuple[int, int, tuple[tuple[int, str], ...]]] = {
    "quarters": (4, 2, ((0, "D"), (12, "D"), (24, "D"), (36, "D"))),
    "eighths": (4, 2, ((0, "D"), (6, "U"), (12, "D"), (18, "U"), (24, "D"), (30, "U"), (36, "D"), (42, "U"))),
    "sway": (4, 2, ((0, "D"), (12, "D"), (18, "U"), (30, "U"), (36, "D"), (42, "U"))),
    "push": (4, 2, ((0, "D"), (6, "U"), (18, "U"), (24, "D"), (36, "D"), (42, "U"))),
    "backbeat": (4, 2, ((0, "D"), (12, "x"), (18, "U"), (24, "D"), (36, "x"), (42, "U"))),
    "boom": (4, 2, ((0, "B"), (12, "D"), (24, "B"), (36, "D"), (42, "U"))),
    "sixteenths": (4, 4, ((0, "D"), (6, "D"), (9, "U"), (15, "U"), (18, "D"), (24, "D"), (30, "D"), (33, "U"),
                          (36, "D"), (42, "D"), (45, "U"))),
    "waltz": (3, 2, ((0, "B"), (12, "D"), (24, "D"))),
    "waltz8": (3, 2, ((0, "D"), (12, "D"), (18, "U"), (24, "D"), (30, "U"))),
    "six8": (2, 3, ((0, "D"), (4, "d"), (8, "U"), (12, "D"), (16, "d"), (20, "U"))),
    "twelve8": (4, 3, ((0, "D"), (8, "U"), (12, "D"), (20, "U"), (24, "D"), (32, "U"), (36, "D"), (40, "d"),
                       (44, "U"))),
    "arpeggio": (4, 2, ((0, "0"), (6, "2"), (12, "3"), (18, "4"), (24, "5"), (30, "4"), (36, "3"), (42, "2"))),
    "travis": (4, 2, ((0, "0"), (6, "4"), (12, "2"), (18, "5"), (24, "1"), (30, "4"), (36, "2"), (42, "3"))),
}  # fmt: skip
STRUMMED = tuple(name for name in PATTERNS if name not in {"arpeggio", "travis"})
STROKES_A_BEAT = {name: len(strokes) / beats for name, (beats, _, strokes) in PATTERNS.items()}


@dataclass(frozen=True)
class SceneNote:
    """A note that the scene sounds: when, which pitch, on which string and fret, how hard, until when."""

    onset_s: float
    end_s: float
    midi: int
    string: int
    fret: int
    level: float


@dataclass(frozen=True)
class SceneStroke:
    """A stroke of the truth: its first sounding string, spread, direction, what it was, step in the bar."""

    onset_s: float
    what: str
    direction: str | None
    spread_s: float
    chord: int
    step: int


@dataclass(frozen=True)
class SceneChord:
    """A held chord of the truth."""

    start_s: float
    end_s: float
    label: str
    frets: tuple[int | None, ...]


@dataclass(frozen=True)
class SceneGuitar:
    """The guitar of a scene, as it is tuned: open strings as MIDI notes, and how far off they are."""

    capo: int
    offset_cents: float
    tuning: tuple[int, ...] = STANDARD
    tuning_name: str = "standard"
    string_cents: tuple[float, ...] = (0.0,) * 6  # each string against the rest, on top of the guitar's own offset


@dataclass
class Scene:
    """A part and its truth."""

    seed: int
    pattern: str
    beats_per_bar: int
    division: int
    tempo_bpm: float
    guitar: SceneGuitar
    key: str
    notes: list[SceneNote] = field(default_factory=list)
    strokes: list[SceneStroke] = field(default_factory=list)
    chords: list[SceneChord] = field(default_factory=list)
    beats_s: list[float] = field(default_factory=list)
    bars_s: list[float] = field(default_factory=list)

    @property
    def duration_s(self) -> float:
        """Until the last note has rung."""
        return self.chords[-1].end_s + 1.5


def _forms(rng: np.random.Generator, key: str, barres: bool) -> list[tuple[tuple[int | None, ...], int, str, str]]:
    pool = KEYS[key]
    names = [pool[0], *rng.choice(pool[1:], size=int(rng.integers(2, 5)), replace=False)]
    forms = [OPEN_FORMS[str(name)] for name in names]
    if barres:
        forms = []
        for _ in names:
            offsets, string, quality = BARRE_FORMS[int(rng.integers(len(BARRE_FORMS)))]
            fret = int(rng.integers(1, 9))
            root = (STANDARD[string] + fret) % 12
            forms.append((tuple(None if o is None else o + fret for o in offsets), root, quality, ""))
    return forms


def make_scene(
    seed: int, *, pattern: str | None = None, strums_per_s: float | None = None, n_bars: int = 8, setting: str = "any"
) -> Scene:
    """Make one part from a seed; ``setting`` is "plain" (no capo, standard), or "any"."""
    rng = np.random.default_rng(seed)
    pattern = pattern or str(rng.choice(STRUMMED))
    beats, division, strokes = PATTERNS[pattern]
    rate = strums_per_s or float(rng.choice([2.0, 4.0, 6.0]))
    tempo = float(np.clip(60.0 * rate / STROKES_A_BEAT[pattern], 40, 240))
    barres = setting == "any" and rng.random() < 0.15
    capo = 0 if setting == "plain" or barres or rng.random() < 0.4 else int(rng.integers(1, 8))
    shift, tuning_name = 0, "standard"
    if setting == "any" and not capo and rng.random() < 0.35 and not barres:  # barre chords do not tell a tuning
        shift, tuning_name = [(-1, "half step down"), (-2, "whole step down")][int(rng.integers(2))]
    key = str(rng.choice(list(KEYS)))
    guitar = SceneGuitar(capo, float(rng.uniform(-30, 30)), tuple(m + shift for m in STANDARD), tuning_name)
    scene = Scene(seed, pattern, beats, division, tempo, guitar, key)
    forms = _forms(rng, key, barres)
    order = [0]
    while len(order) < n_bars:
        options = [i for i in range(len(forms)) if i != order[-1]]
        order.append(int(rng.choice(options)) if rng.random() < 0.85 else order[-1])
    beat_s = 60.0 / tempo
    swing = rng.choice([0.5, 0.5, 0.62]) if division == 2 and tempo > 80 and rate < 6 else 0.5
    spread = float(rng.uniform(0.008, 0.045)) if rate < 5 else float(rng.uniform(0.008, 0.03))
    start = float(rng.uniform(0.3, 1.0))
    sounding: dict[int, int] = {}
    when = start
    for bar, form_index in enumerate(order):
        frets, root, quality, bass = forms[form_index]
        halves = [form_index]
        if beats == 4 and rng.random() < 0.2:  # two chords in this bar
            halves.append(int(rng.integers(len(forms))))
        scene.bars_s.append(when)
        scene.beats_s.extend(when + k * beat_s for k in range(beats))
        for half, index in enumerate(halves):
            frets, root, quality, bass = forms[index]
            label = f"{PLAIN_NAMES[(root + shift + capo) % 12]}:{quality}{'/' + bass if bass else ''}"
            low, high = 12 * beats * half // len(halves), 12 * beats * (half + 1) // len(halves)
            chord_start = when + low / 12 * beat_s
            chord_end = when + high / 12 * beat_s
            if scene.chords and scene.chords[-1].label == label and scene.chords[-1].frets == frets:
                last = scene.chords.pop()
                scene.chords.append(SceneChord(last.start_s, chord_end, label, frets))
            else:
                _release(scene, sounding, frets, chord_start)
                scene.chords.append(SceneChord(chord_start, chord_end, label, frets))
            for step, what in strokes:
                if low <= step < high:
                    _play(scene, rng, sounding, frets, (bar, step, what), (when, beat_s, swing, spread))
        when += beats * beat_s
    scene.bars_s.append(when)
    for string in list(sounding):
        _stop(scene, sounding, string, when + 0.8)
    return scene


def _stop(scene: Scene, sounding: dict[int, int], string: int, at_s: float) -> None:
    index = sounding.pop(string, None)
    if index is not None:
        note = scene.notes[index]
        scene.notes[index] = SceneNote(
            note.onset_s, max(at_s, note.onset_s + 0.03), note.midi, string, note.fret, note.level
        )


def _release(scene: Scene, sounding: dict[int, int], frets: tuple[int | None, ...], at_s: float) -> None:
    """Lift the hand a little before the change: strings that stay where they are, or ring open, go on."""
    for string in list(sounding):
        fret = scene.notes[sounding[string]].fret
        if fret != frets[string] and not (fret == 0 and frets[string] is None):
            _stop(scene, sounding, string, at_s - 0.04)


def _play(
    scene: Scene, rng: np.random.Generator, sounding: dict[int, int], frets: tuple[int | None, ...],
    place: tuple[int, int, str], timing: tuple[float, float, float, float],
) -> None:  # fmt: skip
    _, step, what = place
    when, beat_s, swing, spread = timing
    beat, rest = divmod(step, 12)
    inside = rest / 12 if rest == 0 or swing == 0.5 else (swing if rest == 6 else rest / 12)
    onset = when + (beat + inside) * beat_s + float(np.clip(rng.normal(0, 0.006), -0.015, 0.015))
    played = [s for s in range(6) if frets[s] is not None]
    chord = len(scene.chords) - 1
    direction = None
    if what in "Dd":
        strings, direction = (played if what == "D" else played[: max(3, len(played) - 1)]), "down"
    elif what in "Uu":
        strings, direction = played[-int(rng.integers(3, 5)) :][::-1], "up"
    elif what == "B":
        strings = [played[0]] if step == 0 or rng.random() < 0.5 else [played[1]]
    elif what == "x":
        strings = []
        for string in list(sounding):
            _stop(scene, sounding, string, onset)
    else:
        strings = [played[min(int(what), len(played) - 1)]]
    level = float(rng.uniform(0.75, 1.0)) * (1.0 if step == 0 else 0.85)
    gaps = np.cumsum([0.0, *rng.uniform(0.6, 1.4, 5)]) / 5 * spread
    for place_in_stroke, string in enumerate(strings):
        at = onset + float(gaps[place_in_stroke])
        _stop(scene, sounding, string, at - 0.004)
        fret = frets[string]
        assert fret is not None
        midi = scene.guitar.tuning[string] + scene.guitar.capo + fret
        scene.notes.append(SceneNote(at, at, midi, string, fret, level * float(rng.uniform(0.8, 1.0))))
        sounding[string] = len(scene.notes) - 1
    width = float(gaps[len(strings) - 1]) if strings else 0.0
    scene.strokes.append(SceneStroke(onset, what, direction, width, chord, step))
