"""Homework on the page: its routes on checks that are written by hand, and one class worked through in a browser."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from listen.document import class_to_document, load_words, render_document
from listen.reading import TeacherWord
from listen.request import HomeworkShelf, Library, bring_homework, check_homework
from listen.web.app import make_bare_app
from tests.export.test_check_reports import ANNA, CLASS, SET
from tests.jobs.test_check_class import write_strum
from tests.web.browser import Served, until, wait_until
from tests.web.conftest import Watched

CHART = "title: Harbour Lights\nfree time\n| C | G |\n"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A teacher's folder: a chart, and recordings that nobody listens to here."""
    from listen.document import render_chart_text

    (tmp_path / "takes").mkdir()
    (tmp_path / "week.chart").write_text(render_chart_text(SET), "utf-8")
    for name in ("Anna.wav", "=Bo<script>.wav", "Cy.wav"):
        (tmp_path / "takes" / name).write_bytes(b"RIFF")
    return tmp_path


@pytest.fixture
def client(folder: Path) -> Iterator[Any]:
    with TestClient(make_bare_app(folder / "library")) as asked:
        yield asked


def set_class(folder: Path) -> str:
    """Homework of that folder, checked."""
    library = Library(folder / "library")
    homework = bring_homework(library, folder / "week.chart", [folder / "takes"])
    path = HomeworkShelf(library).folder_of(homework.ident) / "class.json"
    path.write_text(render_document(class_to_document(CLASS)), "utf-8")
    return f"/api/homework/{homework.ident}"


def test_a_class_is_a_table_that_leads_to_students_and_bars(client: Any, folder: Path) -> None:
    where = set_class(folder)
    told = client.get(where).json()
    assert told["students"] == ["=Bo<script>", "Anna", "Cy"]
    assert told["failures"] == [["Cy", "cy.m4a is damaged."]]
    assert told["waiting"] == []
    assert told["is_due"]
    assert f'href="#{where[4:]}/Anna/2"' in told["html"]
    assert "=Bo&lt;script&gt;" in told["html"]
    assert [row["title"] for row in client.get("/api/homework").json()["homework"]] == ["Harbour Lights"]
    assert client.get(f"{where}/files/csv").text.count("Anna") == len(ANNA.findings)
    (folder / "week.chart").unlink()
    assert client.get("/api/homework").status_code == 200
    gone = client.get(where).json()["error"]
    assert gone == f"{folder / 'week.chart'} is not there; check the name."


def test_the_sound_of_a_replaced_recording_has_another_address(client: Any, folder: Path) -> None:
    where, asked = set_class(folder), {"student": "Anna"}
    stamps = [client.get(f"{where}/student", params=asked).json()["sound_stamp"] for _ in range(2)]
    (folder / "takes" / "Anna.wav").write_bytes(b"RIFX RIFX")
    stamps.append(client.get(f"{where}/student", params=asked).json()["sound_stamp"])
    assert stamps[0] == stamps[1] != stamps[2]


def test_a_replaced_recording_of_the_same_size_is_to_be_checked(client: Any, folder: Path) -> None:
    where, path = set_class(folder), folder / "takes" / "Anna.wav"
    shelf, ident = client.app.state.held.homework, where.rsplit("/", 1)[1]
    shelf.keep(ident, shelf.stamp(shelf.homework(ident)))
    assert not client.get(where).json()["is_due"]
    before = path.stat()
    path.write_bytes(b"RIFX")
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns + 1))
    assert path.stat().st_size == before.st_size
    assert client.get(where).json()["is_due"]


