"""What is said after a wrong answer: what tells the chosen from the played, held against music21's intervals."""

from __future__ import annotations

import pytest

from listen.practice import LADDER, Question, advise, draw_question
from listen.theory import Note


def _wrong_answers(kind: str, n: int = 16) -> list[tuple[Question, str]]:
    questions = [draw_question(kind, level=(2.0, 9.0)[seed % 2], seed=seed) for seed in range(n)]
    return [(one, option.key) for one in questions for option in one.options if option.key != one.answer]


def _name_by_music21(low: Note, high: Note) -> str:
    """Name the interval from one note up to the next such note above it."""
    from music21.interval import Interval
    from music21.pitch import Pitch as OtherPitch

    lower, upper = (OtherPitch(str(note).replace("b", "-"), octave=octave) for note, octave in ((low, 3), (high, 4)))
    told = Interval(lower, upper).semiSimpleNiceName.lower()
    return {"diminished fifth": "tritone", "augmented fourth": "tritone"}.get(told, told)


@pytest.mark.parametrize("kind", LADDER)
def test_a_wrong_answer_is_told_apart_from_the_right_one_and_a_right_one_is_not(kind: str) -> None:
    for question, key in _wrong_answers(kind, 8):
        told = advise(question, key)
        assert told.endswith(question.listen_for)
        assert len(told) > len(question.listen_for) + 20
        assert advise(question, question.answer) == advise(question, "") == question.listen_for


@pytest.mark.parametrize("kind", ["which bass", "which bass of four"])
def test_how_far_the_root_lies_above_a_bass_is_what_music21_counts(kind: str) -> None:
    for question, key in _wrong_answers(kind):
        chord = question.sounds[0].chord
        notes = {str(tone.degree): note for tone, note in zip(chord.quality.tones, chord.notes, strict=True)}
        said, played = advise(question, key).removesuffix(question.listen_for).split(". ")[:2]
        for words, degree in ((said, key), (played, question.answer)):
            told = "comes to rest" if degree == "1" else f"is a {_name_by_music21(notes[degree], chord.root)}"
            assert told in words, (words, chord.text)


def test_the_step_of_a_bass_is_the_one_that_sounds() -> None:
    for kind in ("same bass", "bass line"):
        for question, key in _wrong_answers(kind):
            told = advise(question, key)
            basses = [
                min(pitch for pitch in one.shape.pitches(question.fretboard) if pitch is not None)
                for one in question.sounds
            ]
            if kind == "same bass":
                moves = basses[1].midi - basses[0].midi
                assert (" stays on " in told) == (moves == 0)
                assert moves == 0 or (" up." in told) == (moves > 0), told
            else:
                answer, said = question.answer.split(), key.split()
                place = next(n for n in range(len(said)) if answer[n] != said[n])
                assert f"part at note {place + 1}: " in told
                assert (" up; " in told or f"part at note {place + 1}: the bass stays" in told) == (
                    basses[place] >= basses[place - 1]
                ), told


def test_kinds_of_chord_are_told_apart_by_the_tones_that_one_has_and_the_other_has_not() -> None:
    drawn = next(
        question for seed in range(99)
        if (question := draw_question("quality", level=0.0, seed=seed)).answer == "maj"
    )  # fmt: skip
    assert advise(drawn, "m").startswith(
        "What tells them apart: major has a major third, minor has a minor third. First the third"
    )


def test_one_word_is_not_said_of_an_inversion_and_of_a_foreign_bass() -> None:
    """What 'leans' was an inversion after one question, and a bass that is none after another."""
    inversions = {draw_question("which came first", seed=seed).listen_for for seed in range(12)}
    foreign = draw_question("foreign bass", seed=1).listen_for
    assert not any("lean" in told for told in (*inversions, foreign))
    question = draw_question("foreign bass", seed=1)
    outside = question.option("f").example[0].chord  # type: ignore[union-attr]
    bass = outside.sounding_bass.pitch_class
    near = [note for note in outside.notes if min((note.pitch_class - bass) % 12, (bass - note.pitch_class) % 12) <= 2]
    assert len(near) == 2, "a foreign bass lies a step from two tones of its chord"
