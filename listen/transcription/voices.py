"""Strokes that are none: somebody talks, counts in or sings while the guitar is played.

A syllable begins as sharply as a soft strum. What follows tells them apart: the ear hears no strings in it, the pitches
of the chord that rings do not rise with it, and it may swell where a string can only fall. How much of a part is voice
is not known beforehand: the share is estimated from the part itself (expectation and maximisation), so that where
nobody speaks nothing is taken away.

References
----------
A. P. Dempster, N. M. Laird, D. B. Rubin, "Maximum likelihood from incomplete data via the EM algorithm", Journal of the
Royal Statistical Society B 39(1), 1977 (the share of a mixture).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.evidence import PartEvidence, Stretch, StrokeEvidence
from listen.log_odds import logistic
from listen.transcription.voice_timing import weigh_in_time

Floats = NDArray[np.float64]

BIAS, REFUSED, MEAN_RISE, EACH_RISING, SWELL, LEVEL = 0.38, 1.70, -0.33, -0.38, 0.47, -0.22
"""Log-odds of a voice: by logistic regression on 1,252 strokes of thirteen parts in which somebody talks or sings
(`tests/benchmarks/people.py`). Fitted on either half of 31 parts and tried on the other, onsets in these go from F .68
to .80, in the rest from .941 to .944; of 1,678 true strokes 39 are lost, most of them single picked strings."""
LEAST_RISE_DB, MOST_RISE_DB, RISING_DB = -3.0, 6.0, 1.5
NEAR_STROKES = 8  # on either side, whose level is the usual one
PRIOR_VOICES, PRIOR_STROKES, ROUNDS = 0.5, 30.0, 20
"""A part is taken to have had half a syllable in thirty strokes before it is heard (judged, not measured)."""
LEAST_STRUMS = 4  # in which the ear hears strings: else it is a recording of speech, and is told as that


def drop_voices(heard: PartEvidence) -> PartEvidence:
    """Drop the strokes of a voice.

    Parameters
    ----------
    heard : PartEvidence

    Returns
    -------
    PartEvidence
        The same where nobody is heard.
    """
    if sum(not _is_refused(one) for one in heard.stretches) < LEAST_STRUMS:
        return heard
    is_voice = weigh_in_time(heard.onsets_s, weigh_voices(heard)) > 0.5
    if not is_voice.any():
        return heard
    kept = np.concatenate([[0], np.cumsum(~is_voice)])  # strokes before each place that stay
    strokes = tuple(stroke for stroke, gone in zip(heard.strokes, is_voice.tolist(), strict=True) if not gone)
    stretches: list[Stretch] = []
    for one in heard.stretches:
        first, last = int(kept[one.first]), int(kept[one.last + 1]) - 1
        if last >= first:
            stretches.append(replace(one, first=first, last=last))
    return replace(heard, strokes=strokes, stretches=tuple(stretches))


def weigh_voices(heard: PartEvidence) -> Floats:
    """Weigh each stroke as a syllable.

    Parameters
    ----------
    heard : PartEvidence

    Returns
    -------
    ndarray, shape (n_strokes,)
        Probability; 0 for a muted stroke, which has no pitch to go by.
    """
    stretch_of = {place: one for one in heard.stretches for place in range(one.first, one.last + 1)}
    levels_db = np.array([stroke.level_db for stroke in heard.strokes])
    said = np.full(len(heard.strokes), -np.inf)
    for place, stroke in enumerate(heard.strokes):
        if not stroke.is_hit and place in stretch_of:
            near = levels_db[max(0, place - NEAR_STROKES) : place + NEAR_STROKES + 1]
            said[place] = _weigh(stroke, stretch_of[place], float(stroke.level_db - np.median(near)))
    share = PRIOR_VOICES / PRIOR_STROKES
    chances = np.zeros(len(said))
    for _ in range(ROUNDS):
        chances = logistic(said + np.log(share / (1.0 - share)))
        share = (float(chances.sum()) + PRIOR_VOICES) / (len(said) + PRIOR_STROKES)
    return chances


def _weigh(stroke: StrokeEvidence, stretch: Stretch, over_db: float) -> float:
    """Return what a stroke says for a voice, in nats, against a guitar."""
    rises = np.array(list(stroke.rises.values()))
    mean_db = float(np.clip(rises, LEAST_RISE_DB, MOST_RISE_DB).mean()) if len(rises) else 0.0
    n_rising = int((rises > RISING_DB).sum())
    swell_db = max(stroke.sustain_db, 0.0)
    told = REFUSED * _is_refused(stretch) + MEAN_RISE * mean_db + EACH_RISING * n_rising
    return BIAS + told + SWELL * swell_db + LEVEL * over_db


def _is_refused(stretch: Stretch) -> bool:
    return stretch.evidence.no_chord_reason is not None
