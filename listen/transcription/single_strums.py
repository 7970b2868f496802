"""Strums to be read one by one: what belongs to one strum is settled by what is heard in it.

Where strums begin is found by their attacks. An attack does not tell a slow strum from two, nor a strum from the string
that was touched before it; the notes do: one strum passes each string once.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from statistics import mean
from typing import TYPE_CHECKING

from listen.audio import StrumOnset, find_strums, load_ear

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    from listen.evidence import Direction, StrumEvidence

LONGEST_SPREAD_S = 0.4  # two onsets farther apart are two strums, even if one of them holds no chord
MOST_LEVEL_APART_DB = 8.0  # the halves of one slow strum are about as loud
LEAST_NOTES_OF_A_CHORD = 3
SURELY = 1.0
"""Log-odds of notes by which two strums are told. A slow recorded G has seven notes in its two halves, two of them at
0.3 and 0.6, which do not sound."""
AT_ONCE_S, SILENT_YET, LEAST_LATER = 0.12, -3.0, 2
"""A strum of which so many notes do not sound yet after so long, by their log-odds, is slow: its way is told by which
do. Of 64 mixed and rendered strums at usual speed none is told otherwise by it, and one at -1."""


def find_single_strums(
    samples: npt.NDArray[np.float32], *, sample_rate_hz: int, n_strings: int
) -> tuple[StrumOnset, ...]:
    """Find strums; where one that looks slow holds more notes than there are strings, it is two.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,)
        Mono, -1..1.
    sample_rate_hz : int
    n_strings : int
        Of the instrument.
    """
    return tuple(
        part
        for strum in find_strums(samples, sample_rate_hz=sample_rate_hz)
        for part in (_part(samples, sample_rate_hz, strum, n_strings) if strum.later_s else (strum,))
    )


def hear_around(
    samples: npt.NDArray[np.float32], strums: Sequence[StrumOnset], place: int, *, sample_rate_hz: int
) -> tuple[StrumEvidence, range]:
    """Hear a strum; where it is less than a chord, hear what it may be instead.

    A strum played slowly, or with a knock in it, looks like two, and neither half holds the whole chord: it is heard
    together with a close neighbour. A recording that begins in the midst of a sound, or a string touched before the
    strum, looks like one slow strum: its later strings are heard by themselves. Of all these the one with the most sure
    notes is taken.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,)
        Mono, -1..1.
    strums : sequence of StrumOnset
    place : int
        Of the strum that is asked for.
    sample_rate_hz : int

    Returns
    -------
    StrumEvidence
    range
        The places of the strums that it was heard in.
    """
    ear = load_ear()

    def hear(onset_s: float, stretch: range) -> tuple[float, StrumEvidence, range]:
        end_s = strums[stretch[-1]].end_s
        evidence = ear.hear(samples, sample_rate_hz=sample_rate_hz, onset_s=onset_s, until_s=end_s)
        said = 0.0 if evidence.no_chord_reason else sum(max(0.0, one.log_odds) for one in evidence.pitches)
        return said, evidence, stretch

    strum, alone = strums[place], range(place, place + 1)
    heard = [hear(strum.onset_s, alone)]
    if heard[0][0] == 0.0 or _count_notes(heard[0][1]) < LEAST_NOTES_OF_A_CHORD:
        later = [hear(onset_s, alone) for onset_s in strum.later_s]
        heard.extend(one for one in later if _count_notes(one[1]) >= LEAST_NOTES_OF_A_CHORD)
        for first in (place - 1, place):
            if not 0 <= first < len(strums) - 1:
                continue
            other = first if first < place else first + 1
            apart_s = strums[first + 1].onset_s - strums[first].onset_s
            if apart_s <= LONGEST_SPREAD_S and strum.level_db - strums[other].level_db <= MOST_LEVEL_APART_DB:
                heard.append(hear(strums[first].onset_s, range(first, first + 2)))
                heard.append(hear(strums[other].onset_s, range(other, other + 1)))
    _, evidence, joined = max(heard, key=lambda item: item[0])
    begun_s = evidence.span.start_s + AT_ONCE_S
    if evidence.span.end_s > begun_s and evidence.no_chord_reason is None:
        begun = ear.hear(
            samples,
            sample_rate_hz=sample_rate_hz,
            onset_s=evidence.span.start_s,
            until_s=begun_s,
            physics=False,
        )
        evidence = replace(evidence, direction=_tell_way(begun, evidence))
    return evidence, joined


def _tell_way(begun: StrumEvidence, whole: StrumEvidence) -> Direction | None:
    """Tell which way a slow strum goes: what sounds at once lies under what comes, or over it."""
    odds = {one.pitch: one.log_odds for one in begun.pitches}
    sure = [one.pitch for one in whole.pitches if one.log_odds > SURELY]
    first = [pitch.midi for pitch in sure if odds.get(pitch, -math.inf) > 0.0]
    later = [pitch.midi for pitch in sure if odds.get(pitch, -math.inf) < SILENT_YET]
    if not first or len(later) < LEAST_LATER:
        return whole.direction
    return "down" if mean(first) < mean(later) else "up"


def _part(
    samples: npt.NDArray[np.float32], sample_rate_hz: int, strum: StrumOnset, n_strings: int
) -> tuple[StrumOnset, ...]:
    """Part a strum where two chords follow each other in it."""
    ear = load_ear()
    starts_s = (strum.onset_s, *strum.later_s)
    evidences = [
        ear.hear(samples, sample_rate_hz=sample_rate_hz, onset_s=start_s, until_s=end_s)
        for start_s, end_s in pairwise((*starts_s, strum.end_s))
    ]
    heard = [{one.pitch for one in evidence.pitches if one.log_odds > SURELY} for evidence in evidences]
    for place, (first, second) in enumerate(pairwise(heard), start=1):
        if min(len(first), len(second)) >= LEAST_NOTES_OF_A_CHORD and len(first | second) > n_strings:
            return (
                replace(strum, end_s=starts_s[place], later_s=strum.later_s[: place - 1]),
                replace(strum, onset_s=starts_s[place], later_s=strum.later_s[place:]),
            )
    return (strum,)


def _count_notes(evidence: StrumEvidence) -> int:
    return sum(one.log_odds > 0 for one in evidence.pitches)