def test_a_verdict_and_a_note_are_kept_beside_the_recording_and_taken_back(client: Any, folder: Path) -> None:
    where, recording = set_class(folder), folder / "takes" / "Anna.wav"
    told = client.get(f"{where}/student", params={"student": "Anna"}).json()
    assert told["students"] == ["=Bo<script>", "Anna"]  # of Cy's, which cannot be read, nothing is shown
    assert "G/B sounds A/C♯" in told["html"]
    assert "5 of 8 bars are right" in told["html"]
    said = {"student": "Anna", "bar": 2, "beat": 1.0, "kind": "chord", "verdict": "right", "version": told["version"]}
    answer = client.post(f"{where}/student/verdict", json=said).json()
    assert "You say: the chord is right" in answer["html"]
    assert answer["html"].count("6 of 8 bars are right") == 1
    note = {"student": "Anna", "note": "Slowly.", "seen": ""}
    assert client.post(f"{where}/student/note", json=note).json()["note"] == "Slowly."
    words = load_words(recording)
    assert (words.note, words.words) == ("Slowly.", (TeacherWord(2, 1.0, "right", "chord"),))
    for path, late in (("verdict", {**said, "bar": 7}), ("note", {**note, "note": "Faster!"})):  # from another tab
        refused = client.post(f"{where}/student/{path}", json=late)
        assert (refused.status_code, "meanwhile" in refused.json()["error"]) == (409, True)
    assert client.post(f"{where}/student/note", json=note).status_code == 200  # the same once more
    assert load_words(recording) == words
    said["version"] = answer["version"]
    back = client.post(f"{where}/student/verdict", json={**said, "verdict": None}).json()
    assert "You say" not in back["html"]
    assert "5 of 8 bars are right" in back["html"]
    assert load_words(recording).words == ()
    heard: dict[str, Any] = {"student": "Anna", "bar": 7, "verdict": "wrong", "version": back["version"]}
    answer = client.post(f"{where}/student/verdict", json=heard).json()
    assert ") is wrong, you say." in answer["html"]
    heard.update(beat=1.0, kind="teacher", verdict=None, version=answer["version"])
    back = client.post(f"{where}/student/verdict", json=heard).json()
    assert "is wrong, you say" not in back["html"]


@pytest.mark.parametrize("typed", ["C G Am F", "x32010", "C | G | Am | F"])
def test_a_few_typed_chords_are_set_as_the_chart_that_they_are(client: Any, typed: str) -> None:
    set_now = client.post("/api/homework", json={"chart": typed})
    assert set_now.status_code == 201
    made = set_now.json()
    bars = typed if "|" in typed else " | ".join(typed.split())
    assert (made["title"], made["chart"]) == (typed, f"title: {typed}\nfree time\n\n| {bars} |\n")
    where = f"/api/homework/{made['ident']}"
    assert client.get(f"{where}/files/chart").text == made["chart"], "listen check reads it"
    other = client.post(f"{where}/chart", json={"chart": "Em D", "seen": made["chart"]}).json()
    assert other["chart"] == "title: Em D\nfree time\n\n| Em | D |\n"


def test_what_is_asked_wrongly_of_homework_is_one_sentence(client: Any, folder: Path) -> None:
    where = set_class(folder)
    version = client.get(f"{where}/student", params={"student": "Anna"}).json()["version"]
    right, seen = {"verdict": "right", "version": version}, client.get(where).json()["chart"]
    for path, body, status, said in (
        ("/api/homework", {"chart": "| C | Gg |"}, 400, "The chart, line 1, column 7"),
        ("/api/homework", {"chart": "C Gg Am"}, 400, "The chart, line 1, column 3: chord=Gg cannot be read"),
        ("/api/homework", {"chart": "no bars"}, 400, "is no line of a chart"),
        ("/api/homework", {"chart": ""}, 400, "no bars"),
        ("/api/homework", {"chart": "| | |"}, 400, "Nothing is set in these bars: write what is to be played"),
        (f"{where}/chart", {"chart": "| | |", "seen": seen}, 400, "Nothing is set in these bars"),
        (f"{where}/student/verdict", {"student": "Anna", "bar": 99, **right}, 400, "a bar from 1 to 8"),
        (f"{where}/student/verdict", {"student": "Di", "bar": 1, **right}, 404, "no such student"),
        (f"{where}/student/note", {"student": "Cy", "note": "?", "seen": ""}, 400, "cy.m4a is damaged."),
        (f"{where}/chart", {"chart": CHART, "seen": "another"}, 409, "changed meanwhile"),
        ("/api/homework/0123456789ab/check", None, 404, "no homework"),
    ):
        answer = client.post(path, json=body)
        assert (answer.status_code, list(answer.json())) == (status, ["error"]), path
        assert said in answer.json()["error"]
    for name, said in (("notes.pdf", "read: it takes files that end in ."), ("anna.wav", "sent one already")):
        answer = client.post(f"{where}/recordings", params={"name": name}, content=b"RIFF")
        assert answer.status_code == 400
        assert said in answer.json()["error"]


