"""Listen to a part of any length in flat memory: blocks of samples in, strokes and stretches out.

Twenty seconds are worked on at a time, with a second before and three after them in sight, so that no stroke is cut.
Only one strum in each stretch of like strokes is given to the ear: an hour of strumming has ten thousand strokes, and
they repeat.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from listen.audio import (
    STROKE_RATE_HZ,
    Ear,
    StrokeOnset,
    estimate_tuning_offset,
    find_strokes,
    load_ear,
    measure_lean,
    measure_profile,
    measure_rises,
    probe_recording,
    stream_blocks,
)
from listen.evidence import StrumEvidence, TimeSpan
from listen.reading import TuningPoint
from listen.theory import Pitch
from listen.transcription.heard_part import Floats, HeardPart, HeardStroke, Stretch, spread_over_pitches
from listen.transcription.ringing import take_out
from listen.transcription.stretches import cut_stretches

Samples = NDArray[np.float32]

CORE_S, BEFORE_S, AFTER_S = 20.0, 1.0, 3.0
ENOUGH_S = 0.35  # an ear's reading improves little when it hears a strum for longer
EAR = "trained"  # hears up to a cut: in a part the next stroke comes soon
EARLY_S = 0.008  # onsets are found so late on the average: upstrokes are heard better with the whole attack
LONGEST_RING_S = 6.0
MOST_PICKED, DYAD = 1.9, 2
"""Pitches that rise at a stroke, mean over a stretch: .5 to 2.0 where strings are picked (24 seeded parts, 5th and 95th
percentile), 3.3 to 5.2 in strums at 2 a second, 1.8 to 3.8 at 6 a second."""
NEIGHBOURS_SAY = 3.0  # strokes
DAMPED_DB = -9.0  # a note that falls by more when the next is picked was stopped
RINGING_RISE_DB = 1.5
"""Of 1,227 notes struck anew at a change of chord, 1 in 40 rises by less in all strokes; of those that only ring over,
half."""
SURE_OFFSET_CENTS = 12.0
CLIPPED_SHARE = 0.985  # three samples in a row so near the largest of twenty seconds: the wave is cut off
QUIET_DB, QUIET_LONGEST_S = -48.0, 1.0  # against the loudest tenth of a second so far; shorter rests are strokes' ends


def stream_for_strokes(path: Path | str, *, channel: str = "mix", span: TimeSpan | None = None) -> Iterator[Samples]:
    """Read a recording block by block at the rate that strokes are found at."""
    import soxr

    rate_hz = probe_recording(path).sample_rate_hz
    stream = soxr.ResampleStream(rate_hz, STROKE_RATE_HZ, 1, dtype="float32")
    for block in stream_blocks(path, channel=channel, block_s=10.0, span=span):
        yield np.asarray(stream.resample_chunk(block), np.float32)
    yield np.asarray(stream.resample_chunk(np.zeros(0, np.float32), last=True), np.float32)


def hear_part(
    blocks: Iterable[Samples],
    *,
    start_s: float = 0.0,
    every_stroke: bool = True,
    progress: Callable[[float], None] | None = None,
) -> tuple[HeardPart, bool]:
    """Hear a part.

    Parameters
    ----------
    blocks : iterable of ndarray, shape (n,), mono, at :data:`~listen.audio.STROKE_RATE_HZ`
    start_s : float
        Where the first block lies in the recording.
    every_stroke : bool
        Whether each stroke of fast strumming is listened to, where chords are easily missed, and not only one in a
        stretch of like ones: four times the work.
    progress : callable or None
        Told, now and then, up to where the part has been heard.

    Returns
    -------
    heard : HeardPart
    complete : bool
        False when it was interrupted from the keyboard: what was heard until then is returned.
    """
    heard = HeardPart(begin_s=start_s, read_until_s=start_s)
    ear = load_ear(EAR)

    def hear(core_s: tuple[float, float]) -> None:
        in_sight = kept[: max(0, round((core_s[1] + AFTER_S - kept_from_s) * STROKE_RATE_HZ))]
        _hear_core(heard, ear, in_sight, kept_from_s, core_s, every_stroke)

    kept = np.zeros(0, np.float32)
    kept_from_s, core_s = start_s, start_s
    try:
        for block in blocks:
            kept = np.concatenate([kept, block])
            while len(kept) >= (core_s - kept_from_s + CORE_S + AFTER_S) * STROKE_RATE_HZ:
                hear((core_s, core_s + CORE_S))
                core_s += CORE_S
                drop = max(0, round((core_s - BEFORE_S - kept_from_s) * STROKE_RATE_HZ))
                kept, kept_from_s = kept[drop:], kept_from_s + drop / STROKE_RATE_HZ
                if progress is not None:
                    progress(core_s)
        end_s = kept_from_s + len(kept) / STROKE_RATE_HZ
        if end_s > core_s:
            hear((core_s, end_s))
    except KeyboardInterrupt:
        _forget_unfinished(heard)
        return heard, False
    return heard, True


def _forget_unfinished(heard: HeardPart) -> None:
    """Forget what was begun after the last core that was heard to its end."""
    heard.strokes = [stroke for stroke in heard.strokes if stroke.onset.onset_s < heard.read_until_s]
    heard.stretches = [stretch for stretch in heard.stretches if stretch.last < len(heard.strokes)]
    heard.quiet = [span for span in heard.quiet if span.start_s < heard.read_until_s]


def _hear_core(
    heard: HeardPart, ear: Ear, samples: Samples, from_s: float, core_s: tuple[float, float], every_stroke: bool
) -> None:
    """Hear one core; all its strokes begin inside it."""
    found = [replace(stroke, onset_s=stroke.onset_s + from_s) for stroke in find_strokes(samples)]
    last_s = heard.strokes[-1].onset.onset_s if heard.strokes else -np.inf
    core = [stroke for stroke in found if core_s[0] <= stroke.onset_s < core_s[1] and stroke.onset_s > last_s + 0.05]
    later = [stroke for stroke in found if stroke.onset_s >= core_s[1]]
    end_s = from_s + len(samples) / STROKE_RATE_HZ
    starts = [stroke.onset_s for stroke in core] + [later[0].onset_s if later else end_s]
    offset = _estimate_offset(heard, samples, from_s, core, starts)
    profiles = [
        measure_profile(samples, onset_s=one.onset_s - from_s, until_s=until - from_s, tuning_offset_cents=offset)
        for one, until in zip(core, starts[1:], strict=True)
    ]
    base = len(heard.strokes)
    leans = [measure_lean(samples, onset_s=stroke.onset_s - from_s) for stroke in core]
    heard.strokes.extend(HeardStroke(*each) for each in zip(core, profiles, leans, strict=True))
    _note_quiet(heard, samples, from_s, core_s)
    pitched = [place for place, stroke in enumerate(core) if not stroke.is_hit]
    cuts = cut_stretches(np.array([profiles[place] for place in pitched])) if pitched else []
    windows = []
    for number, (first, last) in enumerate(cuts):
        places = pitched[first : last + 1]
        until_s = core[pitched[last + 1]].onset_s if number + 1 < len(cuts) else starts[-1]
        until_s = min(until_s, core[places[-1]].onset_s + LONGEST_RING_S)
        stops = [stroke.onset_s for stroke in core if stroke.is_hit and stroke.onset_s > core[places[0]].onset_s]
        windows.append(
            (_Window(samples, from_s, offset, [core[place] for place in places], until_s, stops, starts), places)
        )
    _hear_windows(heard, ear, windows, base, every_stroke)
    heard.read_until_s = min(core_s[1], end_s)


def _hear_windows(
    heard: HeardPart, ear: Ear, windows: list[tuple[_Window, list[int]]], base: int, every_stroke: bool
) -> None:
    """Hear the stretches of a core, and their strokes where these have to be heard by themselves."""
    stretches: list[Stretch] = []
    for window, places in windows:
        before = stretches[-1] if stretches else heard.stretches[-1] if heard.stretches else None
        stretches.append(_hear_stretch(ear, window, (base + places[0], base + places[-1]), before))
    counts = [count for window, _ in windows for count in window.counts_rising]
    usual = float(np.mean(counts)) if counts else 0.0
    for (window, places), clearest in zip(windows, stretches, strict=True):
        stretch = replace(clearest, is_picked=window.is_picked(usual))
        if stretch.is_picked or every_stroke:
            before = heard.stretches[-1] if heard.stretches else None
            heard.stretches.extend(_hear_strokes(ear, window, [base + place for place in places], stretch, before))
        else:
            heard.stretches.append(stretch)
        for place, rises in zip(places, window.all_rises, strict=True):
            heard.strokes[base + place] = replace(heard.strokes[base + place], rises=rises)


class _Window:
    """The strokes of one stretch and the samples around them; times count from the start of the recording."""

    def __init__(
        self, samples: Samples, from_s: float, offset: float, strokes: list[StrokeOnset], until_s: float,
        stops: list[float], starts: list[float],
    ) -> None:  # fmt: skip
        self.samples, self.from_s, self.offset = samples, from_s, offset
        self.strokes, self.until_s = strokes, until_s
        self._stops, self._starts = stops, starts
        self.all_rises: list[dict[int, float]] = []
        self._heard: dict[float, StrumEvidence] = {}

    def end_of(self, stroke: StrokeOnset) -> float:
        """Until when a stroke and those like it may be listened to: strings damped by a hit sound no longer."""
        return min([self.until_s, *(stop for stop in self._stops if stop > stroke.onset_s)]) - 0.01

    def clearest(self) -> StrokeOnset:
        """Return the stroke worth hearing: the loudest, most likely a full one, of those that go on long enough."""
        best_s = max(min(ENOUGH_S, self.end_of(stroke) - stroke.onset_s) for stroke in self.strokes)
        long = [one for one in self.strokes if self.end_of(one) - one.onset_s >= best_s - 1e-6]
        return max(long, key=lambda stroke: stroke.level_db)

    def hear(self, ear: Ear, stroke: StrokeOnset) -> StrumEvidence:
        """Hear one stroke up to the next, in the recording's time; each is heard once."""
        if stroke.onset_s in self._heard:
            return self._heard[stroke.onset_s]
        following = min([at for at in self._starts if at > stroke.onset_s + 0.05], default=self.until_s)
        until_s = max(min(self.end_of(stroke), following), stroke.onset_s + 0.05)
        evidence = ear.hear(
            self.samples, sample_rate_hz=STROKE_RATE_HZ, onset_s=max(0.0, stroke.onset_s - EARLY_S - self.from_s),
            until_s=until_s - self.from_s, tuning_offset_cents=self.offset,
            physics=False,
        )  # fmt: skip
        self._heard[stroke.onset_s] = replace(evidence, span=TimeSpan(stroke.onset_s, self.until_s))
        return self._heard[stroke.onset_s]

    @property
    def counts_rising(self) -> list[int]:
        """How many pitches rise at each stroke, where more than a double stop sounds."""
        told = [rises for rises in self.all_rises if len(rises) > DYAD]
        return [sum(rise > 0.0 for rise in rises.values()) for rises in told]

    def is_picked(self, usual: float) -> bool:
        """Return whether the strokes raise one or two pitches each, or no more were heard at all.

        Few strokes are judged together with what is usual around them: a hand does not change its way for one chord.
        """
        counts = self.counts_rising
        if not counts:
            return True
        return (sum(counts) + NEIGHBOURS_SAY * usual) / (len(counts) + NEIGHBOURS_SAY) < MOST_PICKED

    def measure_all_rises(self, midis: list[int]) -> None:
        """Measure how pitches rise at each stroke; what was measured before stays."""
        new = [self.measure_rises_at(stroke, midis) for stroke in self.strokes]
        known = self.all_rises or [{} for _ in self.strokes]
        self.all_rises = [before | rises for before, rises in zip(known, new, strict=True)]

    def measure_rises_at(self, stroke: StrokeOnset, midis: list[int]) -> dict[int, float]:
        """Measure how pitches rise at one stroke, as far as it can be told."""
        before = max([at for at in self._starts if at < stroke.onset_s], default=stroke.onset_s - 1.0)
        after = min([at for at in self._starts if at > stroke.onset_s], default=self.until_s)
        rises = measure_rises(
            self.samples, [Pitch(midi) for midi in midis], onset_s=stroke.onset_s - self.from_s,
            span_s=(before - self.from_s, after - self.from_s), tuning_offset_cents=self.offset,
        )  # fmt: skip
        return {midi: rise for midi, rise in zip(midis, rises.tolist(), strict=True) if not np.isnan(rise)}


