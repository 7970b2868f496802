"""What a teacher set: chords in bars, what of them matters, and how far a student may be off.

Conventions: chords are named as the hand plays them over the capo, frets count from the capo; a place in a bar is a
whole number of steps, :data:`~listen.reading.STEPS_PER_BEAT` to a beat; strings are numbered as players do, 1 the
first. Bars are written once with their repeats, so that a chart that is read can be written again as it was.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from listen.evidence import Direction
from listen.instrument import STANDARD, Fretboard, Shape, Tuning
from listen.reading.event import STEPS_PER_BEAT
from listen.theory import Chord

Demand = Literal["name", "bass", "notes", "shape"]
"""What of a chord matters: its ``name`` at any place of the neck, in any doubling; its ``bass`` too; its ``notes``,
these and no others; or the very ``shape``."""

DEMANDS: tuple[Demand, ...] = ("name", "bass", "notes", "shape")
NO_CHORD, ANYTHING = "N.C.", "?"


@dataclass(frozen=True, slots=True)
class Expectation:
    """What matters of a chord.

    Parameters
    ----------
    demand : Demand
    strings : tuple of int
        Exactly these strings sound, 1 the first, highest number first; empty where any may.
    """

    demand: Demand = "name"
    strings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True)
class SetChord:
    """A chord that was set.

    Parameters
    ----------
    symbol : str
        How it stands in the bars: a chord symbol in plain letters, frets (``x32010``), :data:`NO_CHORD` or
        :data:`ANYTHING`, which is not judged.
    chord : Chord or None
        As played; None for frets, no chord, and anything.
    shape : Shape or None
    expectation : Expectation or None
        None: what the assignment expects of every chord.
    """

    symbol: str
    chord: Chord | None = None
    shape: Shape | None = None
    expectation: Expectation | None = None


@dataclass(frozen=True, slots=True)
class SetChange:
    """Where a chord begins.

    Parameters
    ----------
    step : int
        From the bar line.
    symbol : str
        Of one of the assignment's chords.
    """

    step: int
    symbol: str


@dataclass(frozen=True, slots=True)
class SetBar:
    """One bar; without changes what held before goes on.

    Parameters
    ----------
    changes : tuple of SetChange
        In order; at most one at a step.
    tempo_bpm : float or None
        From this bar on, felt beats a minute; None where the tempo goes on.
    signature : (int, int) or None
        Of a bar of another length than the assignment's; None for the others.
    """

    changes: tuple[SetChange, ...] = ()
    tempo_bpm: float | None = None
    signature: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class SetSection:
    """Bars that are played so many times.

    Parameters
    ----------
    bars : tuple of SetBar
    times : int
    """

    bars: tuple[SetBar, ...]
    times: int = 1


@dataclass(frozen=True, slots=True)
class SetStroke:
    """One stroke of the pattern that was set.

    Parameters
    ----------
    step : int
        From the bar line.
    direction : "down", "up" or None
        None: whichever way.
    is_muted : bool
    """

    step: int
    direction: Direction | None = None
    is_muted: bool = False


@dataclass(frozen=True, slots=True)
class Assignment:
    """What was set.

    Parameters
    ----------
    chords : tuple of SetChord
        Each symbol once, in the order in which they come.
    sections : tuple of SetSection
    title : str
    tuning : Tuning
    capo_fret : int
    signature : (int, int)
        Of the metre: (4, 4), (6, 8).
    tempo_bpm : float or None
        Felt beats a minute, up to a bar that sets another; None where any will do, and then in every bar.
    is_free : bool
        In free time: each bar is a chord, held as long as it likes.
    pickup_beats : int
        How many beats the first bar has, where it is shorter than the others; 0 where it is not.
    pattern : tuple of SetStroke
        Empty where any strokes will do.
    expectation : Expectation
    is_swung : bool
        Whether halves of beats swing.
    """

    chords: tuple[SetChord, ...]
    sections: tuple[SetSection, ...]
    title: str = ""
    tuning: Tuning = STANDARD
    capo_fret: int = 0
    signature: tuple[int, int] = (4, 4)
    tempo_bpm: float | None = None
    is_free: bool = False
    pickup_beats: int = 0
    pattern: tuple[SetStroke, ...] = ()
    expectation: Expectation = field(default_factory=Expectation)
    is_swung: bool = False

    @property
    def fretboard(self) -> Fretboard:
        """The neck that it is played on."""
        return Fretboard(self.tuning, capo_fret=self.capo_fret)

    @property
    def is_compound(self) -> bool:
        """Whether a beat is three of the metre's units, as in 6/8."""
        return self.beats_per_bar != self.signature[0]

    @property
    def beats_per_bar(self) -> int:
        """As they are felt: 2 in 6/8."""
        return count_felt_beats(self.signature)

    @property
    def steps_per_bar(self) -> int:
        """How many steps of the grid a full bar has."""
        return self.beats_per_bar * STEPS_PER_BEAT

    def beats_of(self, bar: SetBar) -> int:
        """Return how many beats a bar has that is no pickup."""
        return count_felt_beats(bar.signature or self.signature)

    @property
    def bars(self) -> tuple[SetBar, ...]:
        """Every bar as it is played, repeats written out."""
        return tuple(bar for section in self.sections for _ in range(section.times) for bar in section.bars)

    @property
    def tempi_bpm(self) -> tuple[float | None, ...]:
        """The tempo of every bar as it is played, repeats written out."""
        tempi, tempo = [], self.tempo_bpm
        for bar in self.bars:
            tempo = bar.tempo_bpm or tempo
            tempi.append(tempo)
        return tuple(tempi)

    def chord_of(self, symbol: str) -> SetChord:
        """Return the chord that a symbol stands for."""
        return next(chord for chord in self.chords if chord.symbol == symbol)

    def expectation_of(self, chord: SetChord) -> Expectation:
        """Return what matters of a chord."""
        return self.expectation if chord.expectation is None else chord.expectation


def count_felt_beats(signature: tuple[int, int]) -> int:
    """Return the beats of a bar as they are felt.

    Examples
    --------
    >>> count_felt_beats((4, 4)), count_felt_beats((6, 8)), count_felt_beats((5, 8))
    (4, 2, 5)
    """
    upper, lower = signature
    return upper // 3 if lower == 8 and upper % 3 == 0 else upper


@dataclass(frozen=True, slots=True)
class Tolerances:
    """How far a student may be off before it is said.

    Parameters
    ----------
    cents : float
        A string against the rest of the guitar.
    guitar_cents : float
        The whole guitar against A = 440 Hz.
    change_ms : float
        A chord that comes later or earlier than the student's own pulse.
    uneven_ms : float
        Strokes off the student's own pulse, in the mean.
    way_share : float
        Of the strokes, 0..1, that go the way that was set.
    tempo_share : float
        How far the tempo may be from the one that was set, as a share of it.
    sure : float
        Least probability, .5..1, of a finding; what is less likely is a question.
    ask : float
        Least probability of a question; what is less likely is not said.
    """

    cents: float = 15.0
    guitar_cents: float = 40.0
    change_ms: float = 160.0
    uneven_ms: float = 60.0
    way_share: float = 0.7
    tempo_share: float = 0.2
    sure: float = 0.9
    ask: float = 0.6
