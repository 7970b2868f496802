"""A session at a terminal: what sounds after an answer is said and can be skipped, and how far the next step is."""

from __future__ import annotations

import sys
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from typer.testing import CliRunner

from listen.cli import make_app
from listen.document import open_progress
from tests.cli.runner import run_listen, run_wrong


@pytest.fixture(autouse=True)
def _own_progress(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_PRACTICE", str(tmp_path / "practice.sqlite"))


def _type(said: str, *words: str) -> str:
    result = CliRunner().invoke(make_app(), ["practise", *words], input=said, catch_exceptions=False)
    assert result.exit_code == 0
    return result.output


class _Card:
    """A sound card on which the sounds after an answer never end; the third look at them presses a key."""

    def __init__(self, interrupts: bool) -> None:
        self.interrupts, self.n_played, self.n_stopped, self.n_looks = interrupts, 0, 0, 0

    def play(self, _samples: np.ndarray, _rate_hz: int, *, blocking: bool = False) -> None:
        self.n_played += 1
        self.n_looks = 0
        assert blocking or self.n_played % 2 == 0

    def get_stream(self) -> SimpleNamespace:
        return SimpleNamespace(active=True)

    def look(self) -> bool:
        self.n_looks += 1
        if self.n_looks == 3 and self.interrupts:
            raise KeyboardInterrupt
        return self.n_looks == 3

    def stop(self) -> None:
        self.n_stopped += 1

    def query_devices(self, *, kind: str) -> dict[str, int]:
        return {"max_output_channels": 2, kind: 0}


@pytest.mark.parametrize("interrupts", [False, True])
def test_enter_or_an_interrupt_skips_what_is_heard_after_an_answer_and_not_the_session(
    monkeypatch: pytest.MonkeyPatch, interrupts: bool
) -> None:
    card = _Card(interrupts)
    monkeypatch.setitem(sys.modules, "sounddevice", card)
    monkeypatch.setattr("listen.cli.practise_stage.is_enter_pressed", card.look)
    out = _type("1\n2\n", "--kind", "which bass", "--items", "2", "--seed", "4")
    assert out.count("Which tone of the chord is in the bass?") == 2
    assert card.n_stopped == 2
    assert out.count("Enter goes on.") == 2
    with open_progress() as progress:
        assert len(progress.answers()) == 2


def test_what_sounds_after_an_answer_is_said_in_its_order(tmp_path: Path) -> None:
    out = _type("1\n2\n3\n", "--kind", "which bass", "--items", "3", "--seed", "4", "--sounds", str(tmp_path))
    for told in (one for one in out.split("> ")[1:]):
        is_right = told.startswith("Right")
        line = next(line for line in told.splitlines() if "You hear" in line)
        assert line.startswith("  You hear the bass alone") == is_right
        assert line.startswith("  You hear what sounded, then what you chose, then the bass alone") != is_right
        assert told.index("You hear") < told.index("_answer.wav")


def test_a_session_ends_with_how_the_next_step_opens(tmp_path: Path) -> None:
    out = " ".join(_type("1\n1\n", "--items", "2", "--seed", "4", "--sounds", str(tmp_path / "a")).split())
    assert (
        "The next step, 'root or not', opens when 'same bass' holds: 12 answers and level 4 of 10. You stand at 2"
        in out
    )
    assert "--kind 'root or not' asks it at once" in out
    chosen = _type("1\n", "--kind", "same bass", "--items", "1", "--seed", "4", "--sounds", str(tmp_path / "b"))
    assert "The next step" not in chosen


def test_one_question_is_one_question(tmp_path: Path) -> None:
    page = tmp_path / "p.html"
    assert "written: 1 question. Open" in run_listen("practise", "--page", str(page), "--items", "1").err
    again = run_listen("practise", "--page", str(page), "--items", "2", "--overwrite")
    assert "written: 2 questions. Open" in again.err


def test_a_number_with_a_decimal_comma_is_told_how_it_is_written() -> None:
    assert "'0,5' is not a number: write it with a point, 0.5;" in run_wrong("practise", "--minutes", "0,5")
    assert "write it" not in run_wrong("practise", "--minutes", "half")
