"""While something is put right: where one is, what is being worked on, and what was refused."""

from __future__ import annotations

from typing import Any

from tests.web.browser import Served, open_take, unfold, until
from tests.web.conftest import Watched

SAID = "document.querySelector('#said [role=status]').textContent"
PHONE = {"width": 390, "height": 844}
METRE = ".fields [data-what=metre] input"


def _clock(tab: Any) -> str:
    text: str = tab.inner_text(".opened h3 .quiet")
    return text


def test_the_bar_that_is_open_stays_where_it_sounds_when_bars_are_numbered_anew(
    served: Served, take: str, tabs: Watched
) -> None:
    tab = open_take(tabs, served, take)
    unfold(tab, 3)
    at = _clock(tab)
    tab.click(".opened .around summary")
    tab.click("text=Bar 1 begins here")
    until(tab, f"{SAID}.startsWith('Settled')")
    assert tab.evaluate(SAID) == f"Settled: bar 1 {at}."
    assert tab.inner_text(".opened h3") == f"Bar 1 {at}"
    assert tab.evaluate("document.querySelector('.opened').ariaLabel") == "Bar 1, unfolded"
    assert tab.evaluate("document.querySelector('.unfolded').dataset.number") == "1"
    tab.click("#said .undo")
    until(tab, f"{SAID}.startsWith('Taken back')")
    assert tab.inner_text(".opened h3") == f"Bar 3 {at}"
    assert tab.evaluate("document.activeElement !== document.body")


def test_a_change_that_is_being_worked_on_says_so_and_takes_no_other(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    unfold(tab, 1)
    held: list[Any] = []
    tab.route("**/changes", lambda route: held.append(route))  # noqa: PLW0108  (Playwright asks a function for its arguments)
    tab.click(".opened [data-what='no note'] >> nth=0")
    until(tab, "document.querySelector('.sheet').ariaBusy === 'true'")
    assert tab.evaluate(SAID) == "Working it out …"
    assert tab.is_visible("#said")
    tab.wait_for_timeout(400)
    assert float(tab.evaluate("getComputedStyle(document.querySelector('.line')).opacity")) < 0.6
    tab.click(".opened [data-what='no note'] >> nth=1")
    assert tab.evaluate(SAID).startswith("What you settled before is still being worked out")
    tab.keyboard.press("Control+z")  # it is taken back once it is settled
    assert len(held) == 1
    held[0].continue_()
    until(tab, f"{SAID}.startsWith('Taken back')")
    assert len(held) == 1
    assert tab.evaluate("document.querySelector('.sheet').ariaBusy") is None
    assert tab.evaluate("document.querySelector('.work button').disabled")  # nothing is left to undo


def test_what_was_refused_is_marked_until_it_is_written_otherwise(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.click("text=Put right")
    tab.fill(METRE, "7/99")
    tab.keyboard.press("Enter")
    tab.wait_for_selector("#said.error.shown")
    field = f"document.querySelector('{METRE}')"
    assert tab.evaluate(f"{field}.ariaInvalid") == "true"
    tab.reload()
    tab.wait_for_selector(".sheet .bar")
    assert tab.input_value(METRE) == "7/99"
    assert tab.evaluate(f"{field}.ariaInvalid") == "true"  # it is not set now, either
    tab.focus(METRE)
    tab.keyboard.press("Enter")
    tab.wait_for_selector("#said.error.shown")
    tab.fill(METRE, "7/9")
    assert not tab.is_visible("#said")
    assert tab.evaluate(f"{field}.ariaInvalid") is None
    tab.fill(METRE, "")
    tabs.expect("400")


def test_on_a_phone_what_is_said_lies_where_one_does_not_press(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.set_viewport_size(PHONE)
    tab.emulate_media(reduced_motion="reduce")
    unfold(tab, 1)
    for share in (0.1, 0.3, 0.6, 0.8):
        button = tab.locator(".opened [data-what='no note'] >> nth=0")
        button.evaluate(f"(one) => scrollBy(0, one.getBoundingClientRect().top - innerHeight * {share})")
        tab.wait_for_timeout(100)
        button.click()
        until(tab, f"{SAID}.startsWith('Settled')")
        before, said = button.bounding_box(), tab.locator("#said").bounding_box()
        assert said["y"] > before["y"] + before["height"] or said["y"] + said["height"] < before["y"], share
        tab.click("#said .undo")
        until(tab, f"{SAID}.startsWith('Taken back')")


def test_on_a_phone_a_slip_of_the_finger_rewrites_nothing(served: Served, take: str, tabs: Watched) -> None:
    """At least 8 pixels are between what sounds and what changes; both are as high as WCAG 2.2, 2.5.8 asks."""
    tab = open_take(tabs, served, take)
    tab.set_viewport_size(PHONE)
    tab.emulate_media(reduced_motion="reduce")
    unfold(tab, 1)
    row = tab.locator(".opened .notes tr:has([data-do=sound]) >> nth=0")
    hear, remove = (row.locator(f"[data-do={do}]").bounding_box() for do in ("sound", "change"))
    across = remove["x"] - hear["x"] - hear["width"]
    down = remove["y"] - hear["y"] - hear["height"]
    assert max(across, down) >= 8
    assert min(hear["height"], remove["height"]) >= 24
    assert tab.is_visible(".opened .notes td:nth-child(3)")  # where it is held
    assert tab.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


def test_buttons_that_set_something_say_what(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.click("text=Put right")
    names = tab.evaluate("[...document.querySelectorAll('.fields .own button')].map((one) => one.ariaLabel)")
    assert len(names) == len(set(names)) == 6
