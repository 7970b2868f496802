"""A whole part as it was read: its events in time, the chords held, the bars, the setup, the path of the hand.

Conventions: those of :mod:`listen.reading.event`. Events and spans are in time order and do not overlap.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from listen.instrument import Fretboard
from listen.reading.bars import Bars
from listen.reading.concert_pitch import ConcertPitch
from listen.reading.event import ChordSpan, Event
from listen.reading.hand_path import HandPath
from listen.reading.part_recording import PartRecording
from listen.reading.pattern import StrummingPattern
from listen.reading.setting import PartKey, SetupHypothesis
from listen.reading.settled import Settled


@dataclass(frozen=True, slots=True)
class Part:
    """A whole part.

    Parameters
    ----------
    recording : PartRecording
        What it was heard from.
    fretboard : Fretboard
        What it was read on: that of the first setup.
    events : tuple of Event
    spans : tuple of ChordSpan
    setups : tuple of SetupHypothesis
    concert_pitch : ConcertPitch
    keys : tuple of PartKey
        Of the key in which it begins, best first; empty when nothing was named.
    bars : Bars
    pattern : StrummingPattern or None
    path : HandPath or None
        None when no shape was found.
    settled : Settled
        What a person fixed and put right.
    warnings : tuple of str
    """

    recording: PartRecording
    fretboard: Fretboard
    events: tuple[Event, ...] = ()
    spans: tuple[ChordSpan, ...] = ()
    setups: tuple[SetupHypothesis, ...] = ()
    concert_pitch: ConcertPitch = field(default_factory=ConcertPitch)
    keys: tuple[PartKey, ...] = ()
    bars: Bars = field(default_factory=Bars)
    pattern: StrummingPattern | None = None
    path: HandPath | None = None
    settled: Settled = field(default_factory=Settled)
    warnings: tuple[str, ...] = ()

    @property
    def key(self) -> PartKey | None:
        """The likeliest key, in which the part begins."""
        return self.keys[0] if self.keys else None

    def key_at(self, bar: int) -> PartKey | None:
        """Return the key that holds in a bar: that of the last change up to it."""
        return next((one.key for one in reversed(self.bars.key_changes) if one.bar <= bar), self.key)
