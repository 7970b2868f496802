"""Hear some seconds of a part: its strokes, and the stretches of strokes that sound alike.

Only one strum in each stretch of like strokes need be given to the ear: an hour of strumming has ten thousand strokes,
and they repeat.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from listen.audio.ear import Ear
from listen.audio.quiet import QUIET_STEP_S, find_quiet, join_quiet, measure_levels
from listen.audio.stretch_window import LEAST_APART_S, StretchWindow, hear_ahead, hear_stretch, hear_strokes
from listen.audio.stretches import cut_stretches
from listen.audio.stroke_sound import PROFILE_MIDI, measure_profile
from listen.audio.stroke_spectra import STROKE_RATE_HZ
from listen.audio.strokes import StrokeOnset, find_strokes
from listen.audio.tuning_offset import SURE_OFFSET_CENTS, estimate_tuning_offset
from listen.evidence import PartEvidence, Stretch, StrokeEvidence, TimeSpan, TuningPoint

Samples = NDArray[np.float32]

LONGEST_RING_S = 6.0  # a stretch is said to sound no longer after its last stroke; judged
FELT_AFTER_S = 0.02
"""A stroke is felt a little after its first string is touched (Gordon 1987; how long is judged). On ten takes of a
person the network's strokes lie 44 ms before those of a sensor at the hand, in the middle, and slow ones 105 ms."""
OFFSET_STRUMS, OFFSET_LONGEST_S = 12, 1.5  # the longest strums of a core tell the tuning offset
TELLING_CENTS, LEAST_AGREEMENT = 2.5, 4.6
"""A core tells its tuning where a strum's offset is surer than that, or where they agree: as 1 in 100 of directions
drawn by chance do (Rayleigh's test, e^-4.6). Peaks of noise crowd somewhere too: of 1200 stretches of drawn road noise
5 are surer, where a person strums (five recordings by line and by phone) the middle strum has 1 to 1.6."""
CLIPPED_SHARE = 0.985  # three samples in a row so near the largest of twenty seconds: the wave is cut off
N_LOW = 55 - PROFILE_MIDI.start  # semitones of a profile up to F♯3


@dataclass(frozen=True, slots=True)
class CoreSound:
    """Samples to be heard, and which seconds of them.

    Parameters
    ----------
    samples : ndarray, shape (n,), mono, at :data:`~listen.audio.STROKE_RATE_HZ`
    from_s : float
        Where the samples begin.
    core : TimeSpan
        The strokes that begin inside it are heard; what lies around it is in sight.
    """

    samples: Samples
    from_s: float
    core: TimeSpan

    @property
    def end_s(self) -> float:
        """Where the samples end."""
        return self.from_s + len(self.samples) / STROKE_RATE_HZ


def hear_core(
    heard: PartEvidence, sound: CoreSound, ear: Ear, *, loudest_db: float, every_stroke: bool
) -> tuple[PartEvidence, float]:
    """Hear one core and join it to what was heard before.

    Parameters
    ----------
    heard : PartEvidence
        Up to the core.
    sound : CoreSound
    ear : Ear
    loudest_db : float
        Of any tenth of a second so far, against full scale.
    every_stroke : bool
        As in :func:`listen.audio.hear_part`.

    Returns
    -------
    PartEvidence, float
        Up to the end of the core, and the loudest tenth of a second until there.
    """
    onsets, following_s = _find_onsets(heard, sound)
    starts_s = [*(stroke.onset_s for stroke in onsets), following_s]
    tuning = _estimate_tuning(heard, sound, onsets, starts_s)
    offset_cents = tuning[-1].offset_cents if tuning else 0.0
    profiles = [
        measure_profile(
            sound.samples,
            onset_s=begin_s - sound.from_s,
            until_s=until_s - sound.from_s,
            tuning_offset_cents=offset_cents,
        )
        for begin_s, until_s in pairwise(starts_s)
    ]
    strokes = [
        StrokeEvidence(
            onset.onset_s + FELT_AFTER_S,
            onset.level_db,
            onset.sustain_db,
            onset.is_hit,
            onset.lean,
            _measure_low_share(profile),
            late=onset.late,
        )
        for onset, profile in zip(onsets, profiles, strict=True)
    ]
    windows = _open_windows(sound, onsets, profiles, starts_s, offset_cents)
    stretches, rises = _hear_windows(heard, ear, windows, every_stroke=every_stroke)
    strokes = [replace(stroke, rises=rises.get(place, {})) for place, stroke in enumerate(strokes)]
    loudest_db = max([loudest_db, *measure_levels(_cut_core(sound)).tolist()])
    until_s = min(sound.core.end_s, sound.end_s)
    return PartEvidence(
        span=TimeSpan(heard.span.start_s, until_s),
        strokes=(*heard.strokes, *strokes),
        stretches=(*heard.stretches, *stretches),
        tuning=tuning,
        quiet=join_quiet(heard.quiet, _find_quiet(sound, loudest_db)),
        n_clipped=heard.n_clipped + _count_clipped(sound),
    ), loudest_db


def _find_onsets(heard: PartEvidence, sound: CoreSound) -> tuple[list[StrokeOnset], float]:
    """Find the strokes that begin inside the core, and when the next one does, or the samples end."""
    found = [replace(stroke, onset_s=stroke.onset_s + sound.from_s) for stroke in find_strokes(sound.samples)]
    last_s = heard.strokes[-1].onset_s - FELT_AFTER_S if heard.strokes else -np.inf
    core = [
        stroke
        for stroke in found
        if sound.core.start_s <= stroke.onset_s < sound.core.end_s and stroke.onset_s > last_s + LEAST_APART_S
    ]
    return core, min((stroke.onset_s for stroke in found if stroke.onset_s >= sound.core.end_s), default=sound.end_s)


