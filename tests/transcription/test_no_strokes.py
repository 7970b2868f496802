"""Voices and late strings, which are no strokes; what was heard is written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from listen.evidence import PartEvidence, TimeSpan
from listen.transcription.no_strokes import drop_no_strokes
from listen.transcription.voice_timing import weigh_in_time
from tests.transcription.written_strokes import STROKE_S, C, hear_strokes


def test_a_part_that_is_counted_in_aloud_begins_with_its_first_strum() -> None:
    stretches, strokes = hear_strokes((C,) * 8)
    spoken = [
        replace(one, evidence=replace(one.evidence, no_chord_reason="It dies away at once.")) for one in stretches[:3]
    ]
    whole = PartEvidence(TimeSpan(0.0, 4.0), tuple(strokes), (*spoken, *stretches[3:]))
    damped = replace(whole, strokes=tuple(replace(one, sustain_db=-9.0) for one in strokes))
    voice = replace(whole, strokes=(*(replace(one, sustain_db=14.0) for one in strokes[:3]), *strokes[3:]))
    assert drop_no_strokes(damped) is damped
    left = drop_no_strokes(voice)
    assert left.strokes == tuple(strokes[3:])
    assert [(one.first, one.last) for one in left.stretches] == [(place, place) for place in range(5)]


def test_syllables_between_strums_are_no_strokes_and_one_odd_strum_is() -> None:
    stretches, strokes = hear_strokes((C,) * 24)
    still = {48: -2.0, 52: -2.0, 55: -2.0}
    struck = {48: 5.0, 52: 5.0, 55: 5.0}

    def make(syllables: set[int], late_s: float = 0.2) -> PartEvidence:
        heard = [
            replace(one, evidence=replace(one.evidence, no_chord_reason="A voice.")) if place in syllables else one
            for place, one in enumerate(stretches)
        ]
        played = [
            replace(one, onset_s=one.onset_s + (late_s if place in syllables else 0.0),
                    rises=still if place in syllables else struck)
            for place, one in enumerate(strokes)
        ]  # fmt: skip
        return PartEvidence(TimeSpan(0.0, 12.0), tuple(played), tuple(heard))

    alone = make({7}, late_s=0.0)
    assert drop_no_strokes(alone) is alone
    talk = make({3, 4, 9, 10, 14, 17, 20})
    left = drop_no_strokes(talk)
    assert len(left.strokes) == 17
    ends_s = [one.span.end_s for one in left.stretches]
    assert ends_s[:-1] == [one.span.start_s for one in left.stretches[1:]], "strings ring on through a syllable"
    assert len(drop_no_strokes(make({3, 4, 9, 10, 14, 17, 20}, late_s=0.0)).strokes) == 24, "in time, it may be a hand"
    speech = make(set(range(22)))
    assert drop_no_strokes(speech) is speech


def test_late_strings_are_joined_to_their_strum_and_bring_what_they_sound() -> None:
    stretches, strokes = hear_strokes((C,) * 6 + (C[:3], C) + (C,) * 6)
    moved = [replace(one, onset_s=STROKE_S * place) for place, one in enumerate(strokes)]
    times_s = [STROKE_S * place for place in (*range(7), 6.45, *range(7, 13))]
    played = [
        replace(one, onset_s=at_s, late=0.7 if place == 7 else 0.0)
        for place, (one, at_s) in enumerate(zip(moved, times_s, strict=True))
    ]
    left = drop_no_strokes(PartEvidence(TimeSpan(0.0, 7.0), tuple(played), tuple(stretches)))
    assert [one.onset_s for one in left.strokes] == [STROKE_S * place for place in range(13)]
    assert left.stretches[6].sounding == frozenset(C)
    assert len(left.stretches) == len(left.strokes)


def test_time_settles_what_sound_leaves_open_and_nothing_else() -> None:
    onsets_s = np.sort(np.concatenate([np.arange(0.5, 12.5, 0.5), [3.17, 6.31, 9.22]]))
    on_time = np.isclose(onsets_s % 0.5, 0.0)
    weighed = weigh_in_time(onsets_s, np.full(len(onsets_s), 0.4))
    assert (weighed[~on_time] > 0.8).all()
    assert (weighed[on_time] < 0.2).all()
    sure = weigh_in_time(onsets_s, np.full(len(onsets_s), 0.001))
    assert (sure < 0.05).all(), "where nobody speaks, a stroke out of time is a stroke"


def test_between_slow_strokes_one_that_sounds_like_a_stroke_is_kept_and_late_strings_are_not() -> None:
    """A strum to the bar of 3.2 s, and one that comes at half of it: the slower the pulse, the less it says."""
    bars_s = np.arange(12) * 3.2
    onsets_s = np.sort(np.append(bars_s, [12 * 3.2 - 1.6, 4 * 3.2 + 0.35]))
    chances = np.where(np.isin(onsets_s, bars_s), 0.02, np.where(onsets_s > 30.0, 0.055, 0.8))
    weighed = weigh_in_time(onsets_s, chances)
    assert weighed[chances == 0.055] < 0.5
    assert weighed[chances == 0.8] > 0.5
