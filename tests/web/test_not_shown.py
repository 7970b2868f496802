"""What the page says where something is gone, or the program was stopped: one sentence, and no dead controls."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from listen.request import HomeworkShelf, Library
from tests.hand_made_parts import straight_part
from tests.jobs.test_check_class import write_strum
from tests.web.browser import Served, find_chromium, serve, until
from tests.web.conftest import Watched
from tests.web.test_homework_tabs import set_class

SAID = "document.querySelector('#said').textContent"
TOLD = "document.querySelector('main [role=alert]')?.textContent"
NOT_LET_IN = (
    "This browser is not let in: the program was started anew, or the page's cookie was deleted. "
    "Open the address that the program printed, in this browser; then go on here."
)
STOPPED = "The program does not answer: it may have been stopped. Start listen page again."
UNANSWERED = "net::ERR_"  # a request to a program that was stopped is noted as refused, reset or cut short


@pytest.fixture
def stopped(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Served, str]]:
    """Serve a page that a test may stop, and a take in it that was read before."""
    find_chromium()
    folder = tmp_path_factory.mktemp("stopped") / "library"
    library = Library(folder)
    take = library.add("evening", ".wav")
    library.begin(take, straight_part())
    library.save(replace(take, state="read"))
    with serve(folder) as page:
        yield page, take.ident


def test_an_address_of_something_gone_says_so_and_offers_nothing(served: Served, tabs: Watched, tmp_path: Path) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(served.address)
    tab.wait_for_selector(".bring")
    for where, home in (
        ("/take/0123456789ab", "To Recordings"),
        ("/homework/0123456789ab", "To Homework"),
        (f"/homework/{ident}/Nobody", "To Homework"),
    ):
        tab.evaluate(f"location.hash = '#{where}'")
        until(tab, f"{TOLD}?.startsWith('This cannot be shown: There is no')")
        assert tab.title() == "Not shown – listen"
        assert tab.locator("main :is(button, input, textarea)").count() == 0
        tab.get_by_role("link", name=home).click()
        until(tab, "document.querySelector('.takes') !== null")
    tabs.expect("404")  # the browser notes every refusal


def test_a_student_who_was_not_checked_yet_is_shown_once_that_is_done(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    ident = HomeworkShelf(Library(served.library)).add("title: Rain\nfree time\n| C |\n").ident
    tab = tabs.open(f"{served.address}#/homework")
    tab.wait_for_selector(".set-chart")
    data = list(write_strum(tmp_path / "Anna.flac", frets="x32010").read_bytes())
    tab.evaluate(
        "async ([ident, bytes]) => (await import('/static/api.js'))"
        ".bringIn(new Blob([new Uint8Array(bytes)]), 'Anna.flac', null, `/homework/${ident}/recordings`)",
        [ident, data],
    )
    tab.evaluate(f"location.hash = '#/homework/{ident}/Anna'")
    until(tab, f"{TOLD}?.includes('It was not checked yet')")
    tab.evaluate(f"fetch('/api/homework/{ident}/check', {{ method: 'POST' }})")
    until(tab, "document.querySelector('.homework h1')?.textContent.startsWith('Anna')")
    assert tab.title() == "Anna – listen"
    tabs.expect("400")  # the browser notes every refusal


def test_a_recording_that_is_brought_back_is_shown_where_it_was_missed(
    served: Served, take: str, tabs: Watched
) -> None:
    ident = take.rsplit("/", 1)[-1]
    tab = tabs.open(f"{served.address}#{take}")
    tab.wait_for_selector(".sheet .bar")
    tab.evaluate(f"fetch('/api/takes/{ident}', {{ method: 'DELETE' }})")
    tab.wait_for_url("**/#/")
    tab.evaluate(f"location.hash = '#{take}'")
    until(tab, f"{TOLD}?.startsWith('This cannot be shown: There is no')")
    tab.evaluate(f"fetch('/api/takes/{ident}/bring-back', {{ method: 'POST' }})")
    tab.wait_for_selector(".sheet .bar")
    tabs.expect("404")  # the browser notes every refusal


def test_of_a_program_that_was_stopped_every_room_says_so(
    stopped: tuple[Served, str], tabs: Watched, tmp_path: Path
) -> None:
    page, take = stopped
    student = tabs.open(f"{page.address}#/homework/{set_class(page.library, tmp_path)}/Anna")
    sheet, neck = (tabs.open(f"{page.base}/#{where}") for where in (f"/take/{take}", "/neck/Am7"))
    student.locator(".found > li").first.wait_for()
    sheet.wait_for_selector(".sheet .bar")
    with neck.expect_response("**/strings/chord?*"):
        neck.get_by_role("button", name="Hear it").click()  # its sound is made ready; the others' is not
    page.process.kill()
    page.process.wait()
    student.get_by_role("button", name="As it should sound").first.click()
    sheet.get_by_role("button", name="Set as homework").click()
    neck.fill("#chord", "Em7")  # the other one is kept by the browser
    neck.get_by_role("button", name="Hear it").click()
    for tab in (student, sheet, neck):
        until(tab, f"{SAID} === '{STOPPED}'")
    sheet.click(".rail >> text=Practice")  # a room that was not loaded before
    until(sheet, f"{TOLD} === 'This cannot be shown: {STOPPED}'")
    tabs.expect(UNANSWERED)


def test_a_tab_of_a_program_that_was_started_anew_says_so_and_goes_on_once_the_new_address_was_opened(
    stopped: tuple[Served, str], tabs: Watched
) -> None:
    page, take = stopped
    sheet = tabs.open(f"{page.address}#/take/{take}")
    neck = tabs.open(f"{page.base}/#/neck/Am7")  # a room without news of its own
    sheet.wait_for_selector(".sheet .bar")
    neck.wait_for_selector(".looked-up svg")
    page.process.kill()
    page.process.wait()
    with serve(page.library, port=page.base.rsplit(":", 1)[1]) as again:
        assert (again.base, again.token == page.token) == (page.base, False)
        for tab in (sheet, neck):
            until(
                tab,
                f"{SAID} === {json.dumps(NOT_LET_IN)} && document.querySelector('#said').classList.contains('shown')",
            )
        with sheet.expect_response("**/homework/template"):  # a script that sounds need does not come
            sheet.keyboard.press(" ")
        sheet.wait_for_timeout(300)  # in which something else is said, if it is
        assert sheet.evaluate(SAID) == NOT_LET_IN
        sheet.click(".rail >> text=Practice")  # a room that was not loaded before
        until(sheet, f"{TOLD} === {json.dumps(f'This cannot be shown: {NOT_LET_IN}')}")
        sheet.go_back()
        until(sheet, f"{TOLD} === {json.dumps(f'This cannot be shown: {NOT_LET_IN}')}")
        tabs.open(again.address).close()
        sheet.wait_for_selector(".sheet .bar")
        for tab in (sheet, neck):
            until(tab, f"{SAID} === ''")
    tabs.expect("401", UNANSWERED)  # the browser notes every refusal


def test_a_tab_whose_cookie_was_deleted_is_told_so_and_goes_on_once_the_address_was_opened(
    served: Served, tabs: Watched
) -> None:
    tab = tabs.open(f"{served.address}#/neck/Am7")
    tab.wait_for_selector(".looked-up svg")
    tabs.context.clear_cookies()
    tab.click(".rail >> text=Homework")
    until(tab, f"{TOLD} === {json.dumps(f'This cannot be shown: {NOT_LET_IN}')}")
    tabs.open(served.address).close()
    tab.click(".rail >> text=Neck")
    tab.wait_for_selector(".looked-up svg")
    tabs.expect("401")  # the browser notes every refusal
