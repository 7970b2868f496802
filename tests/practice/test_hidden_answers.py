"""A question has one right answer and a hand plays it: no twin offered, the bass struck first, no fret too high."""

from __future__ import annotations

import numpy as np
import pytest

from listen.instrument import Fretboard
from listen.practice import HARDEST, LADDER, Question, draw_question
from listen.practice.grips import HIGHEST_FRET
from listen.theory import parse_chord


@pytest.mark.parametrize("kind", ["root or not", "which bass", "which bass of four", "foreign bass"])
def test_strings_that_are_counted_tell_nothing(kind: str) -> None:
    for seed in range(24):
        question = draw_question(kind, level=(0.0, HARDEST)[seed % 2], seed=seed)
        assert len({option.example[0].shape.frets.count(None) for option in question.options}) == 1


def test_no_kind_of_chord_that_is_offered_is_the_right_one_inverted() -> None:
    """An inverted suspended fourth is a suspended second, an inverted augmented triad another in root position."""
    n_inverted = 0
    for seed in range(150):
        question = draw_question("quality", level=HARDEST, seed=seed)
        chord = question.sounds[0].chord
        n_inverted += chord.inversion != 0
        for option in question.options:
            other = option.example[0].chord
            roots = [
                root for root in range(12)
                if chord.pitch_classes == {(root + tone.pitch_class) % 12 for tone in other.quality.tones}
            ]  # fmt: skip
            own = [chord.root.pitch_class] if option.key == question.answer else []
            assert chord.inversion == 0 or roots == own, (chord.text, other.text)
            assert chord.inversion == 0 or chord.quality.name != "six-nine"
    assert n_inverted > 20


def test_a_seventh_chord_that_is_a_sixth_chord_too_is_said_to_be_one() -> None:
    told = 0
    for seed in range(60):
        question = draw_question("which bass of four", level=5.0, seed=seed)
        assert "A seventh chord" in question.prompt
        chord = question.sounds[0].chord
        is_sixth = chord.inversion == 1 and chord.quality.name in ("minor seventh", "half-diminished seventh")
        assert (" as well: " in question.listen_for) == is_sixth
        if is_sixth:
            told += 1
            other = parse_chord(question.listen_for.split(" is ")[1].split(" as well")[0])
            assert other.pitch_classes == chord.pitch_classes
            assert other.root == chord.sounding_bass
    assert told > 0


def test_the_hint_for_two_inversions_speaks_of_them() -> None:
    for seed in range(12):
        question = draw_question("which came first", level=3.0, seed=seed)
        has_root = "root position" in question.options[0].text
        assert ("Root position stands" in question.listen_for) == has_root
        assert ("a sixth, from the fifth a fourth" in question.listen_for) == (not has_root)


def test_another_place_is_more_than_a_string_more_or_fewer() -> None:
    for seed in range(160):
        question = draw_question("other place", level=(1.0, 5.0, 9.0)[seed % 3], seed=seed)
        for option in question.options:
            first, second = (
                {(string, fret) for string, fret in enumerate(one.shape.frets) if fret is not None}
                for one in option.example
            )
            assert first - second, [one.shape.text for one in option.example]
            assert second - first, [one.shape.text for one in option.example]


@pytest.mark.parametrize("capo_fret", [0, 5])
@pytest.mark.parametrize("kind", LADDER)
def test_the_bass_is_the_first_string_struck_and_no_fret_lies_beyond_the_body(kind: str, capo_fret: int) -> None:
    board = Fretboard(capo_fret=capo_fret)
    for seed in range(20):
        question = draw_question(kind, level=(0.0, 5.0, 9.0)[seed % 3], seed=seed, fretboard=board)
        for option in question.options:
            for sounding in option.example:
                pitches = [pitch for pitch in sounding.shape.pitches(board) if pitch is not None]
                assert pitches[0] == min(pitches), sounding.shape
                assert capo_fret + max(fret or 0 for fret in sounding.shape.frets) <= HIGHEST_FRET, sounding.shape


def test_no_two_kinds_share_their_chance(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever knows the question of one kind would know something of the other's with the same seed."""
    drawn: list[float] = []
    any_question = draw_question("which bass", seed=3)

    def note(rng: np.random.Generator, *_: object) -> Question:
        drawn.append(float(rng.random()))
        return any_question

    monkeypatch.setattr("listen.practice.draw._ASK", dict.fromkeys(LADDER, note))
    for kind in LADDER:
        draw_question(kind, seed=3)
    assert len(set(drawn)) == len(LADDER)
