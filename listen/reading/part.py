"""A whole part as it was read: its events in time, the chords held, the bars, the setup, the path of the hand.

Conventions: those of :mod:`listen.reading.event`. Events and spans are in time order and do not overlap.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from listen.evidence import Direction, TimeSpan, TuningPoint
from listen.instrument import Fretboard, Shape
from listen.reading.event import STEPS_PER_BEAT, ChordSpan, Event, StrokeKind
from listen.reading.strum import ShapeReading
from listen.theory import Note


@dataclass(frozen=True, slots=True)
class Metre:
    """A pulse and how it is counted, as one hypothesis.

    Parameters
    ----------
    beats_per_bar : int
        As it is felt: 2 for 6/8, 4 for 12/8.
    beat_unit : int
        The denominator of the signature: 4, 8.
    division : int
        How many parts a beat falls into: 2 straight, 3 compound or swung.
    tempo_bpm : float
        Felt beats a minute, the median over the part.
    swing : float
        Where the off-beat lies inside the beat: .5 straight, .667 full swing; only for simple metres.
    pickup_steps : int
        Length of the pickup bar, 0 for none.
    probability : float

    Examples
    --------
    >>> Metre(2, 8, 3, 60.0).signature, Metre(4, 4, 2, 120.0).signature, Metre(4, 4, 2, 120.0, swing=0.64).text
    ('6/8', '4/4', '4/4 swing, 120 beats a minute')
    """

    beats_per_bar: int
    beat_unit: int
    division: int
    tempo_bpm: float
    swing: float = 0.5
    pickup_steps: int = 0
    probability: float = 1.0

    @property
    def is_compound(self) -> bool:
        """Whether a beat is a dotted note (6/8, 9/8, 12/8)."""
        return self.beat_unit == 8 and self.division == 3

    @property
    def signature(self) -> str:
        """As it is written at the head: ``3/4``, ``6/8``."""
        return f"{self.beats_per_bar * (3 if self.is_compound else 1)}/{self.beat_unit}"

    @property
    def steps_per_bar(self) -> int:
        """How many steps of the grid a full bar has."""
        return self.beats_per_bar * STEPS_PER_BEAT

    @property
    def quarters_per_beat(self) -> Fraction:
        """The written length of a beat in quarter notes: 1 in 4/4, 3/2 in 6/8."""
        return Fraction(4, self.beat_unit) * (3 if self.is_compound else 1)

    @property
    def text(self) -> str:
        """For the head of a chart."""
        swung = " swing" if self.swing >= 0.58 else ""
        return f"{self.signature}{swung}, {self.tempo_bpm:.0f} beats a minute"


@dataclass(frozen=True, slots=True)
class KeyReading:
    """A key of the part, as one hypothesis.

    Parameters
    ----------
    tonic : Note
    mode : "major" or "minor"
    probability : float
    """

    tonic: Note
    mode: Literal["major", "minor"]
    probability: float = 1.0

    @property
    def text(self) -> str:
        """In plain letters: ``F# minor``."""
        return f"{self.tonic} {self.mode}"


@dataclass(frozen=True, slots=True)
class SetupHypothesis:
    """How the instrument may have been set up.

    Parameters
    ----------
    fretboard : Fretboard
        Tuning and capo.
    tuning_offset_cents : float
        What is left against A4 = 440 Hz under this hypothesis: 40 cents sharp of standard tuning is also 60 cents
        flat of a half step up.
    probability : float
    text : str
        For the head of a chart: ``"Capo 3"``, ``"Tune down ½ step"``; empty for standard tuning without a capo.
    reasons : tuple of str
        What speaks for it, in a player's words.
    told : bool
        Whether the player said so (probability 1, no inference).
    """

    fretboard: Fretboard
    tuning_offset_cents: float
    probability: float
    text: str = ""
    reasons: tuple[str, ...] = ()
    told: bool = False


@dataclass(frozen=True, slots=True)
class Pin:
    """A shape that a person fixed: by event number, or by bar and beat.

    Parameters
    ----------
    shape : Shape
    event_number : int or None
    bar : int or None
    beat : Fraction
        Counted from 1; used with ``bar``.
    """

    shape: Shape
    event_number: int | None = None
    bar: int | None = None
    beat: Fraction = Fraction(1)

    @property
    def text(self) -> str:
        """As it is given on the command line: ``12=x32010``, ``5.3=x32010``."""
        if self.bar is None:
            return f"{self.event_number}={self.shape.text}"
        return f"{self.bar}.{float(self.beat):g}={self.shape.text}"


Corrected = Literal[
    "metre",
    "tempo",
    "bar one",
    "key",
    "capo",
    "tuning",
    "name",
    "note",
    "no note",
    "bass",
    "title",
    "section",
    "lyrics",
]
"""The first ones are decoded with; ``title``, ``section`` (from an event on) and ``lyrics`` are only written down."""


