"""The other rooms of the page: the neck answers the last question, and recordings stay where they can be seen."""

from __future__ import annotations

from typing import Any

from tests.web.browser import Served, until, wait_until
from tests.web.conftest import Watched


def test_the_neck_shows_what_was_asked_last_and_says_what_it_cannot_read(served: Served, tabs: Watched) -> None:
    tab = tabs.open(f"{served.address}#/neck/Am7")
    tab.wait_for_selector(".looked-up .neck svg")
    assert tab.evaluate(
        "[...document.querySelectorAll('.ask select')].every((one) => { const wide = one.cloneNode(true);"
        "wide.style.cssText = 'position: absolute; max-width: none; visibility: hidden'; one.after(wide);"
        "const cut = one.offsetWidth < wide.offsetWidth; wide.remove(); return !cut; })"
    )
    held: list[Any] = []
    tab.route("**/api/neck?chord=Cmaj7*", lambda route: held.append(route))  # noqa: PLW0108  (its arguments are counted)
    tab.fill("#chord", "Cmaj7#11")
    with tab.expect_request("**/api/neck?chord=Cmaj7*"):
        tab.keyboard.press("Enter")
    wait_until(lambda: tab.evaluate("1") and held)
    assert tab.get_attribute(".looked-up", "aria-busy") == "true"
    tab.fill("#chord", "C5")
    tab.keyboard.press("Enter")
    until(tab, "document.querySelector('.looked-up h1')?.textContent === 'C5'")
    held[0].continue_()
    tab.wait_for_timeout(500)
    assert tab.inner_text(".looked-up h1") == "C5"
    assert tab.title().startswith("C5")
    assert tab.get_attribute(".looked-up", "aria-busy") is None
    for chord, told in (("6/9", "6/9"), ("", "No chord is written")):
        tab.fill("#chord", chord)
        tab.keyboard.press("Enter")
        until(tab, f"document.querySelector('.looked-up .note')?.textContent.includes('{told}')")
        assert not tab.locator(".looked-up svg").count()
    tab.fill("#chord", "G")
    tab.fill(".ask input[type=number]", "2.5")
    tab.keyboard.press("Tab")
    until(tab, "document.querySelector('.looked-up .note')?.textContent.includes('capo=2.5 is not possible')")
    assert "a whole number" in tab.inner_text(".looked-up .note")
    tab.goto(f"{served.base}/#/neck/%E0%A4%A")
    until(tab, "document.querySelector('.looked-up .note')?.textContent.includes('%E0%A4%A')")
    tab.goto(f"{served.base}/#/homework/0123456789ab/%E0%A4%A")
    until(tab, "document.querySelector('main').textContent.includes('This address is broken')")
    tabs.expect("400", "422")  # the browser notes refusals


def test_the_neck_keeps_what_was_looked_up_over_a_reload_and_while_one_is_elsewhere(
    served: Served, tabs: Watched
) -> None:
    tab = tabs.open(f"{served.address}#/homework")
    tab.wait_for_selector(".set-chart")
    tab.click(".rail >> text=Neck")
    shown = "document.querySelector('.looked-up h1')?.textContent"
    until(tab, f"{shown} === 'G/B'")
    for chord in ("C", "Ebmaj9"):
        tab.fill("#chord", chord)
        tab.keyboard.press("Enter")
        until(tab, f"{shown} === '{chord.replace('Eb', 'E♭')}'")
    tab.fill(".ask input[type=number]", "3")
    tab.keyboard.press("Tab")
    until(tab, "document.querySelector('.looked-up').textContent.includes('fret 3')")
    assert tab.url.endswith("#/neck/Ebmaj9")
    tab.reload()
    until(tab, f"{shown} === 'E♭maj9'")
    assert "fret 3" in tab.inner_text(".looked-up")
    tab.click(".rail >> text=Practice")
    tab.wait_for_selector(".begin")
    tab.click(".rail >> text=Neck")
    until(tab, f"{shown} === 'E♭maj9'")
    tab.go_back()
    tab.wait_for_selector(".begin")
    tab.go_back()
    until(tab, f"{shown} === 'E♭maj9'")
    tab.go_back()  # not by every chord that was looked up
    tab.wait_for_selector(".set-chart")


