"""The sound of one stretch of like strokes: heard as a whole by its clearest stroke, or stroke by stroke."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from listen.audio.ear import Ear
from listen.audio.stroke_sound import measure_rises
from listen.audio.stroke_spectra import STROKE_RATE_HZ
from listen.audio.strokes import StrokeOnset
from listen.evidence import Stretch, StrumEvidence, TimeSpan
from listen.theory import Pitch

Samples = NDArray[np.float32]

ENOUGH_S = 0.35  # an ear's reading improves little when it hears a strum for longer
EARLY_S = 0.008  # onsets are found so late on the average: upstrokes are heard better with the whole attack
LEAST_APART_S, LEAST_HEARD_S = 0.05, 0.05  # strokes nearer are one; less is nothing to hear; judged
MOST_PICKED, DYAD = 1.9, 2
"""Pitches that rise at a stroke, mean over a stretch: .5 to 2.0 where strings are picked (24 seeded parts, 5th and 95th
percentile), 3.3 to 5.2 in strums at 2 a second, 1.8 to 3.8 at 6 a second."""
NEIGHBOURS_SAY = 3.0  # strokes
DAMPED_DB = -9.0  # a note that falls by more when the next is picked was stopped
RINGING_RISE_DB = 1.5
"""Of 1,227 notes struck anew at a change of chord, 1 in 40 rises by less in all strokes; of those that only ring over,
half."""


@dataclass(slots=True)
class StretchWindow:
    """The strokes of one stretch and the samples around them; it keeps what was measured.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, at :data:`~listen.audio.STROKE_RATE_HZ`
    from_s : float
        Where the samples begin; all times count from the start of the recording.
    offset_cents : float
        Of the tuning.
    places : tuple of int
        Which strokes of the core these are.
    strokes : tuple of StrokeOnset
    until_s : float
        Where the stretch ends.
    stops_s : tuple of float
        Hits after it begins: strings damped by one sound no longer.
    starts_s : tuple of float
        All strokes of the core, and where its sound ends.
    all_rises : list of dict of int to float
        By how many dB each pitch rises at each stroke.
    """

    samples: Samples
    from_s: float
    offset_cents: float
    places: tuple[int, ...]
    strokes: tuple[StrokeOnset, ...]
    until_s: float
    stops_s: tuple[float, ...]
    starts_s: tuple[float, ...]
    all_rises: list[dict[int, float]] = field(default_factory=list, init=False)
    _heard: dict[float, StrumEvidence] = field(default_factory=dict, init=False)

    def end_of(self, stroke: StrokeOnset) -> float:
        """Return until when a stroke and those like it may be listened to."""
        return min([self.until_s, *(stop for stop in self.stops_s if stop > stroke.onset_s)]) - 0.01

    def clearest(self) -> StrokeOnset:
        """Return the stroke worth hearing: the loudest, most likely a full one, of those that go on long enough."""
        best_s = max(min(ENOUGH_S, self.end_of(stroke) - stroke.onset_s) for stroke in self.strokes)
        long = [one for one in self.strokes if self.end_of(one) - one.onset_s >= best_s - 1e-6]
        return max(long, key=lambda stroke: stroke.level_db)

    def hear(self, ear: Ear, stroke: StrokeOnset) -> StrumEvidence:
        """Hear one stroke up to the next, in the recording's time; each is heard once."""
        if stroke.onset_s not in self._heard:
            hear_ahead(ear, [(self, stroke)])
        return self._heard[stroke.onset_s]

    def span_of(self, stroke: StrokeOnset) -> TimeSpan:
        """Return from when to when a stroke is listened to, counted from the first sample."""
        following = min([at for at in self.starts_s if at > stroke.onset_s + LEAST_APART_S], default=self.until_s)
        until_s = max(min(self.end_of(stroke), following), stroke.onset_s + LEAST_HEARD_S)
        return TimeSpan(max(0.0, stroke.onset_s - EARLY_S - self.from_s), until_s - self.from_s)

    def keep(self, stroke: StrokeOnset, evidence: StrumEvidence) -> None:
        """Keep what was heard of a stroke."""
        self._heard[stroke.onset_s] = replace(evidence, span=TimeSpan(stroke.onset_s, self.until_s))

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
        before = max([at for at in self.starts_s if at < stroke.onset_s], default=stroke.onset_s - 1.0)
        after = min([at for at in self.starts_s if at > stroke.onset_s], default=self.until_s)
        rises = measure_rises(
            self.samples, [Pitch(midi) for midi in midis], onset_s=stroke.onset_s - self.from_s,
            span_s=(before - self.from_s, after - self.from_s), tuning_offset_cents=self.offset_cents,
        )  # fmt: skip
        return {midi: rise for midi, rise in zip(midis, rises.tolist(), strict=True) if not np.isnan(rise)}


