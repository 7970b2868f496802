"""Chords that come back: their evidence is put together, so that a chord heard ten times is read better than once."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from listen.evidence import PitchEvidence, StrumEvidence, TimeSpan
from listen.transcription.heard_part import Stretch
from listen.transcription.held_chords import HeldChord

ENOUGH_S = 0.5  # a stretch that sounds so long has its full say
JOINED_BASS_NATS = 3.0
MOST_STRETCHES = 24  # of one kind; more add nothing but time


@dataclass(frozen=True, slots=True)
class ChordKind:
    """One kind of chord of a part.

    Parameters
    ----------
    evidence : StrumEvidence
        Mean over its stretches, in log-odds: the stretches share a player, a guitar and a room, so they are not
        independent, and a sum would be too sure.
    duration_s : float
        How long it sounds in all.
    ringing : tuple of int
        MIDI numbers that rang over into it from the chord before, once for each time that it was held.
    """

    evidence: StrumEvidence
    duration_s: float
    ringing: tuple[int, ...] = ()


def gather_kinds(
    chords: list[HeldChord], stretches: list[Stretch], pitches: list[frozenset[int]]
) -> dict[int, ChordKind]:
    """Put together the evidence of each kind of chord.

    Parameters
    ----------
    chords : list of HeldChord
    stretches : list of Stretch
    pitches : list of frozenset of int
        MIDI numbers of each kind.

    Returns
    -------
    dict of int to ChordKind
        By :attr:`HeldChord.kind`.
    """
    members: dict[int, list[Stretch]] = {}
    ringing: dict[int, list[int]] = {}
    for chord in chords:
        held = stretches[chord.first : chord.last + 1]
        over = frozenset().union(*(one.ringing for one in held if not one.is_picked)) - pitches[chord.kind]
        ringing.setdefault(chord.kind, []).extend(sorted(over))
        members.setdefault(chord.kind, []).extend(
            [_join(held, pitches[chord.kind])] if len(held) > 1 and _is_picked(held) else held
        )
    return {kind: _gather(found, pitches[kind], tuple(ringing[kind])) for kind, found in members.items()}


def _is_picked(held: list[Stretch]) -> bool:
    return sum(one.is_picked for one in held) * 2 > len(held)


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
    clearest = max(held, key=lambda one: one.span.end_s - one.span.start_s)
    evidence = replace(clearest.evidence, pitches=tuple(best[midi] for midi in sorted(best)))
    span = TimeSpan(held[0].span.start_s, held[-1].span.end_s)
    first, last = held[0].first, held[-1].last
    return Stretch(first, last, span, evidence, log_odds, bass, frozenset(), is_picked=True)


def _gather(stretches: list[Stretch], pitches: frozenset[int], ringing: tuple[int, ...]) -> ChordKind:
    duration_s = sum(one.span.end_s - one.span.start_s for one in stretches)
    whole = [one for one in stretches if one.sounding >= pitches]
    stretches = whole or stretches  # strokes over some of its strings say little of the others
    lengths = [one.span.end_s - one.span.start_s for one in stretches]
    order = sorted(range(len(stretches)), key=lambda place: -lengths[place])[:MOST_STRETCHES]
    clearest = stretches[order[0]]
    refused = [one.evidence.no_chord_reason for one in stretches]
    evidence = _average([stretches[place] for place in order], [lengths[place] for place in order])
    named = [reason for reason in refused if reason is not None]
    if 2 * len(named) > len(refused):
        evidence = replace(evidence, no_chord_reason=clearest.evidence.no_chord_reason or named[0])
    else:
        evidence = replace(evidence, no_chord_reason=None)
    return ChordKind(evidence, float(duration_s), ringing)


def _average(stretches: list[Stretch], lengths: list[float]) -> StrumEvidence:
    """Average log-odds of pitches, bass and strings; the rest is that of the longest stretch."""
    weights = np.minimum(np.array(lengths), ENOUGH_S) + 0.05
    weights /= weights.sum()
    log_odds = weights @ np.array([one.log_odds for one in stretches])
    bass = weights @ np.array([one.bass_log_odds for one in stretches])
    first = stretches[0].evidence
    tables = [
        {heard.pitch.midi: heard.string_log_odds for heard in one.evidence.pitches if heard.string_log_odds is not None}
        for one in stretches
    ]
    pitches: list[PitchEvidence] = []
    for heard in first.pitches:
        midi = heard.pitch.midi
        rows = [(table[midi], weight) for table, weight in zip(tables, weights.tolist(), strict=True) if midi in table]
        strings = None
        if rows:
            total = sum(weight for _, weight in rows)
            strings = tuple(
                float(sum(row[kind] * weight for row, weight in rows) / total) for kind in range(len(rows[0][0]))
            )
        pitches.append(
            replace(heard, log_odds=float(log_odds[midi]), bass_log_odds=float(bass[midi]), string_log_odds=strings)
        )
    span = TimeSpan(first.span.start_s, first.span.end_s)
    return replace(first, span=span, pitches=tuple(pitches))
