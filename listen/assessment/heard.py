"""A performance as numbers: the odds of every pitch class of every sound, and how well it fits each chord set."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.assessment.target import Score
from listen.assessment.vocabulary import NOT_HEARD, class_odds, weigh_tones, weigh_vocabulary
from listen.reading import NO_CHORD, Performance

Floats = NDArray[np.float64]

FITS, FITS_NOT, SOFTNESS = 2.0, -1.0, 0.5
"""A sound that fits a chord as well as any scores 2; one that does not scores -1 at worst, so that a wrong chord
played in time stays in its place; judged on classes of `python -m tests.benchmarks.homework`."""
# of any sound where anything may be played, and where silence was set; judged
ANYTHING_SCORE, SILENCE_SCORE = 0.3, -0.5


@dataclass(frozen=True, slots=True)
class HeardMatrix:
    """What was heard, laid out for judgement.

    Parameters
    ----------
    performance : Performance
    odds : ndarray, shape (n_sounds, 12)
        Log-odds by pitch class, moved down by ``shift``.
    pitches : ndarray, shape (n_sounds, 128)
        Log-odds by MIDI number, as they sound.
    basses : ndarray, shape (n_sounds, 128)
    best : ndarray, shape (n_sounds,)
        Log-likelihood of the best chord of the vocabulary.
    shift : int
        By how many semitones all sounds lie above what was set.
    """

    performance: Performance
    odds: Floats
    pitches: Floats
    basses: Floats
    best: Floats
    shift: int = 0

    def moved(self, shift: int) -> HeardMatrix:
        """Return it as heard relative to another setting."""
        if shift == self.shift:
            return self
        odds = np.roll(self.odds, self.shift - shift, axis=1)
        best = weigh_vocabulary(odds).max(axis=1) if len(odds) else self.best
        return HeardMatrix(self.performance, odds, self.pitches, self.basses, best, shift)

    def fit(self, score: Score) -> Floats:
        """Return how well each sound fits each target, in nats; shape (n_sounds, n_targets)."""
        fits = np.zeros((len(self.odds), len(score.targets)))
        for at, target in enumerate(score.targets):
            if target.is_judged:
                off = weigh_tones(self.odds, target.tones) - self.best
                fits[:, at] = np.clip(FITS + SOFTNESS * off, FITS_NOT, FITS)
            else:
                fits[:, at] = SILENCE_SCORE if target.symbol == NO_CHORD else ANYTHING_SCORE
        return fits


def lay_out_heard(performance: Performance) -> HeardMatrix:
    """Lay a performance out."""
    n = len(performance.sounds)
    pitches, basses = np.full((n, 128), NOT_HEARD), np.full((n, 128), NOT_HEARD)
    odds = np.full((n, 12), NOT_HEARD)
    for at, sound in enumerate(performance.sounds):
        odds[at] = class_odds(sound)
        for heard in sound.pitches:
            pitches[at, heard.midi] = heard.log_odds
            basses[at, heard.midi] = heard.bass_log_odds
    best = weigh_vocabulary(odds).max(axis=1) if n else np.zeros(0)
    return HeardMatrix(performance, odds, pitches, basses, best)


def stroke_scores(heard: HeardMatrix, score: Score) -> Floats:
    """Return how well each stroke fits each slot; 0 for a stroke without pitch; shape (n_strokes, n_slots)."""
    fits = heard.fit(score)
    by_slot = fits[:, [slot.target for slot in score.slots]]
    rows = np.zeros((len(heard.performance.strokes), len(score.slots)))
    for at, stroke in enumerate(heard.performance.strokes):
        if stroke.sound >= 0 and heard.performance.sounds[stroke.sound].pitches:
            rows[at] = by_slot[stroke.sound]
    return rows
