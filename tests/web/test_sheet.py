"""Working in the sheet with keys and hands: what is typed, where the focus is, and what another tab does meanwhile."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tests.web.browser import Served, bring, open_take, unfold, until
from tests.web.conftest import Watched

FOCUS = "document.activeElement"
NAME_FIELD = ".opened .own[data-what=name] input"
WORDS = "Swing low, sweet chariot, coming for to carry me home"


def _called(tab: Any, number: int) -> str:
    text: str = tab.inner_text(f"[data-number='{number}']")
    return text


def _name(tab: Any, chord: str) -> None:
    """Name the first chord of the bar that is unfolded, with Enter."""
    tab.evaluate("document.querySelector('.opened .candidates').open = true")
    tab.fill(f"{NAME_FIELD} >> nth=0", chord)
    tab.keyboard.press("Enter")
    until(tab, f"document.querySelector('.opened h4').textContent.startsWith('{chord}')")


def test_space_plays_a_bar_that_enter_unfolds_and_folds(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    unfold(tab, 2)
    assert tab.evaluate(f"{FOCUS}.closest('.bar').dataset.number") == "2"
    tab.keyboard.press(" ")
    until(tab, "document.body.dataset.playing === 'true'")
    assert tab.is_visible(".opened")
    tab.keyboard.press("Escape")
    tab.keyboard.press(" ")  # on the bar that was left
    until(tab, "document.body.dataset.playing === 'true'")
    assert not tab.locator(".opened").count()
    tab.keyboard.press(" ")
    until(tab, "document.body.dataset.playing === 'false'")
    tab.keyboard.press("Enter")
    tab.wait_for_selector(".opened .held")


def test_going_on_quickly_ends_at_the_last_bar_that_was_asked_for(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.evaluate(
        "for (let press = 0; press < 4; press += 1) "
        "document.body.dispatchEvent(new KeyboardEvent('keydown', { key: 'ArrowRight', bubbles: true }))"
    )
    tab.wait_for_selector(".opened .held")
    until(tab, "document.querySelector('.unfolded') === [...document.querySelectorAll('.bar')].at(-1)")
    tab.wait_for_timeout(300)
    assert tab.locator(".opened").count() == 1
    assert not tab.is_visible("#said.error")


def test_whoever_unfolds_a_bar_by_a_key_is_told_where_they_are(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    assert tab.title() == "evening – listen"
    assert tab.evaluate(f"{FOCUS}.id") == "view"
    for key, bar in (("Enter", 1), ("ArrowRight", 2)):
        tab.keyboard.press(key)
        until(tab, f"document.querySelector('.unfolded')?.dataset.number === '{bar}'")
        assert tab.evaluate(f"{FOCUS}.ariaLabel") == f"Bar {bar}, unfolded"
    tab.keyboard.press("Enter")
    assert tab.evaluate(f"{FOCUS}.closest('.bar').dataset.number") == "2"  # and out of it again


def test_the_focus_stays_where_one_works(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    unfold(tab, 1)
    before = _called(tab, 1)
    _name(tab, "Gsus4")
    until(tab, f"{FOCUS}.closest('form')?.dataset.what === 'name'")
    assert tab.input_value(f"{NAME_FIELD} >> nth=0") == ""  # what was settled is not typed any more
    tab.click("text=Undo")  # nothing is left to undo: the bar is nearest
    until(tab, f"{FOCUS}.classList.contains('opened')")
    tab.focus("[data-number='1'] button")
    tab.keyboard.press("Control+Shift+z")
    until(tab, "document.querySelector('[data-number=\"1\"]').textContent.includes('Gsus4')")
    until(tab, f"{FOCUS}.closest('.bar')?.dataset.number === '1'")
    tab.keyboard.press("Control+z")
    until(tab, "!document.querySelector('[data-number=\"1\"]').textContent.includes('Gsus4')")
    tab.click(".opened [data-what='no note'] >> nth=0")
    until(tab, "document.querySelector('#said').textContent.startsWith('Settled')")
    until(tab, f"{FOCUS}.classList.contains('opened')")  # its row is gone
    tab.keyboard.press("Escape")
    tab.click("text=Undo")
    until(tab, f"{FOCUS}.textContent === 'Redo'")
    assert _called(tab, 1) == before


def test_what_is_half_written_stays_when_another_tab_corrects(served: Served, take: str, tabs: Watched) -> None:
    one, other = open_take(tabs, served, take), open_take(tabs, served, take)
    unfold(one, 1)
    one.evaluate("document.querySelector('.opened .candidates').open = true")
    one.locator(f"{NAME_FIELD} >> nth=0").press_sequentially("Am7")
    one.keyboard.press("ArrowLeft")
    one.evaluate("document.querySelector('.work .right').open = true")
    one.evaluate("document.querySelector('.work [data-what=title] input').value = 'Even'")
    unfold(other, 2)
    _name(other, "Dsus4")
    until(one, "document.querySelector('[data-number=\"2\"]').textContent.includes('Dsus4')")
    one.wait_for_timeout(500)
    assert one.input_value(f"{NAME_FIELD} >> nth=0") == "Am7"
    assert one.input_value(".work [data-what=title] input") == "Even"
    one.keyboard.press("b")  # the focus is there, and stands before the 7
    assert one.input_value(f"{NAME_FIELD} >> nth=0") == "Amb7"
    other.click("text=Undo")
    until(one, "!document.querySelector('[data-number=\"2\"]').textContent.includes('Dsus4')")


def test_an_answer_that_comes_late_undoes_nothing(served: Served, take: str, tabs: Watched) -> None:
    one, other = tabs.open("about:blank"), open_take(tabs, served, take)
    late: list[tuple[Any, Any]] = []
    one.route("**/sheet", lambda route: late.append((route, route.fetch())), times=1)
    one.goto(f"{served.base}/#{take}")
    while not late:
        one.wait_for_timeout(20)
    unfold(other, 2)
    _name(other, "Dsus4")
    until(one, "document.querySelector('[data-number=\"2\"]')?.textContent.includes('Dsus4')")
    [(route, answer)] = late
    route.fulfill(response=answer)
    one.wait_for_timeout(500)
    assert "Dsus4" in _called(one, 2)
    other.click("text=Undo")
    until(one, "!document.querySelector('[data-number=\"2\"]').textContent.includes('Dsus4')")


def _below_their_bar(tab: Any) -> list[str]:
    """Return the numbers of bars whose words to sing do not lie inside."""
    found: list[str] = tab.evaluate(
        """[...document.querySelectorAll('.lyrics')].map((one) => [one.closest('.bar'), one.getBoundingClientRect()])
        .filter(([bar, words]) => { const box = bar.getBoundingClientRect();
          return words.bottom > box.bottom + 0.5 || words.right > box.right + 0.5; })
        .map(([bar]) => bar.dataset.number)"""
    )
    assert tab.locator(".lyrics").count() == 1
    return found


def test_words_to_sing_lie_inside_their_bar(served: Served, take: str, tabs: Watched, tmp_path: Path) -> None:
    tab = open_take(tabs, served, take)
    unfold(tab, 1)
    tab.click(".opened .around summary")
    tab.fill(".opened .own[data-what=lyrics] input", WORDS)
    tab.keyboard.press("Enter")
    tab.wait_for_selector(".lyrics")
    assert not _below_their_bar(tab)
    tab.click("text=Take away")
    with tab.expect_download() as waited:
        tab.click(".away a[href$='/html']")
    sheet = tmp_path / "sheet.html"
    waited.value.save_as(sheet)
    for width in (1200, 360):
        tab.set_viewport_size({"width": width, "height": 740})
        tab.goto(f"{served.base}/#{take}")
        tab.wait_for_selector(".lyrics")
        assert not _below_their_bar(tab), width
        tab.set_content(sheet.read_text("utf-8"))
        assert not _below_their_bar(tab), width
        tab.emulate_media(media="print")
        assert not _below_their_bar(tab), width
        tab.emulate_media(media="screen")
        tab.goto("about:blank")
    tab.goto(f"{served.base}/#{take}")
    tab.wait_for_selector(".lyrics")
    tab.keyboard.press("Control+z")
    until(tab, "!document.querySelector('.lyrics')")
    tabs.expect("Content Security Policy")  # the sheet in the page's place


def test_a_button_is_called_by_what_stands_on_it(served: Served, take: str, tabs: Watched) -> None:
    """WCAG 2.2, 2.5.3 (https://www.w3.org/TR/WCAG22/#label-in-name): who speaks to the page says what is seen."""
    tab = open_take(tabs, served, take)
    unfold(tab, 1)
    names = tab.evaluate(
        "[...document.querySelectorAll('.opened button[aria-label]')].map((one) => [one.textContent, one.ariaLabel])"
    )
    assert len(names) > 5
    assert not [one for one in names if not one[1].startswith(one[0])]


def test_a_recording_that_cannot_be_read_shows_one_sentence_and_nothing_that_does_nothing(
    served: Served, tabs: Watched, recording: Path, tmp_path: Path
) -> None:
    path = tmp_path / "cut.flac"
    path.write_bytes(recording.read_bytes()[:60])
    tab = tabs.open(served.address)
    bring(tab, path)
    told = tab.inner_text(".listening")
    assert "cut.flac" in told
    assert "null" not in told
    assert tab.is_visible("text=Read it again")
    assert not tab.is_visible(".stand")
    assert not tab.locator("text=Take away").count()
    assert not tab.locator("button:disabled").count()
    assert tab.inner_text(".sheet h1") == "cut.flac"
    assert tab.locator("a:text('Bring another in')").get_attribute("href") == "#/"
    tab.click("text=Throw away")
    tab.wait_for_selector(".takes .gone:has-text('cut.flac was thrown away')")


def test_a_menu_opens_below_the_row_that_it_was_opened_in(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    heads = [tab.locator(f".work summary:text('{name}')") for name in ("Take away", "Put right")]
    before = [head.bounding_box() for head in heads]
    for head in (*heads, heads[0]):
        head.click()
        assert [one.bounding_box() for one in heads] == before
    assert tab.locator(".fields").bounding_box()["y"] > before[0]["y"] + before[0]["height"]


def test_an_empty_field_shows_what_was_heard(served: Served, take: str, tabs: Watched) -> None:
    """Letters on their ground have at least 4.5 to 1 (WCAG 2.2, 1.4.3)."""
    tab = open_take(tabs, served, take)
    tab.click("text=Put right")
    hint = "document.querySelector('.fields [data-what={}] input').placeholder"
    count = tab.inner_text(".sheet dl.facts div:has-text('Count') dd")
    assert count == f"{tab.evaluate(hint.format('metre'))}, {tab.evaluate(hint.format('tempo'))} beats a minute"
    assert tab.inner_text(".sheet dl.facts div:has-text('Key') dd") == tab.evaluate(hint.format("key"))
    assert tab.evaluate(hint.format("tuning")) == "standard"
    for scheme in ("light", "dark"):
        tab.emulate_media(color_scheme=scheme)
        ink, ground = tab.evaluate(
            """(() => { const field = document.querySelector('.fields input');
            return [getComputedStyle(field, '::placeholder'), getComputedStyle(field)]
              .map((look, at) => (at ? look.backgroundColor : look.color).match(/[0-9.]+/g).map(Number)); })()"""
        )
        assert len(ink) == 3, ink
        light, dark = sorted((_luminance(ink), _luminance(ground)), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5


def _luminance(color: list[float]) -> float:
    """Return how light a colour is (WCAG 2.2, *relative luminance*)."""
    parts = [one / 255 for one in color]
    red, green, blue = (one / 12.92 if one <= 0.04045 else ((one + 0.055) / 1.055) ** 2.4 for one in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_what_was_told_stays_in_its_field_until_it_is_taken_back(served: Served, take: str, tabs: Watched) -> None:
    """An empty field goes back to what was heard, so what holds must not look empty."""
    tab = open_take(tabs, served, take)
    field = ".fields [data-what=metre] input"
    tab.click("text=Put right")
    tab.fill(field, "3/4")
    tab.keyboard.press("Enter")
    until(tab, "document.querySelector('#said').textContent.startsWith('Settled')")
    assert tab.input_value(field) == "3/4"
    tab.reload()
    tab.wait_for_selector(".sheet .bar")
    assert tab.input_value(field) == "3/4"
    tab.click("text=Undo")
    until(tab, "document.querySelector('#said').textContent.startsWith('Taken back')")
    assert tab.input_value(field) == ""


def test_what_was_played_is_set_as_homework(served: Served, take: str, tabs: Watched) -> None:
    tab = open_take(tabs, served, take)
    tab.get_by_role("button", name="Set as homework").click()
    tab.wait_for_url("**/#/homework/*")
    tab.wait_for_selector(".what")
    assert tab.inner_text(".sheet h1") == "evening"
    tab.click("summary:text('What was set')")
    assert tab.input_value(".what textarea").startswith("title: evening\n")


def test_what_was_said_is_closed_by_hand_and_follows_into_no_other_room(
    served: Served, take: str, tabs: Watched
) -> None:
    tab = open_take(tabs, served, take)

    def refuse() -> None:
        tab.evaluate("document.querySelector('.work .right').open = true")
        tab.fill(".fields .own:has-text('Metre') input", "7/99")
        tab.keyboard.press("Enter")
        tab.wait_for_selector("#said.error.shown")

    refuse()
    close = tab.get_by_role("button", name="Close what is said")
    close.focus()
    tab.keyboard.press("Enter")
    assert not tab.is_visible("#said")
    assert tab.evaluate(f"{FOCUS}.closest('form').dataset.what") == "metre"
    refuse()
    tab.click(".rail >> text=Neck")
    tab.wait_for_selector(".looked-up svg")
    assert not tab.is_visible("#said")
    assert not tab.inner_text("#said")
    tabs.expect("400")  # the browser notes every refusal
