"""Strings that ring over: a low open string of the chord before goes on under the new chord, and nobody struck it.

The ear is right to hear it; it is no bass. What gives it away: it was held before, it does not rise at the strokes of
the new chord, and the ear is unsure of it, since it decays while the others are struck anew.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from listen.transcription.heard_part import Floats, HeardStroke, Stretch
from listen.transcription.held_chords import HeldChord

RINGS_NATS, RISE_NATS, FIRST_NATS, MEAN_NATS = 3.2, -0.8, -0.8, -1.1
"""Log-odds that the lowest pitch of a chord, which the chord before had too, only rings over: a constant; for each dB
of its mean rise; for each nat of its log-odds at the first stroke; and of their mean. Logistic regression on 154 such
pitches of 72 seeded parts, 61 of them ringing: 4 of each kind are mistaken."""
MOST_SAID = 6.0  # dB, nats
MOST_IN_A_ROW = 2
RETURNS_NATS = 2.0  # chords come back: with that bass, or without it, where nothing can ring into them


def take_out_ringing(
    chords: list[HeldChord], kinds: list[frozenset[int]], stretches: list[Stretch], strokes: list[HeardStroke]
) -> list[Stretch]:
    """Turn low pitches that ring over from the chord before into evidence against themselves.

    Parameters
    ----------
    chords : list of HeldChord
    kinds : list of frozenset of int
        MIDI numbers of each kind.
    stretches : list of Stretch
    strokes : list of HeardStroke

    Returns
    -------
    list of Stretch
        As many, in the same order.
    """
    cleared = list(stretches)
    by_themselves = {kinds[chords[0].kind]} if chords else set()
    by_themselves |= {
        kinds[chord.kind]
        for before, chord in pairwise(chords)
        if min(kinds[chord.kind], default=None) not in kinds[before.kind]
    }
    for before, chord in pairwise(chords):
        pitches, earlier = kinds[chord.kind], kinds[before.kind]
        held = [stretches[place] for place in range(chord.first, chord.last + 1)]
        if earlier <= pitches or 2 * sum(one.is_picked for one in held) > len(held):
            continue  # its first notes, or a pattern whose notes ring on
        for midi in sorted(pitches)[:MOST_IN_A_ROW]:
            known = RETURNS_NATS * ((pitches - {midi} in by_themselves) - (pitches in by_themselves))
            if midi not in earlier or _weigh_ringing(midi, held, strokes) + known <= 0.0:
                break
            for place in range(chord.first, chord.last + 1):
                one = cleared[place]
                log_odds, bass = take_out(one.log_odds, one.bass_log_odds, frozenset({midi}))
                cleared[place] = replace(one, log_odds=log_odds, bass_log_odds=bass, ringing=one.ringing | {midi})
            pitches -= {midi}
    return cleared


def _weigh_ringing(midi: int, held: list[Stretch], strokes: list[HeardStroke]) -> float:
    """Return the log-odds that a pitch rings over rather than was struck while a chord is held."""
    rises = [strokes[place].rises.get(midi) for one in held for place in range(one.first, one.last + 1)]
    measured = [rise for rise in rises if rise is not None]
    rise = float(np.clip(np.mean(measured), -MOST_SAID, MOST_SAID)) if measured else 0.0
    odds = np.clip([one.log_odds[midi] for one in held], -MOST_SAID, MOST_SAID)
    return RINGS_NATS + RISE_NATS * rise + FIRST_NATS * float(odds[0]) + MEAN_NATS * float(odds.mean())


def take_out(log_odds: Floats, bass_log_odds: Floats, midis: frozenset[int]) -> tuple[Floats, Floats]:
    """Turn pitches into evidence against themselves, and share out what they had as the bass."""
    changed = log_odds.copy()
    places = sorted(midis)
    changed[places] = -np.abs(changed[places])
    chance = 1.0 / (1.0 + np.exp(-bass_log_odds))
    chance[places] = 0.0
    chance = np.clip(chance / max(float(chance.sum()), 1e-9), 1e-6, 1.0 - 1e-6)
    return changed, np.log(chance / (1.0 - chance))
