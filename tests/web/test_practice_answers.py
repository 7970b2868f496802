"""After an answer in practice: what was right is seen first, is heard again, and stays until one goes on."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from tests.cli.runner import run_listen
from tests.web.browser import Served, until
from tests.web.conftest import Watched

PHONE = {"width": 390, "height": 844}


def in_sight(tab: Any, selector: str) -> bool:
    """Whether all of an element is on the screen."""
    found: bool = tab.evaluate(
        "(selector) => { const box = document.querySelector(selector).getBoundingClientRect();"
        " return box.height > 0 && box.top >= 0 && box.bottom <= innerHeight; }",
        selector,
    )
    return found


def ask(tabs: Watched, served: Served, kind: str, size: dict[str, int]) -> Any:
    """Ask a question of a kind, in a tab of that size."""
    tab = tabs.open(f"{served.address}#/practice")
    tab.set_viewport_size(size)
    until(tab, "document.querySelectorAll('#step option').length > 3")
    tab.get_by_label("What to practise").select_option(kind)
    tab.get_by_role("button", name="Begin").click()
    tab.locator(".option").first.wait_for()
    return tab


def test_on_a_phone_the_verdict_is_seen_and_what_can_be_heard_again(served: Served, tabs: Watched) -> None:
    tab = ask(tabs, served, "same bass", PHONE)
    tab.locator(".option").nth(1).click()
    tab.locator(".verdict").wait_for()
    assert in_sight(tab, ".verdict")
    assert in_sight(tab, ".verdict + .row")
    tab.locator(".next").click()
    tab.locator(".option:not([disabled])").first.wait_for()
    assert in_sight(tab, ".options")


def test_after_a_wrong_answer_both_are_read_as_well_as_before_and_the_right_one_says_so(
    served: Served, tabs: Watched
) -> None:
    tab = ask(tabs, served, "same bass", {"width": 1280, "height": 800})
    while True:
        tab.locator(".option").first.click()
        tab.locator(".verdict").wait_for()
        if tab.inner_text(".verdict").startswith("Not this time"):
            break
        tab.locator(".next").click()
        tab.locator(".option:not([disabled])").first.wait_for()
    chosen, right = tab.locator(".option").all()
    assert chosen.inner_text().endswith(" – you chose this")
    assert right.inner_text().endswith(" – right")
    assert {one.evaluate("(one) => getComputedStyle(one).opacity") for one in (chosen, right)} == {"1"}


def test_space_hears_it_again_after_an_answer_and_enter_goes_on(served: Served, tabs: Watched) -> None:
    tab = ask(tabs, served, "which bass", {"width": 1280, "height": 800})
    tab.keyboard.press("1")
    tab.locator(".verdict").wait_for()
    with tab.expect_request(re.compile(r"sound\?what=question")):
        tab.keyboard.press(" ")
    tab.wait_for_timeout(300)
    assert tab.locator(".verdict").is_visible()
    tab.keyboard.press("?")
    keys = [" ".join(one.split()) for one in tab.locator(".keymap dl > div").all_inner_texts()]
    tab.keyboard.press("Escape")
    assert [one for one in keys if one.startswith(("Space ", "N ", "Enter "))] == [
        "Space Hear it again", "N Next question", "Enter Next question",
    ]  # fmt: skip
    tab.keyboard.press("Enter")
    tab.locator(".option:not([disabled])").first.wait_for()
    assert not tab.locator(".verdict").count()
    tab.keyboard.press("Enter")  # which answers nothing and leaves nothing
    tab.keyboard.press("2")
    tab.locator(".verdict").wait_for()


def test_the_same_holds_on_a_page_that_was_taken_away(
    tabs: Watched, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LISTEN_PRACTICE", str(tmp_path / "practice.sqlite"))
    page = tmp_path / "session.html"
    assert run_listen("practise", "--page", str(page), "--items", "2", "--kind", "which bass").status == 0
    tab = tabs.open("about:blank")
    tab.set_viewport_size(PHONE)
    tab.set_content(page.read_text("utf-8"))
    tab.click("#begin")
    tab.keyboard.press("1")
    assert in_sight(tab, "#item1 .verdict")
    assert in_sight(tab, "#item1 .sounds")
    tab.keyboard.press(" ")
    tab.wait_for_timeout(200)
    assert tab.is_visible("#item1 .verdict")
    tab.keyboard.press("Enter")
    assert tab.is_visible("#item2")
    assert not tab.is_visible("#item1")
