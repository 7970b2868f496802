"""News between tabs: what one tab misses, or hears late, is shown by it all the same."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from listen.request import HomeworkShelf, Library
from tests.web.browser import Served, open_take, until
from tests.web.conftest import Watched
from tests.web.test_homework_tabs import set_class

SAID = "document.querySelector('.found').textContent.includes('You say')"


def test_what_happens_before_a_tab_hears_news_is_shown_by_it(served: Served, tabs: Watched, tmp_path: Path) -> None:
    ident = set_class(served.library, tmp_path)
    held: dict[str, Any] = {}
    tabs.context.route("**/api/news", lambda route: held.update(news=route), times=1)
    late = tabs.open(f"{served.address}#/homework/{ident}/Anna")
    late.locator(".found > li").first.wait_for()
    tab = tabs.open(f"{served.base}/#/homework/{ident}/Anna")
    tab.get_by_role("button", name="The strumming is wrong").click()
    until(tab, SAID)
    held["news"].continue_()
    until(late, SAID)


def test_an_answer_that_comes_late_is_not_shown_in_place_of_a_newer_one(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}/Anna")
    other = tabs.open(f"{served.base}/#/homework/{ident}/Anna")
    for one in (tab, other):
        one.locator(".found > li").first.wait_for()
    late: list[tuple[Any, Any]] = []

    def hold_first(route: Any) -> None:
        answer = route.fetch()
        if late or "You say" not in answer.json()["html"]:
            route.fulfill(response=answer)
        else:
            late.append((route, answer))

    other.route("**/student?*", hold_first)
    tab.get_by_role("button", name="The strumming is wrong").click()
    until(tab, SAID)
    while not late:
        other.wait_for_timeout(20)
    tab.get_by_role("button", name="The strumming is wrong").click()  # and that is taken back
    until(tab, f"!{SAID}")
    other.wait_for_timeout(500)  # in which that is asked for already, or waits for the late answer
    look = f"new MutationObserver(() => {{ window.was ||= {SAID}; }})"
    other.evaluate(f"{look}.observe(document.body, {{ childList: true, subtree: true }})")
    [(route, answer)] = late
    route.fulfill(response=answer)
    until(other, f"window.was && !{SAID}")


def test_what_is_said_just_before_one_goes_on_changes_nothing_at_the_next_student(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}/Anna")
    tab.locator(".found > li").first.wait_for()
    held: dict[str, Any] = {}
    tab.route("**/verdict", lambda route: held.update(verdict=route), times=1)
    tab.get_by_role("button", name="The strumming is wrong").click()
    while not held:
        tab.wait_for_timeout(20)
    tab.keyboard.press("ArrowRight")
    until(tab, "document.title.startsWith('Bo')")
    held["verdict"].continue_()
    until(tab, "document.querySelector('#said').textContent.startsWith('Bar 1, you say')")
    assert tab.title().startswith("Bo")
    assert "student=Bo" in tab.evaluate("import('/static/player.js').then(({ player }) => player.url)")


def test_homework_that_is_thrown_away_in_one_tab_goes_from_the_others_and_comes_back(
    served: Served, tabs: Watched
) -> None:
    ident = HomeworkShelf(Library(served.library)).add("title: Low Tide\nfree time\n| C |\n").ident
    tab = tabs.open(f"{served.address}#/homework")
    other = tabs.open(f"{served.base}/#/homework")
    for one in (tab, other):
        one.get_by_role("link", name="Low Tide").wait_for()
    held: list[tuple[Any, Any]] = []
    tab.route(f"**/homework/{ident}", lambda route: held.append((route, route.fetch())), times=1)
    tab.get_by_role("button", name="Throw away: Low Tide").click()
    for one in (other, tab):  # also where news is quicker than the answer
        until(one, f"!document.querySelector('[data-path=\"/homework/{ident}\"]')")
    [(route, answer)] = held
    route.fulfill(response=answer)
    until(tab, "document.activeElement.closest('.gone')?.textContent.startsWith('Low Tide was thrown away')")
    tab.keyboard.press("Enter")
    for one in (tab, other):
        one.get_by_role("link", name="Low Tide").wait_for()


def test_tabs_out_of_sight_take_no_connection_and_show_what_happened_when_they_are_seen_again(
    served: Served, tabs: Watched
) -> None:
    shown = "document.querySelector('.takes li')"
    hide = "Object.defineProperty(document, 'hidden', { value: true, configurable: true })"
    tell = "document.dispatchEvent(new Event('visibilitychange'))"
    opened = [tabs.open(f"{served.address}#/homework")]
    until(opened[0], shown)
    opened[0].evaluate(f"{hide}; {tell}")
    tabs.context.add_init_script(hide)  # the others are out of sight from the first, and a browser has six connections
    opened += [tabs.open(f"{served.base}/#/homework") for _ in range(6)]
    until(opened[-1], shown)
    HomeworkShelf(Library(served.library)).add("title: Ebb\nfree time\n| C |\n")
    opened[0].evaluate(f"delete document.hidden; {tell}")
    opened[0].get_by_role("link", name="Ebb").wait_for()


def test_a_tab_that_comes_into_sight_is_told_to_ask_again_by_the_one_that_listens(
    served: Served, tabs: Watched
) -> None:
    ident = HomeworkShelf(Library(served.library)).add("title: Slack\nfree time\n| C |\n").ident
    first = tabs.open(f"{served.address}#/homework")
    first.get_by_role("link", name="Slack").wait_for()
    late = tabs.open("about:blank")
    late.add_init_script("Object.defineProperty(document, 'hidden', { value: true, configurable: true })")
    late.goto(f"{served.base}/#/homework")
    late.get_by_role("link", name="Slack").wait_for()
    first.evaluate(f"fetch('/api/homework/{ident}', {{ method: 'DELETE' }})")  # which is news, and goes by the other
    gone = f"!document.querySelector('[data-path=\"/homework/{ident}\"] a')"
    until(first, gone)  # so that it listens
    assert not late.evaluate(gone)
    late.evaluate("delete document.hidden; document.dispatchEvent(new Event('visibilitychange'))")
    until(late, gone)


def test_more_tabs_in_sight_than_a_browser_has_connections_all_hear_news_and_go_on_when_one_is_closed(
    served: Served, tabs: Watched
) -> None:
    shelf = HomeworkShelf(Library(served.library))
    opened = [tabs.open(f"{served.address}#/homework"), *(tabs.open(f"{served.base}/#/homework") for _ in range(7))]
    for number, title in enumerate(("Flood", "Neap")):
        for tab in opened:
            tab.wait_for_selector(".set-chart")
        ident = shelf.add(f"title: {title}\nfree time\n| C |\n").ident
        opened[-1].evaluate(f"fetch('/api/homework/{ident}', {{ method: 'DELETE' }})")  # which is news
        opened[-1].evaluate(f"fetch('/api/homework/{ident}/bring-back', {{ method: 'POST' }})")
        for tab in opened:
            tab.get_by_role("link", name=title).wait_for()
        if number == 0:
            opened.pop(0).close()  # it listened for all


def test_a_sheet_that_was_asked_for_before_a_change_does_not_undo_it(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    held: list[tuple[Any, Any]] = []
    tab.route("**/sheet", lambda route: held.append((route, route.fetch())), times=1)
    tab.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    while not held:
        tab.wait_for_timeout(20)
    tab.click("text=Put right")
    tab.click("text=Count it twice as fast")
    until(tab, "document.querySelector('#said').textContent.startsWith('Settled')")
    [(route, answer)] = held
    with tab.expect_response("**/sheet"):
        route.fulfill(response=answer)
    tab.wait_for_timeout(300)  # in which the late answer is taken, if it is
    assert tab.is_enabled("text=Undo")
