"""What to practise on the page: the ladder as it goes, or a step of it that the learner chooses."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from listen.document import open_progress
from listen.practice import ABOUT, LADDER
from listen.request.practice_table import MOST_QUESTIONS
from tests.web.browser import Served, find_chromium, serve, until
from tests.web.conftest import Watched

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
KIND = "document.querySelector('.looked-up > .quiet')?.textContent"


@pytest.fixture
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """Serve a page on which nothing was practised yet: only the first step is open."""
    find_chromium()
    with serve(tmp_path_factory.mktemp("steps") / "library") as page:
        yield page


def test_a_learner_chooses_a_step_that_is_not_open_yet(
    fresh: Served, tabs: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    tab = tabs.open(f"{fresh.address}#/practice")
    steps = tab.get_by_label("What to practise")
    tab.get_by_role("heading", name="So far").wait_for()
    until(tab, f"document.querySelectorAll('#step option').length === {1 + len(LADDER)}")
    shown = [f"{number}  {kind}" for number, kind in enumerate(LADDER, 1)]
    assert steps.locator("option").all_text_contents() == ["Let the program choose", *shown]
    tab.get_by_role("button", name="Begin").click()
    until(tab, f"{KIND} === 'same bass'")  # as the ladder goes
    tab.keyboard.press("l")
    assert tab.evaluate("document.activeElement.id") == "step"
    steps.select_option("which bass")
    assert tab.inner_text("#step-about") == f"{ABOUT['which bass'].capitalize()}."
    assert tab.inner_text(".looked-up > .quiet") == "same bass"  # a list that is gone through asks nothing
    tab.keyboard.press("Tab")
    assert tab.evaluate("document.activeElement.textContent") == "Ask it now"
    tab.keyboard.press("Enter")
    until(tab, f"{KIND} === 'which bass'")
    assert not tab.get_by_role("button", name="Ask it now").count()
    assert tab.locator(".say").all_inner_texts() == ["Hum the bass", "Play the chord into the microphone", "Say it"]
    tab.get_by_label("Or name it").fill("purple")
    tab.keyboard.press("Enter")
    said = "answer=purple is not possible: it takes 1 (the root), 2 (the third), 3 (the fifth)."
    until(tab, f"document.querySelector('#said').textContent === '{said}'")
    tabs.expect("400")  # the browser tells every refusal
    for _ in range(2):  # the choice holds for what comes next
        tab.focus(".options button")
        tab.keyboard.press("2")
        tab.locator(".verdict").wait_for()
        tab.keyboard.press("n")
        tab.locator(".option:not([disabled])").first.wait_for()
        assert tab.inner_text(".looked-up > .quiet") == "which bass"
    monkeypatch.setenv("LISTEN_PRACTICE", str(fresh.library.parent / "practice.sqlite"))
    with open_progress() as progress:  # what was left unanswered is not counted
        assert [answer.kind for answer in progress.answers()] == ["which bass", "which bass"]


def test_the_room_breaks_no_rule_of_wcag_and_hangs_over_nowhere(served: Served, tabs: Watched) -> None:
    """By axe-core, WCAG 2.2 AA (https://www.w3.org/TR/WCAG22/)."""
    from axe_playwright_python.sync_playwright import Axe

    tab = tabs.open(f"{served.address}#/practice")
    until(tab, f"document.querySelectorAll('#step option').length === {1 + len(LADDER)}")
    tab.get_by_role("button", name="Begin").click()
    tab.locator(".option").first.wait_for()
    tab.get_by_label("What to practise").select_option("which bass of four")
    tab.get_by_role("button", name="Ask it now").wait_for()
    for width in (1280, 390, 360):
        tab.set_viewport_size({"width": width, "height": 800})
        assert tab.evaluate("document.documentElement.scrollWidth") <= width
        for scheme in ("light", "dark"):
            tab.emulate_media(color_scheme=scheme)
            found = Axe().run(tab, options=RULES).response["violations"]
            assert not found, [(one["id"], [node["html"][:160] for node in one["nodes"][:3]]) for one in found]


def test_a_question_that_the_program_no_longer_knows_gives_way_to_the_next(served: Served, tabs: Watched) -> None:
    """As after a restart: what lay on the table longest is gone."""
    tab = tabs.open(f"{served.address}#/practice")
    tab.get_by_role("button", name="Begin").click()
    for key in ("1", " "):  # an answer, and hearing it again
        tab.locator(".option:not([disabled])").first.wait_for()
        tab.evaluate("window.asked = document.querySelector('.looked-up h2')")
        tab.evaluate(
            f"(async () => {{ for (let n = {MOST_QUESTIONS}; n; n -= 1)"
            " await fetch('/api/practice/questions?kind=', { method: 'POST' }); })()"
        )
        tab.keyboard.press(key)
        until(tab, "document.querySelector('#said').textContent.startsWith('That question is no longer on the table')")
        until(tab, "!window.asked.isConnected")
        tab.locator(".option:not([disabled])").first.wait_for()
    tab.keyboard.press("1")
    tab.locator(".verdict").wait_for()
    tabs.expect("404")  # the browser notes every refusal


def test_what_was_wrong_with_an_answer_is_gone_when_the_next_is_judged(served: Served, tabs: Watched) -> None:
    tab = tabs.open(f"{served.address}#/practice")
    until(tab, f"document.querySelectorAll('#step option').length === {1 + len(LADDER)}")
    tab.get_by_label("What to practise").select_option("which bass")
    tab.get_by_role("button", name="Begin").click()
    tab.get_by_label("Or name it").fill("purple")
    tab.keyboard.press("Enter")
    tab.wait_for_selector("#said.error.shown")
    tab.focus(".options button")
    tab.keyboard.press("1")
    tab.locator(".verdict").wait_for()
    assert not tab.is_visible("#said")
    tabs.expect("400")  # the browser notes every refusal


def test_the_kind_of_a_question_stands_below_the_rule_with_its_question(served: Served, tabs: Watched) -> None:
    tab = tabs.open(f"{served.address}#/practice")
    tab.get_by_role("button", name="Begin").click()
    tab.locator(".looked-up h2").wait_for()
    ruled = [
        tab.evaluate(f"parseFloat(getComputedStyle(document.querySelector('.looked-up > {each}')).borderTopWidth)")
        for each in (".quiet", "h2")
    ]
    assert ruled == [3.0, 0.0]
