"""A part as a standard MIDI file: a track and a channel a string, the tempo as it was played, chord names as markers.

Conventions: format 1, :data:`TICKS_PER_BEAT` ticks to a quarter note. The tempo map follows the part's beats, so bars
stand on bar lines and every note still sounds when it was played; the file begins with the bar that the first note is
in. A pickup is filled up to a whole bar; a bar of another length has its own signature. In free time a quarter note is
a second. Each string has a channel of its own because bends are per channel (MIDI 1.0 Detailed Specification, MMA
1996); channel 10, percussion, is left out.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from io import BytesIO
from itertools import pairwise
from pathlib import PurePath
from typing import Any

from listen.export.bar import find_metre
from listen.export.bars import lay_bars
from listen.export.held_names import HeldNames, find_key
from listen.export.instrument_voice import find_voice
from listen.export.style import TextStyle
from listen.export.told_words import find_given_title
from listen.reading import STEPS_PER_BEAT, Metre, Part, PlayedNote, Stroke

TICKS_PER_BEAT = 480
PERCUSSION_CHANNEL = 9
LOUDEST, QUIETEST = 110, 25
VELOCITY_PER_DB = 3.0  # 20 dB from a loud to a soft stroke: common practice, no source
STRING_LAG_S = 0.003  # a strum spreads over 13-16 ms in the median (GuitarSet comping): about 3 ms a string
SAME_ONSET_S = 0.001  # notes of one stroke nearer than this were not timed one by one
LEAST_TICKS = 1
_MICROSECONDS = 1_000_000


def render_midi(part: Part, *, lag_s: float = STRING_LAG_S) -> bytes:
    """Render a part as a standard MIDI file.

    Parameters
    ----------
    part : Part
    lag_s : float
        Between neighbouring strings of a strum whose direction is known and whose notes were not timed one by one.

    Returns
    -------
    bytes
    """
    import mido

    clock = _Clock(part)
    n = part.fretboard.n_strings
    program = find_voice(part.fretboard).program - 1  # counted from 0 in the file
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS_PER_BEAT, charset="utf-8")
    file.tracks.append(_conductor(part, clock))
    rows: list[list[PlayedNote]] = [[] for _ in range(n + 1)]
    for note in played_notes(part, lag_s=lag_s):
        rows[n if note.string_index is None else note.string_index].append(note)
    for index, notes in enumerate(rows):
        if index < n or notes:
            name = f"String {n - index}" if index < n else "No hand found"
            file.tracks.append(_string_track(name, index, notes, clock, program=program))
    stream = BytesIO()
    file.save(file=stream)
    return stream.getvalue()


def played_notes(part: Part, *, lag_s: float = STRING_LAG_S) -> tuple[PlayedNote, ...]:
    """Return every note as it sounds, in time order, the strings of a strum one after the other."""
    notes = [note for event in part.events for stroke in event.strokes for note in _staggered(stroke, lag_s)]
    return tuple(sorted(notes, key=lambda note: (note.start_s, note.pitch)))


def _staggered(stroke: Stroke, lag_s: float) -> Sequence[PlayedNote]:
    notes = stroke.notes
    if len(notes) < 2 or stroke.direction is None:
        return notes
    starts = [note.start_s for note in notes]
    if max(starts) - min(starts) > SAME_ONSET_S:
        return notes
    order = sorted(notes, key=lambda note: (note.string_index is None, note.string_index or 0, note.pitch))
    if stroke.direction == "up":
        order.reverse()
    return [replace(note, start_s=note.start_s + place * lag_s) for place, note in enumerate(order)]


def velocity_of(level_db: float) -> int:
    """Return a MIDI velocity for a level.

    Examples
    --------
    >>> velocity_of(0.0), velocity_of(-10.0), velocity_of(-90.0)
    (110, 80, 25)
    """
    return round(min(max(LOUDEST + VELOCITY_PER_DB * level_db, QUIETEST), LOUDEST))


@dataclass(frozen=True, slots=True)
class _Anchor:
    time_s: float
    tick: int


class _Clock:
    """Times as ticks, by straight lines between the beats."""

    def __init__(self, part: Part) -> None:
        self.metre = find_metre(part) or Metre(4, 4, 2, 60.0)
        beat = int(TICKS_PER_BEAT * self.metre.quarters_per_beat)
        self.anchors: list[_Anchor] = []
        self.signed: list[tuple[int, Metre]] = []  # at which tick bars of a metre begin
        if find_metre(part) is None:
            self.anchors = [_Anchor(0.0, 0), _Anchor(1.0, TICKS_PER_BEAT)]
            return
        tick = 0
        for number, (start_s, end_s) in enumerate(pairwise(part.bars.lines_s), start=part.bars.first_bar):
            n_beats = part.bars.count_beats(number)
            length = beat * part.bars.count_steps(number) // STEPS_PER_BEAT
            if not self.signed or self.signed[-1][1].beats_per_bar != n_beats:
                self.signed.append((tick, replace(self.metre, beats_per_bar=n_beats)))
            tick += beat * n_beats - length
            self.anchors.append(_Anchor(start_s, tick))
            if length == beat * n_beats:
                self.anchors += _inner_beats(part.bars.beats_s, start_s, end_s, tick, beat, n_beats)
            tick += length
        self.anchors.append(_Anchor(part.bars.lines_s[-1], tick))

    def tick(self, time_s: float) -> int:
        """Return the tick of a time; before the first bar everything is on its first tick."""
        at = min(
            max(bisect_right(self.anchors, time_s, key=lambda anchor: anchor.time_s) - 1, 0), len(self.anchors) - 2
        )
        first, after = self.anchors[at], self.anchors[at + 1]
        share = (time_s - first.time_s) / (after.time_s - first.time_s)
        return max(0, round(first.tick + share * (after.tick - first.tick)))

    def tempi(self) -> list[tuple[int, int]]:
        """Return every change of tempo: its tick, and microseconds a quarter note."""
        found: list[tuple[int, int]] = []
        for first, after in pairwise(self.anchors):
            quarter = (after.time_s - first.time_s) / (after.tick - first.tick) * TICKS_PER_BEAT * _MICROSECONDS
            value = min(max(round(quarter), 1), 0xFFFFFF)
            if not found or found[-1][1] != value:
                found.append((0 if not found else first.tick, value))
        return found


def _inner_beats(
    beats_s: Sequence[float], start_s: float, end_s: float, tick: int, beat: int, beats_per_bar: int
) -> list[_Anchor]:
    """Return the beats inside a bar, where all of them are known."""
    near = (end_s - start_s) / beats_per_bar / 4
    inner = [time_s for time_s in beats_s if start_s + near < time_s < end_s - near]
    if len(inner) != beats_per_bar - 1:
        return []
    return [_Anchor(time_s, tick + (index + 1) * beat) for index, time_s in enumerate(inner)]


def _track(events: list[tuple[int, int, Any]], name: str) -> Any:
    """Return a track of events given by tick; at one tick, what has the lower order comes first."""
    import mido

    track = mido.MidiTrack([mido.MetaMessage("track_name", name=name, time=0)])
    at = 0
    for tick, _, message in sorted(events, key=lambda event: (event[0], event[1])):
        message.time = tick - at
        track.append(message)
        at = tick
    track.append(mido.MetaMessage("end_of_track", time=0))
    return track


def _conductor(part: Part, clock: _Clock) -> Any:
    import mido

    events: list[tuple[int, int, Any]] = []
    for tick, metre in clock.signed:
        beats, unit = metre.signature.split("/")
        events.append((tick, 0, mido.MetaMessage("time_signature", numerator=int(beats), denominator=int(unit))))
    begun = ((clock.tick(part.bars.lines_s[one.bar - part.bars.first_bar]), one.key) for one in part.bars.key_changes)
    for tick, reading in ((0, part.key), *begun):
        key = find_key(reading)
        if key is not None:
            signed = f"{key.tonic}{'m' if key.mode == 'minor' else ''}"
            events.append((tick, 1, mido.MetaMessage("key_signature", key=signed)))
    events += [(tick, 2, mido.MetaMessage("set_tempo", tempo=tempo)) for tick, tempo in clock.tempi()]
    names = HeldNames(part, "sounding")
    before, plain = "", TextStyle(unicode=False)
    for bar in lay_bars(part).played:
        for change in bar.changes:
            text = plain.plain(names.of_change(change))
            if text != before:
                events.append((clock.tick(change.time_s), 3, mido.MetaMessage("marker", text=text)))
            before = text
    title = find_given_title(part) or PurePath(part.recording.file).stem
    title = "".join(sign if sign.isprintable() else "?" for sign in title)
    return _track(events, title or "Part")


def _string_track(name: str, index: int, notes: Sequence[PlayedNote], clock: _Clock, *, program: int) -> Any:
    import mido

    channel = index if index < PERCUSSION_CHANNEL else index + 1
    events: list[tuple[int, int, Any]] = [(0, 0, mido.Message("program_change", channel=channel, program=program))]
    for place, note in enumerate(notes):
        start = clock.tick(note.start_s)
        end = clock.tick(note.end_s)
        if place + 1 < len(notes) and note.string_index is not None:
            end = min(end, clock.tick(notes[place + 1].start_s))  # a string sounds one note at a time
        end = max(end, start + LEAST_TICKS)
        on = mido.Message("note_on", channel=channel, note=note.pitch.midi, velocity=velocity_of(note.level_db))
        off = mido.Message("note_off", channel=channel, note=note.pitch.midi, velocity=64)
        events += [(start, 2, on), (end, 1, off)]
    return _track(events, name)
