"""What `listen practise` does not do, said in one sentence each."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from listen.cli import make_app
from tests.cli.runner import run_listen, run_wrong


@pytest.fixture(autouse=True)
def _own_progress(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_PRACTICE", str(tmp_path / "practice.sqlite"))


def test_bad_options_are_one_sentence(tmp_path: Path) -> None:
    assert "minutes=0" in run_wrong("practise", "--minutes", "0")
    assert "items" in run_wrong("practise", "--items", "500")
    assert "kind=yodel" in run_wrong("practise", "--kind", "yodel")
    assert "'which bass'" in run_wrong("practise", "--kind", "inversion")
    assert "is not there" in run_wrong("practise", "--take", str(tmp_path / "none.json"))
    assert "seed=-1" in run_wrong("practise", "--seed", "-1")
    assert "capo=8 is not possible: it takes 0 to 7 in practice" in run_wrong("practise", "--capo", "8")
    (tmp_path / "g.wav").write_text("a sound of mine")
    told = run_wrong("practise", "--sounds", str(tmp_path / "g.wav"))
    assert "it takes a folder. This one could not be made: a file has that name." in told
    (tmp_path / "verse.json").write_text('{"format": "listen.part/1"}')
    told = run_wrong("practise", "--take", str(tmp_path / "verse.json"))
    assert "holds a part document where an answers document is needed" in told


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--ladder", "--progress"), "--ladder does nothing else: leave out --progress"),
        (("--ladder", "--page", "x.html"), "--ladder does nothing else: leave out --page"),
        (("--of", "a.csv", "--export", "b.csv"), "--of does nothing else: leave out --export"),
        (("--page", "x.html", "--progress"), "--page does nothing else: leave out --progress"),
    ],
)
def test_two_tasks_that_exclude_one_another_are_one_sentence(words: tuple[str, ...], said: str) -> None:
    assert said in run_wrong("practise", *words)
    assert not Path("x.html").exists()


def test_a_neck_that_is_refused_is_said_before_the_session_begins(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    result = run_listen("practise", "--tuning", "E2", "--sounds", str(tmp_path))
    assert (result.status, result.out) == (2, "")
    monkeypatch.setenv("LISTEN_SETTINGS", str(tmp_path / "settings.json"))
    assert run_listen("settings", "--tuning", "ukulele").status == 0
    told = "It is the one of your settings: 'listen settings --tuning' changes it"
    assert told in run_wrong("practise", "--sounds", str(tmp_path))
    assert told not in run_wrong("practise", "--tuning", "E2", "--sounds", str(tmp_path))


def test_a_recording_that_is_not_named_is_asked_for_and_the_question_stays(tmp_path: Path) -> None:
    words = ["practise", "--kind", "which bass", "--sounds", str(tmp_path / "out")]
    result = CliRunner().invoke(make_app(), words, input="hum\nguitar \nstop\n", catch_exceptions=False)
    assert "hum needs a file: hum take.wav" in result.stderr
    assert "guitar needs a file: guitar take.wav" in result.stderr
    assert "is not possible" not in result.stderr
