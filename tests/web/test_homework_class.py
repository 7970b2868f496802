"""The class in a browser: the order that was chosen, what it is called, what is printed, and which files came."""

from __future__ import annotations

import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any

from listen.document import CheckFailure, ClassCheck, class_to_document, render_document
from listen.request import HomeworkShelf, Library
from tests.export.test_check_reports import ANNA
from tests.jobs.test_check_class import write_strum
from tests.web.browser import Served, until
from tests.web.conftest import Watched
from tests.web.test_homework_tabs import set_class


def _order(tab: Any) -> str:
    tab.wait_for_selector(".class-table")
    return " ".join(tab.locator("tbody .who").all_inner_texts())


def _print(tab: Any, path: Path) -> str:
    tab.pdf(path=str(path), format="A4")
    return subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True, check=True).stdout


def test_the_order_that_was_chosen_holds_for_news_and_for_whoever_comes_back(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    ident = set_class(served.library, tmp_path)
    shelf = HomeworkShelf(Library(served.library))
    bo = replace(ANNA, student="Bo", findings=())
    told = ClassCheck("Harbour Lights", (replace(ANNA, findings=ANNA.findings[:1]), bo))
    (shelf.folder_of(ident) / "class.json").write_text(render_document(class_to_document(told)), "utf-8")
    tab = tabs.open(f"{served.address}#/homework/{ident}")
    assert _order(tab) == "Anna Bo"
    assert tab.title() == "Harbour Lights – listen"
    for _ in range(2):  # the least first, then the most
        tab.get_by_role("button", name="Student").click()
    assert _order(tab) == "Bo Anna"
    tab.evaluate("window.before = document.querySelector('.class-table')")
    chart = shelf.chart_text(shelf.homework(ident))
    tab.evaluate(  # news come
        "([ident, chart]) => fetch(`/api/homework/${ident}/chart`, { method: 'POST',"
        " headers: { 'Content-Type': 'application/json' }, body: JSON.stringify({ chart, seen: chart }) })",
        [ident, chart],
    )
    until(tab, "document.querySelector('.class-table') !== window.before")
    assert _order(tab) == "Bo Anna"
    assert tab.get_attribute("th.who[aria-sort]", "aria-sort") == "descending"
    tab.click("tbody .who a >> nth=1")
    until(tab, "document.querySelector('.homework h1')?.textContent.startsWith('Anna')")
    tab.go_back()
    assert _order(tab) == "Bo Anna"
    tab.reload()
    assert _order(tab) == "Bo Anna"


def test_arrow_keys_go_from_student_to_student_in_the_order_that_is_shown(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    tab = tabs.open(f"{served.address}#/homework/{set_class(served.library, tmp_path)}")
    assert _order(tab) == "Anna Bo"
    for _ in range(2):
        tab.get_by_role("button", name="Student").click()
    assert _order(tab) == "Bo Anna"
    tab.click("tbody .who a >> nth=0")
    until(tab, "document.title.startsWith('Bo')")
    assert tab.inner_text(".work .row").split("\n")[-2:] == ["1 of 2", "Anna →"]
    tab.keyboard.press("ArrowRight")
    until(tab, "document.title.startsWith('Anna')")
    tab.keyboard.press("ArrowLeft")
    until(tab, "document.title.startsWith('Bo')")


def test_signs_of_the_class_are_told_in_a_sentence(served: Served, tabs: Watched, tmp_path: Path) -> None:
    tab = tabs.open(f"{served.address}#/homework/{set_class(served.library, tmp_path)}")
    assert _order(tab) == "Anna Bo"
    told = tab.locator(".homework p:has-text('A heading sorts its column')")
    assert told.inner_text().startswith("In a bar, · is right, ! to work on, ? to be listened to, – left out.")


def test_what_is_only_pressed_is_not_printed(served: Served, tabs: Watched, tmp_path: Path) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}")
    assert _order(tab) == "Anna Bo"
    text = _print(tab, tmp_path / "class.pdf")
    assert "Anna" in text
    assert "Choose files" not in text
    assert "Files are called" not in text
    tab.evaluate(f"location.hash = '#/homework/{ident}/Anna'")
    tab.locator(".found > li").first.wait_for()
    text = _print(tab, tmp_path / "anna.pdf")
    assert "Bar by bar" in text
    assert "bar 2" in text
    for pressed in ("Hear", "As it should sound", "The chord is right", "The chord is wrong"):
        assert tab.locator(f"button:text('{pressed}')").count()
        assert pressed not in text


def test_of_files_some_of_which_do_not_fit_it_is_told_that_the_others_came(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    ident = HomeworkShelf(Library(served.library)).add("title: Rain\nfree time\n| C |\n").ident
    tab = tabs.open(f"{served.address}#/homework/{ident}")
    tab.fill("#names", "rain-{student}")
    takes = [write_strum(tmp_path / f"{name}.flac", frets="x32010") for name in ("rain-Anna", "Bo")]
    tab.set_input_files("#recordings", takes)
    until(tab, "document.querySelector('#said').textContent.startsWith('1 of 2 files came in. ')")
    assert "It does not fit Bo.flac" in tab.inner_text("#said")
    until(tab, "document.querySelector('.listening').hidden")


def test_while_recordings_come_in_nobody_is_asked_to_check_them(served: Served, tabs: Watched, tmp_path: Path) -> None:
    ident = HomeworkShelf(Library(served.library)).add("title: Rain\nfree time\n| C |\n").ident
    tab = tabs.open(f"{served.address}#/homework/{ident}")
    tab.wait_for_selector(".homework h1")
    held: list[Any] = []
    second = "**/recordings?*Di*"
    tab.route(second, lambda route: held.append(route))  # noqa: PLW0108  (Playwright wants a function)
    takes = [write_strum(tmp_path / f"{name}.flac", frets="x32010") for name in ("Cy", "Di")]
    with tab.expect_request(second):
        tab.set_input_files("#recordings", takes)
    until(tab, "document.querySelector('.homework').innerText.includes('Not checked yet: Cy')")
    assert not tab.is_visible(".listening")
    held[0].continue_()
    until(tab, "document.querySelectorAll('tbody .who a').length === 2")


def test_one_goes_on_only_to_students_whose_recordings_were_checked(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    for name in ("Cy", "Di"):
        write_strum(tmp_path / f"{name}.flac", frets="x32010")
    ident = set_class(served.library, tmp_path)
    told = ClassCheck("Harbour Lights", (ANNA,), (CheckFailure("Bo", "Bo.flac", "Bo.flac is damaged."),))
    shelf = HomeworkShelf(Library(served.library))  # and the others were not heard yet
    (shelf.folder_of(ident) / "class.json").write_text(render_document(class_to_document(told)), "utf-8")
    tab = tabs.open(f"{served.address}#/homework/{ident}/Anna")
    tab.locator(".found > li").first.wait_for()
    assert tab.inner_text("nav[aria-label=Students] span") == "1 of 1"
    tab.keyboard.press("ArrowRight")
    until(tab, "document.querySelector('#said').textContent === 'There is no other.'")
    assert tab.url.endswith("/Anna")