def _hear_stretch(ear: Ear, window: _Window, places: tuple[int, int], before: Stretch | None) -> Stretch:
    """Hear the clearest strum of a stretch."""
    evidence = window.hear(ear, window.clearest())
    log_odds, bass = spread_over_pitches(evidence)
    span = TimeSpan(window.strokes[0].onset_s, window.until_s)
    ringing = _find_ringing(window, log_odds, before)
    if ringing:
        log_odds, bass = take_out(log_odds, bass, ringing)
    return Stretch(places[0], places[1], span, evidence, log_odds, bass, ringing)


def _hear_strokes(
    ear: Ear, window: _Window, places: list[int], stretch: Stretch, before: Stretch | None
) -> list[Stretch]:
    """Hear each stroke of a stretch by itself; where it is picked, tell whether the notes before it ring on."""
    ends = [*(stroke.onset_s for stroke in window.strokes[1:]), window.until_s]
    heard: list[Stretch] = []
    for place, stroke, end_s in zip(places, window.strokes, ends, strict=True):
        evidence = window.hear(ear, stroke)
        span = TimeSpan(stroke.onset_s, end_s)
        found = Stretch(place, place, span, replace(evidence, span=span), *spread_over_pitches(evidence))
        if stretch.is_picked:
            earlier = heard[-1].sounding if heard else frozenset() if before is None else before.sounding
            gone = earlier - found.sounding
            rises = window.measure_rises_at(stroke, sorted(gone | found.sounding))
            ringing = frozenset(midi for midi in gone if rises.get(midi, -np.inf) > DAMPED_DB)
            n_struck = sum(rises.get(midi, 0.0) > RINGING_RISE_DB for midi in found.sounding)
            if n_struck <= DYAD:  # else a brush between bass notes
                found = replace(found, is_picked=True, ringing=ringing)
        heard.append(found)
    measured = frozenset().union(*window.all_rises)
    others = frozenset().union(*(one.sounding for one in heard)) - measured
    if others and not stretch.is_picked:
        window.measure_all_rises(sorted(others))
    return heard