@dataclass(frozen=True, slots=True)
class Correction:
    """Something else that a person settled, kept so that reading again never loses it.

    Parameters
    ----------
    what : Corrected
    value : str
        As it was given: ``"3/4"``, ``"96"``, ``"0:03.2"``, ``"Bb major"``, ``"C6/9"``; of a note, which sounds, does
        not sound or is the bass, with its stretch of the recording: ``"G3 12.350-14.020"``.
    event_number : int or None
        Where it holds; None for the whole part.
    """

    what: Corrected
    value: str
    event_number: int | None = None


@dataclass(frozen=True, slots=True)
class PathDifference:
    """Where the cheapest path and the path whose hardest move is easiest hold different shapes.

    Parameters
    ----------
    span_index : int
    cheapest, gentlest : ShapeReading
        The shape on the cheapest path (which the part shows), and on the other.
    """

    span_index: int
    cheapest: ShapeReading
    gentlest: ShapeReading


@dataclass(frozen=True, slots=True)
class HandPath:
    """What the path of the hand costs, and the other path.

    Parameters
    ----------
    total_cost, hardest_cost : float
        Of the cheapest path: sum of its moves, and its hardest one, in the unit of effort.
    hardest_span : int or None
        Index of the span that the hardest move leads into.
    gentlest_total_cost, gentlest_hardest_cost : float
        The same of the path whose hardest move is easiest (Hori & Sagayama 2016).
    differences : tuple of PathDifference
        Empty when both hold the same shapes.
    """

    total_cost: float
    hardest_cost: float
    hardest_span: int | None
    gentlest_total_cost: float
    gentlest_hardest_cost: float
    differences: tuple[PathDifference, ...] = ()


@dataclass(frozen=True, slots=True)
class PatternStroke:
    """One stroke of the strumming pattern.

    Parameters
    ----------
    step : int
        From the bar line.
    direction : "down", "up" or None
    kind : StrokeKind
    accent : bool
    """

    step: int
    direction: Direction | None
    kind: StrokeKind
    accent: bool = False


@dataclass(frozen=True, slots=True)
class StrummingPattern:
    """The commonest bar of the picking hand.

    Parameters
    ----------
    strokes : tuple of PatternStroke
    bars : tuple of int
        Numbers of the bars that are played so.
    share : float
        Of all bars with strokes, 0..1.
    """

    strokes: tuple[PatternStroke, ...]
    bars: tuple[int, ...]
    share: float


@dataclass(frozen=True, slots=True)
class Part:
    """A whole part.

    Parameters
    ----------
    fretboard : Fretboard
        What it was read on: that of the first setup.
    span : TimeSpan
        The stretch that was read; shorter than asked when ``complete`` is false.
    duration_s : float
        Of the whole recording.
    events : tuple of Event
    spans : tuple of ChordSpan
    setups : tuple of SetupHypothesis
    tuning_offset_cents : float
        Median over the part, against A4 = 440 Hz.
    tuning_drift : tuple of TuningPoint
        Empty when it stays put.
    keys : tuple of KeyReading
        Best first; empty when nothing was named.
    metre : Metre or None
        The one that the grid is made of; None in free time.
    metres : tuple of Metre
        All hypotheses, also half and double tempo; begins with ``metre``.
    beats_s, bars_s : tuple of float
        Beats and bar lines; ``bars_s`` holds the start of every bar and the end of the last one. Empty in free time.
    first_bar : int
        The number of the first bar: 0 where the part begins with a pickup, less where bar 1 was put further on.
    pattern : StrummingPattern or None
    path : HandPath or None
        None when no shape was found.
    pins : tuple of Pin
    corrections : tuple of Correction
    source : str
        Name of the recording.
    channel : str
    complete : bool
        False when reading was stopped before the end.
    warnings : tuple of str
    """

    fretboard: Fretboard
    span: TimeSpan
    duration_s: float
    events: tuple[Event, ...] = ()
    spans: tuple[ChordSpan, ...] = ()
    setups: tuple[SetupHypothesis, ...] = ()
    tuning_offset_cents: float = 0.0
    tuning_drift: tuple[TuningPoint, ...] = ()
    keys: tuple[KeyReading, ...] = ()
    metre: Metre | None = None
    metres: tuple[Metre, ...] = ()
    beats_s: tuple[float, ...] = ()
    bars_s: tuple[float, ...] = ()
    first_bar: int = 1
    pattern: StrummingPattern | None = None
    path: HandPath | None = None
    pins: tuple[Pin, ...] = ()
    corrections: tuple[Correction, ...] = ()
    source: str = ""
    channel: str = "mix"
    complete: bool = True
    warnings: tuple[str, ...] = ()

    @property
    def key(self) -> KeyReading | None:
        """The likeliest key."""
        return self.keys[0] if self.keys else None

    def spans_in_bar(self, bar: int) -> tuple[ChordSpan, ...]:
        """Return the chords that begin in a bar, by the grid."""
        return tuple(span for span in self.spans if span.position is not None and span.position.bar == bar)

    def events_in_bar(self, bar: int) -> tuple[Event, ...]:
        """Return the events that begin in a bar, by the grid."""
        return tuple(event for event in self.events if event.position is not None and event.position.bar == bar)
