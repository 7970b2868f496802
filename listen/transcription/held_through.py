"""Stops that a person took back: a chord that is named where nothing is struck is held through the rest heard there.

Only the chord before can go on where nothing is struck, so its name has to be told. It goes on to the end of the bar or
the next stroke; a rest that is longer begins there. What is struck there stays as it is: another chord is not meant. Of
a rest that a person told nothing is taken back.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from listen.evidence import TimeSpan
from listen.harmony import measure_shift
from listen.instrument import Fretboard
from listen.reading import STEPS_PER_BEAT, Correction
from listen.theory import Chord, is_no_chord, parse_chord, transpose_chord
from listen.transcription.chord_readings import ReadChord
from listen.transcription.events import REST_S, PlannedEvent, PlannedStroke
from listen.transcription.grid import Grid
from listen.transcription.spans import PlannedSpan
from listen.transcription.told_places import ToldPlaces
from listen.transcription.told_rests import LEAST_S, find_time


def find_held_through(
    names: Sequence[Correction],
    say: Callable[[Sequence[Correction]], Mapping[ReadChord, str]],
    events: Sequence[PlannedEvent],
    fretboard: Fretboard,
    *,
    places: ToldPlaces,
) -> frozenset[Correction]:
    """Find the names that are told in a rest and mean the chord before, not another one that is struck after it.

    Where the same chord is struck again after the rest, its name is meant for that, too.

    Parameters
    ----------
    names : sequence of Correction
        Everything that a person named.
    say : callable
        Finds what some of these names say of which chord.
    events : sequence of PlannedEvent
    fretboard : Fretboard
    places : ToldPlaces

    Returns
    -------
    frozenset of Correction
    """
    grid = places.grid
    if grid is None:
        return frozenset()
    chord_of = {one: chord for one, chord in places.find(names, events) if one in places.strokes}
    rests = {
        one: (before, chord)
        for one, chord in sorted(chord_of.items(), key=lambda item: (places.strokes[item[0]], _nearest_first(item[0])))
        if chord is not None and not is_no_chord(one.value)
        if (before := _find_rested(one, events, places, grid)) is not None
    }
    found: set[Correction] = set()
    waiting = set(rests)
    for one, (before, after) in rests.items():
        said = say([name for name in names if name not in waiting and name not in found])
        word, called = _sound(one.value, fretboard), _call(before, said, fretboard)
        again = word if after in said else _call(before, {}, fretboard)  # as it was heard, whatever it is called
        following = _call(after, said, fretboard)
        if _is_one(word, called) and not _is_one(word, following) and not _is_one(again, following):
            found.add(one)
        waiting.discard(one)
    return frozenset(found)


def _nearest_first(told: Correction) -> tuple[int, int]:
    """Order names of one stroke by how near before it they are told: it is the nearest that means it."""
    bar, step = _place(told)
    return -bar, -step


def _find_rested(told: Correction, events: Sequence[PlannedEvent], places: ToldPlaces, grid: Grid) -> ReadChord | None:
    """Return the chord that was struck before a place at which a rest is heard that can be taken back."""
    gap = _find_gap(_place(told), events, grid)
    if not gap or _find_end(_place(told), gap, events, places.rests, grid) is None:
        return None
    return events[gap.start - 1].chord


def _call(chord: ReadChord, said: Mapping[ReadChord, str], fretboard: Fretboard) -> Chord | None:
    """Return what a chord is called: as a person said, or else as it was read."""
    if chord in said:
        return None if is_no_chord(said[chord]) else _sound(said[chord], fretboard)
    return next((name.chord for name in chord.reading.names), None)


def _is_one(chord: Chord | None, other: Chord | None) -> bool:
    return chord is not None and other is not None and chord.is_enharmonic_with(other)


def _sound(text: str, fretboard: Fretboard) -> Chord:
    """Return a chord as it sounds from one as it is played."""
    return transpose_chord(parse_chord(text), measure_shift(fretboard) % 12)


def hold_through(
    names: Sequence[Correction],
    spans: Sequence[PlannedSpan],
    events: Sequence[PlannedEvent],
    fretboard: Fretboard,
    *,
    places: ToldPlaces,
) -> tuple[tuple[PlannedSpan, ...], tuple[PlannedEvent, ...], frozenset[Correction]]:
    """Hold chords through rests that a person took back.

    Parameters
    ----------
    names : sequence of Correction
        Everything that a person named.
    spans : sequence of PlannedSpan
        Called as a person said.
    events : sequence of PlannedEvent
    fretboard : Fretboard
    places : ToldPlaces

    Returns
    -------
    tuple of PlannedSpan, tuple of PlannedEvent
    frozenset of Correction
        Those of the names by which the chord before is held on.
    """
    told = [one for one in names if one.bar is not None and not is_no_chord(one.value)]
    held_on: set[Correction] = set()
    kept, sounding, grid = tuple(spans), tuple(events), places.grid
    if grid is None:
        return kept, sounding, frozenset()
    for one in sorted(told, key=_place):
        gap = _find_gap(_place(one), sounding, grid)
        span = next((span for span in kept if gap is not None and span.chord is sounding[gap.start - 1].chord), None)
        if gap is None or span is None or not _is_named(span, one, places, fretboard):
            continue
        until_s = _find_end(_place(one), gap, sounding, places.rests, grid)
        if until_s is not None:
            least_s = LEAST_S if until_s in [rest.start_s for rest in places.rests] else REST_S
            kept, sounding = _go_on(span, gap, TimeSpan(until_s, until_s + least_s), kept, sounding)
            held_on.add(one)
    return kept, sounding, frozenset(held_on)


def _place(told: Correction) -> tuple[int, int]:
    return told.bar or 0, round((told.beat - 1) * STEPS_PER_BEAT)


def _find_gap(place: tuple[int, int], events: Sequence[PlannedEvent], grid: Grid) -> range | None:
    """Return the rests between the strokes around a place; None where something is struck at it, or none before it."""
    if not grid.first_bar <= place[0] < grid.first_bar + len(grid.bars_s) - 1:
        return None
    after = next((at for at, event in enumerate(events) if event.strokes and _at(event.strokes[0]) >= place), None)
    after = len(events) if after is None else after
    before = next((at for at in reversed(range(after)) if events[at].strokes), None)
    if before is None or _at(events[before].strokes[-1]) >= place:
        return None
    if after < len(events) and _at(events[after].strokes[0]) == place:
        return None
    gap = range(before + 1, after)
    return gap if all(events[at].kind == "silence" for at in gap) else None


def _at(stroke: PlannedStroke) -> tuple[int, int]:
    return (0, 0) if stroke.position is None else (stroke.position.bar, stroke.position.step)


def _is_named(span: PlannedSpan, told: Correction, places: ToldPlaces, fretboard: Fretboard) -> bool:
    """Tell whether a chord is called as it was told; one that was kept may be read a little otherwise by now."""
    name = span.name or next(iter(span.reading.names), None)
    if name is None:
        return False
    word, chord = _sound(told.value, fretboard), name.chord
    if told in places.kept and told not in places.strokes:
        return word.root.pitch_class == chord.root.pitch_class
    return word.is_enharmonic_with(chord)


def _find_end(
    place: tuple[int, int], gap: range, events: Sequence[PlannedEvent], rests: Sequence[TimeSpan], grid: Grid
) -> float | None:
    """Return when the next chord or a rest that was told begins, or the bar ends; None where a rest was told before."""
    before, ends_s = events[gap.start - 1], [grid.bars_s[place[0] - grid.first_bar + 1]]
    if gap.stop < len(events):
        following = events[gap.stop]
        ends_s.append(following.span.start_s)
        if following.chord is not None and following.chord is not before.chord:
            ends_s.append(following.chord.held.span.start_s)
    told_s = [rest.start_s for rest in rests if before.strokes[-1].span.start_s < rest.start_s < min(ends_s)]
    return None if any(at_s <= find_time(place, grid) for at_s in told_s) else min(*told_s, *ends_s)


def _go_on(
    span: PlannedSpan, gap: range, until: TimeSpan, spans: Sequence[PlannedSpan], events: Sequence[PlannedEvent]
) -> tuple[tuple[PlannedSpan, ...], tuple[PlannedEvent, ...]]:
    """Let a chord and its last stroke sound until then; of a rest that is longer so much is left, if not too short."""
    taken = [events[at] for at in gap if events[at].span.start_s < until.start_s]
    if not taken:
        return tuple(spans), tuple(events)
    chord, last = span.chord, events[gap.start - 1]
    if chord.held.span.end_s < until.start_s:
        chord = replace(chord, held=chord.held.ended_at(until.start_s))
    written: dict[int, PlannedEvent | None] = {event.number: replace(event, chord=chord) for event in span.events}
    if last.strokes[-1].kind != "muted":
        stroke = replace(last.strokes[-1], span=TimeSpan(last.strokes[-1].span.start_s, until.start_s))
        strokes, held = (*last.strokes[:-1], stroke), TimeSpan(last.span.start_s, until.start_s)
        written[last.number] = replace(last, span=held, strokes=strokes, chord=chord)
    for rest in taken:
        is_left = rest.span.end_s >= until.end_s
        left = replace(rest, span=TimeSpan(until.start_s, max(rest.span.end_s, until.end_s)))
        written[rest.number] = left if is_left else None
    row = [written.get(event.number, event) for event in events]
    own = {event.number: event for event in row if event is not None}
    held_on = replace(span, chord=chord, events=tuple(own[event.number] for event in span.events))
    return tuple(held_on if one is span else one for one in spans), tuple(own.values())
