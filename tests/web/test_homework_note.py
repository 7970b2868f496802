"""A note to the student, in a browser: until it is kept that is said, and the page that is sent back comes with it."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

from listen.document import load_words
from tests.web.browser import Served, until
from tests.web.conftest import Watched
from tests.web.test_homework_tabs import set_class

NOTE = ".note-field textarea"
TAKE = "a:text('The student’s page, to send back')"
NOT_KEPT = "document.querySelector('.note-field').innerText.includes('not kept yet')"


def open_anna(served: Served, tabs: Watched, folder: Path) -> Any:
    """Open a student's view in a tab."""
    tab = tabs.open(f"{served.address}#/homework/{set_class(served.library, folder)}/Anna")
    tab.locator(".found > li").first.wait_for()
    return tab


def take_page(tab: Any) -> str:
    """Take the student's page away."""
    with tab.expect_download() as coming:
        tab.click(TAKE)
    return Path(coming.value.path()).read_text("utf-8")


def test_a_note_that_stands_again_after_a_reload_is_said_not_to_be_kept_and_is_kept_when_it_is_left(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    tab = open_anna(served, tabs, tmp_path)
    assert not tab.evaluate(NOT_KEPT)
    tab.focus(NOTE)
    tab.keyboard.type("Slowly.")
    assert tab.evaluate(NOT_KEPT)
    tab.reload()
    until(tab, f"document.querySelector('{NOTE}')?.value === 'Slowly.'")
    assert tab.evaluate(NOT_KEPT)
    tab.focus(NOTE)
    tab.keyboard.press("Tab")
    until(tab, f"!({NOT_KEPT})")
    assert load_words(tmp_path / "Anna.flac").note == "Slowly."


def test_a_note_that_stands_again_goes_out_with_the_page(served: Served, tabs: Watched, tmp_path: Path) -> None:
    tab = open_anna(served, tabs, tmp_path)
    tab.focus(NOTE)
    tab.keyboard.type("Slowly.")
    tab.reload()
    until(tab, f"document.querySelector('{NOTE}')?.value === 'Slowly.'")
    assert "Slowly." in take_page(tab)


def test_the_page_waits_for_a_note_that_is_on_its_way(served: Served, tabs: Watched, tmp_path: Path) -> None:
    tab = open_anna(served, tabs, tmp_path)

    def hold_up(route: Any) -> None:
        time.sleep(0.5)
        route.continue_()

    tab.route("**/student/note", hold_up)
    tab.focus(NOTE)
    tab.keyboard.type("Slowly.")
    assert "Slowly." in take_page(tab)


def test_the_page_does_not_go_out_while_two_notes_are_to_be_chosen_from(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    tab = open_anna(served, tabs, tmp_path)
    other = tabs.open(tab.url)
    other.locator(".found > li").first.wait_for()
    came: list[str] = []
    tab.on("download", lambda one: came.append(one.url))
    tab.focus(NOTE)
    tab.keyboard.type("Slowly.")
    other.focus(NOTE)
    other.keyboard.type("Thumb!")
    other.keyboard.press("Escape")
    until(tab, "document.querySelector('.note-field + .note').textContent.startsWith('Another tab wrote')")
    tab.click(TAKE)
    until(tab, "document.querySelector('#said').textContent.includes('choose which one is kept')")
    assert not came
    tab.get_by_role("button", name="Keep mine").click()
    page = take_page(tab)
    assert "Slowly." in page
    assert "Thumb!" not in page
