"""Practice on the page: a question is asked, heard, answered, explained and kept."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from starlette.testclient import TestClient

from listen.document import open_progress
from listen.practice import ABOUT, LADDER, Judgement, Question
from listen.web.app import make_bare_app

MOST_TRIES = 40
LONG_MS = 4000  # longer than any pause between two sounds


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    monkeypatch.setenv("LISTEN_PRACTICE", str(tmp_path / "practice.sqlite"))
    return TestClient(make_bare_app(tmp_path / "library"))


def test_a_question_hides_what_is_right_until_it_is_answered(client: Any) -> None:
    asked = client.post("/api/practice/questions", params={"kind": "which bass"}).json()
    assert asked["kind"] == "which bass"
    assert [option["key"] for option in asked["options"]] == ["1", "3", "5"]
    assert "answer" not in asked
    where = f"/api/practice/questions/{asked['ident']}"
    heard = client.get(f"{where}/sound")
    assert heard.headers["content-type"] == "audio/flac"
    assert heard.content[:4] == b"fLaC"
    assert client.get(f"{where}/sound", params={"what": "bass"}).status_code == 400
    judged = client.post(f"{where}/answer", json={"said": "1", "took_s": 3.0}).json()
    assert judged["is_right"] == (judged["answer"] == "1")
    assert "<svg" in judged["html"]
    assert judged["can_hear_rooted"] == (judged["answer"] != "1")
    assert client.get(f"{where}/sound", params={"what": "rooted"}).content[:4] == b"fLaC"
    assert client.get(f"{where}/sound", params={"what": "bass"}).status_code == 200
    again = client.post(f"{where}/answer", json={"said": "2", "took_s": 1.0}).json()
    assert again["said"] == "1"
    with open_progress() as progress:
        assert len(progress.answers()) == 1
    assert "which bass" in client.get("/api/practice/progress").json()["html"]


def test_a_chord_is_named_or_played_back_on_a_guitar(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def hear(question: Question, path: Path) -> Judgement:
        assert path.read_bytes() == b"a guitar"
        return Judgement(question.answer, True, "you played it")

    monkeypatch.setattr("listen.request.practice_table.hear_played", hear)
    asked = client.post("/api/practice/questions", params={"kind": "which bass"}).json()
    where = f"/api/practice/questions/{asked['ident']}"
    played = client.post(f"{where}/guitar", params={"took_s": 4.0}, content=b"a guitar").json()
    assert (played["is_right"], played["heard"]) == (True, "You played it")
    assert client.post(f"{where}/whistle", content=b"a tune").status_code == 422
    asked = client.post("/api/practice/questions", params={"kind": "quality"}).json()
    named = client.post(f"/api/practice/questions/{asked['ident']}/answer", json={"said": "major"}).json()
    assert (named["said"], named["heard"]) == ("maj", "")  # it stands in the list
    asked = client.post("/api/practice/questions", params={"kind": "which bass"}).json()
    named = client.post(f"/api/practice/questions/{asked['ident']}/answer", json={"said": "D/F#"}).json()
    assert (named["said"], named["heard"]) == ("3", "You said D/F♯: the third")
    with open_progress() as progress:
        assert [answer.how for answer in progress.answers()] == ["guitar", "name", "name"]


def test_what_is_not_there_or_no_answer_is_one_sentence(client: Any) -> None:
    gone = client.post("/api/practice/questions/0123/answer", json={"said": "1"})
    assert (gone.status_code, list(gone.json())) == (404, ["error"])
    asked = client.post("/api/practice/questions").json()
    wrong = client.post(f"/api/practice/questions/{asked['ident']}/answer", json={"said": "purple"})
    assert (wrong.status_code, list(wrong.json())) == (400, ["error"])
    blank = client.post(f"/api/practice/questions/{asked['ident']}/answer", json={"said": " "}).json()["error"]
    assert blank.startswith("Nothing was said: answer with 1 (")
    asked = client.post("/api/practice/questions", params={"kind": "which bass"}).json()
    assert asked["ways"] == ["hum", "guitar"]
    silence = BytesIO()
    soundfile.write(silence, np.zeros(16_000), 16_000, format="WAV")
    for way in asked["ways"]:
        for recorded in (b"no sound at all", silence.getvalue()):
            noise = client.post(f"/api/practice/questions/{asked['ident']}/{way}", content=recorded)
            assert (noise.status_code, list(noise.json())) == (400, ["error"])
            assert "/" not in noise.json()["error"]
            assert noise.json()["error"][0].isupper()
    for kind, ways in (("same bass", []), ("other place", []), ("quality", ["guitar"])):
        asked = client.post("/api/practice/questions", params={"kind": kind}).json()
        assert asked["ways"] == ways
        refused = client.post(f"/api/practice/questions/{asked['ident']}/hum", content=silence.getvalue())
        assert refused.json()["error"].startswith("A hummed bass does not answer this question")
    with open_progress() as progress:
        assert progress.answers() == ()


def test_every_step_of_the_ladder_may_be_asked_whether_it_is_open_or_not(client: Any) -> None:
    steps = client.get("/api/practice/steps").json()
    assert [(one["kind"], one["about"]) for one in steps] == [(kind, ABOUT[kind]) for kind in LADDER]
    assert client.post("/api/practice/questions", params={"kind": ""}).json()["kind"] == "same bass"
    named = []
    for kind in LADDER:
        asked = client.post("/api/practice/questions", params={"kind": kind}).json()
        assert asked["kind"] == kind
        named += [kind] if asked["can_name"] else []
    assert named == ["which bass", "which bass of four", "quality"]
    refused = client.post("/api/practice/questions", params={"kind": "inversion"})
    assert (refused.status_code, list(refused.json())) == (400, ["error"])


def keys_of(tab: Any) -> list[str]:
    """Open the list of keys, read it, and close it again."""
    tab.keyboard.press("?")
    rows = [" ".join(one.split()) for one in tab.locator(".keymap dl > div").all_inner_texts()]
    tab.keyboard.press("Escape")
    return rows


def test_a_player_answers_with_the_keyboard(served: Any, tabs: Any) -> None:
    tab = tabs.open(served.address)
    tab.evaluate("location.hash = '#/practice'")
    tab.get_by_role("button", name="Begin").click()
    tab.locator(".option").first.wait_for()
    assert not tab.locator(".say, .own").count()  # the first step compares: a hum or a name would tell nothing
    assert keys_of(tab)[:3] == ["Space Hear it again", "1 Answer: the same bass", "2 Answer: another bass"]
    assert not [one for one in keys_of(tab) if one.startswith(("N ", "H ", "B ", "3 "))]
    tab.focus(".options button")
    tab.keyboard.press("1")
    tab.locator(".verdict").wait_for()
    assert tab.locator(".verdict").inner_text().startswith(("Right", "Not this time"))
    assert tab.locator(".after svg").count() >= 1
    assert [one for one in keys_of(tab) if one.startswith("N ")] == ["N Next question"]
    for _ in range(MOST_TRIES):  # until one is wrong, and is left before what was chosen sounds
        is_wrong = tab.locator(".verdict").inner_text().startswith("Not")
        tab.keyboard.press("n")
        tab.locator(".option:not([disabled])").first.wait_for()
        if is_wrong:
            break
        tab.keyboard.press("1")
        tab.locator(".verdict").wait_for()
    assert is_wrong
    tab.wait_for_timeout(LONG_MS)
    assert not tab.evaluate("document.querySelector('#said').textContent").startswith("Answer first")
    tab.get_by_role("heading", name="So far").wait_for()
