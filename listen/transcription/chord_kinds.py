"""Chords that come back: their evidence is put together, so that a chord heard ten times is read better than once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.evidence import PitchEvidence, Stretch, StrumEvidence, TimeSpan
from listen.transcription.held_chords import HeldChord

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

ENOUGH_S = 0.5  # a stretch that sounds so long has its full say
JOINED_BASS_NATS = 3.0  # log-odds of the lowest string of a picked chord as its bass; judged
LEAST_SURE, LEAST_SILENT = 2.0, 4.0  # log-odds of what is held, whatever was heard of it, and against what is not
MOST_STRETCHES = 24  # of one kind; more add nothing but time


@dataclass(frozen=True, slots=True, eq=False)
class ChordKind:
    """One kind of chord of a part, however often it is held.

    Parameters
    ----------
    pitches : frozenset of int
        MIDI numbers that are held.
    evidence : StrumEvidence
        Mean over its stretches, in log-odds: the stretches share a player, a guitar and a room, so they are not
        independent, and a sum would be too sure.
    duration_s : float
        How long it sounds in all.
    ringing : tuple of int
        MIDI numbers that rang over into it from the chord before, once for each time that it was held.
    """

    pitches: frozenset[int]
    evidence: StrumEvidence
    duration_s: float
    ringing: tuple[int, ...] = ()


def gather_kinds(chords: Sequence[HeldChord]) -> tuple[ChordKind, ...]:
    """Put together the evidence of each kind of chord; those that come first are first."""
    alike: dict[frozenset[int], list[HeldChord]] = {}
    for chord in chords:
        alike.setdefault(chord.pitches, []).append(chord)
    return tuple(_gather(pitches, found) for pitches, found in alike.items())


def _join(held: list[Stretch], pitches: frozenset[int]) -> Stretch:
    """Join the stretches of a picked chord: what was heard at any time is held all the time."""
    log_odds = np.max([one.log_odds for one in held], axis=0)
    others = np.ones(len(log_odds), bool)
    others[sorted(pitches)] = False
    log_odds[others] = np.minimum(log_odds[others], np.mean([one.log_odds[others] for one in held], axis=0))
    sounding = np.flatnonzero(log_odds > 0)
    bass = np.full(len(log_odds), -JOINED_BASS_NATS)
    if len(sounding):
        bass[sounding[0]] = JOINED_BASS_NATS
    best: dict[int, PitchEvidence] = {}
    for one in held:
        for heard in one.evidence.pitches:
            if heard.pitch.midi not in best or heard.log_odds > best[heard.pitch.midi].log_odds:
                best[heard.pitch.midi] = heard
    accepted = [one for one in held if one.evidence.no_chord_reason is None]
    clearest = max(accepted if 2 * len(accepted) >= len(held) else held, key=lambda one: one.duration_s)
    evidence = replace(clearest.evidence, pitches=tuple(best[midi] for midi in sorted(best)))
    span = TimeSpan(held[0].span.start_s, held[-1].span.end_s)
    first, last = held[0].first, held[-1].last
    return Stretch(first, last, span, evidence, log_odds, bass, frozenset(), is_picked=True)


def _gather(pitches: frozenset[int], chords: list[HeldChord]) -> ChordKind:
    ringing: list[int] = []
    stretches: list[Stretch] = []
    for chord in chords:
        over = frozenset().union(*(one.ringing for one in chord.stretches if not one.is_picked))
        ringing.extend(sorted(over - pitches))
        held = list(chord.stretches)
        stretches.extend([_join(held, pitches)] if len(held) > 1 and chord.is_picked else held)
    duration_s = sum(stretch.duration_s for stretch in stretches)
    whole = [stretch for stretch in stretches if stretch.sounding >= pitches]
    stretches = whole or stretches  # strokes over some of its strings say little of the others
    longest = sorted(stretches, key=lambda stretch: -stretch.duration_s)[:MOST_STRETCHES]
    refused = [stretch.evidence.no_chord_reason for stretch in stretches]
    named = [reason for reason in refused if reason is not None]
    reason = None
    if 2 * len(named) > len(refused):
        reason = longest[0].evidence.no_chord_reason or named[0]
    evidence = replace(_average(longest), no_chord_reason=reason)
    return ChordKind(pitches, evidence, float(duration_s), tuple(ringing))


def gather_held(chords: Sequence[HeldChord]) -> tuple[ChordKind, ...]:
    """Put together the evidence of each kind of chord that was held: each string by the strokes that sounded it."""
    kinds = []
    for kind in gather_kinds(chords):
        alike = [chord for chord in chords if chord.pitches == kind.pitches]
        own = [stretch for chord in alike for stretch in chord.stretches]
        is_picked = all(chord.is_picked for chord in alike)
        is_chord = len(kind.pitches) > 1 and kind.evidence.no_chord_reason is None
        kinds.append(_pool_held(kind, own, is_picked) if is_chord else kind)
    return tuple(kinds)


def _pool_held(kind: ChordKind, stretches: list[Stretch], is_picked: bool) -> ChordKind:
    """Let the evidence of a chord say what is held.

    A string that some strokes missed is as sure as in the others, one that is picked, in a pattern or alone between
    strums, as sure as when it was picked; one that no stroke sounded is held all the same, as its decoding said; what
    sounds in passing, and is not held, counts against.
    """
    log_odds = np.array([stretch.log_odds for stretch in stretches])
    bass_log_odds = np.array([stretch.bass_log_odds for stretch in stretches])
    sounding = log_odds > 0.0
    alone = sounding & np.array([is_picked or stretch.is_picked for stretch in stretches])[:, None]
    held, lowest = _pool_odds(log_odds, sounding, alone), _pool_odds(bass_log_odds, sounding, alone)
    pitches = []
    for one in kind.evidence.pitches:
        midi = one.pitch.midi
        if midi in kind.pitches:
            bass = float(lowest[midi]) if midi == min(kind.pitches) else one.bass_log_odds
            pitches.append(replace(one, log_odds=float(held[midi]), bass_log_odds=bass))
        else:
            odds, bass = min(one.log_odds, -LEAST_SILENT), min(one.bass_log_odds, -LEAST_SILENT)
            pitches.append(replace(one, log_odds=odds, bass_log_odds=bass))
    return replace(kind, evidence=replace(kind.evidence, pitches=tuple(pitches)))


def _pool_odds(odds: Floats, sounding: Bools, alone: Bools) -> Floats:
    """Pool each pitch over the stretches that sound it, shape (128,): their mean, or the surest that picked it."""
    mean = (odds * sounding).sum(axis=0) / np.maximum(sounding.sum(axis=0), 1)
    surest = np.where(alone, odds, LEAST_SURE).max(axis=0)
    return np.asarray(np.maximum(np.maximum(mean, surest), LEAST_SURE))


def _average(stretches: list[Stretch]) -> StrumEvidence:
    """Average log-odds of pitches, bass and strings; the rest is that of the first stretch."""
    weights = np.minimum([stretch.duration_s for stretch in stretches], ENOUGH_S) + 0.05
    weights /= weights.sum()
    log_odds = weights @ np.array([one.log_odds for one in stretches])
    bass = weights @ np.array([one.bass_log_odds for one in stretches])
    first = stretches[0].evidence
    strings = _average_strings([heard.pitch.midi for heard in first.pitches], stretches, weights)
    pitches = tuple(
        replace(
            heard,
            log_odds=float(log_odds[heard.pitch.midi]),
            bass_log_odds=float(bass[heard.pitch.midi]),
            string_log_odds=string,
        )
        for heard, string in zip(first.pitches, strings, strict=True)
    )
    span = TimeSpan(first.span.start_s, first.span.end_s)
    return replace(first, span=span, pitches=pitches)


def _average_strings(midis: list[int], stretches: list[Stretch], weights: Floats) -> list[tuple[float, ...] | None]:
    """Average what stretches say of the strings of each pitch; None where none says anything."""
    tables = [
        {heard.pitch.midi: heard.string_log_odds for heard in one.evidence.pitches if heard.string_log_odds is not None}
        for one in stretches
    ]
    n_kinds = max((len(odds) for table in tables for odds in table.values()), default=0)
    nothing = (0.0,) * n_kinds
    said = np.array([[table.get(midi, nothing) for midi in midis] for table in tables])
    known = weights @ np.array([[midi in table for midi in midis] for table in tables], float)
    sums = np.einsum("s,spk->pk", weights, said)
    return [
        tuple(row) if total > 0.0 else None
        for row, total in zip((sums / np.maximum(known, 1e-12)[:, None]).tolist(), known.tolist(), strict=True)
    ]
