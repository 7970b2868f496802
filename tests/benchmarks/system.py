"""The program under test, called through one small adapter, and what it answered in plain numbers."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING

from tests.benchmarks.cases import Case
from tests.benchmarks.hands import Frets

if TYPE_CHECKING:
    from listen.audio import Ear
    from listen.reading import ChordName, StrumReading

CRASHED = "crashed: "  # opens the refusal of a case on which the program crashed
SLOWEST_STRUM_S = 0.125  # strings of one strum lie closer than this (five gaps of 25 ms), strums further apart
NEAREST_STROKE_S = 0.06  # how far from the place that was asked for a found stroke may begin


@dataclass(frozen=True, slots=True)
class Named:
    """A name in pitch classes.

    Parameters
    ----------
    root : int
    tones : frozenset of int
        Above the root.
    bass : int
        Pitch class.
    probability : float
    text : str
    """

    root: int
    tones: frozenset[int]
    bass: int
    probability: float
    text: str


@dataclass(frozen=True, slots=True)
class Answer:
    """What was read.

    Parameters
    ----------
    refused : str or None
    notes : tuple of (int, float)
        MIDI number and probability.
    heard : tuple of (int, float)
        The ear's own probability of every pitch that it knows.
    bass : int or None
    names : tuple of Named
    shapes, shapes_without_book : tuple of (Frets, float)
        What sounded, with the book's prior, and with its weight at 0.
    held : tuple of (Frets, tuple of int)
        The same with the book's prior as the hand holds them, with the strings that did not sound.
    direction : str or None
    seconds : float
        One reading, without the second one at book weight 0.
    """

    refused: str | None
    notes: tuple[tuple[int, float], ...] = ()
    heard: tuple[tuple[int, float], ...] = ()
    bass: int | None = None
    names: tuple[Named, ...] = ()
    shapes: tuple[tuple[Frets, float], ...] = ()
    shapes_without_book: tuple[tuple[Frets, float], ...] = ()
    held: tuple[tuple[Frets, tuple[int, ...]], ...] = ()
    direction: str | None = None
    seconds: float = 0.0


@cache
def _ear(name: str) -> Ear:
    from listen.audio import load_ear

    return load_ear(name) if name else load_ear()


def _find_stroke(case: Case) -> tuple[float, float | None] | None:
    """Find the asked stroke and the one after it, as the reading of a whole part does."""
    import soxr

    from listen.audio import STROKE_RATE_HZ, find_strokes

    asked_s = case.asked_s or 0.0
    onsets = [one.onset_s for one in find_strokes(soxr.resample(case.samples, case.sample_rate_hz, STROKE_RATE_HZ))]
    near = min(onsets, key=lambda onset_s: abs(onset_s - asked_s), default=-1.0)
    if abs(near - asked_s) > NEAREST_STROKE_S:
        return None
    return near, min((onset_s for onset_s in onsets if onset_s > near + SLOWEST_STRUM_S), default=None)


def _hear(case: Case, ear: str) -> StrumReading:
    from listen.audio import find_strums
    from listen.evidence import StrumEvidence, TimeSpan
    from listen.transcription import read_evidence, read_strum

    stretch: tuple[float, float | None] | None
    if case.asked_s is not None:
        stretch = _find_stroke(case) if case.until_s is None else (case.asked_s, case.until_s)
    elif not ear:
        return read_strum(case.samples, sample_rate_hz=case.sample_rate_hz)
    else:
        strums = find_strums(case.samples, sample_rate_hz=case.sample_rate_hz)
        strongest = max(strums, key=lambda strum: strum.level_db, default=None)
        stretch = None if strongest is None else (strongest.onset_s, strongest.end_s)
    if stretch is None:
        nothing = StrumEvidence(TimeSpan(0.0, 0.0), (), no_chord_reason="No strum was found at the place asked for.")
        return read_evidence(nothing)
    onset_s, until_s = stretch
    return read_evidence(
        _ear(ear).hear(case.samples, sample_rate_hz=case.sample_rate_hz, onset_s=onset_s, until_s=until_s)
    )


def _to_named(name: ChordName) -> Named:
    chord = name.chord
    root = chord.root.pitch_class
    tones = frozenset(tone % 12 for tone in chord.quality.pitch_classes)
    return Named(root, tones, chord.sounding_bass.pitch_class, name.probability, name.text)


def _as_sounded(reading: StrumReading) -> tuple[tuple[Frets, float], ...]:
    """Add up what held shapes of the same sounding strings have of probability."""
    sums: dict[Frets, float] = {}
    for shape in reading.shapes:
        frets = shape.sounded.frets
        sums[frets] = sums.get(frets, 0.0) + shape.probability
    return tuple(sorted(sums.items(), key=lambda item: -item[1]))


def answer_case(case: Case, *, ear: str = "", without_book: bool = True) -> Answer:
    """Read a case.

    Parameters
    ----------
    case : Case
    ear : str
        Name of another ear than the program's usual one.
    without_book : bool
        Whether the evidence is weighed a second time at book weight 0.
    """
    from listen.transcription import StrumSettings, read_evidence

    started = time.perf_counter()
    reading = _hear(case, ear)
    seconds = time.perf_counter() - started
    plain = reading
    if without_book and reading.shapes:
        usual = StrumSettings()
        plain = read_evidence(reading.evidence, settings=replace(usual, fit=replace(usual.fit, book_weight=0.0)))
    return Answer(
        refused=reading.refused,
        notes=tuple((note.pitch.midi, note.probability) for note in reading.notes),
        heard=tuple((one.pitch.midi, one.probability) for one in reading.evidence.pitches),
        bass=None if reading.bass is None else reading.bass.pitch.midi,
        names=tuple(_to_named(name) for name in reading.names),
        shapes=_as_sounded(reading),
        shapes_without_book=_as_sounded(plain),
        held=tuple((shape.shape.frets, shape.silent) for shape in reading.shapes),
        direction=reading.evidence.direction,
        seconds=seconds,
    )
