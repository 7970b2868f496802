"""What was set, as it should sound: slots of time in bars, each with a chord's tones, bass and usual shape."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from listen.assessment.score_clock import ScoreClock, lay_clock
from listen.harmony import measure_shift
from listen.instrument import Fretboard, Shape
from listen.reading import ANYTHING, STEPS_PER_BEAT, Assignment, Expectation, SetChord
from listen.theory import Chord, transpose_chord
from listen.voicing import NothingLeftError, ShapeFilters, find_shapes

ROOT_CHANCE, TONE_CHANCE, OPTIONAL_CHANCE = 0.92, 0.92, 0.85
"""How often a chord's tone sounds in some stroke of it; judged, not measured: the ear's own odds decide far more."""


@dataclass(frozen=True, slots=True)
class Target:
    """A chord that was set, as it should sound.

    Parameters
    ----------
    symbol : str
        As set.
    sounding : str
        Its name as it sounds; the symbol where it has none.
    tones : tuple of (int, float)
        Pitch class, and how likely it is to sound.
    bass : int or None
        Pitch class of the lowest note; None where none was set.
    checks_bass : bool
    shape : Shape or None
        Set, or the usual one; counted from the capo.
    is_shape_set : bool
    expectation : Expectation
    chord : Chord or None
        As it sounds.
    played : Chord or None
        As the hand plays it.
    neck_shift : int
        By how many semitones the neck sounds above the one that the hand knows: a capo, or a tuning moved as a whole.
    """

    symbol: str
    sounding: str
    tones: tuple[tuple[int, float], ...]
    bass: int | None
    checks_bass: bool
    shape: Shape | None
    is_shape_set: bool
    expectation: Expectation
    chord: Chord | None = None
    played: Chord | None = None
    neck_shift: int = 0

    @property
    def is_judged(self) -> bool:
        """Whether anything is asked of it."""
        return bool(self.tones)

    @property
    def classes(self) -> frozenset[int]:
        """Pitch classes of its tones."""
        return frozenset(tone for tone, _ in self.tones)


@dataclass(frozen=True, slots=True)
class Slot:
    """From where to where a chord was set.

    Parameters
    ----------
    bar : int
        From 1; a pickup is 0.
    place : int
        Index of the bar, from 0.
    start, end : float
        In beats from the first bar line of the assignment.
    beat : float
        In its bar, from 1.
    target : int
        Index into :attr:`Score.targets`.
    """

    bar: int
    place: int
    start: float
    end: float
    beat: float
    target: int


@dataclass(frozen=True, slots=True)
class Score:
    """An assignment laid out in time.

    Parameters
    ----------
    assignment : Assignment
    targets : tuple of Target
    slots : tuple of Slot
        In order, without a gap.
    bars : tuple of float
        Where each bar begins, in beats, and the end of the last.
    paces : tuple of float
        How fast each bar goes, as a share of the first; empty where all go alike.
    begins : tuple of int
        Index of the bar from which each tempo is taken, where that is not as it was set; else empty.
    """

    assignment: Assignment
    targets: tuple[Target, ...]
    slots: tuple[Slot, ...]
    bars: tuple[float, ...]
    paces: tuple[float, ...] = ()
    begins: tuple[int, ...] = ()

    @property
    def clock(self) -> ScoreClock:
        """When its beats fall."""
        return lay_clock(self.bars, self.paces)

    @property
    def tempo_bpm(self) -> float | None:
        """The tempo that was set for the first bar."""
        return self.assignment.tempi_bpm[0]

    @property
    def set_begins(self) -> tuple[int, ...]:
        """Index of the bar for which each tempo was set."""
        tempi = self.assignment.tempi_bpm
        return tuple(at for at in range(len(tempi)) if at == 0 or tempi[at] != tempi[at - 1])

    @property
    def stretches(self) -> tuple[tuple[int, int], ...]:
        """The bars of one tempo that was set, where it is taken: index of the first, and after the last."""
        begins = self.begins or self.set_begins
        return tuple(zip(begins, [*begins[1:], len(self.bars) - 1], strict=True))

    @property
    def n_beats(self) -> float:
        """How long it is."""
        return self.bars[-1]

    def held_to(self, place: int) -> int:
        """Return the last of the bars that only go on with what a bar holds; the bar itself where none does."""
        return self.held_bars()[place]

    def held_bars(self) -> tuple[int, ...]:
        """Return for each bar the last of those that only go on with what it holds."""
        held: list[int] = []
        goes_on = False
        for place, bar in reversed(tuple(enumerate(self.assignment.bars))):
            held.append(held[-1] if goes_on else place)
            goes_on = not bar.changes
        return tuple(held[::-1])

    def bar_number(self, place: int) -> int:
        """Return the number of a bar."""
        return place if self.assignment.pickup_beats else place + 1


def lay_out_score(assignment: Assignment) -> Score:
    """Lay an assignment out in time.

    In free time every change is a bar of one beat.
    """
    symbols = {chord.symbol: at for at, chord in enumerate(assignment.chords)}
    targets = [find_target(chord, assignment) for chord in assignment.chords]
    slots: list[Slot] = []
    bars: list[float] = [0.0]
    held: int | None = None
    anything = len(targets)
    for place, bar in enumerate(assignment.bars):
        start = bars[-1]
        n_steps = assignment.pickup_beats * STEPS_PER_BEAT if place == 0 and assignment.pickup_beats else 0
        n_steps = n_steps or assignment.beats_of(bar) * STEPS_PER_BEAT
        number = place if assignment.pickup_beats else place + 1
        edges = [(change.step, symbols[change.symbol]) for change in bar.changes]
        if not edges or edges[0][0] > 0:
            edges = [(0, anything if held is None else held), *edges]
        if assignment.is_free:
            edges = [(at * STEPS_PER_BEAT, target) for at, (_, target) in enumerate(edges)]
            n_steps = len(edges) * STEPS_PER_BEAT
        for at, (step, target) in enumerate(edges):
            end = edges[at + 1][0] if at + 1 < len(edges) else n_steps
            beats = step / STEPS_PER_BEAT
            slots.append(Slot(number, place, start + beats, start + end / STEPS_PER_BEAT, 1.0 + beats, target))
        held = edges[-1][1]
        bars.append(start + n_steps / STEPS_PER_BEAT)
    targets.append(Target(ANYTHING, ANYTHING, (), None, False, None, False, Expectation()))
    return Score(assignment, tuple(targets), tuple(slots), tuple(bars), _find_paces(assignment))


def _find_paces(assignment: Assignment) -> tuple[float, ...]:
    """Return how fast each bar goes, as a share of the first; empty where all go alike, or at any tempo."""
    tempi = [tempo for tempo in assignment.tempi_bpm if tempo is not None]
    is_even = assignment.is_free or len(set(tempi)) < 2
    return () if is_even else tuple(tempo / tempi[0] for tempo in tempi)


def find_target(chord: SetChord, assignment: Assignment) -> Target:
    """Return how a chord should sound."""
    board = assignment.fretboard
    shift = measure_shift(board)
    expectation = assignment.expectation_of(chord)
    if chord.chord is None:
        if chord.shape is None:
            return Target(chord.symbol, chord.symbol, (), None, False, None, False, expectation)
        pitches = sorted(pitch.midi for pitch in chord.shape.pitches(board) if pitch is not None)
        tones = tuple((tone, TONE_CHANCE) for tone in dict.fromkeys(midi % 12 for midi in pitches))
        return Target(
            chord.symbol, chord.symbol, tones, pitches[0] % 12, expectation.demand != "name", chord.shape, True,
            expectation, neck_shift=shift,
        )  # fmt: skip
    sounding = transpose_chord(chord.chord, shift % 12)
    shape = chord.shape
    bass = sounding.sounding_bass.pitch_class
    if shape is not None:
        sung = [pitch.midi for pitch in shape.pitches(board) if pitch is not None]
        bass = min(sung) % 12 if sung else bass
    else:
        shape = find_usual_shape(sounding, board, expectation.strings)
    optional = set(sounding.quality.optional)
    chances = {
        sounding.root.above(tone).pitch_class: OPTIONAL_CHANCE if tone in optional else TONE_CHANCE
        for tone in sounding.quality.tones
    }
    chances.setdefault(sounding.sounding_bass.pitch_class, ROOT_CHANCE)
    checks_bass = chord.chord.bass is not None or expectation.demand != "name"
    return Target(
        chord.symbol, sounding.text, tuple(chances.items()), bass, checks_bass, shape, chord.shape is not None,
        expectation, sounding, chord.chord, shift,
    )  # fmt: skip


@lru_cache(maxsize=512)
def find_usual_shape(chord: Chord, board: Fretboard, strings: tuple[int, ...]) -> Shape | None:
    """Return the shape that a chord is usually held in; its root lowest where any will do, None where no hand can."""
    filters = ShapeFilters(strings=strings or None)
    try:
        if chord.bass is None:
            shape = find_shapes(chord, fretboard=board, filters=filters)[0].shape
            lowest = min(pitch.midi for pitch in shape.pitches(board) if pitch is not None)
            if lowest % 12 == chord.root.pitch_class:
                return shape  # what is held most; where a bass is asked for, fuller shapes go before it
        rooted = Chord(chord.root, chord.quality, chord.sounding_bass)
        return find_shapes(rooted, fretboard=board, filters=filters)[0].shape
    except NothingLeftError:
        return None
