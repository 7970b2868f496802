"""The table of qualities against two other projects' tables, and the rules of omission that it states."""

from __future__ import annotations

import mir_eval.chord
import music21.chord
import music21.harmony
import music21.interval
import music21.pitch
import pytest

from listen.theory import (
    ALTERED,
    QUALITIES,
    Chord,
    ChordQuality,
    Interval,
    Note,
    find_quality,
    find_quality_of_tones,
    spell_chord,
)
from listen.theory.qualities import tone_key

# music21's names of chord kinds (music21.harmony.CHORD_TYPES) and the symbols of this project.
MUSIC21_KINDS = {
    "major": "",
    "minor": "m",
    "augmented": "aug",
    "diminished": "dim",
    "dominant-seventh": "7",
    "major-seventh": "maj7",
    "minor-major-seventh": "m(maj7)",
    "minor-seventh": "m7",
    "augmented-major-seventh": "maj7#5",
    "augmented-seventh": "7#5",
    "half-diminished-seventh": "m7b5",
    "diminished-seventh": "dim7",
    "seventh-flat-five": "7b5",
    "major-sixth": "6",
    "minor-sixth": "m6",
    "major-ninth": "maj9",
    "dominant-ninth": "9",
    "minor-major-ninth": "m(maj9)",
    "minor-ninth": "m9",
    "augmented-major-ninth": "maj9#5",
    "augmented-dominant-ninth": "9#5",
    "half-diminished-ninth": "m9b5",
    "dominant-11th": "11",
    "major-11th": "maj11",
    "minor-major-11th": "m(maj11)",
    "minor-11th": "m11",
    "half-diminished-11th": "m11b5",
    "major-13th": "maj13",
    "dominant-13th": "13",
    "minor-13th": "m13",
    "suspended-second": "sus2",
    "suspended-fourth": "sus4",
    "suspended-fourth-seventh": "7sus4",
    "power": "5",
}
# music21's names of intervals, for the degrees that the table uses.
MUSIC21_INTERVALS = {
    "1": "P1", "b2": "m2", "2": "M2", "b3": "m3", "3": "M3", "4": "P4", "#4": "A4", "b5": "d5", "5": "P5", "#5": "A5",
    "b6": "m6", "6": "M6", "bb7": "d7", "b7": "m7", "7": "M7", "b9": "m9", "9": "M9", "#9": "A9", "11": "P11",
    "#11": "A11", "b13": "m13", "13": "M13",
}  # fmt: skip
ROOTS = tuple(
    Note.parse(name) for name in ("C", "C#", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B")
)


def _quality(symbol: str) -> ChordQuality:
    quality = find_quality(symbol)
    assert quality is not None
    return quality


def test_there_are_at_least_forty_five_chord_qualities_beside_the_intervals() -> None:
    assert sum(len(quality.tones) > 2 for quality in QUALITIES) >= 45


def test_names_symbols_and_tones_are_unique() -> None:
    plain = [quality for quality in QUALITIES if not quality.members]
    assert len({quality.name for quality in QUALITIES}) == len(QUALITIES)
    assert len({quality.symbol for quality in QUALITIES}) == len(QUALITIES)
    assert len({tone_key(quality.tones) for quality in plain}) == len(plain)
    assert all(find_quality_of_tones(quality.tones) is quality for quality in plain)


@pytest.mark.parametrize(("kind", "symbol"), MUSIC21_KINDS.items())
def test_tones_are_those_of_music21(kind: str, symbol: str) -> None:
    degrees = str(music21.harmony.CHORD_TYPES[kind][0]).replace("-", "b").split(",")
    assert tone_key(_quality(symbol).tones) == tone_key(Interval.parse(degree) for degree in degrees)


def test_music21_says_no_more_kinds_that_are_in_the_table() -> None:
    """A kind of music21 that the table has as well must not be left out of the comparison."""
    for kind, (degrees, _) in music21.harmony.CHORD_TYPES.items():
        tones = [Interval.parse(degree) for degree in str(degrees).replace("-", "b").split(",")]
        found = find_quality_of_tones(tones)
        assert found is None or MUSIC21_KINDS.get(kind) == found.symbol, kind


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.name)
def test_harte_label_holds_the_same_tones_for_mir_eval_on_every_root(quality: ChordQuality) -> None:
    """mir_eval.chord.encode leaves out ninths and above, so the comparison is of tones within the octave."""
    within = {tone.semitones for tone in quality.tones if tone.semitones < 12}
    for root in ROOTS:
        number, bitmap, bass = mir_eval.chord.encode(Chord(root, quality).harte)
        assert (number, bass) == (root.pitch_class, 0)
        assert {step for step in range(12) if bitmap[step]} == within


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.name)
def test_chord_is_spelled_as_music21_spells_its_intervals_on_every_root(quality: ChordQuality) -> None:
    for root in ROOTS:
        start = music21.pitch.Pitch(str(root).replace("b", "-"))
        expected = [
            music21.interval.Interval(MUSIC21_INTERVALS[str(tone)]).transposePitch(start, maxAccidental=None).name
            for tone in quality.tones
        ]
        assert [str(note).replace("b", "-") for note in Chord(root, quality).notes] == expected


