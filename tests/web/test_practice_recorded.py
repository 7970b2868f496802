"""A recorded answer on the page: the loudspeaker is silent, one recording runs, and its time is the player's."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest

from tests.web.browser import Served, find_chromium, serve, until
from tests.web.conftest import Watched
from tests.web.test_practice_sounds import HELD_SOUNDS

WATCHED = """() => {
  window.clock = 1000;
  performance.now = () => window.clock;
  window.opened = 0;
  window.silent = 0;
  const open = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
  navigator.mediaDevices.getUserMedia = (wanted) => { window.opened += 1; return open(wanted); };
  AudioBufferSourceNode.prototype.stop = function () { window.silent += 1; this.onended?.(); };
}"""
JUDGED = {
    "is_right": False, "answer": "5", "said": "", "text": "the fifth", "heard": "You hummed E♭3, the bass is C",
    "cents": 300.0, "listen_for": "", "can_hear_chosen": False, "can_hear_rooted": False, "html": "",
}  # fmt: skip


@pytest.fixture
def fresh(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Iterator[Served]:
    """Serve a page on which nothing was practised yet."""
    find_chromium()
    with serve(tmp_path_factory.mktemp("recorded") / "library") as page:
        monkeypatch.setenv("LISTEN_PRACTICE", str(page.library.parent / "practice.sqlite"))
        yield page


def _ask(tabs: Watched, served: Served) -> tuple[Any, list[str]]:
    """Ask for a bass, with sounds that end when the test says so; what is sent is noted and judged wrong."""
    tab, sent = tabs.open(f"{served.address}#/practice"), list[str]()

    def judge(route: Any) -> None:
        sent.append(route.request.url)
        route.fulfill(status=200, content_type="application/json", body=json.dumps(JUDGED))

    tab.route("**/hum?*", judge)
    tab.evaluate(HELD_SOUNDS)
    tab.evaluate(WATCHED)
    until(tab, "document.querySelectorAll('#step option').length > 3")
    tab.get_by_label("What to practise").select_option("which bass")
    tab.get_by_role("button", name="Begin").click()
    until(tab, "window.begun.length === 1")
    return tab, sent


def test_a_recording_silences_the_question_and_a_second_press_starts_no_other(fresh: Served, tabs: Watched) -> None:
    tab, sent = _ask(tabs, fresh)
    silent = tab.evaluate("window.silent")
    tab.keyboard.press("h")
    assert tab.evaluate("window.silent") > silent
    tab.get_by_role("button", name="Recording …").wait_for()
    for key in ("h", "p", " "):
        tab.keyboard.press(key)
    tab.locator(".verdict").wait_for()
    assert len(sent) == 1
    assert tab.evaluate("[window.opened, window.begun.length]") == [1, 1]
    assert tab.get_by_role("button", name="Hum the bass").is_disabled()


def test_a_recorded_answers_time_ends_with_the_press_and_the_page_says_what_was_heard(
    fresh: Served,
    tabs: Watched,
) -> None:
    tab, sent = _ask(tabs, fresh)
    tab.evaluate("window.end()")
    tab.evaluate("window.clock = 4000")
    tab.keyboard.press("h")
    tab.get_by_role("button", name="Recording …").wait_for()
    tab.evaluate("window.clock = 9000")
    tab.locator(".verdict").wait_for()
    assert [parse_qs(urlsplit(url).query)["took_s"] for url in sent] == [["3"]]
    said = "Not this time: the fifth. You hummed E♭3, the bass is C. Your hum lay 300 cents above the bass."
    assert tab.locator(".verdict").inner_text() == said


def test_an_answer_by_key_ends_the_recording(fresh: Served, tabs: Watched) -> None:
    tab, sent = _ask(tabs, fresh)
    tab.keyboard.press("h")
    tab.get_by_role("button", name="Recording …").wait_for()
    tab.keyboard.press("1")
    tab.locator(".verdict").wait_for()
    tab.keyboard.press("n")
    until(tab, "window.begun.length >= 2")  # the next question sounds: no microphone hears it
    tab.keyboard.press("h")
    tab.get_by_role("button", name="Recording …").wait_for()
    until(tab, "window.opened === 2")
    tab.locator(".verdict").wait_for()
    assert len(sent) == 1
