"""A whole part: from a recording of seconds to an hour to its events, chords, bars, setting and path of the hand."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio import PROFILE_MIDI, STROKE_RATE_HZ, probe_recording
from listen.evidence import TimeSpan
from listen.instrument import Fretboard
from listen.reading import STEPS_PER_BEAT, EventKind, GridPosition, KeyReading, Part, StrumReading, TuningPoint
from listen.theory import Key, rank_keys
from listen.transcription.chord_kinds import ChordKind, gather_kinds
from listen.transcription.events import plan_events
from listen.transcription.grid import Grid, StrokeFeatures, find_grid, tell_bars
from listen.transcription.heard_part import HeardPart
from listen.transcription.held_chords import CHANGE_COST, HeldChord, decode_held_chords
from listen.transcription.listening import hear_part, stream_for_strokes
from listen.transcription.panned import are_panned_apart
from listen.transcription.part_settings import PartSettings
from listen.transcription.pins import resolve_pins
from listen.transcription.ringing import take_out_ringing
from listen.transcription.setting import rank_settings
from listen.transcription.spans import Chords, choose_shapes, number_chords, rename_spans, write_spans
from listen.transcription.string_sets import fit_strum
from listen.transcription.strum import StrumSettings, read_evidence
from listen.transcription.written import find_pattern, write_events

Samples = NDArray[np.float32]

SURE_KEY = 0.4  # a key less probable than that does not spell the chords
DRIFT_CENTS = 5.0
LONG_PART_S = 300.0  # a longer part is read four times as fast, and a little worse where it is strummed fast
AT_BAR_LINE, AT_BEAT, OFF_BEAT = -1.5, 0.0, 1.5  # nats that a change of chord costs more there
N_LOW = 55 - PROFILE_MIDI.start
CLIPPED_A_SECOND = 20.0
PANNED = "Left and right hold different players: read each by itself, with --channel left and --channel right."


def read_part(
    path: Path | str,
    *,
    channel: str = "mix",
    span: TimeSpan | None = None,
    settings: PartSettings | None = None,
    progress: Callable[[float], None] | None = None,
) -> Part:
    """Read a whole part from a recording.

    Parameters
    ----------
    path : Path or str
    channel : str
        ``"mix"``, ``"left"``, ``"right"`` or ``"side"``.
    span : TimeSpan or None
        The stretch to read; None for all of it.
    settings : PartSettings or None
        What is known; the rest is inferred.
    progress : callable or None
        Told, now and then, up to which second the part has been heard.

    Returns
    -------
    Part
        When stopped from the keyboard: what was read so far, with ``complete`` false.

    Raises
    ------
    RecordingError, BadValueError
        The recording cannot be read; a pin points nowhere.
    """
    blocks = stream_for_strokes(path, channel=channel, span=span)
    duration_s = probe_recording(path).duration_s or 0.0
    start_s = 0.0 if span is None else span.start_s
    asked_s = min(duration_s, float("inf") if span is None else span.end_s) - start_s
    part = read_part_blocks(
        blocks,
        start_s=start_s,
        settings=settings,
        every_stroke=asked_s <= LONG_PART_S,
        is_whole=span is None,
        progress=progress,
    )
    if channel == "mix" and are_panned_apart(path, start_s=start_s):
        part = replace(part, warnings=(*part.warnings, PANNED))
    return replace(part, source=Path(path).name, channel=channel, duration_s=max(duration_s, part.span.end_s))


def read_part_samples(samples: Samples, *, sample_rate_hz: int, settings: PartSettings | None = None) -> Part:
    """Read a whole part from samples (mono, -1..1)."""
    import soxr

    heard = samples.astype(np.float32, copy=False)
    if sample_rate_hz != STROKE_RATE_HZ:
        heard = np.asarray(soxr.resample(heard, sample_rate_hz, STROKE_RATE_HZ), np.float32)
    is_long = len(heard) > LONG_PART_S * STROKE_RATE_HZ
    return read_part_blocks([heard], settings=settings, every_stroke=not is_long)


def read_part_blocks(
    blocks: Iterable[Samples],
    *,
    start_s: float = 0.0,
    settings: PartSettings | None = None,
    every_stroke: bool = True,
    is_whole: bool = True,
    progress: Callable[[float], None] | None = None,
) -> Part:
    """Read a whole part from blocks of samples at :data:`~listen.audio.STROKE_RATE_HZ`, the first at ``start_s``.

    With ``every_stroke``, each stroke of fast strumming is listened to; else one in a stretch of like ones. Unless the
    blocks are the whole recording, a pin beyond them is kept and said, and is no error.
    """
    settings = settings or PartSettings()
    heard, complete = hear_part(blocks, start_s=start_s, every_stroke=every_stroke, progress=progress)
    held, pitches = _decode_chords(heard, settings)
    kinds = gather_kinds(held, heard.stretches, pitches)
    if all(kind.evidence.no_chord_reason is not None for kind in kinds.values()):
        heard.drift.clear()  # drums and noise are in no tuning
    offset = float(np.median([point.offset_cents for point in heard.drift])) if heard.drift else 0.0
    hypotheses = rank_settings(kinds.values(), settings=settings, tuning_offset_cents=offset)
    fretboard = hypotheses[0].fretboard
    readings, keys = _read_kinds(kinds, held, heard, fretboard, settings)
    chords = Chords(held, pitches, readings)
    grid = _find_grid(heard, {n for n, one in enumerate(held) if readings[one.kind].names}, held, settings)
    planned = plan_events(heard, held, pitches, _find_unnamed(chords), grid)
    numbered = number_chords(planned, chords)
    is_whole = is_whole and complete
    pinned, kept = resolve_pins(settings.pins, planned, numbered, fretboard, grid=grid, is_whole=is_whole)
    shapes, hand_path = choose_shapes(chords, numbered, pinned, heard, fretboard)
    spans = write_spans(chords, numbered, shapes, pinned, planned, heard, fretboard=fretboard)
    spans = rename_spans(spans, planned, numbered, settings, fretboard=fretboard, is_whole=is_whole)
    events = write_events(planned, spans, chords.readings, [chord.kind for chord in held], numbered, fretboard)
    return Part(
        fretboard=fretboard,
        span=TimeSpan(start_s, heard.read_until_s),
        duration_s=heard.read_until_s,
        events=events,
        spans=spans,
        settings=hypotheses,
        tuning_offset_cents=offset,
        tuning_drift=_describe_drift(heard),
        keys=keys,
        metre=None if grid is None else grid.metres[0],
        metres=() if grid is None else grid.metres,
        beats_s=() if grid is None else grid.beats_s,
        bars_s=() if grid is None else grid.bars_s,
        first_bar=1 if grid is None else grid.first_bar,
        pattern=find_pattern(events),
        path=hand_path,
        pins=settings.pins,
        corrections=settings.corrections,
        complete=complete,
        warnings=(*_warn(heard, chords), *tell_bars(grid, settings, n_strokes=len(heard.strokes)), *kept),
    )


def _read_kinds(
    kinds: dict[int, ChordKind], held: list[HeldChord], heard: HeardPart, fretboard: Fretboard, settings: PartSettings
) -> tuple[dict[int, StrumReading], tuple[KeyReading, ...]]:
    """Read each kind of chord once, find the key, and name the chords again as the key spells them."""
    plain = StrumSettings(fretboard, settings.fit, settings.key)
    fits = {
        kind: fit_strum(found.evidence, fretboard, settings=settings.fit)
        for kind, found in kinds.items()
        if found.evidence.no_chord_reason is None
    }
    readings = {kind: read_evidence(one.evidence, settings=plain, fit=fits.get(kind)) for kind, one in kinds.items()}
    in_time = []
    for chord in held:
        if readings[chord.kind].names:
            lasts_s = heard.stretches[chord.last].span.end_s - heard.stretches[chord.first].span.start_s
            in_time.append((readings[chord.kind].names[0].chord, lasts_s))
    if settings.key is not None:
        return readings, (KeyReading(settings.key.tonic, settings.key.mode, 1.0),)
    if not in_time:
        return readings, ()
    ranked = rank_keys(chords=in_time)
    keys = tuple(KeyReading(one.key.tonic, one.key.mode, one.probability) for one in ranked[:5])
    if ranked[0].probability >= SURE_KEY:
        spelled = replace(plain, key=Key(ranked[0].key.tonic, ranked[0].key.mode))
        readings = {
            kind: read_evidence(one.evidence, settings=spelled, fit=fits[kind])
            if readings[kind].names
            else readings[kind]
            for kind, one in kinds.items()
        }
    return readings, keys


def _find_unnamed(chords: Chords) -> dict[int, EventKind]:
    """Tell which kinds are no chords: single notes are a line, what the ear refuses is unread."""
    unnamed: dict[int, EventKind] = {}
    for kind, reading in chords.readings.items():
        if reading.names:
            continue
        unnamed[kind] = "line" if reading.notes else "unread"
    return unnamed


def _decode_chords(heard: HeardPart, settings: PartSettings) -> tuple[list[HeldChord], list[frozenset[int]]]:
    """Decode the held chords, find the bars by their changes, and decode again: chords change on bar lines.

    What rings over from the chord before can be told when the chords are known; it is taken out, and they are decoded
    once more.
    """
    held, pitches = decode_held_chords(heard.stretches)
    sounding = {number for number, chord in enumerate(held) if len(pitches[chord.kind]) > 1}
    grid = _find_grid(heard, sounding, held, settings)
    costs = None
    if grid is not None:
        places = [grid.positions[one.first] for one in heard.stretches]
        costs = np.array([CHANGE_COST + _change_cost(at) for at in places])
        held, pitches = decode_held_chords(heard.stretches, change_costs=costs)
    heard.stretches = take_out_ringing(held, pitches, heard.stretches, heard.strokes)
    return decode_held_chords(heard.stretches, change_costs=costs)


def _change_cost(at: GridPosition) -> float:
    """Return what a change costs more, or less, at a place in the bar."""
    return AT_BAR_LINE if at.step == 0 else AT_BEAT if at.step % STEPS_PER_BEAT == 0 else OFF_BEAT


def _find_grid(heard: HeardPart, sounding: set[int], held: list[HeldChord], settings: PartSettings) -> Grid | None:
    """Find the bars from the strokes, their level, how low they reach, and where chords that sound begin."""
    if len(heard.strokes) < 4:
        return None
    starts = {heard.stretches[held[number].first].first for number in sounding}
    low = np.array([_low_share(stroke.profile) for stroke in heard.strokes])
    bottom, top = np.quantile(low, [0.1, 0.9])
    bass = np.clip((low - bottom) / max(float(top - bottom), 1e-9), 0.0, 1.0)
    features = StrokeFeatures(
        np.array([stroke.onset.onset_s for stroke in heard.strokes]),
        np.array([stroke.onset.level_db for stroke in heard.strokes]),
        bass,
        np.array([0.0 if stroke.onset.is_hit else stroke.lean for stroke in heard.strokes]),
        np.array([place in starts for place in range(len(heard.strokes))]),
    )
    return find_grid(features, settings=settings)


def _low_share(profile: NDArray[np.float64]) -> float:
    """Return how much of a stroke lies low, up to F♯3."""
    roots = np.sqrt(profile)
    return float(roots[:N_LOW].sum() / (roots.sum() + 1e-9))


def _describe_drift(heard: HeardPart) -> tuple[TuningPoint, ...]:
    """Return the tuning offset over time where it does not stay put."""
    cents = [point.offset_cents for point in heard.drift]
    return tuple(heard.drift) if cents and max(cents) - min(cents) > DRIFT_CENTS else ()


def _warn(heard: HeardPart, chords: Chords) -> tuple[str, ...]:
    warnings = list(heard.warnings)
    is_named = any(reading.names for reading in chords.readings.values())
    if is_named and heard.n_clipped > CLIPPED_A_SECOND * max(heard.read_until_s - heard.begin_s, 1.0):
        warnings.append("The recording is clipped: its loudest waves are cut off, and some notes may be none.")
    if not heard.strokes:
        warnings.append("No stroke was found in this recording.")
    elif not is_named:
        warnings.append("No chord was found: what was struck is single notes, drums or noise.")
    return tuple(warnings)
