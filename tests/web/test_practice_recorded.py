"""A recorded answer on the page: the loudspeaker is silent, one recording runs, and its time is the player's."""

from __future__ import annotations

import json
from typing import Any
from urllib.parse import parse_qs, urlsplit

from tests.web.browser import Served, until
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
HELD_MICROPHONE = """() => {
  window.recorders = 0;
  const really = navigator.mediaDevices.getUserMedia;
  const asked = new Promise((done, fail) => { window.allow = done; window.deny = fail; });
  navigator.mediaDevices.getUserMedia = async (wanted) => {
    const stream = await really(wanted);
    window.stream = stream;
    await asked;
    return stream;
  };
  window.live = () => window.stream.getTracks().some((one) => one.readyState === "live");
  window.MediaRecorder = class extends MediaRecorder { constructor(...all) { super(...all); window.recorders += 1; } };
}"""  # a microphone that the browser asks for until the test allows it
JUDGED = {
    "is_right": False, "answer": "5", "said": "", "text": "the fifth", "heard": "You hummed E♭3, the bass is C",
    "cents": 300.0, "listen_for": "", "can_hear_chosen": False, "can_hear_rooted": False, "html": "",
}  # fmt: skip


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


def test_a_recording_silences_the_question_and_a_second_press_starts_no_other(served: Served, tabs: Watched) -> None:
    tab, sent = _ask(tabs, served)
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
    served: Served,
    tabs: Watched,
) -> None:
    tab, sent = _ask(tabs, served)
    tab.evaluate("window.end()")
    tab.evaluate("window.clock = 4000")
    tab.keyboard.press("h")
    tab.get_by_role("button", name="Recording …").wait_for()
    tab.evaluate("window.clock = 9000")
    tab.locator(".verdict").wait_for()
    assert [parse_qs(urlsplit(url).query)["took_s"] for url in sent] == [["3"]]
    said = "Not this time: the fifth. You hummed E♭3, the bass is C. Your hum lay 300 cents above the bass."
    assert tab.locator(".verdict").inner_text() == said


def test_an_answer_by_key_ends_the_recording(served: Served, tabs: Watched) -> None:
    tab, sent = _ask(tabs, served)
    tab.keyboard.press("h")
    tab.get_by_role("button", name="Recording …").wait_for()
    tab.keyboard.press("1")
    tab.locator(".verdict").wait_for()
    tab.keyboard.press("n")
    tab.locator(".option:not([disabled])").first.wait_for()  # the next question: no microphone hears it
    tab.keyboard.press("h")
    tab.get_by_role("button", name="Recording …").wait_for()
    until(tab, "window.opened === 2")
    tab.locator(".verdict").wait_for()
    assert len(sent) == 1


def test_a_microphone_that_is_allowed_once_the_question_was_answered_is_let_go_without_a_word(
    served: Served,
    tabs: Watched,
) -> None:
    tab, sent = _ask(tabs, served)
    tab.evaluate(HELD_MICROPHONE)
    tab.keyboard.press("h")
    until(tab, "window.stream !== undefined")
    tab.keyboard.press("1")
    tab.locator(".verdict").wait_for()
    tab.evaluate("window.allow()")
    until(tab, "!window.live()")
    assert tab.evaluate("window.recorders") == 0
    assert tab.evaluate("document.querySelector('#said').textContent") != "Hum the bass now."
    assert not sent


def test_a_microphone_that_is_denied_once_the_question_was_answered_is_no_error(served: Served, tabs: Watched) -> None:
    tab, _ = _ask(tabs, served)
    tab.evaluate(HELD_MICROPHONE)
    tab.keyboard.press("h")
    until(tab, "window.stream !== undefined")
    tab.keyboard.press("1")
    tab.locator(".verdict").wait_for()
    tab.evaluate("window.deny()")
    tab.wait_for_timeout(300)  # in which it is said, if it is
    assert not tab.locator("#said.error").count()


def test_a_recorder_that_does_not_start_lets_the_microphone_go(served: Served, tabs: Watched) -> None:
    tab, sent = _ask(tabs, served)
    tab.evaluate(HELD_MICROPHONE)
    tab.evaluate("() => { MediaRecorder.prototype.start = () => { throw new Error('It does not start.'); }; }")
    tab.evaluate("window.allow()")
    tab.keyboard.press("h")
    until(tab, "document.querySelector('#said').textContent === 'It does not start.'")
    assert not tab.evaluate("window.live()")
    assert not sent


def test_a_recording_that_another_question_cuts_short_is_no_answer(served: Served, tabs: Watched) -> None:
    tab, sent = _ask(tabs, served)
    held: dict[str, Any] = {}
    tab.route("**/questions?kind=*", lambda route: held.update(question=route), times=1)
    tab.get_by_label("What to practise").select_option("root or not")
    long = "() => { const later = setTimeout; window.setTimeout = (run, ms) => later(run, ms === 2500 ? 1e6 : ms); }"
    tab.evaluate(long)  # a recording that does not end by itself
    tab.get_by_role("button", name="Hum the bass").click()
    tab.get_by_role("button", name="Recording …").wait_for()
    tab.get_by_role("button", name="Ask it now").click()
    tab.get_by_role("button", name="Hum the bass").wait_for()
    tab.wait_for_timeout(300)  # in which it is sent, if it is, while the next question is on its way
    held["question"].continue_()
    until(tab, "window.begun.length === 2")
    assert not sent
