"""A whole part: from a recording of seconds to an hour to its events, chords, bars, setup and path of the hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.audio import STROKE_RATE_HZ, hear_part
from listen.evidence import PartEvidence, TuningPoint
from listen.instrument import Fretboard
from listen.reading import Bars, ConcertPitch, Part, PartRecording, Settled
from listen.transcription.bar_beginnings import begin_at_bar_lines
from listen.transcription.chord_decoding import HeardChords, decode_grid, find_chord_starts, hear_chords, lay_in_bars
from listen.transcription.chord_kinds import ChordKind, gather_held, gather_kinds
from listen.transcription.chord_readings import ReadChord, read_chords, read_kinds
from listen.transcription.clipping import warn_of_clipping
from listen.transcription.events import PlannedEvent, keep_numbers, plan_events
from listen.transcription.grid import Grid
from listen.transcription.held_decoding import cut_at_rests, decode_held
from listen.transcription.keys import FoundKeys, find_keys
from listen.transcription.low_string import ask_about_low_string
from listen.transcription.no_strokes import drop_no_strokes
from listen.transcription.part_settings import PartSettings
from listen.transcription.pattern import find_pattern
from listen.transcription.picking import tell_picked
from listen.transcription.pinned_lines import hold_lines, remark_pinned_lines
from listen.transcription.pins import find_pinned, pin_shapes, remark_renamed, say_drawn_otherwise
from listen.transcription.setup import rank_setups, tell_retuned
from listen.transcription.spans import choose_shapes, gather_spans, write_spans
from listen.transcription.told_bars import tell_bars
from listen.transcription.told_names import name_spans
from listen.transcription.told_notes import tell_notes, tell_unheld
from listen.transcription.told_places import ToldPlaces, cut_chords, find_told_strokes
from listen.transcription.told_rests import cut_at_told_rests, find_told_rests, write_told_rests
from listen.transcription.unread import hold_through_unread
from listen.transcription.written import write_events

Samples = NDArray[np.float32]

DRIFT_CENTS = 5.0  # less is no drift that a player would hear; judged
LONG_PART_S = 300.0  # a longer part is read four times as fast, and a little worse where it is strummed fast


def are_read_closely(duration_s: float) -> bool:
    """Tell whether every stroke of so long a part is listened to."""
    return duration_s <= LONG_PART_S


def read_part_samples(samples: Samples, *, sample_rate_hz: int, settings: PartSettings | None = None) -> Part:
    """Read a whole part from samples (mono, -1..1)."""
    import soxr

    heard = samples.astype(np.float32, copy=False)
    if sample_rate_hz != STROKE_RATE_HZ:
        heard = np.asarray(soxr.resample(heard, sample_rate_hz, STROKE_RATE_HZ), np.float32)
    closely = are_read_closely(len(heard) / STROKE_RATE_HZ)
    return read_part_evidence(hear_part([heard], every_stroke=closely), settings=settings)


def read_part_evidence(heard: PartEvidence, *, settings: PartSettings | None = None, is_whole: bool = True) -> Part:
    """Conclude from what was heard of a part.

    Parameters
    ----------
    heard : PartEvidence
    settings : PartSettings or None
    is_whole : bool
        Whether it is the whole recording: else a pin beyond it is kept and said, and is no error.
    """
    settings = settings or PartSettings()
    heard = tell_notes(tell_picked(drop_no_strokes(heard)), settings.corrections)
    sounded = hear_chords(heard, settings)
    kinds = gather_kinds(sounded.chords)
    tuning = heard.tuning if _is_pitched(kinds) else ()  # drums and noise are in no tuning
    offset_cents = float(np.median([point.offset_cents for point in tuning])) if tuning else 0.0
    setups = rank_setups(kinds, settings=settings, tuning_offset_cents=offset_cents)
    fretboard = setups[0].fretboard
    chords, keys, grid = _read_held(heard, sounded, fretboard, settings)
    laid = lay_in_bars(sounded.chords, grid)
    is_close = are_read_closely(heard.span.end_s - heard.span.start_s)
    if is_close and _lie_otherwise(laid, sounded):  # what is held moved the bars that say it
        chords, keys, grid = _read_held(heard, laid, fretboard, settings)
    onsets_s, settled = heard.onsets_s.tolist(), Settled(settings.pins, settings.corrections)
    told = find_told_strokes((*settled.pins, *settled.corrections), chords, grid)
    rests = find_told_rests(settled.corrections, told, onsets_s, grid)
    uncut, chords = chords, cut_chords(chords, told, onsets_s, grid)
    chords = begin_at_bar_lines(cut_at_told_rests(chords, rests, onsets_s), onsets_s, grid)
    silent = tuple(rest.span for rest in rests)
    places = ToldPlaces(chords, told, frozenset(settings.kept), silent, grid, is_whole and heard.complete)
    planned = write_told_rests(_plan_events(heard, chords, uncut, grid), rests)
    spans = gather_spans(planned)
    held = {span.chord for span in spans}
    pin_of = find_pinned(settled, spans, planned, fretboard, places=places)
    spans = pin_shapes(pin_of, spans, settled.corrections, fretboard)
    spans, named, held_on = name_spans(settled.corrections, spans, planned, fretboard, places=places)
    spans, hand_path = choose_shapes(spans, fretboard)
    written = write_spans(say_drawn_otherwise(remark_renamed(spans, settled, fretboard), fretboard), named, grid)
    events = write_events(named, spans, written, fretboard, lines=hold_lines(pin_of, named))
    return Part(
        PartRecording(heard.span, duration_s=heard.span.end_s, complete=heard.complete),
        fretboard,
        events=events,
        spans=written,
        setups=setups,
        concert_pitch=ConcertPitch(offset_cents, _describe_drift(tuning)),
        keys=keys.keys,
        bars=Bars() if grid is None else replace(grid.bars, key_changes=keys.changes),
        pattern=find_pattern(events),
        path=hand_path,
        settled=settled,
        warnings=(
            *_warn(heard, chords, fretboard, retuned=tell_retuned(setups[0], settings, kinds)),
            *tell_bars(grid, settings, n_strokes=len(heard.strokes)),
            *places.tell_beyond(settled, planned),
            *places.tell_pointless(settled, planned, held, but=held_on.union(pin_of.values())),
            *remark_pinned_lines(pin_of, named, fretboard),
            *tell_unheld(settled.corrections, written),
        ),
    )


def _is_pitched(kinds: Sequence[ChordKind]) -> bool:
    return not kinds or any(kind.evidence.no_chord_reason is None for kind in kinds)


def _read_held(
    heard: PartEvidence, sounded: HeardChords, fretboard: Fretboard, settings: PartSettings
) -> tuple[tuple[ReadChord, ...], FoundKeys, Grid | None]:
    """Decode what is held, read it, and find the bars by where it changes: a chord after a stop is none by that."""
    held = decode_held(sounded, heard.strokes, fretboard)
    cut = cut_at_rests(held, heard.quiet)
    read = read_kinds(gather_held(cut), fretboard, settings)
    has_name = {pitches for pitches, reading in read.readings.items() if reading.names}
    grid = decode_grid(heard, find_chord_starts(held, [one.pitches in has_name for one in held]), settings)
    named = [(one, read.readings[one.pitches].names[0].chord) for one in cut if one.pitches in has_name]
    keys = find_keys(named, grid, settings)
    return hold_through_unread(read_chords(cut, read, keys)), keys, grid


def _plan_events(
    heard: PartEvidence, chords: Sequence[ReadChord], uncut: Sequence[ReadChord], grid: Grid | None
) -> tuple[PlannedEvent, ...]:
    """Plan the events of chords that may be cut, numbered as those of the whole ones."""
    planned = plan_events(heard, chords, grid)
    if len(chords) == len(uncut):
        return planned
    return keep_numbers(planned, plan_events(heard, uncut, grid), heard.onsets_s.tolist())


def _lie_otherwise(laid: HeardChords, sounded: HeardChords) -> bool:
    if laid.steps is None or sounded.steps is None:
        return (laid.steps is None) != (sounded.steps is None)
    return not (np.array_equal(laid.steps, sounded.steps) and np.array_equal(laid.bars, sounded.bars))


def _describe_drift(tuning: tuple[TuningPoint, ...]) -> tuple[TuningPoint, ...]:
    """Return the tuning offset over time where it does not stay put."""
    cents = [point.offset_cents for point in tuning]
    return tuning if cents and max(cents) - min(cents) > DRIFT_CENTS else ()


def _warn(heard: PartEvidence, chords: Sequence[ReadChord], fretboard: Fretboard, *, retuned: str) -> tuple[str, ...]:
    warnings = [retuned] if retuned else []
    low = ask_about_low_string(heard.stretches, fretboard)
    if low is not None:
        warnings.append(low)
    is_named = any(chord.reading.names for chord in chords)
    if is_named:
        warnings += warn_of_clipping(heard.n_clipped, duration_s=heard.span.end_s - heard.span.start_s)
    if not heard.strokes:
        warnings.append("No stroke was found in this recording.")
    elif not is_named:
        warnings.append("No chord was found: what was struck is single notes, drums or noise.")
    return tuple(warnings)
