"""A part that was read, as an assignment: what `listen part -o song.chart` writes and `listen check` sets."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

from listen.export.bar import Bar, Change, find_bar_metre, find_metre, has_pickup
from listen.export.bars import fill_first, lay_bars
from listen.export.fold import find_folds
from listen.export.held_names import HeldNames
from listen.export.rhythm import STRAIGHT_STEP, SWING_STEP
from listen.export.shown_pattern import find_shown_pattern
from listen.export.tempo_marks import find_shown_metre, find_tempo_marks
from listen.export.told_words import find_given_title
from listen.instrument import best_fingering, parse_tuning
from listen.reading import (
    ANYTHING,
    NO_CHORD,
    PICKED,
    STEPS_PER_BEAT,
    Assignment,
    Metre,
    Part,
    SetBar,
    SetChange,
    SetChord,
    SetSection,
    SetStroke,
)
from listen.theory import parse_chord

PLACES = (0, 3, 4, 6, 8, 9)  # steps after a beat that a chart can say
PATTERN_WIDTHS = (12, 6, 4, 3)


def part_to_assignment(part: Part) -> Assignment:
    """Return what was played as what is to be played.

    Chords are named as the hand plays them, with the shape on its path where that holds the name's own notes; what
    could not be read is left open.
    """
    laid, names = lay_bars(part), HeldNames(part)
    bars = fill_first(laid.written, part)
    metre = find_metre(part)
    chords = _choose_shapes(bars, names, part)
    tempo_bpm = None if metre is None else float(round((find_shown_metre(part, laid.played) or metre).tempo_bpm))
    written = _give_tempi(_name_held([_write_bar(bar, names, part) for bar in bars]), bars, tempo_bpm)
    pickup_beats = _count_pickup(metre) if has_pickup(part) else 0
    upbeat = 1 if metre is not None and 0 < pickup_beats < metre.beats_per_bar else 0  # a whole bar of beats is a bar
    if has_pickup(part) and not pickup_beats:
        written = written[1:]
    sections = [SetSection(_mark_tempi(written[:1], tempo_bpm, 1))] if upbeat and written else []
    for fold in find_folds(written[upbeat:]):
        first = fold.first + upbeat
        before = written[first - 1].tempo_bpm if first else tempo_bpm
        section = SetSection(_mark_tempi(written[first : first + fold.length], before, fold.times), fold.times)
        if sections and sections[-1].times == 1 and section.times == 1:
            sections[-1] = SetSection(sections[-1].bars + section.bars)
        else:
            sections.append(section)
    used = {change.symbol for section in sections for bar in section.bars for change in bar.changes}
    tuning = part.fretboard.tuning
    try:
        named = parse_tuning(tuning.name)
    except ValueError:
        named = tuning
    assignment = Assignment(
        chords=tuple(chord for symbol, chord in chords.items() if symbol in used),
        sections=tuple(sections) or (SetSection((SetBar(),)),),
        title=" ".join((find_given_title(part) or part.recording.file.rsplit(".", 1)[0]).split()),
        tuning=named if named.open_strings == tuning.open_strings else parse_tuning(tuning.text),
        capo_fret=part.fretboard.capo_fret,
        signature=_sign(None, part),
        tempo_bpm=tempo_bpm,
        is_free=metre is None,
    )
    is_swung = metre is not None and metre.is_swung
    return replace(
        assignment,
        pickup_beats=pickup_beats if upbeat else 0,
        pattern=_find_pattern(part, is_swung=is_swung),
        is_swung=is_swung,
    )


def _count_pickup(metre: Metre | None) -> int:
    """Return the beats of a pickup, a broken one counted whole; 0 for less than a beat, which is not written."""
    if metre is None or metre.pickup_steps < STEPS_PER_BEAT:
        return 0
    return -(-metre.pickup_steps // STEPS_PER_BEAT)


def _choose_shapes(bars: tuple[Bar, ...], names: HeldNames, part: Part) -> dict[str, SetChord]:
    """Return each chord, by its symbol, in the shape that it is held in for longest: a chart has one for each."""
    changes = [change for bar in bars for change in bar.changes]
    ends_s = [*(change.time_s for change in changes[1:]), *(bar.end_s for bar in bars[-1:])]
    held_s: dict[str, defaultdict[SetChord, float]] = {}
    for change, end_s in zip(changes, ends_s, strict=False):
        if not change.is_passing:
            chord = _set_chord(change, names, part)
            held_s.setdefault(chord.symbol, defaultdict(float))[chord] += end_s - change.time_s
    return {symbol: max(row, key=lambda one: (one.shape is not None, row[one])) for symbol, row in held_s.items()}


def _write_bar(bar: Bar, names: HeldNames, part: Part) -> SetBar:
    changes: list[SetChange] = []
    n_beats = bar.n_beats
    for change in bar.changes:
        if change.is_passing:
            continue
        chord = _set_chord(change, names, part)
        beat, rest = divmod(change.step + bar.lead, STEPS_PER_BEAT)
        step = min(beat, n_beats - 1) * STEPS_PER_BEAT + min(PLACES, key=lambda place: abs(place - rest))
        if not bar.is_measured:
            step = 0
        if changes and changes[-1].step >= step:
            changes[-1] = SetChange(changes[-1].step, chord.symbol)
        elif not changes or changes[-1].symbol != chord.symbol:
            changes.append(SetChange(step, chord.symbol))
    own = _sign(bar, part)
    return SetBar(tuple(changes), signature=None if own == _sign(None, part) else own)


def _sign(bar: Bar | None, part: Part) -> tuple[int, int]:
    """Return the signature of a bar, or of the part; 4/4 in free time."""
    metre = find_metre(part)
    if metre is None:
        return 4, 4
    upper, lower = (metre if bar is None else find_bar_metre(bar, metre)).signature.split("/")
    return int(upper), int(lower)


def _name_held(bars: list[SetBar]) -> list[SetBar]:
    """Name at the beginning of each bar what is held into it, as one writes it: so that what repeats is seen to."""
    named, held = [], None
    for bar in bars:
        changes = bar.changes
        if held is not None and (not changes or changes[0].step > 0):
            changes = (SetChange(0, held), *changes)
        held = changes[-1].symbol if changes else None
        named.append(replace(bar, changes=changes))
    return named


def _give_tempi(written: list[SetBar], bars: Sequence[Bar], tempo_bpm: float | None) -> list[SetBar]:
    """Give each bar the tempo that holds in it: bars that are played alike at two tempi are no repeat."""
    marks = find_tempo_marks(bars)
    given = []
    for index, bar in enumerate(written):
        tempo_bpm = float(marks[index]) if index in marks else tempo_bpm
        given.append(replace(bar, tempo_bpm=tempo_bpm))
    return given


def _mark_tempi(bars: Sequence[SetBar], before: float | None, times: int) -> tuple[SetBar, ...]:
    """Leave the tempo only in bars with which one begins, a repeat that goes back to its first bar among them."""
    earlier = [before, *(bar.tempo_bpm for bar in bars)]
    comes_back = times > 1 and bars[-1].tempo_bpm != bars[0].tempo_bpm
    return tuple(
        bar if bar.tempo_bpm != earlier[at] or (comes_back and at == 0) else replace(bar, tempo_bpm=None)
        for at, bar in enumerate(bars)
    )


def _set_chord(change: Change, names: HeldNames, part: Part) -> SetChord:
    if change.span is None:
        return SetChord(NO_CHORD if change.kind == "none" else ANYTHING)
    span = change.span
    shape = None if span.shape is None else span.shape.shape
    if span.name is None or span.name.label:
        return SetChord(ANYTHING) if shape is None else SetChord(shape.text, None, shape)
    chord = parse_chord(names.chord_of(span.name).text)
    if shape is not None:
        tones = span.name.chord.pitch_classes
        sounds = {pitch.pitch_class for pitch in shape.pitches(part.fretboard) if pitch is not None}
        if not sounds <= tones or not best_fingering(shape, part.fretboard).playable:
            shape = None
    return SetChord(chord.text, chord, shape)


def _find_pattern(part: Part, *, is_swung: bool) -> tuple[SetStroke, ...]:
    """Return the strokes of the commonest bar, where it is common and lies on one grid; swung halves as halves.

    One that is picked for the most part is no strumming pattern.
    """
    pattern = find_shown_pattern(part)
    if pattern is None or 2 * sum(one.kind in PICKED for one in pattern.strokes) > len(pattern.strokes):
        return ()
    if not any(all(one.step % width == 0 for one in pattern.strokes) for width in PATTERN_WIDTHS):
        return ()
    in_halves = is_swung and all(one.step % STEPS_PER_BEAT in (0, SWING_STEP) for one in pattern.strokes)
    strokes = {
        one.step: SetStroke(one.step, None if one.kind == "muted" else one.direction, one.kind == "muted")
        for one in pattern.strokes
    }
    written = (strokes[step] for step in sorted(strokes))
    return tuple(
        replace(one, step=one.step - one.step % STEPS_PER_BEAT + STRAIGHT_STEP)
        if in_halves and one.step % STEPS_PER_BEAT
        else one
        for one in written
    )
