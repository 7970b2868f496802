"""Which strokes pick a string or two, and which strum, told again when the whole part has been heard.

The ear judges each stretch by how many of its pitches rise. With the part at hand there is more to go by: a hand that
picks goes on picking, few pitches sound at one of its strokes, the third of them, by how much it rises, does not rise
but rings on, and it has no way, which several strings struck one after another have. Where a bass is picked under a
chord that rings on, all the chord sounds, but only that bass and its partials rise.

Strings that began to sound with one stroke were struck together; those of a picked pattern begin one by one. So power
chords that are struck again and again are told, of which hardly any note rises: two or three strings, as loud as
before, all the more where an overdriven amplifier keeps them so.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.evidence import PartEvidence, Stretch
from listen.log_odds import logistic

Floats = NDArray[np.float64]

BIAS, EACH_RISING, EACH_MEASURED, EACH_SOUNDING, THIRD_RISE, EACH_LEAN = 2.07, -0.11, 0.69, -1.56, -0.18, -0.71
WAS_PICKED, NEIGHBOURS, LONE, LONE_NEIGHBOURS = 1.43, 7.32, 4.1, 8.25
"""Log-odds that at most two strings were picked: by logistic regression on 8,251 strokes of 140 parts
(`tests/benchmarks/people.py`). A bass that rises alone counts 1.5 nats more than was fitted: in those parts few basses
are picked under a chord that rings on; judged. Of picked strokes .945 are told as such, of strums .015."""
TOGETHER, TOGETHER_NEAR = -2.7, -11.8
"""The same, and of its neighbours, where all that sounds began with one stroke: with the first constant, by regression
on what the others leave over of 126 such parts and 97 of power chords and triads, clean and driven. Of 3,827 strokes
of the latter .52 were told as picked without it and .02 are with it, of picked ones .905 and .907, of other strums .011
and .014."""
BEGINS_DB, MOST_MISSED = 10.0, 2
"""A pitch that rises by more begins anew: struck again at even loudness, as it beats, it rises by less. One that is not
heard in so many strokes goes on. With 6 to 12 dB the fit is nearly as good."""
NEAR = 6  # stretches on either side
SURE_LEAN = 2.5  # what goes surely down or up is no neighbour: two strings struck together in a row are power chords
LEAST_RISE_DB = 1.5  # judged
PARTIALS = (0, 12, 19, 24, 28, 31, 34, 36)  # the first eight, in semitones above a note
MOST_RISE_DB = 6.0  # no rise says more, up or down


def tell_picked(heard: PartEvidence) -> PartEvidence:
    """Tell again which strokes are picked.

    Parameters
    ----------
    heard : PartEvidence

    Returns
    -------
    PartEvidence
        Stretches of several strokes stay as they are; where nothing is heard nothing is picked. Under a bass that is
        picked alone between strums, what rings on says nothing of what is held: a new chord may begin with it.
    """
    chances = weigh_picked(heard).tolist()
    told = [
        replace(one, is_picked=chance > 0.5 and bool(one.sounding)) if one.first == one.last else one
        for one, chance in zip(heard.stretches, chances, strict=True)
    ]
    around = [True, *(one.is_picked for one in told), True]
    stretches = tuple(
        _leave_out_ringing(heard, one) if one.is_picked and not (before or after) else one
        for one, before, after in zip(told, around, around[2:], strict=False)
    )
    return replace(heard, stretches=stretches)


def weigh_picked(heard: PartEvidence) -> Floats:
    """Weigh, for each stretch, that its stroke picked two strings at most; shape (n_stretches,), probability."""
    picked = np.array([one.is_picked for one in heard.stretches], float)
    sure = np.array([abs(heard.strokes[one.first].lean) > SURE_LEAN for one in heard.stretches])
    near = np.array([_mean_around(picked * ~sure, place) for place in range(len(picked))])
    lone = np.array([_is_lone_bass(heard, one) for one in heard.stretches], float)
    lone_near = np.array([_mean_around(lone, place) for place in range(len(lone))])
    together = _mark_together(heard)
    together_near = np.array([_mean_around(together, place) for place in range(len(together))])
    said = np.array([_weigh(heard, one) for one in heard.stretches])
    several = np.array([len(one.sounding) > 1 for one in heard.stretches], float)  # a lone note is no chord
    said += TOGETHER * np.nan_to_num(together) + TOGETHER_NEAR * together_near * several
    return logistic(said + WAS_PICKED * picked + NEIGHBOURS * near + LONE * lone + LONE_NEIGHBOURS * lone_near)


def _mark_together(heard: PartEvidence) -> Floats:
    """Mark stretches with two strings or more, all of which began with one stroke, shape (n_stretches,), 1 or 0.

    Partials of the lowest note say nothing: they begin with it. A note that goes on from a chord whose strings were
    struck together may have been struck again with the others, and where it alone is older nothing is told: NaN.
    """
    together = np.zeros(len(heard.stretches))
    began: dict[int, int] = {}
    last: dict[int, int] = {}
    goes_on: set[int] = set()
    for place, stretch in enumerate(heard.stretches):
        rises = heard.strokes[stretch.first].rises
        for midi in stretch.sounding:
            is_new = midi not in last or place - last[midi] > MOST_MISSED + 1
            if is_new or rises.get(midi, 0.0) > BEGINS_DB:
                began[midi] = place
            last[midi] = place
        goes_on = {midi for midi in goes_on if began[midi] < place}
        if place and together[place - 1] != 0.0 and place in began.values():
            goes_on |= {midi for midi in stretch.sounding if began[midi] < place}
        lowest = min(stretch.sounding, default=0)
        own = [midi for midi in stretch.sounding if midi == lowest or midi - lowest not in PARTIALS]
        if len(own) > 1 and len({began[midi] for midi in own if midi not in goes_on}) <= 1:
            together[place] = 1.0 if len({began[midi] for midi in own}) == 1 else np.nan
    return together


def _mean_around(values: Floats, place: int) -> float:
    """Return the mean over the nearest neighbours of a place that say something, itself left out; 0 without any."""
    told = np.flatnonzero(~np.isnan(values))
    around = values[np.concatenate([told[told < place][-NEAR:], told[told > place][:NEAR]])]
    return float(around.mean()) if len(around) else 0.0


def _leave_out_ringing(heard: PartEvidence, stretch: Stretch) -> Stretch:
    """Leave out what only rings on where a bass rises alone."""
    if not _is_lone_bass(heard, stretch):
        return stretch
    rises = heard.strokes[stretch.first].rises
    log_odds = stretch.log_odds.copy()
    log_odds[[midi for midi in stretch.sounding if rises.get(midi, 0.0) <= LEAST_RISE_DB]] = 0.0
    return replace(stretch, log_odds=log_odds)


def _is_lone_bass(heard: PartEvidence, stretch: Stretch) -> bool:
    """Return whether the lowest note alone rises, with its partials; a stroke with a sure way is a strum."""
    stroke = heard.strokes[stretch.first]
    rising = [midi for midi, rise in stroke.rises.items() if rise > LEAST_RISE_DB]
    if not rising or not stretch.sounding or abs(stroke.lean) >= SURE_LEAN:
        return False
    lowest = min(rising)
    return lowest <= min(stretch.sounding) and all(midi - lowest in PARTIALS for midi in rising)


def _weigh(heard: PartEvidence, stretch: Stretch) -> float:
    """Return what a stroke says by itself, in nats."""
    rises = sorted(heard.strokes[stretch.first].rises.values(), reverse=True)
    third_db = float(np.clip(rises[2], -MOST_RISE_DB, MOST_RISE_DB)) if len(rises) > 2 else -MOST_RISE_DB
    n_rising = sum(rise > 0.0 for rise in rises)
    told = EACH_RISING * n_rising + EACH_MEASURED * len(rises) + THIRD_RISE * third_db
    told += EACH_LEAN * abs(heard.strokes[stretch.first].lean)
    return BIAS + told + EACH_SOUNDING * len(stretch.sounding)
