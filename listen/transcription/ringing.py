"""How a bass is told from a string that rings over: one of the chord before goes on, and nobody struck it.

The ear is right to hear it; it is no bass. What gives it away: it was held before, it does not rise at the strokes of
the new chord, and the ear is unsure of it, since it decays while the others are struck anew.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from listen.evidence import Stretch, StrokeEvidence
from listen.transcription.held_chords import HeldChord
from listen.transcription.stroke_odds import RULED_IN

RINGS_NATS, RISE_NATS, FIRST_NATS, MEAN_NATS = 3.2, -0.8, -0.8, -1.1
"""Log-odds that the lowest pitch of a chord, which the chord before had too, only rings over: a constant; for each dB
of its mean rise; for each nat of its log-odds at the first stroke; and of their mean. Logistic regression on 154 such
pitches of 72 seeded parts, 61 of them ringing: 4 of each kind are mistaken."""
MOST_SAID = 6.0  # dB, nats
MOST_IN_A_ROW = 2  # low strings that ring over together; judged
RETURNS_NATS = 2.0  # chords come back: with that bass, or without it, where nothing can ring into them


def take_out_ringing(chords: Sequence[HeldChord], strokes: Sequence[StrokeEvidence]) -> tuple[Stretch, ...]:
    """Turn low pitches that ring over from the chord before into evidence against themselves.

    Parameters
    ----------
    chords : sequence of HeldChord
    strokes : sequence of StrokeEvidence
        Of the whole part.

    Returns
    -------
    tuple of Stretch
        Those of all chords, in their order.
    """
    by_themselves = {chords[0].pitches} if chords else set()
    by_themselves |= {
        chord.pitches for before, chord in pairwise(chords) if min(chord.pitches, default=None) not in before.pitches
    }
    cleared = list(chords[0].stretches) if chords else []
    for before, chord in pairwise(chords):
        ringing = _find_ringing(before, chord, strokes, by_themselves)
        cleared.extend(stretch.without(ringing - _find_told(stretch)) for stretch in chord.stretches)
    return tuple(cleared)


def _find_told(stretch: Stretch) -> frozenset[int]:
    return frozenset(np.flatnonzero(stretch.log_odds >= RULED_IN).tolist())


def _find_ringing(
    before: HeldChord, chord: HeldChord, strokes: Sequence[StrokeEvidence], by_themselves: set[frozenset[int]]
) -> frozenset[int]:
    """Find the low pitches of a chord that only ring over from the one before."""
    if before.pitches <= chord.pitches or chord.is_picked:
        return frozenset()  # its first notes, or a pattern whose notes ring on
    pitches = chord.pitches
    for midi in sorted(chord.pitches)[:MOST_IN_A_ROW]:
        known = RETURNS_NATS * ((pitches - {midi} in by_themselves) - (pitches in by_themselves))
        if midi not in before.pitches or _weigh_ringing(midi, chord, strokes) + known <= 0.0:
            break
        pitches -= {midi}
    return chord.pitches - pitches


def _weigh_ringing(midi: int, chord: HeldChord, strokes: Sequence[StrokeEvidence]) -> float:
    """Return the log-odds that a pitch rings over rather than was struck while a chord is held."""
    rises = [
        strokes[place].rises[midi]
        for stretch in chord.stretches
        for place in range(stretch.first, stretch.last + 1)
        if midi in strokes[place].rises
    ]
    rise = float(np.clip(np.mean(rises), -MOST_SAID, MOST_SAID)) if rises else 0.0
    odds = np.clip([stretch.log_odds[midi] for stretch in chord.stretches], -MOST_SAID, MOST_SAID)
    return RINGS_NATS + RISE_NATS * rise + FIRST_NATS * float(odds[0]) + MEAN_NATS * float(odds.mean())
