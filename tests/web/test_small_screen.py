"""A sheet on a phone, turned, and at twice its size: every control is reached, and what has the focus is in sight."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from listen.export import SheetSound, render_part_sheet, render_practice_page
from listen.practice import draw_question
from listen.reading import Correction
from tests.hand_made_parts import straight_part
from tests.web.browser import Served, open_take, unfold
from tests.web.conftest import Watched

PHONE = {"width": 360, "height": 740}
TURNED = {"width": 740, "height": 360}
ZOOMED = {"width": 640, "height": 400}  # 1280 by 800, at 200 %


def _share_of_stand(tab: Any) -> float:
    share: float = tab.evaluate("document.querySelector('.stand').getBoundingClientRect().height / innerHeight")
    return share


def test_a_phone_that_is_turned_loses_no_control(served: Served, take: str, tabs: Watched) -> None:
    """WCAG 2.2, 1.3.4 (https://www.w3.org/TR/WCAG22/#orientation)."""
    tab = tabs.open("about:blank")
    tab.set_viewport_size(PHONE)
    tab.goto(f"{served.address}#{take}")
    tab.wait_for_selector(".sheet .bar")
    assert not tab.get_by_label("guess first").is_visible()
    tab.set_viewport_size({"width": 1200, "height": 850})
    tab.get_by_label("guess first").check()


@pytest.mark.parametrize("size", [TURNED, ZOOMED])
def test_the_stand_leaves_most_of_a_low_window_to_the_sheet(
    served: Served, take: str, tabs: Watched, size: dict[str, int]
) -> None:
    tab = tabs.open("about:blank")
    tab.set_viewport_size(size)
    tab.goto(f"{served.address}#{take}")
    tab.wait_for_selector(".sheet .bar")
    assert _share_of_stand(tab) < 0.25
    tab.click(".stand summary")
    tab.get_by_label("guess first").check()


@pytest.mark.parametrize("size", [PHONE, ZOOMED])
def test_what_has_the_focus_is_not_under_the_stand(
    served: Served, take: str, tabs: Watched, size: dict[str, int]
) -> None:
    """WCAG 2.2, 2.4.11 (https://www.w3.org/TR/WCAG22/#focus-not-obscured-minimum)."""
    tab = open_take(tabs, served, take)
    tab.set_viewport_size(size)
    unfold(tab, 1)
    tab.click(".opened .candidates summary >> nth=0")
    tab.focus(".opened [data-do=close]")
    hidden = []
    for _ in range(40):
        tab.keyboard.press("Tab")
        found = tab.evaluate(
            """(() => { const on = document.activeElement, stand = document.querySelector('.stand');
            const { bottom } = on.getBoundingClientRect(), { top } = stand.getBoundingClientRect();
            return [stand.contains(on), bottom <= top + 1, on.outerHTML.slice(0, 90)]; })()"""
        )
        if found[0]:
            break
        if not found[1]:
            hidden.append(found[2])
    assert not hidden


def test_what_is_said_stands_at_the_foot_of_the_window_or_on_the_stand(
    served: Served, take: str, tabs: Watched
) -> None:
    """Else, on a phone, it lies over what it is about: what was thrown away is taken back there."""
    tab = open_take(tabs, served, take)
    tab.set_viewport_size(PHONE)
    said = "document.querySelector('#said').getBoundingClientRect().bottom"
    tab.evaluate("import('/static/api.js').then(({ say }) => say('The note is kept.'))")
    assert 0 <= tab.evaluate(f"document.querySelector('.stand').getBoundingClientRect().top - {said}") < 16
    tab.goto(f"{served.base}/#/")
    tab.wait_for_selector(".takes li")
    tab.evaluate("import('/static/api.js').then(({ say }) => say('The note is kept.'))")
    assert 0 <= tab.evaluate(f"innerHeight - {said}") < 16


def test_a_bar_with_all_that_is_folded_in_it_hangs_over_nowhere_at_320_pixels(
    served: Served, take: str, tabs: Watched
) -> None:
    """WCAG 2.2, 1.4.10 (https://www.w3.org/TR/WCAG22/#reflow): 1280 pixels at 400 %."""
    tab = open_take(tabs, served, take)
    tab.set_viewport_size({"width": 320, "height": 640})
    tab.click("text=Put right")
    unfold(tab, 1)
    for name in ("candidates", "evidence", "around"):
        tab.evaluate(f"document.querySelector('.opened .{name}').open = true")
    tab.wait_for_selector(".opened .evidence table")
    assert tab.evaluate("document.documentElement.scrollWidth") <= 320
    assert tab.locator(".stand summary").bounding_box()["height"] >= 24  # 2.5.8, for a finger


def test_a_command_on_a_page_of_practice_is_not_broken_between_its_dashes(tabs: Watched) -> None:
    tab = tabs.open("about:blank")
    tab.set_content(render_practice_page([draw_question("root or not", seed=1)], title="Practice"))
    for width in range(320, 420, 10):
        tab.set_viewport_size({"width": width, "height": 740})
        assert tab.evaluate("document.querySelector('p code').getClientRects().length") == 1, width
        assert tab.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("size", [TURNED, ZOOMED, PHONE])
def test_the_player_of_a_sheet_that_is_a_file_leaves_most_of_a_small_window_to_the_sheet(
    tabs: Watched, size: dict[str, int]
) -> None:
    tab = tabs.open("about:blank")
    tab.set_viewport_size(size)
    tab.set_content(render_part_sheet(straight_part(), sound=SheetSound(b"", is_beside=True)))
    assert tab.evaluate("document.querySelector('.player').getBoundingClientRect().height / innerHeight") < 0.25
    tab.click(".player summary")
    tab.get_by_label("Pace").select_option("slow")
    tab.set_viewport_size({"width": 1200, "height": 850})
    assert tab.is_visible("#blend")
    assert not tab.is_visible(".player summary")


def test_beats_stand_level_where_only_some_bars_are_sung(tabs: Watched) -> None:
    part = straight_part()
    words = Correction("lyrics", "When the morning comes along the river and nobody is awake", part.events[0].number)
    settled = replace(part.settled, corrections=(*part.settled.corrections, words))
    tab = tabs.open("about:blank")
    tab.set_content(render_part_sheet(replace(part, settled=settled)))
    assert tab.locator(".lyrics").count() == 1
    tops = tab.evaluate(
        "[...document.querySelectorAll('.line:first-of-type .ruler')].map((one) => one.getBoundingClientRect().top)"
    )
    assert len(tops) > 1
    assert len(set(tops)) == 1


def test_the_rooms_stand_in_one_row_on_a_phone(served: Served, tabs: Watched) -> None:
    tab = tabs.open("about:blank")
    tab.set_viewport_size(PHONE)
    tab.goto(served.address)
    tab.wait_for_selector(".rail a")
    tops = tab.evaluate("[...document.querySelectorAll('.rail a')].map((each) => each.getBoundingClientRect().top)")
    assert len(tops) == 4
    assert len(set(tops)) == 1
