"""Classes of our own, made from seeds: what was set, how each student played it, and which mistakes were planted.

Charts are random walks over the forms of a key; strokes, hands and sound are those of the part benchmark
(`part_scenes`, `part_sound`). Conventions: bars count from 1 through the whole chart, seconds as they are rendered.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from listen.document import parse_chart
from listen.reading import Assignment
from tests.benchmarks.part_scenes import (
    KEYS,
    OPEN_FORMS,
    PATTERNS,
    STANDARD,
    STROKES_A_BEAT,
    Scene,
    SceneChord,
    SceneGuitar,
    _play,
    _release,
    _stop,
)

Frets = tuple[int | None, ...]
MISTAKES = (
    "none", "chord", "bass", "silent string", "extra string", "out of tune", "late", "restart", "left out", "setting",
    "drift",
)  # fmt: skip
SET_PATTERNS = ("quarters", "eighths", "sway", "push", "boom", "waltz8", "six8")
MOST_DRIFT = (0.25, 0.4)  # of a beat's length, from the first bar to the last, planted; others drift by 0.06 at most
LEAST_CENTS_OVER = 5.0  # over the tolerance of 15 cents
BASS_PAIRS = {"G": "G/B", "C": "C/E", "D": "D/F#", "A": "A/C#", "F": "F/A", "Em": "Em/G", "G/B": "G", "C/E": "C",
              "D/F#": "D", "A/C#": "A", "F/A": "F", "Em/G": "Em", "C/G": "C", "D/A": "D"}  # fmt: skip


@dataclass(frozen=True)
class Planted:
    """A mistake: what, in which bar, when, on which string (1 the first)."""

    kind: str
    bar: int
    time_s: float = 0.0
    string: int | None = None
    detail: str = ""


@dataclass
class Homework:
    """A student's recording and its truth."""

    assignment: Assignment
    chart: str
    scene: Scene
    mistake: str
    planted: list[Planted] = field(default_factory=list)
    bars: list[tuple[int, float, float]] = field(default_factory=list)  # of the judged way through: bar, start, end
    beats_s: list[float] = field(default_factory=list)


@dataclass
class _Bar:
    """A bar as it will be played: its place in the chart, its chords by step, and what is odd about it."""

    place: int
    chords: list[tuple[int, Frets]]
    pause_s: float = 0.0  # before it
    until: int = 999  # step at which it breaks off
    late_steps: int = 0  # how long the chord before is still held
    counts: bool = True  # whether it belongs to the judged way through


def make_homework(seed: int, mistake: str) -> Homework:
    """Make a chart and one student's playing of it, with one mistake planted."""
    rng = np.random.default_rng(seed)
    key = str(rng.choice(list(KEYS)))
    pattern = str(rng.choice(SET_PATTERNS))
    names = _choose_names(rng, key, mistake)
    n_bars = int(rng.choice([4, 8]))
    order = [0]
    while len(order) < n_bars:
        options = [at for at in range(len(names)) if at != order[-1]]
        order.append(int(rng.choice(options)) if rng.random() < 0.9 else order[-1])
    cells = [names[at] for at in order]
    halves = [str(rng.choice(names)) if PATTERNS[pattern][0] == 4 and rng.random() < 0.15 else "" for _ in cells]
    beats, division, _ = PATTERNS[pattern]
    tempo = float(rng.uniform(66, 132))
    tempo = float(np.clip(tempo, 40, 60.0 * 5.0 / STROKES_A_BEAT[pattern]))
    capo = int(rng.integers(1, 6)) if mistake == "setting" or rng.random() < 0.4 else 0
    if mistake == "setting" and rng.random() < 0.5:
        capo = 0
    head = [f"capo: {capo}", f"tempo: {tempo:.0f}"]
    head.append({"waltz8": "metre: 3/4", "six8": "metre: 6/8"}.get(pattern, "metre: 4/4"))
    if mistake in {"silent string", "extra string"}:
        head.append("matters: notes")
        head += [f"{name} = {'-'.join('x' if f is None else str(f) for f in OPEN_FORMS[name][0])}" for name in names]
    if mistake == "bass":
        head.append("matters: bass")
    row = " | ".join(f"{cell} {half}".strip() for cell, half in zip(cells, halves, strict=True))
    times = 2 if n_bars == 8 or rng.random() < 0.5 else 3
    chart = "\n".join(head) + f"\n|: {row} :| ×{times}\n"
    assignment = parse_chart(chart)
    played = []
    half = 12 * beats // 2
    for place in range(n_bars * times):
        cell, other = cells[place % n_bars], halves[place % n_bars]
        chords = [(0, OPEN_FORMS[cell][0])] + ([(half, OPEN_FORMS[other][0])] if other else [])
        played.append(_Bar(place, chords))
    played_bpm = tempo * float(rng.uniform(0.85, 1.15))
    guitar = SceneGuitar(capo, float(rng.uniform(-25, 25)))
    scene = Scene(seed, pattern, beats, division, played_bpm, guitar, key)
    homework = Homework(assignment, chart, scene, mistake)
    _plant(homework, played, rng)
    _perform(homework, played, rng)
    return homework


