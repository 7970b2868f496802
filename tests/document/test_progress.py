"""Progress is kept whole: killed programs, newer versions, damage, two sessions at once."""

from __future__ import annotations

import re
import signal
import sqlite3
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import astuple, fields, replace
from pathlib import Path

import pytest

from listen.document import Answered, open_progress, read_answers, read_exercise
from listen.errors import BadValueError, DocumentError

ANSWER = Answered("2026-03-01T18:00:00+00:00", "which bass", 3.0, "3", "5", False, 4.2)


def test_what_is_recorded_is_there_again(tmp_path: Path) -> None:
    path = tmp_path / "deep" / "practice.sqlite"
    with open_progress(path) as progress:
        progress.record(ANSWER)
    with open_progress(path) as progress:
        assert progress.answers() == (ANSWER,)


def test_the_same_answer_is_not_kept_twice(tmp_path: Path) -> None:
    with open_progress(tmp_path / "p.sqlite") as progress:
        progress.record_all([ANSWER, ANSWER])
        assert len(progress.answers()) == 1


def test_an_older_file_is_brought_up_to_date(tmp_path: Path) -> None:
    from listen.document.progress import MIGRATIONS

    path = tmp_path / "p.sqlite"
    old = sqlite3.connect(path)
    old.executescript(f"{MIGRATIONS[0]} PRAGMA user_version = 1;")
    with old:
        old.execute("INSERT INTO answers VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)", astuple(ANSWER)[:-1])
    old.close()
    with open_progress(path) as progress:
        assert progress.answers() == (ANSWER,)


def test_a_new_file_may_be_opened_by_many_at_once(tmp_path: Path) -> None:
    def open_and_count(number: int) -> int:
        with open_progress(tmp_path / f"{number // 8}.sqlite") as progress:
            return len(progress.answers())

    with ThreadPoolExecutor(8) as pool:
        assert list(pool.map(open_and_count, range(160))) == [0] * 160


def test_a_newer_file_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "p.sqlite"
    newer = sqlite3.connect(path)
    newer.execute("PRAGMA user_version = 99")
    newer.close()
    before = path.read_bytes()
    with pytest.raises(DocumentError, match="newer version"), open_progress(path):
        pass
    assert path.read_bytes() == before


def test_another_programs_database_is_refused_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "bookmarks.sqlite"
    other = sqlite3.connect(path)
    other.executescript("CREATE TABLE bookmarks (address TEXT);")
    other.close()
    before = path.read_bytes()
    with pytest.raises(DocumentError, match=r"bookmarks\.sqlite is a database of another program"), open_progress(path):
        pass
    assert path.read_bytes() == before


def test_a_damaged_file_is_said_and_left_alone(tmp_path: Path) -> None:
    path = tmp_path / "p.sqlite"
    path.write_bytes(b"no database at all" * 100)
    with pytest.raises(DocumentError, match="damaged"), open_progress(path):
        pass
    assert path.read_bytes().startswith(b"no database")


@pytest.mark.parametrize("version", [1, 3])
def test_a_block_of_zeros_is_no_file_without_answers(tmp_path: Path, version: int) -> None:
    path = tmp_path / "p.sqlite"
    with open_progress(path) as progress:
        progress.record(ANSWER)
    made = sqlite3.connect(path)
    made.execute(f"PRAGMA user_version = {version}")
    page = int(made.execute("PRAGMA page_size").fetchone()[0])
    root = int(made.execute("SELECT rootpage FROM sqlite_master WHERE name = 'answers'").fetchone()[0])
    made.commit()
    made.close()
    content = bytearray(path.read_bytes())
    content[(root - 1) * page : root * page] = bytes(page)
    path.write_bytes(content)
    with pytest.raises(DocumentError, match=r"is damaged.* left as it is"), open_progress(path):
        pass
    assert path.read_bytes() == content


@pytest.mark.parametrize("year", ["1904", "1970", "2999"])
def test_one_answer_by_a_wrong_clock_takes_no_other_with_it(tmp_path: Path, year: str) -> None:
    path = tmp_path / "p.sqlite"
    wrong = replace(ANSWER, at=f"{year}-01-01T00:00:09+00:00")
    with open_progress(path) as progress:
        progress.record(ANSWER)
    other = sqlite3.connect(path)
    with other:  # as a version that took any time kept it
        other.execute("INSERT INTO answers VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", astuple(wrong))
    other.close()
    with open_progress(path) as progress:
        assert progress.answers() == ((wrong, ANSWER) if year == "1970" else (ANSWER,))


def test_answers_stand_in_the_order_of_their_times_however_those_are_written(tmp_path: Path) -> None:
    times = ("2026-03-01T20:00:00+03:00", "2026-03-01T17:30:00Z", "2026-03-01T17:30:00.500Z", "2026-03-01T18:00:00")
    with open_progress(tmp_path / "p.sqlite") as progress:
        progress.record_all(replace(ANSWER, at=at) for at in reversed(times))
        assert tuple(answer.at for answer in progress.answers()) == times