def test_a_long_name_of_a_file_elsewhere_is_shown_and_taken_out(client: Any, folder: Path) -> None:
    name = "Anna" * 62
    (folder / "takes" / "Anna.wav").rename(folder / "takes" / f"{name}.wav")
    where = set_class(folder)
    path = next((folder / "library").glob("homework/*/class.json"))
    checks = tuple(replace(one, student=name) for one in CLASS.checks if one.student == "Anna")
    path.write_text(render_document(class_to_document(replace(CLASS, checks=checks))))
    assert client.get(where).status_code == 200
    assert client.get(f"{where}/student", params={"student": name}).json()["student"] == name
    note = client.post(f"{where}/student/note", json={"student": name, "note": "Slowly.", "seen": ""})
    assert (note.status_code, "File name too long" in note.json()["error"]) == (400, True)
    assert name not in client.post(f"{where}/take-out", json={"student": name}).json()["students"]


def test_one_process_alone_writes_what_homework_is(client: Any) -> None:
    """Two that read it and write it back lose a recording that comes between."""
    where = "/api/homework/" + client.post("/api/homework", json={"chart": CHART}).json()["ident"]
    assert client.post(f"{where}/recordings", params={"name": "Anna.wav"}, content=b"RIFF").status_code == 201
    library, ident = client.app.state.held.library, where.rsplit("/", 1)[1]
    kept = HomeworkShelf(library).folder_of(ident) / "homework.json"
    before = kept.stat().st_ino, kept.read_bytes()
    stamp = check_homework(library, ident, lambda _: None, n_jobs=1)
    assert (kept.stat().st_ino, kept.read_bytes()) == before
    assert client.get(where).json()["is_due"]
    client.post(f"{where}/check")
    wait_until(lambda: not client.get(where).json()["is_running"])
    told = client.get(where).json()
    assert (told["is_due"], [student for student, _ in told["failures"]]) == (False, ["Anna"])
    assert HomeworkShelf(library).homework(ident).checked == stamp


def test_a_teacher_sets_collects_hears_judges_and_goes_on_by_keyboard(
    served: Served, tabs: Watched, tmp_path: Path
) -> None:
    """Rules by axe-core, WCAG 2.2 AA (https://www.w3.org/TR/WCAG22/)."""
    from axe_playwright_python.sync_playwright import Axe

    tab = tabs.open(f"{served.address}#/homework")
    until(tab, "document.querySelector('.set-chart textarea')?.value.includes('matters: name')")
    tab.keyboard.press("c")
    tab.fill(".set-chart textarea", CHART)
    tab.click("text=Set it")
    for name, frets in (("Anna.flac", "xx0231"), ("Bo.flac", "x32010")):
        tab.wait_for_selector("#recordings", state="attached")
        tab.set_input_files("#recordings", write_strum(tmp_path / name, frets=frets))
        until(tab, f"document.querySelector('.class-table')?.textContent.includes('{name[:-5]}')")
        until(tab, "document.querySelector('.listening').hidden")
    assert "–" in tab.inner_text(".class-table tbody tr >> nth=0")
    assert tab.evaluate("document.documentElement.scrollWidth") <= 1200
    tab.focus(".class-table .who a >> nth=0")
    tab.keyboard.press("Enter")
    until(tab, "document.querySelector('.homework .note')?.textContent.startsWith('This does not look like')")
    tab.keyboard.press("Escape")
    until(tab, "location.hash.split('/').length === 3 && document.querySelector('.class-table .who a')")
    tab.keyboard.press("ArrowDown")
    tab.keyboard.press("ArrowDown")
    tab.keyboard.press("Enter")
    until(tab, "document.querySelector('.homework h1')?.textContent.startsWith('Bo')")
    tab.focus(".bars [data-bar='1']")
    tab.keyboard.press(" ")
    until(tab, "document.body.dataset.playing === 'true' || document.querySelector('#said.error')")
    tab.focus(".bars [data-bar='1']")
    tab.keyboard.press("w")
    until(tab, "document.querySelector('.found')?.textContent.includes('You say: the bar is wrong')")
    violations = (
        Axe().run(tab, options={"runOnly": ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa"]}).response["violations"]
    )
    assert not violations, [(one["id"], one["nodes"][0]["html"][:160]) for one in violations]
    tab.keyboard.press("m")
    tab.keyboard.type("Thumb!")
    tab.keyboard.press("Escape")
    until(tab, "document.querySelector('#said').textContent === 'The note is kept.'")
    tab.keyboard.press("ArrowLeft")
    until(tab, "document.querySelector('.homework h1')?.textContent.startsWith('Anna')")
    kept = next(served.library.glob("homework/*/recordings/Bo.flac.teacher.json"))
    assert json.loads(kept.read_text("utf-8"))["note"] == "Thumb!"