def _choose_names(rng: np.random.Generator, key: str, mistake: str) -> list[str]:
    pool = [name for name in KEYS[key] if mistake != "bass" or name in BASS_PAIRS]
    n = min(len(pool), int(rng.integers(3, 5)))
    return [str(name) for name in rng.choice(pool, size=n, replace=False)] if n else ["G", "C", "D"]


def _plant(homework: Homework, played: list[_Bar], rng: np.random.Generator) -> None:  # noqa: C901, PLR0912  (a branch a mistake)
    scene, mistake = homework.scene, homework.mistake
    place = int(rng.integers(1, len(played) - 1))
    if mistake in {"chord", "bass", "silent string", "extra string"}:
        at = int(rng.integers(len(played[place].chords)))
        step, frets = played[place].chords[at]
        changed, string = _change_chord(mistake, frets, rng)
        if changed is None:
            homework.mistake = "none"
            return
        played[place].chords[at] = (step, changed)
        homework.planted.append(Planted(mistake, place + 1, string=string))
    elif mistake == "out of tune":
        sounds = [sum(frets[each] is not None for bar in played for _, frets in bar.chords) for each in range(6)]
        string = int(rng.choice([each for each in range(6) if sounds[each] >= max(sounds) / 2]))
        size = float(rng.uniform(15.0 + LEAST_CENTS_OVER, 38.0)) * float(rng.choice([-1.0, 1.0]))
        scene.guitar = replace(scene.guitar, string_cents=tuple(size if each == string else 0.0 for each in range(6)))
        homework.planted.append(Planted(mistake, 0, string=6 - string, detail=f"{size:.0f}"))
    elif mistake == "late":
        others = [k for k in range(1, len(played)) if played[k].chords[0][1] != played[k - 1].chords[-1][1]]
        place = int(rng.choice(others))
        if rng.random() < 0.5:
            played[place].late_steps = int(rng.choice([6, 12])) if scene.division == 2 else 12
        else:
            played[place].pause_s = float(rng.uniform(0.35, 0.8))
        homework.planted.append(Planted(mistake, place + 1))
    elif mistake == "restart":
        back = int(rng.integers(0, min(3, place + 1)))
        until = int(rng.integers(1, scene.beats_per_bar + 1)) * 12
        broken = _Bar(place, list(played[place].chords), until=until, counts=False)
        again = [_Bar(one.place, list(one.chords)) for one in played[place - back :]]
        again[0].pause_s = float(rng.uniform(0.4, 2.0))
        for one in played[place - back : place]:
            one.counts = False
        played[place:] = [broken, *again]
        homework.planted.append(Planted(mistake, place - back + 1))
    elif mistake == "left out":
        told = [one for one in range(1, len(played) - 1) if _can_be_missed(played, one)]
        if not told:
            homework.mistake = "none"
            return
        place = int(rng.choice(told))
        del played[place]
        homework.planted.append(Planted(mistake, place + 1))
    elif mistake == "setting":
        guitar = scene.guitar
        if guitar.capo:
            capo = 0 if rng.random() < 0.6 else max(0, guitar.capo + int(rng.choice([-1, 1, 2])))
            scene.guitar = replace(guitar, capo=capo)
        else:
            down = int(rng.integers(1, 3))
            scene.guitar = replace(guitar, tuning=tuple(midi - down for midi in guitar.tuning))
        homework.planted.append(Planted(mistake, 0))


def _can_be_missed(played: list[_Bar], place: int) -> bool:
    """Whether a bar sounds other than the bars around it: of two bars alike nobody can say which is missing."""
    return all(played[place].chords != played[near].chords for near in (place - 1, place + 1))