def _find_ringing(window: _Window, log_odds: Floats, before: Stretch | None) -> frozenset[int]:
    """Find pitches that sounded before and do not rise at any stroke: strings that nobody struck."""
    sounding = np.flatnonzero(log_odds > 0).tolist()
    window.measure_all_rises(sounding)
    if before is None or len(sounding) < 2:
        return frozenset()
    held_over = (before.sounding | before.ringing) & frozenset(sounding)
    most = {midi: max((rises.get(midi, -np.inf) for rises in window.all_rises), default=-np.inf) for midi in held_over}
    return frozenset(midi for midi, rise in most.items() if -np.inf < rise < RINGING_RISE_DB)


def _estimate_offset(
    heard: HeardPart, samples: Samples, from_s: float, core: list[StrokeOnset], starts: list[float]
) -> float:
    """Estimate the tuning offset of a core from its longest strums; the value of the core before where none is sure."""
    gaps = sorted(
        ((until - one.onset_s, one.onset_s) for one, until in zip(core, starts[1:], strict=True) if not one.is_hit),
        reverse=True,
    )[:12]
    vector, last = 0j, heard.drift[-1].offset_cents if heard.drift else 0.0
    for gap, onset_s in gaps:
        first = round((onset_s - from_s) * STROKE_RATE_HZ)
        piece = samples[first : first + round(min(gap, 1.5) * STROKE_RATE_HZ)]
        offset = estimate_tuning_offset(piece, sample_rate_hz=STROKE_RATE_HZ)
        if offset.sigma < SURE_OFFSET_CENTS:
            vector += np.exp(2j * np.pi * offset.value / 100.0) / (offset.sigma + 1.0) ** 2
    if vector == 0:
        return last
    value = float(np.angle(vector)) / (2 * np.pi) * 100.0
    if heard.drift:  # a drift may pass the middle between two semitones
        value += 100.0 * round((last - value) / 100.0)
    heard.drift.append(TuningPoint(core[0].onset_s, value))
    return value


