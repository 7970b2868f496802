"""Recordings of homework that come by the page: whose they are, and that none takes another's place unasked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from listen.document import load_words, save_words
from listen.errors import BadValueError, RecordingError
from listen.reading import TeacherWords
from listen.request import make_sound
from listen.web.app import make_bare_app

CHART = "title: Harbour Lights\nfree time\n| C | G |\n"


@pytest.fixture
def client(tmp_path: Path) -> Iterator[Any]:
    with TestClient(make_bare_app(tmp_path / "library")) as asked:
        yield asked


def test_recordings_come_go_and_homework_can_be_taken_back(client: Any) -> None:
    where = "/api/homework/" + client.post("/api/homework", json={"chart": CHART}).json()["ident"]
    for name in ("../Bo.wav", "Anna.wav"):
        assert client.post(f"{where}/recordings", params={"name": name}, content=b"RIFF").status_code == 201
    assert client.post(f"{where}/recordings", params={"name": "Cy.wav"}, content=b"").status_code == 400
    assert client.get(where).json()["students"] == ["Anna", "Bo"]
    recordings = next((client.app.state.held.library.folder / "homework").glob("*/recordings"))
    save_words(recordings / "Bo.wav", TeacherWords(note="Thumb!"))
    told = client.post(f"{where}/take-out", json={"student": "Bo"}).json()
    assert told["waiting"] == ["Anna"]
    assert sorted(path.name for path in recordings.iterdir()) == ["Anna.wav"]
    (gone,) = told["taken_out"]
    assert client.post(f"{where}/recordings", params={"name": "Bo.wav"}, content=b"RIFF").status_code == 201
    refused = client.post(f"{where}/put-back", json={"taken_out": gone["ident"]})
    assert refused.json()["error"] == "Bo sent another one: take that one out first."
    assert load_words(recordings / "Bo.wav") == TeacherWords()  # what was said of the first one went with it
    assert len(client.post(f"{where}/take-out", json={"student": "Bo"}).json()["taken_out"]) == 2
    told = client.post(f"{where}/put-back", json={"taken_out": gone["ident"]}).json()
    assert (told["students"], len(told["taken_out"])) == (["Anna", "Bo"], 1)
    assert load_words(recordings / "Bo.wav").note == "Thumb!"
    assert client.post(f"{where}/put-back", json={"taken_out": gone["ident"]}).status_code == 404
    assert client.delete(where).status_code == 204
    assert client.get(where).status_code == 404
    assert client.post(f"{where}/bring-back").json()["title"] == "Harbour Lights"


def test_of_a_recording_whose_sound_cannot_be_made_no_more_than_its_name_is_told(client: Any) -> None:
    ident = client.post("/api/homework", json={"chart": CHART}).json()["ident"]
    client.post(f"/api/homework/{ident}/recordings", params={"name": "Bo.wav"}, content=b"RIFF and no more")
    with pytest.raises(RecordingError, match=r"^Bo\.wav is no recording that can be read"):
        make_sound(client.app.state.held.library, ident, "Bo")


def test_files_are_named_by_a_pattern_and_none_takes_anothers_place_unasked(client: Any) -> None:
    where = "/api/homework/" + client.post("/api/homework", json={"chart": CHART}).json()["ident"]
    recordings = next((client.app.state.held.library.folder / "homework").glob("*/recordings"))
    told = client.post(f"{where}/recordings", params={"name": "rain-Anna.wav"}, content=b"RIFA")
    assert told.status_code == 201  # by the whole name, as long as no pattern is given
    asked = {"files": ["../rain-Anna.wav", "rain-Bo.wav", "Cy.wav", "list.csv"], "names": "rain-{student}"}
    anna, bo, cy, other = client.post(f"{where}/whose", json=asked).json()
    assert (anna["student"], anna["rival"]) == ("Anna", "rain-Anna")  # there is one folder for all
    assert (bo["student"], bo["rival"], bo["error"]) == ("Bo", "", "")
    assert "It does not fit Cy.wav" in cy["error"]
    assert "list.csv is no recording" in other["error"]
    name = {"name": "rain-Anna.wav", "names": "rain-{student}"}
    refused = client.post(f"{where}/recordings", params=name, content=b"RIFB")
    assert "rain-Anna.wav is here already, as rain-Anna's" in refused.json()["error"]
    (gone,) = client.post(f"{where}/take-out", json={"student": "rain-Anna"}).json()["taken_out"]
    assert client.post(f"{where}/recordings", params=name, content=b"RIFB").status_code == 201
    told = client.get(where).json()
    assert (told["students"], told["taken_out"][0]["rival"]) == (["Anna"], "Anna")
    assert client.post(f"{where}/put-back", json={"taken_out": gone["ident"]}).status_code == 400
    assert (recordings / "rain-Anna.wav").read_bytes() == b"RIFB"


def test_a_recording_that_is_refused_leaves_the_one_that_was_there(client: Any) -> None:
    where = "/api/homework/" + client.post("/api/homework", json={"chart": CHART}).json()["ident"]
    recordings = next((client.app.state.held.library.folder / "homework").glob("*/recordings"))
    name = {"name": "Anna 10.15\u202fAM.wav"}  # as clocks write it
    assert client.post(f"{where}/recordings", params=name, content=b"RIFF").status_code == 201
    assert client.get(where).json()["students"] == ["Anna 10.15AM"]
    shelf, ident = client.app.state.held.homework, where.rsplit("/", 1)[1]

    def bring_late() -> None:
        with shelf.receive(ident, "Bo.wav") as (_, stream):
            stream.write(b"half of")
            assert client.post(f"{where}/recordings", params={"name": "Bo.wav"}, content=b"RIFB").status_code == 201

    with pytest.raises(BadValueError, match="Bo sent one already"):
        bring_late()
    for again, said in ((name, "Anna 10.15AM sent one already"), ({"name": "Bo.wav"}, "Bo sent one already")):
        refused = client.post(f"{where}/recordings", params=again, content=b"RIFX")
        assert (refused.status_code, refused.json()["error"].startswith(said)) == (400, True)
    found = {path.name: path.read_bytes() for path in recordings.iterdir()}
    assert found == {"Anna 10.15AM.wav": b"RIFF", "Bo.wav": b"RIFB"}


def test_a_name_that_leaves_no_room_for_the_teachers_words_is_refused(client: Any) -> None:
    where = "/api/homework/" + client.post("/api/homework", json={"chart": CHART}).json()["ident"]
    for n_letters, status in ((79, 201), (80, 400), (100, 400)):  # of three bytes each, and .flac
        answer = client.post(f"{where}/recordings", params={"name": f"{'日' * n_letters}.flac"}, content=b"RIFF")
        assert answer.status_code == status
        assert status == 201 or "up to 242 bytes" in answer.json()["error"]
    assert client.get(where).json()["students"] == ["日" * 79]