def hear_ahead(ear: Ear, strokes: Sequence[tuple[StretchWindow, StrokeOnset]]) -> None:
    """Hear strokes of windows of one core together, which takes less time; the windows keep what was heard."""
    if not strokes:
        return
    sound = strokes[0][0]
    heard = ear.hear_all(
        sound.samples, sample_rate_hz=STROKE_RATE_HZ, spans=[window.span_of(stroke) for window, stroke in strokes],
        tuning_offset_cents=sound.offset_cents, physics=False,
    )  # fmt: skip
    for (window, stroke), evidence in zip(strokes, heard, strict=True):
        window.keep(stroke, evidence)


def hear_stretch(ear: Ear, window: StretchWindow, before: Stretch | None, *, base: int) -> Stretch:
    """Hear a stretch by its clearest stroke.

    Parameters
    ----------
    ear : Ear
    window : StretchWindow
    before : Stretch or None
    base : int
        How many strokes the part has before the window's core.
    """
    evidence = window.hear(ear, window.clearest())
    span = TimeSpan(window.strokes[0].onset_s, window.until_s)
    stretch = Stretch.of(evidence, (base + window.places[0], base + window.places[-1]), span)
    return stretch.without(_find_ringing(window, stretch, before))


def hear_strokes(
    ear: Ear, window: StretchWindow, before: Stretch | None, *, is_picked: bool, base: int
) -> list[Stretch]:
    """Hear each stroke of a stretch by itself; where it is picked, tell whether the notes before it ring on."""
    ends_s = [*(stroke.onset_s for stroke in window.strokes[1:]), window.until_s]
    heard: list[Stretch] = []
    for place, stroke, end_s in zip(window.places, window.strokes, ends_s, strict=True):
        evidence = window.hear(ear, stroke)
        span = TimeSpan(stroke.onset_s, end_s)
        found = Stretch.of(replace(evidence, span=span), (base + place, base + place), span)
        if is_picked:
            earlier = heard[-1].sounding if heard else frozenset() if before is None else before.sounding
            gone = earlier - found.sounding
            rises = window.measure_rises_at(stroke, sorted(gone | found.sounding))
            ringing = frozenset(midi for midi in gone if rises.get(midi, -np.inf) > DAMPED_DB)
            n_struck = sum(rises.get(midi, 0.0) > RINGING_RISE_DB for midi in found.sounding)
            if n_struck <= DYAD:  # else a brush between bass notes
                found = replace(found, is_picked=True, ringing=ringing)
        heard.append(found)
    measured = frozenset().union(*window.all_rises)
    others = frozenset().union(*(stretch.sounding for stretch in heard)) - measured
    if others and not is_picked:
        window.measure_all_rises(sorted(others))
    return heard


def _find_ringing(window: StretchWindow, stretch: Stretch, before: Stretch | None) -> frozenset[int]:
    """Find pitches that sounded before and do not rise at any stroke: strings that nobody struck."""
    sounding = sorted(stretch.sounding)
    window.measure_all_rises(sounding)
    if before is None or len(sounding) < 2:
        return frozenset()
    held_over = (before.sounding | before.ringing) & stretch.sounding
    most = {midi: max((rises.get(midi, -np.inf) for rises in window.all_rises), default=-np.inf) for midi in held_over}
    return frozenset(midi for midi, rise in most.items() if -np.inf < rise < RINGING_RISE_DB)
