"""Practice as it is asked for: what moves a player's level, what is lost, and what a page is written of."""

from __future__ import annotations

import sqlite3
from collections import Counter
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace

import pytest

from listen.document import Answered, change_settings, find_progress_file, open_progress
from listen.errors import BadValueError, DocumentError, RecordingError
from listen.instrument import parse_tuning
from listen.practice import Staircase, draw_question, find_open_kinds, find_staircases
from listen.practice.ladder import HOLDS_ANSWERS
from listen.reading import ChordName, NoteReading
from listen.request import Asked, OwnMaterial, PracticeTable, ask_ahead, ask_next, hear_played, take_answers
from listen.theory import Pitch, parse_chord
from tests.hand_made_parts import line_part

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def _own_progress(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_PRACTICE", str(tmp_path / "practice.sqlite"))
    monkeypatch.setattr("listen.document.progress.WAIT_S", 0.05)


def _held(kind: str, *, now: datetime = NOW) -> list[Answered]:
    return [
        Answered((now + timedelta(seconds=n)).isoformat(), kind, 2.0, "s", "s", True, 6.0) for n in range(HOLDS_ANSWERS)
    ]


def test_the_pages_questions_are_played_in_the_tuning_that_the_player_keeps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LISTEN_SETTINGS", str(tmp_path / "settings.json"))
    change_settings({"tuning": "drop D"})
    _, question = PracticeTable().ask("which bass")
    assert question.fretboard.tuning == parse_tuning("drop D")
    change_settings({"tuning": "ukulele"})
    with pytest.raises(
        BadValueError,
        match=r"of 6 strings or more.*one of your settings: 'listen settings --tuning' changes it\.$",
    ):
        PracticeTable().ask()


def test_an_answer_that_could_not_be_kept_may_be_given_again() -> None:
    table = PracticeTable()
    name, question = table.ask("same bass")
    other = sqlite3.connect(find_progress_file())
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(DocumentError, match="nothing was kept now: end that one, then try again"):
        table.answer(name, "1", 3.0)
    other.rollback()
    other.close()
    _, judged = table.answer(name, "1", 3.0)
    with open_progress() as progress:
        assert [(one.kind, one.said) for one in progress.answers()] == [(question.kind, judged.key)]


def test_a_pages_answers_are_kept_and_move_no_level() -> None:
    """Whoever wrote the page chose how hard it is: twelve easy ones open nothing."""
    easy = tuple(
        Answered(
            (NOW + timedelta(seconds=n)).isoformat(), "same bass", 0.0, "s", "s", True, 3.0, "page", own_level=False
        )
        for n in range(HOLDS_ANSWERS)
    )
    with open_progress() as progress:
        assert take_answers(progress, easy) == HOLDS_ANSWERS
        kept = progress.answers()
    assert kept == easy
    assert find_staircases(kept) == {}
    assert find_open_kinds((one.kind, one.is_right) for one in kept if one.own_level) == ("same bass",)


def test_only_what_is_as_hard_as_the_players_level_has_it_moves_that_level() -> None:
    own = OwnMaterial(line_part(), (), Path("take.wav"))
    assert [one.is_own_level for one in (Asked(), Asked(level=0.0), Asked(own=own))] == [True, False, False]


def test_questions_that_are_asked_ahead_go_through_the_open_steps() -> None:
    known = [*_held("same bass"), *_held("root or not")]
    asked = ask_ahead(Asked(), known, 9, now=NOW + timedelta(days=1), seed=4)
    assert [question.kind for question in asked] == ["which bass"] * 9
    asked = ask_ahead(Asked(), known, 9, now=NOW + timedelta(days=60), seed=4)  # all are due
    assert Counter(question.kind for question in asked) == {"same bass": 3, "root or not": 3, "which bass": 3}


def test_on_a_page_all_chosen_kinds_have_their_turns_whatever_its_writer_was_asked_today() -> None:
    now, known = NOW + timedelta(seconds=30), _held("which bass")
    asked = ask_ahead(Asked(("root or not", "which bass")), known, 12, now=now, seed=4)
    assert Counter(question.kind for question in asked) == {"root or not": 6, "which bass": 6}
    level = find_staircases(known)["which bass"].level
    assert {question.level for question in asked if question.kind == "which bass"} == {level} != {Staircase().level}


def test_however_many_questions_are_asked_ahead_the_answers_are_gone_through_once(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    known = [*_held("same bass"), *_held("root or not")]
    when, n_read = Answered.__dict__["time"].fget, 0

    def read(answer: Answered) -> datetime:
        nonlocal n_read
        n_read += 1
        read_at: datetime = when(answer)
        return read_at

    monkeypatch.setattr(Answered, "time", property(read))
    counts = []
    for n_questions in (1, 30):
        n_read = 0
        ask_ahead(Asked(), known, n_questions, now=NOW, seed=4)
        counts.append(n_read)
    assert counts[0] == counts[1] > 0


def test_questions_that_are_asked_ahead_are_those_that_would_be_asked_one_by_one() -> None:
    now, known = NOW + timedelta(seconds=30), [*_held("same bass"), *_held("root or not")]
    ahead = ask_ahead(Asked(), known, 12, now=now, seed=7)
    for number, question in enumerate(ahead):
        assert ask_next(Asked(), known, now=now, seed=7 + number) == question
        known.append(Answered(now.isoformat(), question.kind, 2.0, "s", "", False, 0.0, own_level=False))


def test_a_chord_played_back_that_may_be_the_asked_one_is_not_counted_wrong(monkeypatch: pytest.MonkeyPatch) -> None:
    """G minor seventh over F, whose F was hardly heard: the reading says G minor over B flat, and is not sure."""
    drawn = draw_question("which bass of four", seed=1)
    question = replace(drawn, sounds=(replace(drawn.sounds[0], chord=parse_chord("Gm7/F")),), answer="7")

    def hear(probability: float) -> None:
        notes = tuple(NoteReading(Pitch.parse(name), 0.97) for name in ("Bb2", "D3", "G3"))
        names = (ChordName(parse_chord("Gm/Bb"), 0.8), ChordName(parse_chord("Bb6/F"), probability))
        reading = SimpleNamespace(bass=notes[0], notes=notes, names=names, refused=None)
        monkeypatch.setattr("listen.transcription.read_recording", lambda _: SimpleNamespace(reading=reading))

    hear(0.1)
    with pytest.raises(RecordingError, match="it is not clear which notes sound: play it again"):
        hear_played(question, Path("back.wav"))
    hear(0.01)
    assert not hear_played(question, Path("back.wav")).is_right
