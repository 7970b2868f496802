"""Strokes that are none: somebody talks, counts in or sings while the guitar is played, or strings come late.

A syllable begins as sharply as a soft strum. What follows tells them apart: the ear hears no strings in it, the pitches
of the chord that rings do not rise with it, and it may swell where a string can only fall. How much of a part is voice
is not known beforehand: the share is estimated from the part itself (expectation and maximisation), so that where
nobody speaks nothing is taken away. How likely a stroke is the late strings of a slow strum is told where strokes are
found (:mod:`listen.audio.strokes`). Neither keeps the time of the hand.

References
----------
A. P. Dempster, N. M. Laird, D. B. Rubin, "Maximum likelihood from incomplete data via the EM algorithm", Journal of the
Royal Statistical Society B 39(1), 1977 (the share of a mixture).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.evidence import PartEvidence, Stretch, StrokeEvidence, TimeSpan
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
NEXT_S = 0.05  # a syllable that begins so soon after a stroke's span ends it, and the strings ring on through it
LEAST_HEARD_S = 0.15  # of a stretch: in less the ear hears no strings of a tremolo either
LEAST_STRUMS = 4  # in which the ear hears strings: else it is a recording of speech, and is told as that


def drop_no_strokes(heard: PartEvidence) -> PartEvidence:
    """Drop the strokes of a voice; join late strings to their stroke.

    Parameters
    ----------
    heard : PartEvidence

    Returns
    -------
    PartEvidence
        The same where all are strokes of the hand.
    """
    if sum(not _is_refused(one) for one in heard.stretches) < LEAST_STRUMS:
        return heard
    late = np.array([stroke.late for stroke in heard.strokes])
    is_none = weigh_in_time(heard.onsets_s, 1.0 - (1.0 - weigh_voices(heard)) * (1.0 - late)) > 0.5
    if not is_none.any():
        return heard
    kept = np.concatenate([[0], np.cumsum(~is_none)])  # strokes before each place that stay
    strokes = tuple(stroke for stroke, gone in zip(heard.strokes, is_none.tolist(), strict=True) if not gone)
    stretches: list[Stretch] = []
    for one in heard.stretches:
        first, last = int(kept[one.first]), int(kept[one.last + 1]) - 1
        if last >= first:
            stretches.append(replace(one, first=first, last=last))
        elif stretches and late[one.first] > 0.5 and not _is_refused(one):
            stretches[-1] = _join(stretches[-1], one)
        elif stretches and one.span.start_s - stretches[-1].span.end_s < NEXT_S:
            rings = TimeSpan(stretches[-1].span.start_s, one.span.end_s)
            stretches[-1] = replace(stretches[-1], span=rings)
    return replace(heard, strokes=strokes, stretches=tuple(stretches))


def _join(stretch: Stretch, late: Stretch) -> Stretch:
    """Join the late strings of a strum to what was heard of it before."""
    clearest = max(
        stretch.evidence, late.evidence, key=lambda one: sum(max(0.0, each.log_odds) for each in one.pitches)
    )
    return replace(
        stretch,
        span=TimeSpan(stretch.span.start_s, late.span.end_s),
        evidence=clearest,
        log_odds=np.maximum(stretch.log_odds, late.log_odds),
        bass_log_odds=np.maximum(stretch.bass_log_odds, late.bass_log_odds),
    )


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
    refused = _is_refused(stretch) and stretch.duration_s >= LEAST_HEARD_S
    told = REFUSED * refused + MEAN_RISE * mean_db + EACH_RISING * n_rising
    return BIAS + told + SWELL * swell_db + LEVEL * over_db


def _is_refused(stretch: Stretch) -> bool:
    return stretch.evidence.no_chord_reason is not None
