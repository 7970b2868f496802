"""Which chord a sound is, among those that players hold: the odds of every pitch class, weighed by every chord.

The ear gives each pitch its own log-odds. A chord is the likelier the more of its tones were heard and the fewer
others; a tone may be left out, and a foreign one may ring. Everything is relative to the best chord, so that the
recording's own clarity does not matter.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from listen.reading import HeardSound
from listen.theory import Chord, parse_chord, spell_root

Floats = NDArray[np.float64]

MOST_LOG_ODDS = 5.0  # of one pitch class: no single one may outvote a chord; judged
NOT_HEARD = -6.0  # log-odds of a pitch class that the ear did not list; judged
PRESENT, FOREIGN = 0.9, 0.03
"""How often a tone of a chord sounds, and how often another does (a string that rings or is brushed); judged."""
QUALITY_PRIORS = {
    "": 0.0, "m": 0.0, "7": -1.0, "m7": -1.0, "maj7": -1.2, "sus4": -1.5, "sus2": -1.5, "add9": -1.8, "5": -2.0,
    "m6": -2.5, "6": -2.2, "dim": -2.2, "m7b5": -2.5, "9": -2.2, "aug": -2.5, "7sus4": -2.2, "dim7": -2.5,
    "m(add9)": -2.5, "maj9": -2.8, "m9": -2.8,
}  # fmt: skip
"""Nats by which a quality is rarer than a triad, where nothing is known of the piece; judged."""


@cache
def list_chords() -> tuple[tuple[Chord, ...], Floats, Floats]:
    """Return the chords that are weighed, their tones (n, 12) and their priors (n,)."""
    chords, rows, priors = [], [], []
    for symbol, prior in QUALITY_PRIORS.items():
        quality = parse_chord(f"C{symbol}").quality
        for root in range(12):
            chord = Chord(spell_root(root, quality), quality)
            chords.append(chord)
            rows.append([float(tone in chord.pitch_classes) for tone in range(12)])
            priors.append(prior)
    return tuple(chords), np.array(rows), np.array(priors)


@cache
def list_keys() -> tuple[tuple[int, str, frozenset[int]], ...]:
    """Return root, symbol and pitch classes of each chord that is weighed."""
    return tuple((one.root.pitch_class, one.quality.symbol, one.pitch_classes) for one in list_chords()[0])


def class_odds(sound: HeardSound) -> Floats:
    """Return the log-odds of each pitch class: those of its likeliest octave; shape (12,)."""
    odds = np.full(12, NOT_HEARD)
    for heard in sound.pitches:
        odds[heard.midi % 12] = max(odds[heard.midi % 12], heard.log_odds)
    return np.asarray(np.clip(odds, NOT_HEARD, MOST_LOG_ODDS))


def weigh_tones(odds: Floats, tones: Sequence[tuple[int, float]]) -> Floats:
    """Return the log-likelihood of chord tones under the odds of pitch classes, shape (..., 12) to (...)."""
    chances = np.full(12, FOREIGN)
    for tone, chance in tones:
        chances[tone] = chance
    likelihood = np.log(chances * np.exp(odds) + 1.0 - chances)
    return np.asarray(likelihood.sum(axis=-1))


def weigh_vocabulary(odds: Floats) -> Floats:
    """Return the log-likelihood of every chord of the vocabulary, its prior with it; shape (..., n)."""
    _, rows, priors = list_chords()
    present = np.log(PRESENT * np.exp(odds) + 1.0 - PRESENT)
    foreign = np.log(FOREIGN * np.exp(odds) + 1.0 - FOREIGN)
    return np.asarray(present @ rows.T + foreign @ (1.0 - rows).T + priors)
