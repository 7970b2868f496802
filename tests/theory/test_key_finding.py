"""Key finding against music21: the profiles, and chorales of its corpus."""

from __future__ import annotations

import math
from typing import Any

import music21.analysis.discrete
import music21.corpus
import pytest
from hypothesis import given
from hypothesis import strategies as st

from listen.errors import BadValueError
from listen.theory import KEYS, Key, parse_chord, rank_keys, transpose_chord
from listen.theory.key_finding import PROFILES

MUSIC21_CLASSES = {
    "Krumhansl and Kessler 1982": music21.analysis.discrete.KrumhanslSchmuckler,
    "Temperley 2007": music21.analysis.discrete.TemperleyKostkaPayne,
    "Aarden 2003": music21.analysis.discrete.AardenEssen,
}
CHORALES = ("bwv66.6", "bwv253", "bwv256", "bwv267", "bwv281")
# Progressions of our own and the key that a player would name (common practice, no source).
PROGRESSIONS = {
    "C G Am F": "C", "Em C G D Em": "Em", "Am F C G Am": "Am", "A7 D7 E7 A7": "A", "D A Bm G D": "D",
    "Dm C Bb A Dm": "Dm",
    "E A B7 E": "E", "E B7 F#m A E B7 F#m A": "E",
    "D C G D": "D", "Dm7 G7 Cmaj7": "C", "E5 G5 A5 E5": "Em", "C#m A E B C#m": "C#m",
    "Gm Cm D7 Gm": "Gm",
    "D F#m G Gm D": "D", "C E7 Am F Fm C": "C",
    "F C G Am F C G Am": "C",  # begins away from home, and F's scale has no G major
}  # fmt: skip


@pytest.mark.parametrize("name", PROFILES)
@pytest.mark.parametrize("mode", ["major", "minor"])
def test_profiles_are_those_of_music21(name: str, mode: str) -> None:
    profile = PROFILES[name]["major" if mode == "major" else "minor"]
    finder: Any = MUSIC21_CLASSES[name]
    assert profile == pytest.approx(finder().getWeights(mode), rel=2e-3, abs=1e-3)


@pytest.mark.parametrize("name", CHORALES)
def test_chorales_of_music21_are_in_the_key_that_it_finds(name: str) -> None:
    """music21's finder with Aarden's profile; all 400 chorales: tests/benchmarks/keys.py."""
    score = music21.corpus.parse(name)
    weights = [0.0] * 12
    for note in score.flatten().notes:
        for pitch in note.pitches:
            weights[pitch.pitchClass] += float(note.duration.quarterLength)
    expected = score.analyze("AardenEssen")
    best = rank_keys(weights)[0].key
    assert (best.tonic.pitch_class, best.mode) == (expected.tonic.pitchClass, expected.mode)


@pytest.mark.parametrize(("chords", "key"), PROGRESSIONS.items())
def test_progressions_are_in_the_key_a_player_would_name(chords: str, key: str) -> None:
    assert rank_keys(chords=[(parse_chord(text), 1.0) for text in chords.split()])[0].key == Key.parse(key)


@given(st.lists(st.floats(0, 100), min_size=12, max_size=12).filter(any), st.integers(0, 11))
def test_key_moves_with_the_notes(weights: list[float], semitones: int) -> None:
    moved = [weights[(step - semitones) % 12] for step in range(12)]
    before = {(reading.key.tonic.pitch_class, reading.key.mode): reading.probability for reading in rank_keys(weights)}
    for reading in rank_keys(moved):
        tonic = (reading.key.tonic.pitch_class - semitones) % 12
        assert math.isclose(reading.probability, before[tonic, reading.key.mode], rel_tol=1e-6)


def test_all_keys_are_ranked_with_probabilities() -> None:
    readings = rank_keys([1.0] * 12)
    found = {(reading.key.tonic.pitch_class, reading.key.mode) for reading in readings}
    assert found == {(key.tonic.pitch_class, key.mode) for key in KEYS}
    assert math.isclose(sum(reading.probability for reading in readings), 1.0)


@pytest.mark.parametrize(
    ("chords", "keys"),
    [("Ebm Cb Gb Db Ebm", "Ebm Gb"), ("F# C# D#m B F#", "F# D#m"), ("C G Am F", "C Am"), ("Ebm Abm Cb Ebm", "Ebm Cb")],
)
def test_another_key_is_spelled_as_the_first_spells_its_tonic(chords: str, keys: str) -> None:
    """Common practice, no source."""
    found = [reading.key for reading in rank_keys(chords=[(parse_chord(text), 1.0) for text in chords.split()])]
    first, other = map(Key.parse, keys.split())
    assert found[0] == first
    assert other in found


def test_a_chord_lasts_as_long_as_it_is_said_to() -> None:
    long_home = [(parse_chord("G"), 8.0), (parse_chord("C"), 1.0)]
    assert rank_keys(chords=long_home)[0].key == Key.parse("G")
    moved = [(transpose_chord(chord, 5), duration) for chord, duration in long_home]
    assert rank_keys(chords=moved)[0].key == Key.parse("C")


@pytest.mark.parametrize("weights", [[1.0] * 11, [-1.0] + [1.0] * 11, [math.nan] + [1.0] * 11, [0.0] * 12])
def test_bad_weights_are_refused(weights: list[float]) -> None:
    with pytest.raises(BadValueError, match="weights"):
        rank_keys(weights)


@pytest.mark.parametrize(
    ("names", "keys"),
    [
        ("C G Am F", {"C major", "A minor"}),
        ("Am G F G", {"C major", "A minor"}),
        ("Dm C Bb C", {"F major", "D minor"}),
        ("F G Am Am", {"C major", "A minor"}),
    ],
)
def test_the_last_chord_of_a_round_is_no_ending(names: str, keys: set[str]) -> None:
    """Each round has one scale, whichever chord it breaks off with (common practice, no source)."""
    (best, *_) = rank_keys(chords=[(parse_chord(name), 1.0) for name in names.split() * 3])
    assert best.key.text in keys
