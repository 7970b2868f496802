"""Homework in a browser: two tabs at one student, recordings that go and come, and where the focus is afterwards."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import soundfile

from listen.document import ClassCheck, class_to_document, load_words, render_chart_text, render_document
from listen.reading import Finding, WayKept
from listen.request import HomeworkShelf, Library, bring_homework
from tests.export.test_check_reports import ANNA, SET
from tests.jobs.test_check_class import write_strum
from tests.web.browser import Served, until
from tests.web.conftest import Watched

HAND = Finding("way", 1, 1.0, 0.5, probability=0.7, settled=False, measure=WayKept(62))
FOCUS = "document.activeElement"
GONE = "Boolean(document.querySelector('.gone'))"
N_SAID = "performance.getEntriesByType('resource').filter((one) => one.name.endsWith('/verdict')).length"
BOTH_AT_ONCE = "for (let n = 2; n; n -= 1) document.querySelector('[data-kind=way] [data-do=right]').click()"


def set_class(library: Path, folder: Path) -> str:
    """Homework of two students, checked by hand."""
    shelf = HomeworkShelf(Library(library))
    (folder / "week.chart").write_text(render_chart_text(SET), "utf-8")
    for name in ("Anna.flac", "Bo.flac"):
        write_strum(folder / name, frets="x32010")
    homework = bring_homework(Library(library), folder / "week.chart", [folder])
    checks = tuple(replace(ANNA, student=name, findings=(HAND, *ANNA.findings)) for name in ("Anna", "Bo"))
    path = shelf.folder_of(homework.ident) / "class.json"
    path.write_text(render_document(class_to_document(ClassCheck("Harbour Lights", checks))), "utf-8")
    shelf.keep(homework.ident, shelf.stamp(homework))
    return homework.ident


def test_what_is_said_in_one_tab_is_seen_in_the_others_and_written_over_by_none(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}/Anna")
    other, whole = (tabs.open(f"{served.base}/#/homework/{ident}{where}") for where in ("/Anna", ""))
    for one in (tab, other):
        one.locator(".found > li").first.wait_for()
    whole.locator(".class-table").wait_for()

    tab.get_by_role("button", name="The strumming is wrong").click()
    until(tab, "document.querySelector('.found').textContent.includes('You say: the strumming is wrong')")
    assert "5 of 8 bars are right" in tab.inner_text(".facts")
    assert tab.evaluate(f"{FOCUS}.textContent") == "The strumming is wrong"
    tab.keyboard.press("w")
    until(tab, "!document.querySelector('.found').textContent.includes('You say')")
    assert tab.evaluate(f"{FOCUS}.textContent") == "The strumming is wrong"

    tab.evaluate(BOTH_AT_ONCE)
    until(tab, f"{N_SAID} === 4")  # each of the two was answered
    assert tab.inner_text("#said [role=status]") == "Bar 1, you say: the strumming is right."

    # whoever speaks before a tab shows what was said in another one is told so, and nothing is kept
    until(other, "document.querySelector('.found').textContent.includes('You say: the strumming is right')")
    other.get_by_role("button", name="The chord is right").click()
    for one in (tab, other):
        until(one, "document.querySelector('.found').textContent.includes('You say: the chord is right')")
        assert "6 of 8 bars are right" in one.inner_text(".facts")
    until(whole, "document.querySelector('.class-table td.num').textContent === '75–88 %'")

    tab.focus(".note-field textarea")
    tab.keyboard.type("Slowly.")
    other.focus(".note-field textarea")
    other.keyboard.type("Thumb!")
    other.keyboard.press("Escape")
    until(tab, "document.querySelector('.note-field + .note').textContent.startsWith('Another tab wrote: “Thumb!”')")
    assert tab.input_value(".note-field textarea") == "Slowly."
    assert load_words(tmp_path / "Anna.flac").note == "Thumb!"
    tab.get_by_role("button", name="Keep mine").click()
    until(other, "document.querySelector('.note-field textarea').value === 'Slowly.'")
    assert load_words(tmp_path / "Anna.flac").note == "Slowly."

    tab.keyboard.press("Escape")
    tab.keyboard.press("Escape")
    until(tab, f"{FOCUS}.closest('.class-table')")
    assert tab.evaluate(f"{FOCUS}.textContent") == "Anna"


def test_recordings_are_taken_out_taken_back_and_replaced(served: Served, tabs: Watched, tmp_path: Path) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}")
    tab.get_by_text("Take a recording out").click()
    tab.get_by_role("button", name="Take Bo out").click()
    until(tab, f"{FOCUS}.textContent === 'Take it back'")
    tab.keyboard.press("Enter")
    until(tab, f"!document.querySelector('.gone') && {FOCUS}.closest('.sent, .class-table')")
    until(tab, "document.querySelector('.listening').hidden")
    unseen = "\u202f\u200b"  # that clocks and scripts put into names
    tab.set_input_files("#recordings", write_strum(tmp_path / f"Bo{unseen}.flac", frets="320003"))
    tab.get_by_role("button", name="Replace it").click()
    until(tab, "document.querySelector('.gone')?.textContent.startsWith('Bo was taken out (Bo.flac).')")
    until(tab, "document.querySelector('.listening').hidden")
    until(tab, "document.querySelectorAll('.class-table .who a').length === 2")
    first = tab.get_attribute("[data-back]", "data-back")
    tab.get_by_role("button", name="Take it back in Bo’s place").click()  # and the other one goes out for it
    until(tab, f"document.querySelector('[data-back]') && !document.querySelector('[data-back=\"{first}\"]')")
    until(tab, "document.querySelector('.listening').hidden")
    tab.click("summary:text('What was set')")
    tab.get_by_role("button", name="Set it so").click()
    until(tab, f"{FOCUS}.textContent === 'What was set'")


def test_of_files_that_come_together_each_is_told(served: Served, tabs: Watched, tmp_path: Path) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}")
    tab.fill("#names", "rain-{student}")
    (tmp_path / "list.csv").touch()
    takes = [write_strum(tmp_path / f"{name}.flac", frets="320003") for name in ("rain-Anna", "Bo 2", "rain-Di")]
    tab.set_input_files("#recordings", [tmp_path / "list.csv", *takes])
    until(tab, "document.querySelector('#said').textContent.includes('list.csv is no recording')")
    assert "It does not fit Bo 2.flac" in tab.inner_text("#said")
    assert tab.inner_text(".bring p.row").startswith("rain-Anna.flac: Anna sent one already.")
    until(tab, "document.querySelector('.listening').hidden")
    until(tab, "[...document.querySelectorAll('.sent .name')].map((one) => one.textContent).join() === 'Anna,Bo,Di'")


def test_a_file_in_the_place_of_another_students_says_whose_goes_and_whose_comes(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}")
    take = write_strum(tmp_path / "rain-Di.flac", frets="320003")
    tab.set_input_files("#recordings", take)
    until(tab, "document.querySelector('.sent')?.textContent.includes('rain-Di')")
    until(tab, "document.querySelector('.listening').hidden")
    tab.fill("#names", "rain-{student}")
    tab.set_input_files("#recordings", take)
    tab.get_by_role("button", name="Replace it").wait_for()
    assert tab.inner_text(".bring p.row").startswith("rain-Di.flac, now Di’s, is here already, as rain-Di’s.")
    tab.get_by_role("button", name="Replace it").click()
    said = "rain-Di’s recording was taken out; Di’s is in its place."
    until(tab, f"document.querySelector('#said').textContent === '{said}'")
    until(tab, "[...document.querySelectorAll('.sent .name')].map((one) => one.textContent).join() === 'Anna,Bo,Di'")


def test_a_recording_that_was_replaced_is_heard_no_more(served: Served, tabs: Watched, tmp_path: Path) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}/Anna")

    def hear() -> float:
        until(tab, "document.querySelector('.found > li')")
        tab.evaluate("document.querySelector('.found > li').focus()")
        tab.keyboard.press(" ")
        until(tab, "document.body.dataset.playing === 'true'")
        length: float = tab.evaluate("import('/static/player.js').then(({ player }) => player.length)")
        return length

    before = hear()
    samples, rate_hz = soundfile.read(tmp_path / "Anna.flac")
    soundfile.write(tmp_path / "Anna.flac", samples[: len(samples) // 2], rate_hz)
    tab.evaluate("location.hash = '#/homework'")  # not the class, which would be checked again
    until(tab, "document.querySelector('.set-chart')")
    tab.evaluate(f"location.hash = '#/homework/{ident}/Anna'")
    assert abs(hear() - before / 2) < 0.1


def test_an_answer_that_comes_late_undoes_nothing(served: Served, tabs: Watched, tmp_path: Path) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}")
    late: list[tuple[Any, Any]] = []
    tab.route("**/check", lambda route: late.append((route, route.fetch())), times=1)
    tab.get_by_text("Take a recording out").click()
    tab.get_by_role("button", name="Take Bo out").click()
    until(tab, f"{FOCUS}.textContent === 'Take it back'")
    while not late:
        tab.wait_for_timeout(20)
    look = f"new MutationObserver(() => {{ window.undone ||= window.back && {GONE}; window.back ||= !{GONE}; }})"
    tab.evaluate(f"{look}.observe(document.body, {{ childList: true, subtree: true }})")
    tab.keyboard.press("Enter")
    tab.wait_for_timeout(500)  # in which Bo is back already, or waits for the late answer
    [(route, answer)] = late
    assert [one["student"] for one in answer.json()["taken_out"]] == ["Bo"]
    route.fulfill(response=answer)
    until(tab, "window.back && document.querySelector('.listening').hidden")
    until(tab, "document.querySelectorAll('.class-table .who a').length === 2")
    assert not tab.evaluate("window.undone")
    assert tab.evaluate(f"Boolean({FOCUS}.closest('.sent, .class-table'))")


def test_homework_that_was_thrown_away_waits_until_it_is_taken_back_and_a_chart_until_it_is_set(
    served: Served, tabs: Watched
) -> None:
    shelf = HomeworkShelf(Library(served.library))
    for title in ("One", "Two"):
        shelf.add(f"title: {title}\nfree time\n| C |\n")
    tab = tabs.open(f"{served.address}#/homework")
    for title in ("One", "Two"):
        tab.get_by_role("button", name=f"Throw away: {title}").click()
        until(tab, f"{FOCUS}.closest('.gone')?.textContent.startsWith('{title} was')")
    assert tab.locator(".gone").count() == 2
    set_another(tab)
    tab.get_by_role("link", name="Three").wait_for()  # the list goes on while they wait
    assert tab.locator(".gone").count() == 2
    tab.fill(".set-chart textarea", "| Am | mine")
    tab.evaluate("location.hash = '#/neck'")
    until(tab, "document.body.className === 'in-neck'")
    tab.go_back()
    until(tab, "document.querySelector('.set-chart textarea')?.value === '| Am | mine'")
    assert tab.locator(".gone").count() == 2
    tab.locator(".gone", has_text="One").get_by_role("button").click()
    until(tab, f"{FOCUS}.textContent === 'One'")
    assert tab.locator(".gone").inner_text().startswith("Two")


def test_esc_in_the_note_gives_the_focus_back_to_what_it_belongs_to(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    ident = set_class(served.library, tmp_path)
    tab = tabs.open(f"{served.address}#/homework/{ident}/Anna")
    until(tab, "document.querySelectorAll('.found > li').length > 1")

    def write_note() -> None:
        tab.keyboard.press("m")
        assert tab.evaluate(f"{FOCUS}.localName") == "textarea"
        tab.keyboard.press("Escape")

    tab.keyboard.press("ArrowDown")
    tab.keyboard.press("ArrowDown")
    write_note()
    assert tab.evaluate(f"[...document.querySelectorAll('.found > li')].indexOf({FOCUS})") == 1
    tab.focus(".bars button[data-bar='3']")
    write_note()
    assert tab.evaluate(f"{FOCUS}.dataset.bar") == "3"
    tab.keyboard.press("m")
    tab.keyboard.type("Well!")
    tab.evaluate("document.querySelector('.bars [data-bar=\"3\"]').closest('article').innerHTML += ''")  # news came
    tab.keyboard.press("Escape")
    assert tab.evaluate(f"{FOCUS}.dataset.bar") == "3"
    tab.reload()
    until(tab, "document.querySelectorAll('.found > li').length > 1")
    write_note()  # from nowhere
    assert tab.evaluate(f"{FOCUS}.closest('.sheet') !== null")


def test_on_a_phone_the_class_shows_what_to_work_on_and_its_bars_can_be_touched(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    tab = tabs.open(f"{served.address}#/homework/{set_class(served.library, tmp_path)}")
    tab.set_viewport_size({"width": 390, "height": 844})
    tab.locator(".class-table").wait_for()
    assert tab.evaluate("document.documentElement.scrollWidth") <= 390
    todo = tab.locator("tbody .todo").first
    assert todo.inner_text().startswith("bar 2: C played, G/B set")
    box = todo.bounding_box()
    assert box is not None
    assert box["x"] + box["width"] <= 390
    assert tab.is_visible("text=Move the table sideways")
    small = tab.evaluate(
        "[...document.querySelectorAll('.class-table :is(button, a)')].filter((one) => {"
        " const box = one.getBoundingClientRect(); return box.width < 24 || box.height < 24; }).length"
    )
    assert small == 0
    tab.get_by_role("button", name="To work on").click()
    until(tab, "document.querySelector('th.todo').getAttribute('aria-sort') === 'ascending'")
    tab.set_viewport_size({"width": 1280, "height": 800})
    assert not tab.is_visible("text=Move the table sideways")


def set_another(tab: Any) -> None:
    """Set homework as another tab does."""
    tab.evaluate(
        "fetch('/api/homework', { method: 'POST', headers: { 'Content-Type': 'application/json' },"
        " body: JSON.stringify({ chart: 'title: Three\\nfree time\\n| C |' }) })"
    )
