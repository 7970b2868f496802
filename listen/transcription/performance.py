"""A student's recording heard stroke by stroke, for judgement: evidence as it is, before anyone asks what was held.

What is set is known when homework is judged, so nothing is decoded here: each sound keeps what the ear said of it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio import STROKE_RATE_HZ, FileEnd, hear_part, measure_cents, probe_recording, stream_for_strokes
from listen.evidence import PartEvidence, Stretch
from listen.reading import HeardCents, HeardPitch, HeardSound, Performance, PerformedStroke
from listen.theory import Pitch
from listen.transcription.clipping import warn_of_clipping

Samples = NDArray[np.float32]

LEAST_LOG_ODDS = -6.0  # a pitch below is not kept: a chance of one in four hundred
SURE_LOG_ODDS = 1.0  # of a pitch that counts as heard; judged
LONGEST_KEPT_S = 900.0  # of a longer recording nothing is measured in cents: its samples are not kept
LEAST_CENTS_S = 0.25  # a shorter sound says too little of its pitch
ENOUGH_CENTS_S = 0.4  # so long strokes that sound alike are measured as one, since fast ones are too short alone
MOST_MEASURED = 40  # sounds of a recording whose notes are measured, the longest


def hear_performance(path: Path | str) -> Performance:
    """Hear a recording stroke by stroke.

    Parameters
    ----------
    path : Path or str

    Raises
    ------
    RecordingError
        It cannot be read.
    """
    info = probe_recording(path)
    duration_s = info.duration_s
    kept: list[Samples] = []
    keeps = duration_s <= LONGEST_KEPT_S

    def keep(blocks: Iterable[Samples]) -> Iterable[Samples]:
        for block in blocks:
            if keeps:
                kept.append(block)
            yield block

    end = FileEnd()
    heard = hear_part(keep(stream_for_strokes(path, end=end)))
    samples = np.concatenate(kept) if kept else np.zeros(0, np.float32)
    performance = _write_down(heard, samples, duration_s=max(duration_s, heard.span.end_s))
    cut_off = info.tell_cut_off(heard.span.end_s, is_whole=heard.complete, is_broken=end.is_broken)
    if cut_off and heard.complete:  # what is there ends before what its header tells
        performance = replace(performance, duration_s=heard.span.end_s)
    warnings = (*performance.warnings, *filter(None, [cut_off]))
    return replace(performance, warnings=warnings, breaks_off=bool(cut_off))


def hear_performance_samples(samples: Samples, *, sample_rate_hz: int) -> Performance:
    """Hear samples (mono, -1..1) stroke by stroke."""
    import soxr

    heard = samples.astype(np.float32, copy=False)
    if sample_rate_hz != STROKE_RATE_HZ:
        heard = np.asarray(soxr.resample(heard, sample_rate_hz, STROKE_RATE_HZ), np.float32)
    return _write_down(hear_part([heard]), heard, duration_s=len(heard) / STROKE_RATE_HZ)


def _write_down(heard: PartEvidence, samples: Samples, *, duration_s: float) -> Performance:
    offset = float(np.median([point.offset_cents for point in heard.tuning])) if heard.tuning else 0.0
    alike = [_find_alike(heard.stretches, at) for at in range(len(heard.stretches))]
    by_length = sorted(range(len(alike)), key=lambda at: heard.stretches[at].span.start_s - alike[at][0])
    measured = set(by_length[:MOST_MEASURED]) if len(samples) else set()
    sounds = tuple(
        _write_sound(stretch, samples if at in measured else samples[:0], offset, alike[at])
        for at, stretch in enumerate(heard.stretches)
    )
    sound_of = {
        stroke: at for at, stretch in enumerate(heard.stretches) for stroke in range(stretch.first, stretch.last + 1)
    }
    strokes = tuple(
        PerformedStroke(
            stroke.onset_s,
            stroke.level_db,
            stroke.lean,
            stroke.is_hit,
            -1 if stroke.is_hit else sound_of.get(number, -1),
            tuple(sorted((midi, round(rise, 2)) for midi, rise in stroke.rises.items())),
        )
        for number, stroke in enumerate(heard.strokes)
    )
    warnings = warn_of_clipping(heard.n_clipped, duration_s=duration_s)
    return Performance(duration_s, strokes, sounds, offset, warnings, heard.complete)


def _find_alike(stretches: Sequence[Stretch], at: int) -> tuple[float, frozenset[int]]:
    """Return until when a sound goes on as it is, over strokes that follow, and which MIDI numbers surely do."""
    end_s, sure = stretches[at].span.end_s, _find_sure(stretches[at])
    for after in stretches[at + 1 :]:
        own = _find_sure(after)
        if end_s - stretches[at].span.start_s >= ENOUGH_CENTS_S or len(sure ^ own) > 1:
            break
        end_s, sure = after.span.end_s, sure & own
    return end_s, sure


def _find_sure(stretch: Stretch) -> frozenset[int]:
    return frozenset(np.flatnonzero(stretch.log_odds > SURE_LOG_ODDS).tolist())


def _write_sound(
    stretch: Stretch, samples: Samples, offset_cents: float, alike: tuple[float, frozenset[int]]
) -> HeardSound:
    pitches = tuple(
        HeardPitch(midi, round(log_odds, 3), round(float(stretch.bass_log_odds[midi]), 3))
        for midi, log_odds in enumerate(stretch.log_odds.tolist())
        if log_odds > LEAST_LOG_ODDS
    )
    if stretch.evidence.no_chord_reason is not None and not any(one.log_odds > 0 for one in pitches):
        pitches = ()
    span = stretch.span
    cents: tuple[HeardCents, ...] = ()
    end_s, sure = alike
    notes = [Pitch(midi) for midi in sorted(sure)]
    if len(samples) and notes and pitches and end_s - span.start_s >= LEAST_CENTS_S:
        measured = measure_cents(
            samples, notes, sample_rate_hz=STROKE_RATE_HZ, span_s=(span.start_s, end_s),
            tuning_offset_cents=offset_cents,
        )  # fmt: skip
        cents = tuple(HeardCents(pitch.midi, round(one, 2), weight) for pitch, (one, weight) in measured.items())
    return HeardSound(span.start_s, span.end_s, pitches, cents)