def test_a_perfect_fifth_goes_first_and_an_altered_fifth_never() -> None:
    """Common practice, no source; the suspended triads and what has two tones keep theirs."""
    keep_their_fifth = {"sus4", "sus2", "sus#4", "susb2", "sus2sus4", "5", "(add#11)", "7sus2", "maj7sus2"}
    for quality in QUALITIES:
        fifths = [tone for tone in quality.tones if tone.degree == 5]
        assert not {Interval(5, -1), Interval(5, 1)} & set(quality.optional)
        if fifths == [Interval(5)] and quality.symbol not in keep_their_fifth:
            assert Interval(5) in quality.optional, quality.name


def test_third_and_seventh_stay_save_the_third_of_an_eleventh() -> None:
    for quality in QUALITIES:
        gone = {tone.degree for tone in quality.optional}
        assert 7 not in gone
        assert 3 not in gone or quality.symbol in ("11", "maj11")


def test_only_natural_ninths_and_elevenths_under_a_higher_extension_may_go() -> None:
    for quality in QUALITIES:
        highest = max(tone.degree for tone in quality.tones)
        for tone in quality.optional:
            assert tone.alteration == 0
            assert tone.degree in (3, 5) or tone.degree < highest


def test_thirteenth_drops_its_eleventh_first() -> None:
    assert [str(tone) for tone in _quality("13").optional] == ["11", "5", "9"]


def test_altered_seventh_is_a_family_of_altered_fifths_and_ninths() -> None:
    assert [member.symbol for member in ALTERED.members] == ["7(#5,#9)", "7(#5,b9)", "7(b5,#9)", "7(b5,b9)"]
    for member in ALTERED.members:
        altered = {tone.degree for tone in member.tones if tone.alteration and tone.degree in (5, 9)}
        assert altered == {5, 9}
        assert find_quality(member.symbol) is member


def test_f_sharp_seven_holds_a_sharp() -> None:
    assert [str(note) for note in Chord(Note("F", 1), _quality("7")).notes] == ["F#", "A#", "C#", "E"]


def test_inversions_are_those_of_music21() -> None:
    for symbol in ("", "m", "dim", "7", "maj7", "m7", "m7b5", "dim7"):
        quality = _quality(symbol)
        for root in ROOTS:
            for place, bass in enumerate(Chord(root, quality).notes):
                chord = spell_chord(root.pitch_class, quality, bass=bass.pitch_class)
                lowest = music21.pitch.Pitch(str(chord.sounding_bass).replace("b", "-") + "2")
                others = [music21.pitch.Pitch(str(note).replace("b", "-") + "4") for note in chord.notes]
                assert chord.inversion == place
                assert music21.chord.Chord([lowest, *others]).inversion() == place
