"""The rows of the benchmark: where each sound comes from and what happens to it.

Conventions: a row makes its cases from (seed, number) alone, so any case can be made again by itself.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from tests.benchmarks import not_chords, recorded_notes, simulated, soundfont
from tests.benchmarks.cases import RATE_HZ, Case, Truth, random_for, truth_of
from tests.benchmarks.conditions import (
    Condition,
    as_a_phone_hears,
    hard_clip,
    in_a_noisy_room,
    off_pitch,
    soft_overdrive,
    through_a_phone_codec,
    under_a_singer,
)
from tests.benchmarks.draws import (
    Draw,
    draw_book_shape,
    draw_off_book_shape,
    draw_power_chord,
    draw_refingered_shape,
    restricted,
)
from tests.benchmarks.lone_notes import (
    A1,
    BASSES,
    CUT,
    E1,
    E2,
    E6,
    G4,
    GUITARS,
    OTHER_PROGRAMS,
    RECORDED,
    brush_others_damped,
    draw_notes,
    let_others_ring,
    record_notes,
    render_notes_alone,
)
from tests.benchmarks.recorded_notes import (
    ACOUSTIC,
    ARCHTOP_MICROPHONE,
    ARCHTOP_PICKUP,
    BLACK,
    GREEN,
    NYLON,
    RECORDINGS,
    NoteSet,
)

Group = Literal["strums", "power", "notes", "recorded", "not chords"]
Make = Callable[[str, int, Iterable[int]], list[Case]]


@dataclass(frozen=True, slots=True)
class Row:
    """One row of the table.

    Parameters
    ----------
    title : str
    group : str
        Which scores are asked of it.
    make : callable
        (title, seed, numbers) to cases.
    n : int
        Cases at full size.
    """

    title: str
    group: Group
    make: Make
    n: int


def mix_notes(guitars: tuple[NoteSet, ...], draw: Draw, condition: Condition | None = None) -> Make:
    """Mix recorded single notes; shapes keep to the frets of which there are recordings."""

    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
        cases = []
        for number in numbers:
            random = random_for(title, seed, number)
            guitar = guitars[random.integers(len(guitars))]
            drawn = (restricted(draw, frets=guitar.frets) if guitar.frets else draw)(random)
            strum = recorded_notes.strike(guitar, drawn.frets, random)
            samples = recorded_notes.mix(strum)
            if condition is not None:
                samples = condition(samples, random)
            truth = truth_of(drawn, strings_known=guitar.frets is not None, direction=strum.direction)
            cases.append(Case(f"{title} {number} {drawn.frets}", samples, RATE_HZ, truth))
        return cases

    return make


def _in_context(guitars: tuple[NoteSet, ...], gap_s: float, *, told: bool) -> Make:
    """A chord before, the strum that is asked for, and the next one after the gap; strokes told or to be found."""

    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
        cases = []
        for number in numbers:
            random = random_for(f"in context {gap_s}", seed, number)
            guitar = guitars[random.integers(len(guitars))]
            drawn = [draw_book_shape(random) for _ in range(3)]
            before, asked, after = (recorded_notes.strike(guitar, one.frets, random) for one in drawn)
            samples, asked_s = recorded_notes.mix_in_context(
                (before, asked, after),
                gaps_s=(random.uniform(0.5, 1.2), gap_s),
                left_ringing=random.random() < 0.5,
            )
            truth = truth_of(drawn[1], strings_known=False, direction=asked.direction)
            until_s = asked_s + gap_s if told else None
            cases.append(Case(f"{title} {number} {drawn[1].frets}", samples, RATE_HZ, truth, asked_s, until_s))
        return cases

    return make


def render_notes(programs: tuple[int, ...], draw: Draw, condition: Condition | None = None) -> Make:
    """Render with the soundfont, one run for all numbers."""

    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
        drawn, scores, directions, randoms = [], [], [], []
        for number in numbers:
            random = random_for(title, seed, number)
            drawn.append((number, draw(random)))
            score, direction = soundfont.score_strum(
                drawn[-1][1].frets, programs[random.integers(len(programs))], random
            )
            scores.append(score)
            directions.append(direction)
            randoms.append(random)
        cases = []
        rendered = soundfont.render_scores(scores)
        for (number, shape), samples, direction, random in zip(drawn, rendered, directions, randoms, strict=True):
            heard = samples if condition is None else condition(samples, random)
            truth = truth_of(shape, strings_known=False, direction=direction)
            cases.append(Case(f"{title} {number} {shape.frets}", heard, RATE_HZ, truth))
        return cases

    return make


def strum_drawn_guitars(draw: Draw) -> Make:
    """Strum a guitar whose strings were drawn at random."""

    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
        cases = []
        for number in numbers:
            random = random_for(title, seed, number)
            drawn = draw(random)
            samples, direction = simulated.strum_guitar(simulated.draw_guitar(random), drawn.frets, random)
            truth = truth_of(drawn, strings_known=True, direction=direction)
            cases.append(Case(f"{title} {number} {drawn.frets}", samples, RATE_HZ, truth))
        return cases

    return make


def _recorded(room: str) -> Make:
    """Recorded strums of open chords, of which only the name is known (measuring only)."""

    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
        import soundfile

        manifest = json.loads((RECORDINGS / "manifest.json").read_text(encoding="utf-8"))
        entries = [entry for entry in manifest if entry["set"] == "strums_open_chords" and entry["room"] == room]
        order = np.random.default_rng(seed).permutation(len(entries))
        roots = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
        cases = []
        for number in numbers:
            if number >= len(entries):
                break
            entry = entries[order[number]]
            samples, rate = soundfile.read(RECORDINGS / entry["file"], dtype="float32")
            root, quality = entry["harte"].split(":")
            truth = Truth("triad", root=roots[root], quality={"maj": "major", "min": "minor"}[quality])
            cases.append(Case(f"{title} {entry['file']}", samples, rate, truth))
        return cases

    return make


def _not_a_chord(kind: str) -> Make:
    def make(title: str, seed: int, numbers: Iterable[int]) -> list[Case]:
        return [
            Case(
                f"{title} {number}",
                not_chords.make_sound(kind, random_for(title, seed, number)),
                RATE_HZ,
                Truth("nothing"),
            )
            for number in numbers
        ]

    return make


_ELECTRIC = (BLACK, GREEN)
_ARCHTOP = (ARCHTOP_MICROPHONE, ARCHTOP_PICKUP)
_ALL = (*_ELECTRIC, *_ARCHTOP)
_CLEAN_PROGRAMS = (24, 25, 26, 27)
_MUTED_PROGRAM = (28,)
_DRIVEN_PROGRAMS = (29, 30)
_SIX_PROGRAMS = (*_CLEAN_PROGRAMS, *_MUTED_PROGRAM, 29)

ROWS: tuple[Row, ...] = (
    Row("electric, book shapes", "strums", mix_notes(_ELECTRIC, draw_book_shape), 300),
    Row("electric, off the book", "strums", mix_notes(_ELECTRIC, draw_off_book_shape), 300),
    Row("archtop, book shapes", "strums", mix_notes(_ARCHTOP, draw_book_shape), 200),
    Row("archtop, off the book", "strums", mix_notes(_ARCHTOP, draw_off_book_shape), 100),
    Row("nylon by string, book shapes", "strums", mix_notes((NYLON,), draw_book_shape), 200),
    Row("nylon by string, re-fingered", "strums", mix_notes((NYLON,), draw_refingered_shape), 200),
    Row("acoustic by string (0.2 s notes), book shapes", "strums", mix_notes((ACOUSTIC,), draw_book_shape), 100),
    Row("acoustic by string (0.2 s notes), re-fingered", "strums", mix_notes((ACOUSTIC,), draw_refingered_shape), 100),
    Row("drawn guitars, book shapes", "strums", strum_drawn_guitars(draw_book_shape), 100),
    Row("drawn guitars, re-fingered", "strums", strum_drawn_guitars(draw_refingered_shape), 300),
    Row("electric, noisy room", "strums", mix_notes(_ELECTRIC, draw_book_shape, in_a_noisy_room), 200),
    Row("electric, soft overdrive", "strums", mix_notes(_ELECTRIC, draw_book_shape, soft_overdrive), 200),
    Row("electric, hard clip", "strums", mix_notes(_ELECTRIC, draw_book_shape, hard_clip), 200),
    Row("all, phone codecs", "strums", mix_notes(_ALL, draw_book_shape, through_a_phone_codec), 150),
    Row("all, 180 to 5,500 Hz", "strums", mix_notes(_ALL, draw_book_shape, as_a_phone_hears), 150),
    Row("all, 10 to 40 cents off", "strums", mix_notes(_ALL, draw_book_shape, off_pitch), 150),
    Row("all, a voice 6 dB under", "strums", mix_notes(_ALL, draw_book_shape, under_a_singer), 150),
    *(
        Row(f"next strum after {gap_ms} ms, strokes {word}", "strums", _in_context(_ALL, gap_ms / 1e3, told=told), 150)
        for told, word in ((True, "told"), (False, "found"))
        for gap_ms in (600, 300, 150)
    ),
    Row("soundfont, book shapes", "strums", render_notes(_CLEAN_PROGRAMS, draw_book_shape), 200),
    Row("soundfont, off the book", "strums", render_notes(_CLEAN_PROGRAMS, draw_off_book_shape), 100),
    Row("soundfont, six timbres off pitch", "strums", render_notes(_SIX_PROGRAMS, draw_book_shape, off_pitch), 200),
    Row("soundfont, palm-muted guitar", "strums", render_notes(_MUTED_PROGRAM, draw_book_shape), 100),
    Row("soundfont, overdriven guitars", "strums", render_notes(_DRIVEN_PROGRAMS, draw_book_shape), 100),
    Row("power chords, mixed", "power", mix_notes(_ALL, draw_power_chord), 150),
    Row("power chords, overdriven", "power", mix_notes(_ELECTRIC, draw_power_chord, soft_overdrive), 100),
    Row("one note", "notes", record_notes(RECORDED), 300),
    Row("a note and its octave", "notes", record_notes(RECORDED, octave=True), 300),
    Row("one note, cut out of playing (0.2 s)", "notes", record_notes(CUT), 100),
    Row("one note, drawn guitars", "notes", draw_notes(), 300),
    Row("a note and its octave, drawn guitars", "notes", draw_notes(octave=True), 300),
    Row("one note, other strings ringing", "notes", draw_notes(let_others_ring), 300),
    Row("one note, other strings damped", "notes", draw_notes(brush_others_damped), 300),
    Row("one note, soundfont guitars", "notes", render_notes_alone(GUITARS, E2, E6), 300),
    Row("a note and its octave, soundfont guitars", "notes", render_notes_alone(GUITARS, E2, E6, octave=True), 300),
    Row("one note, soundfont basses", "notes", render_notes_alone(BASSES, E1, G4), 300),
    Row("a note and its octave, soundfont basses", "notes", render_notes_alone(BASSES, E1, G4, octave=True), 300),
    Row("one note below A1, soundfont basses", "notes", render_notes_alone(BASSES, E1, A1 - 1), 100),
    Row("one note, other instruments", "notes", render_notes_alone(OTHER_PROGRAMS, A1, E6), 100),
    Row("recorded open chords, anechoic", "recorded", _recorded("anechoic"), 200),
    Row("recorded open chords, noisy room", "recorded", _recorded("noisy"), 200),
    *(Row(f"no chord: {kind}", "not chords", _not_a_chord(kind), 50) for kind in not_chords.KINDS),
)
