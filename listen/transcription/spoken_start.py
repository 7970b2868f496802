"""A part that is counted in aloud: what is spoken before the first strum is no stroke, and no bar begins with it."""

from __future__ import annotations

from dataclasses import replace

from listen.evidence import PartEvidence

SWELLS_DB = 6.0
"""By so much some syllable is louder after a tenth of a second than where it begins: of three spoken count-ins one or
more syllables by 14 or more; a damped string only falls (judged beyond these)."""
LEAST_STRUMS = 4  # that must follow: else it is a recording of speech, and is told as that


def drop_spoken_start(heard: PartEvidence) -> PartEvidence:
    """Drop the strokes of a voice before the first one in which the ear hears strings.

    Parameters
    ----------
    heard : PartEvidence

    Returns
    -------
    PartEvidence
        The same where nothing is spoken first.
    """
    first = next((place for place, one in enumerate(heard.stretches) if one.evidence.no_chord_reason is None), 0)
    n_spoken = heard.stretches[first].first if heard.stretches else 0
    spoken = heard.strokes[:n_spoken]
    swells = max((stroke.sustain_db for stroke in spoken), default=0.0)
    n_strums = sum(one.evidence.no_chord_reason is None for one in heard.stretches)
    if swells < SWELLS_DB or n_strums < LEAST_STRUMS:
        return heard
    later = [replace(one, first=one.first - n_spoken, last=one.last - n_spoken) for one in heard.stretches[first:]]
    return replace(heard, strokes=heard.strokes[n_spoken:], stretches=tuple(later))
