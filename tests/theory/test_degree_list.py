"""Degrees become a named quality, or one of their own whose symbol reads back."""

from __future__ import annotations

import mir_eval.chord
from hypothesis import given
from hypothesis import strategies as st

from listen.theory import QUALITIES, Chord, Interval, Note, degrees_to_quality, parse_chord
from listen.theory.qualities import tone_key

NAMES = (
    "b2",
    "2",
    "b3",
    "3",
    "4",
    "b5",
    "5",
    "#5",
    "b6",
    "6",
    "bb7",
    "b7",
    "7",
    "b9",
    "9",
    "#9",
    "11",
    "#11",
    "b13",
    "13",
)
DEGREES = st.sets(st.sampled_from(NAMES).map(Interval.parse), min_size=1)


def test_every_named_quality_is_found_by_its_degrees() -> None:
    for quality in QUALITIES:
        if not quality.members:
            assert degrees_to_quality(reversed(quality.tones)) is quality


def test_second_beside_a_third_is_a_ninth() -> None:
    assert degrees_to_quality(map(Interval.parse, ("1", "2", "3", "5"))).symbol == "add9"


def test_degrees_without_a_name_keep_all_their_tones_required() -> None:
    quality = degrees_to_quality(map(Interval.parse, ("1", "3", "6", "9")))
    assert (quality.symbol, quality.harte, quality.optional) == ("6/9(no5)", "maj6(9,*5)", ())


@given(DEGREES)
def test_symbol_and_label_made_to_measure_read_back_as_the_same_tones(degrees: set[Interval]) -> None:
    quality = degrees_to_quality(degrees)
    chord = Chord(Note("G"), quality)
    assert tone_key(parse_chord(chord.text).quality.tones) == tone_key(quality.tones)
    assert tone_key(parse_chord(chord.harte).quality.tones) == tone_key(quality.tones)
    mir_eval.chord.encode(chord.harte)
