"""``listen practise``: questions answered at a terminal, on a page, by a recording; progress shown and taken away."""

from __future__ import annotations

import csv
import json
import re
from dataclasses import replace
from itertools import count
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile
from typer.testing import CliRunner

from listen.cli import make_app
from listen.document import open_progress
from tests.cli.runner import Result, run_listen, run_wrong


@pytest.fixture(autouse=True)
def _own_progress(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_PRACTICE", str(tmp_path / "practice.sqlite"))


def _type(said: str, *words: str) -> Result:
    result = CliRunner().invoke(
        make_app(), ["practise", *words], input=said, catch_exceptions=False, prog_name="listen"
    )
    return Result(result.exit_code, result.stdout, result.stderr)


def test_a_session_asks_writes_sounds_and_keeps_answers(tmp_path: Path) -> None:
    result = _type("again\nr\nn\n", "--kind", "root or not", "--items", "2", "--seed", "5", "--sounds", str(tmp_path))
    assert result.status == 0
    assert result.out.count("Is the root in the bass?") == 2
    assert len(re.findall(r"^> (?:Right|Not this time)", result.out, re.MULTILINE)) == 2
    assert "rest" in result.out
    written = sorted(tmp_path.glob("*.wav"))
    assert len(written) == 5  # question, again, answer, question, answer
    samples, rate = soundfile.read(written[0])
    assert rate == 22_050
    assert np.abs(samples).max() > 0.05
    with open_progress() as progress:
        assert [answer.said for answer in progress.answers()] == ["r", "n"]


def test_an_answers_time_is_counted_from_where_a_written_sound_ends(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    clock = count(0, 10)
    monkeypatch.setattr("listen.cli.practise.time", SimpleNamespace(monotonic=lambda: float(next(clock))))
    _type("r\n", "--kind", "root or not", "--items", "1", "--seed", "5", "--sounds", str(tmp_path))
    lasts_s = soundfile.info(tmp_path / "001_question.wav").duration
    with open_progress() as progress:
        (answer,) = progress.answers()
    assert answer.took_s == pytest.approx(10.0 - lasts_s, abs=0.01)


def test_sounds_of_another_session_stay_and_numbers_go_on(tmp_path: Path) -> None:
    (tmp_path / "001_question.wav").write_text("mine")
    assert _type("stop\n", "--kind", "quality", "--items", "1", "--seed", "2", "--sounds", str(tmp_path)).status == 0
    assert (tmp_path / "001_question.wav").read_text() == "mine"
    assert soundfile.info(tmp_path / "002_question.wav").samplerate == 22_050


@pytest.mark.parametrize(("words", "said"), [(("--capo", "5"), ""), (("--tuning", "ukulele"), "a neck of 6 strings")])
def test_questions_lie_on_the_neck_that_was_told(tmp_path: Path, words: tuple[str, ...], said: str) -> None:
    for seed in range(3):
        given = ("--kind", "which-bass", "--items", "1", "--seed", str(seed), "--sounds", str(tmp_path), *words)
        result = _type("stop\n", *given)
        assert result.status == (2 if said else 0), result.err
        assert said in result.err


def test_what_is_no_answer_is_said_and_not_counted(tmp_path: Path) -> None:
    result = _type("fish\nstop\n", "--kind", "which-bass", "--sounds", str(tmp_path))
    assert result.status == 0
    assert "answer=fish is not possible: it takes 1 (the root)" in " ".join(result.err.split())
    with open_progress() as progress:
        assert progress.answers() == ()


def test_an_answer_that_cannot_be_kept_is_asked_for_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from listen.document import Progress
    from listen.errors import DocumentError

    record = Progress.record

    def fail_once(*_: object) -> None:
        monkeypatch.setattr(Progress, "record", record)
        raise DocumentError("practice.sqlite is in use by another session, so nothing was kept now.")

    monkeypatch.setattr(Progress, "record", fail_once)
    result = _type("r\nn\n", "--kind", "root or not", "--items", "1", "--sounds", str(tmp_path / "out"))
    assert result.status == 0
    assert "nothing was kept now" in result.err
    assert result.out.count("Is the root in the bass?") == 1
    with open_progress() as progress:
        assert [answer.said for answer in progress.answers()] == ["n"]


def test_a_hummed_bass_is_an_answer(tmp_path: Path) -> None:
    from listen.practice import draw_question

    bass = draw_question("which bass", seed=8).sounds[0].chord.sounding_bass.pitch_class
    time_s = np.arange(16_000) / 16_000
    hz = 440.0 * 2 ** ((48 + bass - 69 + 0.1) / 12)
    soundfile.write(tmp_path / "hum.wav", 0.3 * np.sin(2 * np.pi * hz * time_s), 16_000)
    said = f"hum {tmp_path / 'hum.wav'}\n"
    result = _type(said, "--kind", "which bass", "--items", "1", "--seed", "8", "--sounds", str(tmp_path / "out"))
    assert "Right" in result.out
    assert re.search(r"\(\+\d+\s+cents\)", result.out)
    with open_progress() as progress:
        assert progress.answers()[0].how == "hum"
        assert progress.answers()[0].cents == pytest.approx(10.0, abs=8.0)


def test_a_hum_for_two_chords_is_refused_in_one_sentence_and_not_counted(tmp_path: Path) -> None:
    said = f"hum {tmp_path / 'hum.wav'}\nguitar {tmp_path / 'back.wav'}\nstop\n"
    result = _type(said, "--kind", "other place", "--sounds", str(tmp_path / "out"))
    assert re.search(r"^ *1 +the same chord$", result.out, re.MULTILINE)
    told = " ".join(result.err.split())
    assert "A hummed bass does not answer this question: answer with a number of the list, or in words." in told
    assert "A chord played back does not answer this question" in told
    with open_progress() as progress:
        assert progress.answers() == ()


def test_silence_for_a_hum_is_said_and_the_question_stays(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "hum.wav", np.zeros(16_000), 16_000)
    result = _type(f"hum {tmp_path / 'hum.wav'}\nstop\n", "--kind", "which bass", "--sounds", str(tmp_path / "out"))
    assert "silent" in result.err
    with open_progress() as progress:
        assert progress.answers() == ()


def test_a_page_holds_its_session_and_its_answers_are_taken_once(tmp_path: Path) -> None:
    page = tmp_path / "session.html"
    assert run_listen("practise", "--page", str(page), "--items", "2", "--kind", "root or not").status == 0
    text = page.read_text(encoding="utf-8")
    assert text.count('class="item"') == 2
    assert not re.search(r"(?:src|href)=[\"']?(?:https?:)?//", text)
    found = re.search(r'id="items">(.*?)</script>', text, re.DOTALL)
    assert found is not None
    items = json.loads(found[1])["items"]
    answers = [
        {"at": f"2026-03-01T18:0{n}:00.000Z", "kind": item["kind"], "level": item["level"], "played": item["answer"],
         "said": item["answer"], "is_right": True, "took_s": 3.0}
        for n, item in enumerate(items)
    ]  # fmt: skip
    path = tmp_path / "answers.json"
    path.write_text(json.dumps({"format": "listen.answers/1", "answers": answers}))
    assert "2 new answers" in run_listen("practise", "--take", str(path)).err
    assert "0 new answers" in run_listen("practise", "--take", str(path)).err
    taken = tmp_path / "taken.csv"
    taken.write_bytes(path.read_bytes())
    words = ("--take", str(taken), "--export", str(taken), "--overwrite")
    assert "taken.csv is the file that is read and is never replaced" in run_wrong("practise", *words)
    shown = run_listen("practise", "--progress")
    assert "root or not" in shown.out
    assert "2 of the last 2 right" in shown.out
    rows = tmp_path / "answers.csv"
    run_listen("practise", "--export", str(rows))
    assert len(list(csv.reader(rows.read_text(encoding="utf-8").splitlines()))) == 3
    (tmp_path / "practice.sqlite").unlink()  # the teacher has a file only
    assert run_listen("practise", "--of", str(rows)).out == shown.out
    assert run_listen("practise", "--of", str(path)).out == shown.out


def test_a_students_table_that_is_damaged_is_one_sentence(tmp_path: Path) -> None:
    path = tmp_path / "anna.csv"
    head = "at,kind,level,played,said,is_right,took_s,how,cents\r\n"
    for text, said in (
        ("file,student\r\n", "is no table of answers"),
        (head + "2026-03-01T18:00:00,which bass,high,1,3,False,2.0,key,\r\n", "row 2 holds no number"),
        (head + "2026-03-01T18:00:00,which bass,1.0,1,3,perhaps,2.0,key,\r\n", "row 2 has is_right=None"),
        (head + "2026-03-01T18:00:00,which bass,1.0,1,3,True,2.0,hum,1e9\r\n", "row 2 has cents"),
    ):
        path.write_text(text, "utf-8")
        assert said in run_wrong("practise", "--of", str(path))


def test_inversions_said_stand_against_inversions_played(tmp_path: Path) -> None:
    answers = [
        {"at": f"2026-03-01T18:0{n}:00.000Z", "kind": "which bass", "level": 1.0, "played": played, "said": said,
         "is_right": played == said, "took_s": 3.0}
        for n, (played, said) in enumerate([("3", "3"), ("3", "5"), ("5", "5"), ("1", "1")])
    ]  # fmt: skip
    path = tmp_path / "answers.json"
    path.write_text(json.dumps({"format": "listen.answers/1", "answers": answers}))
    run_listen("practise", "--take", str(path))
    lines = run_listen("practise", "--progress").out.splitlines()
    row = next(line for line in lines if line.strip().startswith("first inversion"))
    assert row.split()[2:] == ["·", "1", "1"]


def test_a_teachers_exercise_is_asked(tmp_path: Path) -> None:
    path = tmp_path / "set.toml"
    path.write_text('title = "Fifths"\nkinds = ["quality"]\nitems = 1\nlevel = 0\n')
    result = _type("maj\n", "--set", str(path), "--sounds", str(tmp_path / "out"))
    assert result.out.splitlines()[0] == "Fifths"
    assert result.out.count("What kind of chord is it?") == 1
    with open_progress() as progress:  # which was asked as hard as the teacher wanted it
        assert [answer.own_level for answer in progress.answers()] == [False]
    assert run_listen("practise", "--set", str(path), "--page", str(tmp_path / "fifths.html")).status == 0
    assert "<h1>Fifths</h1>" in (tmp_path / "fifths.html").read_text("utf-8")
    path.write_text('kinds = ["singing"]\n')
    assert "kind=singing" in run_wrong("practise", "--set", str(path))


def test_what_is_typed_goes_before_what_a_teacher_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A clock of four minutes a look: in five of them one question is asked."""
    clock = count(0, 240)
    path = tmp_path / "set.toml"
    path.write_text('kinds = ["root or not"]\nminutes = 60\ncapo = 5\n')
    held = []
    for number, words in enumerate(((), ("--minutes", "5"), ("--capo", "0"))):
        monkeypatch.setattr("listen.cli.practise.time", SimpleNamespace(monotonic=lambda: float(next(clock))))
        given = ("--set", str(path), "--items", "4", "--seed", "1", "--sounds", str(tmp_path / str(number)), *words)
        result = _type("r\n" * 4, *given)
        held.append((result.out.count("Is the root in the bass?"), re.search(r"bass (\S+) on string", result.out)))
    assert [n_asked for n_asked, _ in held] == [4, 1, 4]
    with_capo, without = held[0][1], held[2][1]
    assert with_capo is not None
    assert without is not None
    assert with_capo[1] != without[1]


def test_steps_that_are_chosen_are_asked_in_turn_and_open_nothing(tmp_path: Path) -> None:
    given = ("--kind", "which bass", "--kind", "quality", "--items", "4", "--seed", "1", "--sounds", str(tmp_path))
    _type("1\n" * 4, *given)
    _type("1\n1\n", "--items", "2", "--seed", "1", "--sounds", str(tmp_path))  # as the ladder goes
    with open_progress() as progress:
        kinds = [answer.kind for answer in progress.answers()]
    assert kinds == ["which bass", "which bass", "which bass", "quality", "same bass", "same bass"]


def test_a_session_that_ends_before_an_answer_says_so(tmp_path: Path) -> None:
    result = _type("", "--items", "1", "--seed", "1", "--sounds", str(tmp_path))
    assert "1. The chord sounds twice." in result.out
    assert result.out.rstrip().endswith("Nothing was answered.")


def test_a_part_without_its_recording_is_refused(tmp_path: Path) -> None:
    from listen.document import write_part
    from tests.hand_made_parts import line_part

    path = write_part(line_part(), tmp_path / "part.json")
    assert "not beside it" in run_wrong("practise", "--part", str(path))


def test_a_part_whose_chords_stand_on_their_roots_is_asked_in_inversions_and_says_so(tmp_path: Path) -> None:
    from listen.document import write_part
    from tests.hand_made_parts import Scene

    scene = Scene()
    for bar, (name, frets) in enumerate((("Em", "022000"), ("G", "320003")), 1):
        scene.chord(name, frets)
        scene.strum(bar, 0)
    part = scene.part(2)
    part = replace(part, spans=tuple(replace(one, pinned=True) for one in part.spans))
    soundfile.write(tmp_path / part.recording.file, np.zeros(30 * 8000), 8000)
    path = write_part(part, tmp_path / "part.json")
    result = _type("1\n1\n", "--items", "2", "--seed", "1", "--part", str(path), "--sounds", str(tmp_path / "sounds"))
    assert result.status == 0, result.err
    assert "1. A chord of your own: " in result.out
    assert result.err.count("All chords of part.json have the same tone in the bass") == 1
