"""Parts as people play them, from seeds: tempo that moves, strokes uneven in time, loudness and reach, hands that slip.

A :class:`Player` says how a hand strays from the page. Where the figures come from:

* tempo over half a minute, unevenness of beats, place of the upstroke and loudness of strokes: five recorded takes
  (Murgul and Heizmann 2022) held against the beats in ``truth/strumming.json``: tempo rises by 5, 7, 35, 35 and 50 %;
  a beat lies 24 to 41 ms (one standard deviation) from the line through its four neighbours; upstrokes fall at .41 to
  .60 of the beat (5th and 95th percentile); strokes vary by 1.5 to 2.8 dB.
* spread of a strum: median 13 to 16 ms, nine in ten under 37 ms on GuitarSet (Xi et al. 2018; from memory); 100 to
  330 ms where a hand is slow on purpose (common practice, no source).
* strings that do not sound: nine of a hundred recorded open strums lack the third (Osmalskyj et al. 2012, as heard by
  this program); the rest is judged.

Conventions: those of :mod:`tests.benchmarks.part_scenes`, whose :class:`~tests.benchmarks.part_scenes.Scene` is made.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from listen.theory import PLAIN_NAMES
from tests.benchmarks.part_scenes import (
    KEYS,
    OPEN_FORMS,
    Scene,
    SceneChord,
    SceneGuitar,
    SceneNote,
    SceneStroke,
)

Frets = tuple[int | None, ...]
Form = tuple[Frets, int, str, str]  # what is held; root, quality and bass, as Harte writes them

# beats a bar, division, strokes as (twelfths of a beat, what): D U full, b the upper four strings brushed, u the upper
# three, B the bass, P bass and top string pinched, x damped, 0..5 a picked string counted from the chord's lowest
PEOPLES_PATTERNS: dict[str, tuple[int, int, tuple[tuple[int, str], ...]]] = {
    "halves": (4, 2, ((0, "D"), (24, "D"))),
    "down and up in quarters": (4, 2, ((0, "D"), (12, "U"), (24, "D"), (36, "U"))),
    "sway": (4, 2, ((0, "D"), (12, "D"), (18, "U"), (30, "U"), (36, "D"), (42, "U"))),
    "eighths": (4, 2, ((0, "D"), (6, "U"), (12, "D"), (18, "U"), (24, "D"), (30, "U"), (36, "D"), (42, "U"))),
    "bass and brush": (4, 2, ((0, "B"), (12, "b"), (24, "B"), (36, "b"), (42, "u"))),
    "waltz bass and brush": (3, 2, ((0, "B"), (12, "b"), (24, "b"))),
    "damped backbeat": (4, 2, ((0, "D"), (12, "x"), (18, "u"), (24, "D"), (36, "x"), (42, "u"))),
    "pinched": (4, 2, ((0, "P"), (12, "2"), (18, "3"), (24, "P"), (36, "2"), (42, "3"))),
    "arpeggio": (4, 2, ((0, "0"), (6, "2"), (12, "3"), (18, "4"), (24, "5"), (30, "4"), (36, "3"), (42, "2"))),
    "three, three, two": (4, 2, ((0, "D"), (18, "U"), (36, "U"))),
    "six eight": (2, 3, ((0, "D"), (4, "u"), (8, "D"), (12, "U"), (16, "D"), (20, "u"))),
    "pushed": (4, 2, ((0, "D"), (12, "D"), (18, "U"), (30, "U"), (42, "U"))),
}
RATES = {"halves": 120.0, "eighths": 96.0, "six eight": 60.0}  # middling tempo in beats a minute, where it is not 100
CHANGE_S = 0.06  # the hand is off the strings for about so long


@dataclass(frozen=True, slots=True)
class Player:
    """How one player strays from the page.

    Parameters
    ----------
    drift : float
        Share by which the tempo rises over the part.
    jump : float
        Factor by which the tempo changes in the middle, from one bar to the next; 1 for none.
    uneven_s : float
        Standard deviation of each beat's place.
    swing : float
        Place of the upstroke in the beat.
    loudness_db : float
        Standard deviation over strokes.
    spread_s : tuple of float
        Least and most time from a stroke's first string to its last.
    miss_inner, miss_outer : float
        How often a string inside the chord, or at its edge, is choked or not reached, for each stroke.
    choked : float
        How often a chord, each time it is gripped, keeps one inner string dead throughout.
    brush_open : float
        How often open strings are brushed on the last upstroke before a change.
    soft_bass_db : float
        How much softer the lowest string is.
    """

    drift: float = 0.0
    jump: float = 1.0
    uneven_s: float = 0.012
    swing: float = 0.5
    loudness_db: float = 1.5
    spread_s: tuple[float, float] = (0.010, 0.037)
    miss_inner: float = 0.0
    miss_outer: float = 0.0
    choked: float = 0.0
    brush_open: float = 0.0
    soft_bass_db: float = 0.0


PLAYERS: dict[str, Player] = {
    "steady": Player(),
    "hurries": Player(drift=0.35, uneven_s=0.028, loudness_db=2.2, miss_outer=0.15, brush_open=0.3),
    "drags": Player(drift=-0.2, uneven_s=0.028, loudness_db=2.2, miss_outer=0.15, soft_bass_db=5.0),
    "begins anew": Player(jump=1.3, uneven_s=0.022, loudness_db=2.0),
    "swings": Player(swing=0.64, uneven_s=0.018, loudness_db=2.0, miss_outer=0.1),
    "careless": Player(drift=0.1, uneven_s=0.03, loudness_db=2.8, miss_inner=0.06, miss_outer=0.25, choked=0.15,
                       brush_open=0.5, soft_bass_db=6.0),
    "slow hand": Player(uneven_s=0.03, spread_s=(0.1, 0.3), loudness_db=1.5),
}  # fmt: skip


@dataclass
class _Hand:
    """A part in the making."""

    scene: Scene
    player: Player
    rng: np.random.Generator
    sounding: dict[int, int]

    def stop(self, string: int, at_s: float) -> None:
        """Damp a string."""
        index = self.sounding.pop(string, None)
        if index is not None:
            old = self.scene.notes[index]
            end_s = max(at_s, old.onset_s + 0.03)
            self.scene.notes[index] = SceneNote(old.onset_s, end_s, old.midi, string, old.fret, old.level)

    def sound(self, string: int, fret: int, at_s: float, level: float) -> None:
        """Strike a string."""
        self.stop(string, at_s - 0.004)
        midi = self.scene.guitar.tuning[string] + self.scene.guitar.capo + fret
        self.scene.notes.append(SceneNote(at_s, at_s, midi, string, fret, level))
        self.sounding[string] = len(self.scene.notes) - 1

    def change(self, frets: Frets, at_s: float) -> None:
        """Lift the hand before a change; what stays where it is rings on.

        Between strings that are held, a hand touches those that are not to sound: a stroke goes over them.
        """
        held = [string for string in range(6) if frets[string] is not None]
        for string in list(self.sounding):
            fret = self.scene.notes[self.sounding[string]].fret
            if frets[string] is None and held[0] < string < held[-1]:
                self.stop(string, at_s)
            elif fret != frets[string] and not (fret == 0 and frets[string] is None):
                self.stop(string, at_s - CHANGE_S * float(self.rng.uniform(0.3, 1.0)))

    def strike(self, frets: Frets, dead: frozenset[int], what: str, step: int, at_s: float, lifted: bool) -> None:
        """Play one stroke of a pattern."""
        held = [string for string in range(6) if frets[string] is not None]
        strings, direction = _reach(what, held, self.rng, first=step == 0)
        level_db = float(self.rng.normal(0.0, self.player.loudness_db)) - (0.0 if step == 0 else 1.5)
        if what == "x":
            for string in list(self.sounding):
                self.stop(string, at_s)
        width_s = 0.0 if what in "0123456789BP" else float(self.rng.uniform(*self.player.spread_s))
        width_s = min(width_s, 0.004 * len(strings)) if what == "P" else width_s
        gaps = np.cumsum([0.0, *self.rng.uniform(0.6, 1.4, 5)]) / 5 * width_s
        last_s = 0.0
        for count, string in enumerate(strings):
            inner = string not in (held[0], held[-1])
            missed = self.rng.random() < (self.player.miss_inner if inner else self.player.miss_outer)
            if string in dead or (missed and what in "DUbu" and len(strings) > 3):
                continue
            softer_db = self.player.soft_bass_db if string == held[0] and what not in "BP0" else 0.0
            level = 0.85 * 10.0 ** ((level_db - softer_db) / 20.0) * float(self.rng.uniform(0.8, 1.0))
            fret = 0 if lifted else frets[string]
            assert fret is not None
            self.sound(string, fret, at_s + float(gaps[count]), min(level, 1.15))
            last_s = float(gaps[count])
        self.scene.strokes.append(SceneStroke(at_s, what, direction, last_s, len(self.scene.chords) - 1, step))


def _reach(what: str, held: list[int], rng: np.random.Generator, *, first: bool) -> tuple[list[int], str | None]:
    """Return the strings that a stroke of a pattern is meant to reach, in order, and its way."""
    if what == "B":
        return [held[0]] if first or rng.random() < 0.5 else [held[1]], None
    if what.isdigit():
        return [held[min(int(what), len(held) - 1)]], None
    reached: dict[str, tuple[list[int], str | None]] = {
        "D": (held, "down"),
        "U": (held[-int(rng.integers(3, 6)) :][::-1], "up"),
        "b": (held[-4:], "down"),
        "u": (held[-3:][::-1], "up"),
        "P": ([held[0], held[-1]], None),
        "x": ([], None),
    }
    return reached[what]


def make_peoples_scene(
    seed: int,
    *,
    player: str,
    pattern: str,
    n_bars: int = 12,
    inversions: bool = True,
    forms: Mapping[str, Form] | None = None,
    row: Sequence[str] | None = None,
) -> Scene:
    """Make one part.

    Parameters
    ----------
    seed : int
    player : str
        A key of :data:`PLAYERS`.
    pattern : str
        A key of :data:`PEOPLES_PATTERNS`.
    n_bars : int
    inversions : bool
        Whether chords with a meant bass (G/B) are among those drawn.
    forms : mapping of str to Form, or None
        Chords by name, all of which the part has; None for chords of a key.
    row : sequence of str, or None
        The open chord of each bar; None for chance.
    """
    rng = np.random.default_rng(seed)
    who = PLAYERS[player]
    beats, division, strokes = PEOPLES_PATTERNS[pattern]
    tempo = RATES.get(pattern, 100.0) * float(np.exp(rng.uniform(-0.22, 0.22)))
    key = str(rng.choice(list(KEYS)))
    pool = [name for name in KEYS[key] if inversions or "/" not in name]
    names = [pool[0], *(str(name) for name in rng.choice(pool[1:], size=int(rng.integers(3, 5)), replace=False))]
    names = names if forms is None else list(forms)
    capo = 0 if rng.random() < 0.7 else int(rng.integers(1, 6))
    guitar = SceneGuitar(capo, float(rng.uniform(-30, 30)))
    scene = Scene(seed, pattern, beats, division, tempo, guitar, key)
    hand = _Hand(scene, who, rng, {})
    when, before = float(rng.uniform(0.4, 1.2)), ""
    for bar in range(n_bars):
        name = names[0] if row is None else row[bar]
        if bar and row is None:
            name = str(rng.choice([n for n in names if n != before or rng.random() < 0.3] or names))
        following = (1.0 + who.drift) ** (bar / n_bars) * (who.jump if bar >= n_bars // 2 else 1.0)
        beat_s = 60.0 / (tempo * following)
        places = [
            when + beat_s * k + float(np.clip(rng.normal(0, who.uneven_s), -0.07, 0.07)) for k in range(beats + 1)
        ]
        places[-1] = when + beat_s * beats + float(np.clip(rng.normal(0, who.uneven_s), -0.07, 0.07))
        scene.bars_s.append(places[0])
        scene.beats_s.extend(places[:-1])
        _play_bar(hand, (OPEN_FORMS if forms is None else forms)[name], places, strokes, changes=name != before)
        before, when = name, places[-1]
    scene.bars_s.append(when)
    for string in list(hand.sounding):
        hand.stop(string, when + 1.2)
    return scene


def _play_bar(
    hand: _Hand, form: Form, places: list[float], strokes: tuple[tuple[int, str], ...], *,
    changes: bool,
) -> None:  # fmt: skip
    """Play one bar of one chord."""
    scene, who, rng = hand.scene, hand.player, hand.rng
    frets, root, quality, bass = form
    label = f"{PLAIN_NAMES[(root + scene.guitar.capo) % 12]}:{quality}{'/' + bass if bass else ''}"
    held = [string for string in range(6) if frets[string] is not None]
    if changes or not scene.chords:
        hand.change(frets, places[0])
        scene.chords.append(SceneChord(places[0], places[-1], label, frets))
    else:
        last = scene.chords.pop()
        scene.chords.append(SceneChord(last.start_s, places[-1], label, frets))
    dead = frozenset(rng.choice(held[1:-1], 1).tolist()) if rng.random() < who.choked else frozenset()
    for count, (step, what) in enumerate(strokes):
        beat, rest = divmod(step, 12)
        inside = who.swing if rest == 6 else rest / 12
        at_s = places[beat] + inside * (places[beat + 1] - places[beat]) + float(rng.normal(0, who.uneven_s / 3))
        is_last = count == len(strokes) - 1 and what in "Uu"
        hand.strike(frets, dead, what, step, at_s, lifted=is_last and rng.random() < who.brush_open)