def test_an_answer_at_a_time_that_no_answer_can_have_is_not_kept(tmp_path: Path) -> None:
    with open_progress(tmp_path / "p.sqlite") as progress:
        for at in ("2999-01-01T00:00:00+00:00", "dawn"):
            with pytest.raises(BadValueError, match=r"from 1970 to 2900\. Is the clock"):
                progress.record_all([ANSWER, replace(ANSWER, at=at)])
        progress.record(replace(ANSWER, at="1970-01-01T00:00:00+00:00"))
        assert [answer.time.year for answer in progress.answers()] == [1970]


@pytest.mark.parametrize("damage", ["kind = CAST(x'80' AS TEXT)", "level = 'high'", "is_right = NULL", "at = 'dawn'"])
def test_a_value_that_was_damaged_is_said(tmp_path: Path, damage: str) -> None:
    path = tmp_path / "p.sqlite"
    with open_progress(path) as progress:
        progress.record(ANSWER)
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE free AS SELECT * FROM answers")  # columns that take anything, as damage does
    other.execute(f"UPDATE free SET {damage}")  # noqa: S608 - from the list above
    other.executescript("DROP TABLE answers; ALTER TABLE free RENAME TO answers;")
    other.close()
    with open_progress(path) as progress, pytest.raises(DocumentError, match="damaged"):
        progress.answers()


def test_a_file_that_another_session_is_writing_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("listen.document.progress.WAIT_S", 0.05)
    path = tmp_path / "p.sqlite"
    with open_progress(path) as progress:
        other = sqlite3.connect(path)
        other.execute("BEGIN IMMEDIATE")
        with pytest.raises(DocumentError, match="another session"):
            progress.record(ANSWER)
        other.rollback()
        other.close()


def test_a_killed_program_loses_no_answer(tmp_path: Path) -> None:
    """Every answer that was acknowledged is there after signal 9."""
    path = tmp_path / "p.sqlite"
    code = (
        "import sys\nfrom pathlib import Path\nfrom listen.document import *\n"
        f"with open_progress(Path({str(path)!r})) as progress:\n"
        "    for n in range(100000):\n"
        "        progress.record(Answered(f'2026-03-01T18:00:00.{n:06}', 'which bass', 1.0, '1', '1', True, 1.0))\n"
        "        print(n, flush=True)\n"
    )
    root = Path(__file__).parents[2]
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, text=True, cwd=root) as child:
        assert child.stdout is not None
        acknowledged = [int(child.stdout.readline()) for _ in range(30)]
        child.send_signal(signal.SIGKILL)
    with open_progress(path) as progress:
        kept = {answer.at for answer in progress.answers()}
    assert {f"2026-03-01T18:00:00.{n:06}" for n in acknowledged} <= kept


def test_answers_of_a_page_are_checked(tmp_path: Path) -> None:
    path = tmp_path / "answers.json"
    row = (
        '{"at": "2026-03-01T18:00:00.000Z", "kind": "which bass", "level": 3, "played": "3", "said": "5", '
        '"is_right": false, "took_s": 2.5}'
    )
    path.write_text(f'{{"format": "listen.answers/1", "answers": [{row}]}}')
    (answer,) = read_answers(path)
    assert answer.said == "5"
    assert answer.how == "page"
    assert not answer.own_level, "a page asks as hard as whoever wrote it had it: it says nothing of the player's level"
    path.write_text(f'{{"format": "listen.answers/1", "answers": [{row.replace("2.5", "true")}]}}')
    with pytest.raises(DocumentError, match="answer 1 has took_s"):
        read_answers(path)
    for at in ("dawn", "0001-01-01T00:00:00+14:00"):
        path.write_text(f'{{"format": "listen.answers/1", "answers": [{row.replace("2026-03-01T18:00:00.000Z", at)}]}}')
        with pytest.raises(DocumentError, match=r"answer 1 has at=.* no time such as"):
            read_answers(path)


def test_the_page_shows_every_field_of_an_exercise(tmp_path: Path) -> None:
    page = (Path(__file__).parents[2] / "docs" / "practice.md").read_text("utf-8")
    shown = page.partition("```toml\n")[2].partition("```")[0]
    path = tmp_path / "shown.toml"
    path.write_text(re.sub(r"(?m)^# ", "", shown), encoding="utf-8")
    exercise = read_exercise(path)
    assert exercise.level is not None
    assert set(re.findall(r"(?m)^(?:# )?(\w+) = ", shown)) == {field.name for field in fields(exercise)}


def test_an_exercise_says_what_is_wrong_with_it(tmp_path: Path) -> None:
    path = tmp_path / "roots.toml"
    path.write_text('title = "Roots"\nkinds = ["which bass"]\nitems = 12\n')
    assert read_exercise(path).items == 12
    for text, match in (
        ("items = 0", "items"), ("colour = 1", "colour"), ("kinds = 3", "list of words"),
        ("items = [", "no TOML"),
        ('minutes = "ten"', "a number"),
    ):  # fmt: skip
        path.write_text(text)
        with pytest.raises((DocumentError, BadValueError), match=match):
            read_exercise(path)