def _change_chord(mistake: str, frets: Frets, rng: np.random.Generator) -> tuple[Frets | None, int | None]:
    """Return the chord with a mistake in it, and the string that it is on."""
    name = next((each for each, form in OPEN_FORMS.items() if form[0] == frets), "")
    if mistake == "chord":
        own = _classes(frets)
        others = [OPEN_FORMS[each][0] for each in OPEN_FORMS if len(_classes(OPEN_FORMS[each][0]) ^ own) >= 2]
        near = [form for form in others if len(_classes(form) ^ own) <= 3]
        pool = near if near and rng.random() < 0.5 else others
        return pool[int(rng.integers(len(pool)))], None
    if mistake == "bass":
        pair = BASS_PAIRS.get(name)
        return (None if pair is None else OPEN_FORMS[pair][0]), None
    played = [string for string in range(6) if frets[string] is not None]
    changed = list(frets)
    if mistake == "silent string":
        string = int(rng.choice(played[1:]))
        changed[string] = None
        return tuple(changed), 6 - string
    silent = [string for string in range(6) if frets[string] is None and string == played[0] - 1]
    if silent:
        changed[silent[0]] = 0
        return tuple(changed), 6 - silent[0]
    string = int(rng.choice(played[1:]))
    changed[string] = int(frets[string] or 0) + 2 if (frets[string] or 0) < 3 else 0
    return tuple(changed), 6 - string


def _classes(frets: Frets) -> frozenset[int]:
    return frozenset((STANDARD[string] + fret) % 12 for string, fret in enumerate(frets) if fret is not None)


def _perform(  # noqa: C901, PLR0912  (one bar after another, as it is played)
    homework: Homework, played: list[_Bar], rng: np.random.Generator
) -> None:
    scene = homework.scene
    beat_s = 60.0 / scene.tempo_bpm
    drift = float(rng.uniform(-0.06, 0.06)) / max(1, len(played))
    if homework.mistake == "drift":
        drift = float(rng.choice([-1.0, 1.0])) * float(rng.uniform(*MOST_DRIFT)) / len(played)
        homework.planted.append(Planted("tempo", 0))
    spread = float(rng.uniform(0.008, 0.03))
    when = float(rng.uniform(0.4, 1.5))
    sounding: dict[int, int] = {}
    strokes = PATTERNS[scene.pattern][2]
    before: Frets | None = None
    damped: int | None = None  # a string that was struck by mistake does not go on ringing for bars
    for number, bar in enumerate(played):
        beat_s *= 1.0 + drift
        if bar.pause_s:
            for string in list(sounding):
                _stop(scene, sounding, string, when + min(bar.pause_s, 0.3))
        when += bar.pause_s
        chords = list(bar.chords)
        if bar.late_steps and before is not None:
            chords = [(0, before), (bar.late_steps, chords[0][1]), *chords[1:]]
        n_steps = min(12 * scene.beats_per_bar, bar.until)
        edges = [*(step for step, _ in chords), n_steps]
        for at, (step, frets) in enumerate(chords):
            start, end = when + step / 12 * beat_s, when + edges[at + 1] / 12 * beat_s
            if before is not None and before != frets:
                _release(scene, sounding, frets, start)
                if damped is not None:
                    _stop(scene, sounding, damped, start)
                damped = None
            scene.chords.append(SceneChord(start, end, "", frets))
            for place, what in strokes:
                if step <= place < min(edges[at + 1], n_steps):
                    _play(scene, rng, sounding, frets, (number, place, what), (when, beat_s, 0.5, spread))
            before = frets
        for planted in homework.planted:
            if planted.bar == bar.place + 1 and planted.kind == "extra string" and planted.string:
                damped = 6 - planted.string
            if planted.bar == bar.place + 1 and bar.counts and not planted.time_s:
                at = homework.planted.index(planted)
                homework.planted[at] = Planted(planted.kind, planted.bar, when, planted.string, planted.detail)
        if bar.counts:
            homework.bars.append((bar.place + 1, when, when + n_steps / 12 * beat_s))
        homework.beats_s.extend(when + beat * beat_s for beat in range(n_steps // 12))
        scene.bars_s.append(when)
        when += n_steps / 12 * beat_s
    for string in list(sounding):
        _stop(scene, sounding, string, when + 0.8)
