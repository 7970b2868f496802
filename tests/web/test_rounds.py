"""A chart that is folded: what is written once and played again is opened, heard and put right each time by itself."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from listen.document import render_part_pieces
from listen.reading import Part
from listen.request import Library, bring_to_library
from tests.hand_made_parts import Scene, returning_scene, straight_part, without_bars
from tests.web.browser import Served, open_take, unfold, until
from tests.web.conftest import Watched

RATE_HZ = 8000
FOCUS = "document.activeElement"
PLAYING = "document.body.dataset.playing === 'true'"
STRETCH = "import('/static/player.js').then(({ player }) => [player.stretch.start, player.stretch.end])"


def bring_part(library: Path, folder: Path, part: Part) -> str:
    """Put a part that was read elsewhere into a library, with a quiet sound, and return its address."""
    document = folder / "part.json"
    document.write_text("".join(render_part_pieces(part)), "utf-8")
    shelf = Library(library)
    take = bring_to_library(shelf, document)
    hiss = np.random.default_rng(1).normal(0.0, 0.01, int(part.recording.duration_s * RATE_HZ))
    soundfile.write(shelf.folder_of(take.ident) / "sound.flac", hiss, RATE_HZ)
    return f"/take/{take.ident}"


@pytest.fixture
def folded(served: Served, tmp_path: Path) -> str:
    """Return the address of a part of eight bars, of which four are written."""
    return bring_part(served.library, tmp_path, straight_part())


def opened(tab: Any) -> str:
    """Return which bar is unfolded, as its panel says it."""
    return str(tab.inner_text(".opened-head h3")).split(" at ")[0]


def test_keys_go_through_every_bar_as_it_is_played(served: Served, folded: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, folded)
    assert tab.locator(".bar").count() == 4
    for number in range(1, 9):
        tab.keyboard.press("ArrowRight")
        until(tab, f"document.querySelector('.opened-head h3')?.textContent.startsWith('Bar {number} ')")
        assert tab.locator(".unfolded").get_attribute("data-number") == str((number - 1) % 4 + 1)
    tab.keyboard.press("ArrowRight")  # there is no more
    tab.keyboard.press("ArrowLeft")
    until(tab, "document.querySelector('.opened-head h3')?.textContent.startsWith('Bar 7 ')")
    tab.keyboard.press("Escape")
    assert tab.evaluate(f"{FOCUS}.closest('.bar').dataset.number") == "3"
    tab.keyboard.press("Enter")
    tab.wait_for_selector(".opened .held")
    assert opened(tab) == "Bar 7"
    tab.keyboard.press("Escape")
    tab.keyboard.press("ArrowLeft")
    until(tab, "document.querySelector('.opened-head h3')?.textContent.startsWith('Bar 6 ')")


def test_a_bar_that_is_written_once_is_chosen_heard_and_put_right_each_time_by_itself(
    served: Served, folded: str, tabs: Watched
) -> None:
    tab, part = open_take(tabs, served, folded), straight_part()
    unfold(tab, 1)
    assert tab.locator(".rounds button").all_inner_texts() == ["Bar 1", "Bar 5"]
    assert tab.locator(".rounds [aria-current]").inner_text() == "Bar 1"
    tab.get_by_role("button", name="Bar 5", exact=True).click()
    until(tab, f"{FOCUS}.textContent === 'Bar 5' && {FOCUS}.getAttribute('aria-current') === 'true'")
    assert opened(tab) == "Bar 5"
    assert tab.locator(".opened").count() == 1
    tab.keyboard.press("Escape")
    tab.keyboard.press(" ")
    until(tab, PLAYING)
    assert tab.evaluate(STRETCH) == [round(at, 4) for at in part.bars.lines_s[4:6]]
    tab.keyboard.press("Escape")
    tab.click("[data-number='2'] button", modifiers=["Shift"])  # the bar after it, not the one in the first round
    until(tab, PLAYING)
    assert tab.evaluate(STRETCH) == pytest.approx([part.bars.lines_s[4], part.bars.lines_s[6]], abs=0.001)
    tab.keyboard.press("Escape")
    unfold(tab, 1)
    tab.evaluate("document.querySelector('.opened .candidates').open = true")
    tab.fill(".opened .own[data-what=name] input >> nth=0", "Esus4")
    with tab.expect_response("**/changes") as waited:
        tab.keyboard.press("Enter")
    asked = json.loads(waited.value.request.post_data)
    assert (asked["bar"], asked["value"]) == (5, "Esus4")
    assert part.spans[asked["chord"]].span.start_s == part.bars.lines_s[4]
    tab.wait_for_selector("#said.error")  # it has no recording that could be read again around that
    tabs.expect("400")


def test_a_section_that_comes_back_opens_bar_by_bar(served: Served, tabs: Watched, tmp_path: Path) -> None:
    tab = open_take(tabs, served, bring_part(served.library, tmp_path, returning_scene().part(20)))
    tab.click(".return button")
    tab.wait_for_selector(".opened .held")
    assert opened(tab) == "Bar 13"
    assert tab.locator(".rounds button").all_inner_texts() == [f"Bar {number}" for number in range(13, 21)]
    for _ in range(7):
        tab.keyboard.press("ArrowRight")
    until(tab, "document.querySelector('.opened-head h3')?.textContent.startsWith('Bar 20 ')")
    until(tab, "document.querySelector('.opened h4')?.textContent.startsWith('F')")


def test_in_free_time_what_goes_on_under_one_name_opens_stretch_by_stretch(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    scene = Scene()
    for bar, frets in enumerate(("x32010", "x35553", "320003"), start=1):
        scene.chord("G" if bar == 3 else "C", frets)
        scene.strum(bar, 0)
    tab = tabs.open(f"{served.address}#{bring_part(served.library, tmp_path, without_bars(scene.part(3)))}")
    tab.wait_for_selector(".free li")
    assert tab.locator(".free li").count() == 2
    tab.click(".free button >> nth=0")
    tab.wait_for_selector(".opened .held")
    first, second = tab.locator(".rounds button").all_inner_texts()
    assert first == tab.inner_text(".opened-head h3")
    tab.keyboard.press("ArrowRight")
    until(tab, "document.querySelector('.opened-head h3')?.textContent.trim() === " + repr(second))
    until(tab, "document.querySelector('.opened .neck title')?.textContent.includes('x35553')")
    tab.keyboard.press("ArrowRight")
    until(tab, "document.querySelector('.opened h4')?.textContent.startsWith('G')")
