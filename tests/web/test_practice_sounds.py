"""What sounds in practice, one after the other to its end, and the time of an answer that is counted from there."""

from __future__ import annotations

from typing import Any

import pytest

from listen.document import Answered, open_progress
from tests.web.browser import Served, until
from tests.web.conftest import Watched

MOST_TRIES = 40
LONG_MS = 4000  # longer than any pause between two sounds
HELD_SOUNDS = """() => {
  window.begun = [];
  AudioBufferSourceNode.prototype.start = function () { window.begun.push(this); };
  AudioBufferSourceNode.prototype.stop = function () { this.onended?.(); };
  window.end = () => window.begun.at(-1).onended?.();
}"""  # sounds that end when the test says so


def _begin(tabs: Watched, served: Served) -> Any:
    tab = tabs.open(f"{served.address}#/practice")
    tab.evaluate(HELD_SOUNDS)
    until(tab, "document.querySelectorAll('#step option').length > 3")
    tab.get_by_label("What to practise").select_option("same bass")  # whatever was practised before
    tab.get_by_role("button", name="Begin").click()
    _await_sounds(tab, 1)
    return tab


def _await_sounds(tab: Any, n: int) -> None:
    until(tab, f"window.begun.length === {n}")


def _answer(tab: Any) -> None:
    tab.keyboard.press("1")
    tab.locator(".verdict").wait_for()


def _kept() -> tuple[Answered, ...]:
    with open_progress() as progress:
        return progress.answers()


def test_an_answers_time_is_counted_from_the_end_of_the_sound(
    served: Served, tabs: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LISTEN_PRACTICE", str(served.library.parent / "practice.sqlite"))
    before = len(_kept())
    tab = _begin(tabs, served)
    tab.wait_for_timeout(100)
    _answer(tab)  # while it still sounds: how quickly it is heard is not known
    assert [one.took_s for one in _kept()[before:]] == [0.0]
    tab = _begin(tabs, served)
    tab.evaluate("window.end()")
    tab.wait_for_timeout(100)
    _answer(tab)
    assert [one.took_s > 0.0 for one in _kept()[before:]] == [False, True]


def test_the_right_sound_ends_before_the_chosen_one_begins(served: Served, tabs: Watched) -> None:
    tab = _begin(tabs, served)
    for n_asked in range(1, MOST_TRIES):
        _await_sounds(tab, n_asked)
        tab.evaluate("window.end()")
        _answer(tab)
        if tab.locator(".verdict").inner_text().startswith("Not"):
            break
        tab.keyboard.press("n")
        tab.locator(".option:not([disabled])").first.wait_for()
    _await_sounds(tab, n_asked + 1)
    tab.wait_for_timeout(LONG_MS)
    assert tab.evaluate("window.begun.length") == n_asked + 1  # the right one has not ended yet
    tab.evaluate("window.end()")
    _await_sounds(tab, n_asked + 2)


def test_what_was_wrong_with_an_answer_does_not_lie_over_the_next_question(served: Served, tabs: Watched) -> None:
    tab = _begin(tabs, served)
    tab.get_by_label("What to practise").select_option("which bass")
    tab.get_by_role("button", name="Ask it now").click()
    tab.get_by_label("Or name it").fill("purple")
    tab.keyboard.press("Enter")
    until(tab, "document.querySelector('#said.error.shown')")
    tabs.expect("400")  # the browser tells every refusal
    tab.locator(".option").first.click()
    tab.locator(".next").click()
    tab.locator(".option:not([disabled])").first.wait_for()
    assert not tab.locator("#said.shown").count()
