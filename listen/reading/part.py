"""A whole part as it was read: its events in time, the chords held, the bars, the setup, the path of the hand.

Conventions: those of :mod:`listen.reading.event`. Events and spans are in time order and do not overlap.
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.evidence import TimeSpan, TuningPoint
from listen.instrument import Fretboard
from listen.reading.event import ChordSpan, Event
from listen.reading.hand_path import HandPath
from listen.reading.metre import Metre
from listen.reading.pattern import StrummingPattern
from listen.reading.setting import PartKey, SetupHypothesis
from listen.reading.settled import Correction, Pin


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
    keys: tuple[PartKey, ...] = ()
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
    def key(self) -> PartKey | None:
        """The likeliest key."""
        return self.keys[0] if self.keys else None

    def spans_in_bar(self, bar: int) -> tuple[ChordSpan, ...]:
        """Return the chords that begin in a bar, by the grid."""
        return tuple(span for span in self.spans if span.position is not None and span.position.bar == bar)

    def events_in_bar(self, bar: int) -> tuple[Event, ...]:
        """Return the events that begin in a bar, by the grid."""
        return tuple(event for event in self.events if event.position is not None and event.position.bar == bar)