def test_the_neck_names_a_shape_and_says_what_its_marks_say(served: Served, tabs: Watched) -> None:
    tab = tabs.open(f"{served.address}#/neck/x7665x")
    tab.wait_for_selector(".looked-up .neck svg")
    assert tab.inner_text(".looked-up h1") == "C♯m/E"
    assert "x7665x is C♯m/E; it may also be called E6." in tab.inner_text(".looked-up")
    assert tab.locator(".looked-up .place:not(.elsewhere, .elsewhere-root)").count() == 4
    with tab.expect_request("**/strings/frets?frets=x7665x*"):
        tab.get_by_role("button", name="Hear it").click()
    tab.get_by_label("Dots").select_option("fingers")
    until(tab, "document.querySelector('.looked-up').textContent.includes('on the whole neck the marks say notes')")
    tab.get_by_label("Show").select_option("easiest shapes")
    until(tab, "document.querySelector('.looked-up .card')")
    assert "the marks say notes" not in tab.inner_text(".looked-up")
    for shape, told in (("x7665", "It has 5"), ("xx3xxx", "notes that make a chord")):
        tab.fill("#chord", shape)
        tab.keyboard.press("Enter")
        until(tab, f"document.querySelector('.looked-up .note')?.textContent.includes('{told}')")
    tabs.expect("400")  # the browser notes refusals


def test_whoever_goes_elsewhere_while_recording_stays_there_and_keeps_the_recording(
    served: Served, tabs: Watched
) -> None:
    tab = tabs.open(served.address)
    tab.wait_for_selector(".takes li")
    n_before = len(tab.query_selector_all(".takes .name"))
    tab.get_by_role("button", name="Record", exact=True).click()
    tab.wait_for_selector("text=Stop and read it")
    tab.wait_for_timeout(1500)
    tab.click(".rail >> text=Neck")
    tab.wait_for_selector(".looked-up svg")
    until(tab, "document.querySelector('#said').textContent.includes('is kept among the recordings')")
    tab.wait_for_timeout(500)
    assert "#/neck" in tab.url
    tab.click(".rail >> text=Recordings")
    until(tab, f"document.querySelectorAll('.takes .name').length === {n_before + 1}")


def _bring_named(tab: Any, name: str) -> None:
    """Bring an empty shell of a recording in; what it is called is all that matters."""
    tab.evaluate(
        "async (name) => { const api = await import('/static/api.js');"
        " await api.bringIn(new File([new Uint8Array(100)], name), name); }",
        name,
    )


def test_what_is_thrown_away_can_be_taken_back_also_after_one_was_elsewhere(served: Served, tabs: Watched) -> None:
    tab = tabs.open(served.address)
    tab.wait_for_selector(".takes li")
    long = "Evening song, the second verse " * 5
    for name in ("one.wav", "two.wav", f"{long}third.wav"):
        _bring_named(tab, name)
    shown = tab.locator(".takes .name", has_text="Evening song").first
    shown.wait_for()
    assert shown.inner_text().startswith("Evening song, the second verse")
    assert shown.inner_text().endswith("third.wav")
    until(tab, "document.querySelectorAll('.state.failed').length >= 3")
    for name in ("one.wav", "two.wav"):
        tab.get_by_role("button", name=f"Throw away: {name}").click()
        until(tab, f"document.activeElement.closest('.gone')?.textContent.startsWith('{name}')")
    assert tab.locator(".takes .gone").count() == 2
    _bring_named(tab, "four.wav")  # the list goes on around them, and the focus stays
    tab.wait_for_selector(".takes a:has-text('four.wav')")
    assert tab.locator(".takes .gone").count() == 2
    assert tab.evaluate("document.activeElement.closest('.gone').textContent").startswith("two.wav")
    tab.click(".gone:has-text('one.wav') button")
    tab.wait_for_selector(".takes a:has-text('one.wav')")
    until(tab, "document.activeElement.textContent === 'one.wav'")
    assert tab.locator(".takes .gone").count() == 1
    tab.evaluate("location.hash = '#/neck'")
    until(tab, "document.body.className === 'in-neck'")
    tab.go_back()
    tab.wait_for_selector(".gone:has-text('two.wav') button")
