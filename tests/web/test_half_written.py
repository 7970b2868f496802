"""What is half written on the page: kept until it is settled, and never set over what came meanwhile unseen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from listen.document import load_words
from listen.request import HomeworkShelf, Library
from tests.web.browser import Served, open_take, until
from tests.web.conftest import Watched
from tests.web.test_homework_tabs import FOCUS, set_class

CHART = "title: {}\ntempo: {}\n| C | G |\n"
FIELD = ".what textarea"
NOTE = ".note-field textarea"


def _open_chart(tabs: Watched, address: str) -> Any:
    tab = tabs.open(address)
    tab.click("summary:text('What was set')")
    return tab


def test_a_chart_that_another_tab_set_is_shown_and_not_overwritten(served: Served, tabs: Watched) -> None:
    shelf = HomeworkShelf(Library(served.library))
    homework = shelf.add(CHART.format("Rain", 96))
    where = f"#/homework/{homework.ident}"
    tab, other = _open_chart(tabs, served.address + where), _open_chart(tabs, f"{served.base}/{where}")
    tab.fill(FIELD, CHART.format("Mine", 96))
    tab.evaluate(f"document.querySelector('{FIELD}').setSelectionRange(3, 9)")
    other.fill(FIELD, CHART.format("Rain", 100))
    other.get_by_role("button", name="Set it so").click()
    until(tab, "document.querySelector('.what pre')?.textContent.includes('tempo: 100')")
    assert tab.input_value(FIELD) == CHART.format("Mine", 96)
    assert tab.evaluate(f"[{FOCUS}.selectionStart, {FOCUS}.selectionEnd]") == [3, 9]  # one goes on where one wrote
    tab.get_by_role("button", name="Set it so").click()
    until(tab, "document.querySelector('#said').textContent.startsWith('The chart was changed meanwhile')")
    assert "tempo: 100" in shelf.chart_text(homework)
    tab.get_by_role("button", name="Keep mine").click()
    assert tab.evaluate(f"{FOCUS}.localName") == "textarea"
    tab.get_by_role("button", name="Set it so").click()
    until(tab, "document.querySelector('.sheet h1').textContent === 'Mine'")
    assert shelf.chart_text(shelf.homework(homework.ident)) == CHART.format("Mine", 96)
    until(other, f"document.querySelector('{FIELD}').value.startsWith('title: Mine')")  # where nothing was written
    tab.click("summary:text('What was set')")
    tab.fill(FIELD, "title: Nobody's")
    other.click("summary:text('What was set')")
    other.fill(FIELD, CHART.format("Hail", 96))
    other.get_by_role("button", name="Set it so").click()
    tab.get_by_role("button", name="Take that one").click()
    assert tab.input_value(FIELD) == CHART.format("Hail", 96)
    tabs.expect("409")  # the browser notes every refusal


def test_a_chart_that_is_half_written_stays_while_one_is_elsewhere(served: Served, tabs: Watched) -> None:
    shelf = HomeworkShelf(Library(served.library))
    homework = shelf.add(CHART.format("Rain", 96))
    tab = _open_chart(tabs, f"{served.address}#/homework/{homework.ident}")
    tab.focus(FIELD)
    tab.keyboard.type("# slowly\n")
    tab.click(".rail >> text=Neck")
    tab.wait_for_selector(".looked-up svg")
    tab.go_back()
    tab.wait_for_selector(FIELD)
    assert "# slowly" in tab.input_value(FIELD)
    tab.reload()
    tab.wait_for_selector(FIELD)
    assert "# slowly" in tab.input_value(FIELD)
    tab.get_by_role("button", name="Set it so").click()
    until(tab, "!document.querySelector('.what').open")
    tab.reload()
    tab.wait_for_selector(".what")
    assert not tab.evaluate("document.querySelector('.what').open")  # nothing waits there any more


def test_a_note_that_is_half_written_stays_over_a_reload(served: Served, tabs: Watched, tmp_path: Path) -> None:
    tab = tabs.open(f"{served.address}#/homework/{set_class(served.library, tmp_path)}/Anna")
    tab.locator(".found > li").first.wait_for()
    tab.focus(NOTE)
    tab.keyboard.type("Slowly.")
    tab.reload()
    tab.locator(".found > li").first.wait_for()
    assert tab.input_value(NOTE) == "Slowly."
    tab.keyboard.press("Escape")
    until(tab, "location.hash.split('/').length === 3")
    until(tab, "document.querySelector('#said').textContent === 'The note is kept.'")
    assert load_words(tmp_path / "Anna.flac").note == "Slowly."


def test_a_field_of_the_head_that_is_half_written_stays_over_a_reload(served: Served, take: str, tabs: Watched) -> None:
    title, metre = (f".fields [data-what={what}] input" for what in ("title", "metre"))
    tab = open_take(tabs, served, take)
    tab.click("text=Put right")
    tab.locator(title).press_sequentially("Low Ti")
    tab.locator(metre).press_sequentially("3/")
    tab.reload()
    tab.wait_for_selector(title)  # where something waits it is unfolded
    assert (tab.input_value(title), tab.input_value(metre)) == ("Low Ti", "3/")
    other = open_take(tabs, served, take)
    other.click("text=Put right")
    other.fill(title, "High Tide")
    other.keyboard.press("Enter")
    until(tab, "document.querySelector('.sheet h1').textContent === 'High Tide'")
    tab.reload()
    tab.wait_for_selector(title)
    assert tab.input_value(title) == "Low Ti"  # beside what is newer, and not over it unseen
    assert "Meanwhile it is High Tide." in tab.inner_text(".fields [data-what=title]")
    tab.get_by_role("button", name="Take that").click()
    assert tab.input_value(title) == "High Tide"
    tab.fill(metre, "")
    tab.fill(title, "Low Tide")
    tab.keyboard.press("Enter")
    until(tab, "document.querySelector('.sheet h1').textContent === 'Low Tide'")
    tab.reload()
    tab.wait_for_selector(".sheet .bar")
    assert not tab.is_visible(title)  # nothing waits there any more
    assert tab.input_value(title) == "Low Tide"
    for name in ("High Tide", "evening"):
        tab.click("text=Undo")
        until(tab, f"document.querySelector('.sheet h1').textContent === '{name}'")


def test_what_is_written_while_a_field_is_being_set_stays(served: Served, take: str, tabs: Watched) -> None:
    title = ".fields [data-what=title] input"
    tab = open_take(tabs, served, take)
    tab.click("text=Put right")
    held: dict[str, Any] = {}
    tab.route("**/changes", lambda route: held.update(change=route), times=1)
    tab.fill(title, "High")
    tab.keyboard.press("Enter")
    while not held:
        tab.wait_for_timeout(20)
    tab.keyboard.type(" Tide")
    held["change"].continue_()
    until(tab, "document.querySelector('.sheet h1').textContent === 'High'")
    assert tab.input_value(title) == "High Tide"
    assert not tab.locator(".fields [data-what=title] [role=status]").count()  # nothing newer came meanwhile
    tab.click("text=Undo")
    until(tab, "document.querySelector('.sheet h1').textContent === 'evening'")


def test_whoever_loads_the_page_anew_while_recording_is_asked_first(served: Served, tabs: Watched) -> None:
    tab = tabs.open(served.address)
    asked: list[str] = []

    def stay(dialog: Any) -> None:
        asked.append(dialog.type)
        dialog.dismiss()

    tab.on("dialog", stay)
    tab.get_by_role("button", name="Record", exact=True).click()
    tab.wait_for_selector("text=/^0:0[1-9]/")  # a shorter recording is refused
    tab.close(run_before_unload=True)
    while not asked:
        tab.wait_for_timeout(20)
    assert asked == ["beforeunload"]
    assert tab.is_visible("text=Stop and read it")
    tab.evaluate("location.hash = '#/neck'")
    tab.wait_for_selector(".looked-up svg")
    until(tab, "document.querySelector('#said').textContent.includes('is kept among the recordings')")
    with tab.expect_event("close"):
        tab.close(run_before_unload=True)  # nothing would be lost
    assert asked == ["beforeunload"]