def _note_quiet(heard: HeardPart, samples: Samples, from_s: float, core_s: tuple[float, float]) -> None:
    """Note where nothing sounds for a while; a rest that goes on joins that of the core before."""
    first, last = (round((at - from_s) * STROKE_RATE_HZ) for at in core_s)
    step = STROKE_RATE_HZ // 10
    piece = samples[first:last]
    n = len(piece) // step
    if n == 0:
        return
    clipped = np.abs(piece) >= CLIPPED_SHARE * max(float(np.abs(piece).max()), 1e-6)
    heard.n_clipped += int((clipped[1:-1] & clipped[:-2] & clipped[2:]).sum())
    level = 10.0 * np.log10(np.square(piece[: n * step].reshape(n, step), dtype=np.float64).mean(axis=1) + 1e-12)
    heard.loudest_db = max(heard.loudest_db, float(level.max()))
    quiet = np.concatenate([[False], level < max(heard.loudest_db + QUIET_DB, -75.0), [False]])
    edges = np.flatnonzero(np.diff(quiet.astype(int)))
    for begin, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        span = TimeSpan(core_s[0] + 0.1 * begin, core_s[0] + 0.1 * end)
        if heard.quiet and span.start_s - heard.quiet[-1].end_s < 0.11:
            heard.quiet[-1] = TimeSpan(heard.quiet[-1].start_s, span.end_s)
        else:
            heard.quiet.append(span)