def _measure_low_share(profile: NDArray[np.float64]) -> float:
    """Measure how much of a stroke lies low."""
    roots = np.sqrt(profile)
    return float(roots[:N_LOW].sum() / (roots.sum() + 1e-9))


def _open_windows(
    sound: CoreSound,
    onsets: list[StrokeOnset],
    profiles: list[NDArray[np.float64]],
    starts_s: list[float],
    offset_cents: float,
) -> list[StretchWindow]:
    """Cut the strokes with pitch into stretches that sound alike, each with the samples around it."""
    pitched = [place for place, stroke in enumerate(onsets) if not stroke.is_hit]
    cuts = cut_stretches(np.array([profiles[place] for place in pitched])) if pitched else []
    windows = []
    for number, (first, last) in enumerate(cuts):
        places = pitched[first : last + 1]
        until_s = onsets[pitched[last + 1]].onset_s if number + 1 < len(cuts) else starts_s[-1]
        until_s = min(until_s, onsets[places[-1]].onset_s + LONGEST_RING_S)
        stops_s = [one.onset_s for one in onsets if one.is_hit and one.onset_s > onsets[places[0]].onset_s]
        windows.append(
            StretchWindow(
                sound.samples, sound.from_s, offset_cents, tuple(places), tuple(onsets[place] for place in places),
                until_s, tuple(stops_s), tuple(starts_s),
            )
        )  # fmt: skip
    return windows


def _hear_windows(
    heard: PartEvidence, ear: Ear, windows: list[StretchWindow], *, every_stroke: bool
) -> tuple[list[Stretch], dict[int, dict[int, float]]]:
    """Hear the stretches of a core, and their strokes where these have to be heard by themselves.

    Returns the stretches, and how pitches rise at each stroke of the core, by its place in it.
    """
    base = len(heard.strokes)
    last = heard.stretches[-1] if heard.stretches else None
    wholes: list[Stretch] = []
    hear_ahead(
        ear,
        [(one, stroke) for one in windows for stroke in (one.strokes if every_stroke else [one.clearest()])],
    )
    for window in windows:
        wholes.append(hear_stretch(ear, window, wholes[-1] if wholes else last, base=base))
    counts = [count for window in windows for count in window.counts_rising]
    usual = float(np.mean(counts)) if counts else 0.0
    if not every_stroke:
        picked = [window for window in windows if window.is_picked(usual)]
        hear_ahead(ear, [(window, stroke) for window in picked for stroke in window.strokes])
    stretches: list[Stretch] = []
    rises: dict[int, dict[int, float]] = {}
    for window, whole in zip(windows, wholes, strict=True):
        is_picked = window.is_picked(usual)
        if is_picked or every_stroke:
            before = stretches[-1] if stretches else last
            stretches.extend(hear_strokes(ear, window, before, is_picked=is_picked, base=base))
        else:
            stretches.append(whole)
        rises.update(zip(window.places, window.all_rises, strict=True))
    return stretches, rises


def _estimate_tuning(
    heard: PartEvidence, sound: CoreSound, onsets: list[StrokeOnset], starts_s: list[float]
) -> tuple[TuningPoint, ...]:
    """Add the tuning offset of a core, told from its longest strums; nothing where none is sure."""
    gaps = sorted(
        ((until_s - one.onset_s, one.onset_s) for one, until_s in zip(onsets, starts_s[1:], strict=True)
         if not one.is_hit),
        reverse=True,
    )[:OFFSET_STRUMS]  # fmt: skip
    offsets = []
    for gap_s, onset_s in gaps:
        first = round((onset_s - sound.from_s) * STROKE_RATE_HZ)
        piece = sound.samples[first : first + round(min(gap_s, OFFSET_LONGEST_S) * STROKE_RATE_HZ)]
        offset = estimate_tuning_offset(piece, sample_rate_hz=STROKE_RATE_HZ)
        if offset.sigma < SURE_OFFSET_CENTS:
            offsets.append(offset)
    weights = np.array([1.0 / (one.sigma + 1.0) ** 2 for one in offsets])
    vector = complex(weights @ np.exp(2j * np.pi * np.array([one.value for one in offsets]) / 100.0))
    agree = bool(offsets) and abs(vector) ** 2 > LEAST_AGREEMENT * float((weights**2).sum())
    if not agree and min((one.sigma for one in offsets), default=SURE_OFFSET_CENTS) >= TELLING_CENTS:
        return heard.tuning
    cents = float(np.angle(vector)) / (2 * np.pi) * 100.0
    if heard.tuning:  # a drift may pass the middle between two semitones
        cents += 100.0 * round((heard.tuning[-1].offset_cents - cents) / 100.0)
    return (*heard.tuning, TuningPoint(onsets[0].onset_s, cents))


def _cut_core(sound: CoreSound) -> Samples:
    first, last = (round((at_s - sound.from_s) * STROKE_RATE_HZ) for at_s in (sound.core.start_s, sound.core.end_s))
    return sound.samples[first:last]


def _count_clipped(sound: CoreSound) -> int:
    piece = _cut_core(sound)
    clipped = np.abs(piece) >= CLIPPED_SHARE * max(float(np.abs(piece).max(initial=0.0)), 1e-6)
    return int((clipped[1:-1] & clipped[:-2] & clipped[2:]).sum())


def _find_quiet(sound: CoreSound, loudest_db: float) -> list[TimeSpan]:
    """Find the silences of a core, with what lies around it in sight."""
    first, last = (round((at_s - sound.from_s) / QUIET_STEP_S) for at_s in (sound.core.start_s, sound.core.end_s))
    return find_quiet(sound.samples, slice(first, last), loudest_db=loudest_db, start_s=sound.core.start_s)
