"""Places in the bars at which a person told a name or a shape: the chords are cut there, and at the end of that bar.

What is told of a beat of a bar holds from the first stroke with a pitch there to the next change of chord that was
heard, the next place that was told, or the end of the bar; a bar that is told nothing keeps what it had. Where a chord
is struck just before the place and nothing is struck at it, the chord is meant that begins there ahead of its beat.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TypeVar

from listen.errors import BadValueError
from listen.evidence import Stretch, TimeSpan
from listen.reading import Bars, Correction, Pin, Settled, StruckPlace, find_told_stroke, refuse_told_place
from listen.theory import is_no_chord
from listen.transcription.chord_readings import ReadChord
from listen.transcription.events import PlannedEvent
from listen.transcription.grid import Grid
from listen.transcription.told_notes import cut_stretch

Told = Pin | Correction
AnyTold = TypeVar("AnyTold", Pin, Correction)
Said = TypeVar("Said")


@dataclass(frozen=True, slots=True, eq=False)
class ToldPlaces:
    """The chords of a part, cut where a person told something, and which of them begin there.

    Parameters
    ----------
    chords : tuple of ReadChord
        In time order.
    strokes : dict of (Pin or Correction) to int
        Of what was told by bar and beat: the first stroke at which it holds.
    kept : frozenset of (Pin or Correction)
        What was settled in an earlier reading, and may point to nothing.
    rests : tuple of TimeSpan
        Where a person said that there is no chord, and nothing with a pitch is struck.
    grid : Grid or None
        None in free time, where nothing is told by bars.
    is_whole : bool
        Whether the recording was read to its end: else what is told beyond it is only kept.
    """

    chords: tuple[ReadChord, ...]
    strokes: Mapping[Told, int]
    kept: frozenset[Told]
    rests: tuple[TimeSpan, ...]
    grid: Grid | None
    is_whole: bool

    def find(self, told: Iterable[AnyTold], events: Sequence[PlannedEvent]) -> list[tuple[AnyTold, ReadChord | None]]:
        """Find the chord that each pin or name points to, by its event or its place; None where there is none."""
        begun = {chord.held.strokes[0]: chord for chord in self.chords}
        by_number = {event.number: event.chord for event in events}
        found: list[tuple[AnyTold, ReadChord | None]] = []
        for one in told:
            if one.bar is not None:
                found.append((one, begun.get(self.strokes.get(one, -1))))
            else:
                found.append((one, by_number.get(one.event_number or 0)))
        return found

    def tell_pointless(
        self, settled: Settled, events: Sequence[PlannedEvent], held: Collection[ReadChord], *, but: Collection[Told]
    ) -> tuple[str, ...]:
        """Say in sentences what was settled in an earlier reading and holds nothing, since no chord is there now.

        Sections and words need no chord: an event is enough. What holds all the same is left out.
        """
        names = [one for one in settled.corrections if one.what == "name"]
        found: list[tuple[str, Told, ReadChord | None]] = [("pin", *one) for one in self.find(settled.pins, events)]
        found += [("name", *one) for one in self.find(names, events)]
        pointless = tuple(
            f"The {what} {one.text} that was kept points to no chord of this reading: it stays, and holds nothing."
            for what, one, chord in found
            if one in self.kept and one not in but and chord not in held and not self.is_only_kept(one, events)
            if isinstance(one, Pin) or is_beyond(one, events) or not is_no_chord(one.value)
        )
        unshown = tuple(
            f"The {one.what} {one.text} that was kept points to no event of this reading: it stays, and is not shown."
            for one in settled.corrections
            if one.what in ("section", "lyrics") and one in self.kept and self.is_whole and is_beyond(one, events)
        )
        return pointless + unshown

    def is_only_kept(self, told: Told, events: Sequence[PlannedEvent]) -> bool:
        """Tell whether a pin or a name is only kept, since it points beyond what was read."""
        return not self.is_whole and is_beyond(told, events)

    def tell_beyond(self, settled: Settled, events: Sequence[PlannedEvent]) -> tuple[str, ...]:
        """Say in sentences which pins and names are only kept, since not all was read."""
        names = [one for one in settled.corrections if one.what == "name"]
        told: list[tuple[str, Told]] = [("pin", one) for one in settled.pins] + [("name", one) for one in names]
        return tuple(
            f"The {what} {one.text} lies beyond what was read: it is kept, and holds when the rest is read."
            for what, one in told
            if self.is_only_kept(one, events)
        )

    def refuse(self, what: str, told: Told, events: Sequence[PlannedEvent]) -> BadValueError:
        """Say why nothing is held where a pin or a name points."""
        bars = Bars() if self.grid is None else self.grid.bars
        first = self.strokes.get(told)
        only_notes = any(chord.event_kind == "line" and chord.held.strokes[0] == first for chord in self.chords)
        return refuse_told_place(
            what, told, n_events=len(events), struck=_list_bars(events), bars=bars, only_notes=only_notes
        )

    def find_begun(self, told: Iterable[Told]) -> frozenset[ReadChord]:
        """Find the chords that begin where something was told by bar and beat, and hold it."""
        strokes = {self.strokes[one] for one in told if one in self.strokes}
        return frozenset(chord for chord in self.chords if chord.held.strokes[0] in strokes)

    def hold_on(
        self, said: Mapping[ReadChord, Said], by_event: Mapping[ReadChord, Said], *, but: Collection[ReadChord]
    ) -> dict[ReadChord, Said]:
        """Let what is said of a chord by its event go on behind bars of it that were told otherwise."""
        held, going = dict(said), dict[ReadChord, Said]()
        for chord in self.chords:
            if chord.cut_from is not None and chord in by_event:
                going[chord.cut_from] = by_event[chord]
            elif chord.cut_from in going and chord not in said and chord not in but:
                held[chord] = going[chord.cut_from]
        return held


def find_told_strokes(told: Iterable[Told], chords: Sequence[ReadChord], grid: Grid | None) -> dict[Told, int]:
    """Find at which stroke begins what was told by bar and beat; a place at which nothing is struck is left out."""
    if grid is None:
        return {}
    chord_at = {
        stroke: chord
        for chord in chords
        if chord.reading.notes
        for stretch in chord.held.stretches
        for stroke in range(stretch.first, stretch.last + 1)
    }
    struck = tuple(
        StruckPlace(position, chord_at.get(stroke), chord_at[stroke].held.span.end_s if stroke in chord_at else 0.0)
        for stroke, position in enumerate(grid.positions)
    )
    found: dict[Told, int] = {}
    bars = grid.bars
    for one in told:
        stroke = find_told_stroke(one, struck, bars)
        if stroke is not None:
            found[one] = stroke
    return found


def cut_chords(
    chords: Sequence[ReadChord], strokes: Mapping[Told, int], onsets_s: Sequence[float], grid: Grid | None
) -> tuple[ReadChord, ...]:
    """Cut chords where something that was told begins, and at the end of its bar.

    Parameters
    ----------
    chords : sequence of ReadChord
        In time order.
    strokes : dict of (Pin or Correction) to int
    onsets_s : sequence of float
        Of all strokes of the part.
    grid : Grid or None

    Returns
    -------
    tuple of ReadChord
    """
    if grid is None or not strokes:
        return tuple(chords)
    bars = [at.bar for at in grid.positions]
    pieces: list[ReadChord] = []
    for chord in chords:
        own = {one: stroke for one, stroke in strokes.items() if stroke in chord.held.strokes}
        ends = [next((place for place, bar in enumerate(bars) if bar > (one.bar or 0)), None) for one in own]
        pieces += cut_chord(chord, sorted({*own.values(), *(end for end in ends if end is not None)}), onsets_s)
    return tuple(pieces)


def cut_chord(chord: ReadChord, cuts: Sequence[int], onsets_s: Sequence[float]) -> list[ReadChord]:
    """Cut a chord before each of some strokes, in order; one that is not cut stays the same."""
    pieces: list[list[Stretch]] = []
    for stretch in chord.held.stretches:
        if not pieces or any(pieces[-1][-1].last < cut <= stretch.first for cut in cuts):
            pieces.append([])
        first, *others = cut_stretch(stretch, cuts, onsets_s)
        pieces[-1].append(first)
        pieces += [[one] for one in others]
    if len(pieces) == 1:
        return [chord]
    whole = chord.cut_from or chord
    return [replace(chord, held=replace(chord.held, stretches=tuple(own)), cut_from=whole) for own in pieces]


def is_beyond(told: Told, events: Sequence[PlannedEvent]) -> bool:
    """Tell whether a pin or a name points beyond what was read."""
    if told.bar is None:
        return told.event_number not in {event.number for event in events}
    bars = _list_bars(events)
    return not bars or told.bar > max(bars)


def _list_bars(events: Sequence[PlannedEvent]) -> list[int]:
    return [stroke.position.bar for event in events for stroke in event.strokes if stroke.position is not None]
