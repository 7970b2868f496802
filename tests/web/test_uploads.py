"""What is sent to the page: it counts once it came whole, and nothing is left of what did not."""

from __future__ import annotations

import asyncio
import os
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from listen.web import takes
from listen.web.app import make_bare_app


@pytest.fixture
def client(tmp_path: Path) -> Iterator[Any]:
    with TestClient(make_bare_app(tmp_path / "library")) as asked:
        yield asked


def test_a_recording_is_no_take_before_it_came_whole(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    library, seen = client.app.state.held.library, []
    real = takes.receive

    async def watch(*words: Any) -> None:
        await real(*words)
        seen.extend(library.list_takes())

    monkeypatch.setattr(takes, "receive", watch)
    answer = client.post("/api/takes", params={"name": "evening.wav"}, content=b"RIFF")
    assert answer.status_code == 201
    assert seen == []
    take = library.take(answer.json()["ident"])
    assert library.recording_of(take).read_bytes() == b"RIFF"


@pytest.mark.parametrize(("state", "is_read"), [("failed", True), ("stopped", True), ("read", False)])
def test_a_recording_that_failed_or_was_stopped_is_read_again_when_asked(
    client: Any, monkeypatch: pytest.MonkeyPatch, state: str, is_read: bool
) -> None:
    held = client.app.state.held
    ident = client.post("/api/takes", params={"name": "evening.wav"}, content=b"RIFF").json()["ident"]
    held.library.note(ident, state=state, message="It could not be read." if state == "failed" else "")
    read: list[str] = []
    monkeypatch.setattr(type(held.reader), "read", lambda _, one: read.append(one))
    told = client.post(f"/api/takes/{ident}/read").json()
    assert (told["state"], told["message"]) == ("waiting" if is_read else "read", "")
    assert read == [ident] * is_read


def test_a_full_disk_is_one_sentence_and_leaves_no_take(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    answer = client.post("/api/takes", params={"name": "evening.wav"}, content=b"RIFF")
    assert answer.status_code == 400
    assert "could not be written: No space left on device." in answer.json()["error"]
    folder = client.app.state.held.library.folder
    assert [one.name for one in folder.iterdir()] == ["thrown-away"]


@pytest.mark.parametrize("where", ["takes", "homework"])
def test_a_body_that_does_not_say_how_long_it_is_ends_at_the_limit(
    client: Any, where: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(takes, "MOST_BYTES", 1000)
    address, name = "/api/takes", {"name": "Anna.wav"}
    if where == "homework":
        set_one = client.post("/api/homework", json={"chart": "free time\n| C | G |\n"}).json()
        address = f"/api/homework/{set_one['ident']}/recordings"
    answer = client.post(address, params=name, content=iter([bytes(600), bytes(600)]))
    assert (answer.request.headers.get("content-length"), answer.status_code) == (None, 413)
    left = [path.name for path in client.app.state.held.library.folder.rglob("*") if path.is_file()]
    assert not [one for one in left if one not in ("homework.json", "set.chart")], left
    assert client.post(address, params=name, content=iter([bytes(600), bytes(400)])).status_code == 201


def test_sound_may_be_longer_than_what_else_is_asked(client: Any) -> None:
    sound = bytes(2 << 20)
    take = client.post("/api/takes", params={"name": "evening.wav"}, content=sound)
    assert take.status_code == 201
    library = client.app.state.held.library
    assert library.recording_of(library.take(take.json()["ident"])).stat().st_size == len(sound)
    homework = client.post("/api/homework", json={"chart": "free time\n| C | G |\n"}).json()["ident"]
    sent = client.post(f"/api/homework/{homework}/recordings", params={"name": "Bo.wav"}, content=sound)
    assert sent.status_code == 201
    assert client.post("/api/practice/questions/aaaaaaaaaaaa/hum", content=sound).status_code == 404


def test_what_a_killed_program_left_blocks_no_students_name(client: Any) -> None:
    ident = client.post("/api/homework", json={"chart": "free time\n| C | G |\n"}).json()["ident"]
    address, recordings = f"/api/homework/{ident}", client.app.state.held.homework.folder_of(ident) / "recordings"
    (recordings / "Bo.wav").write_bytes(b"half of")  # and never counted
    assert client.post(f"{address}/recordings", params={"name": "Bo.wav"}, content=b"RIFF").status_code == 201
    assert (recordings / "Bo.wav").read_bytes() == b"RIFF"
    (gone,) = client.get(address).json()["taken_out"]
    assert gone["student"] == "Bo"
    assert client.post(f"{address}/take-out", json={"student": "Bo"}).status_code == 200
    client.post(f"{address}/put-back", json={"taken_out": gone["ident"]})
    assert (recordings / "Bo.wav").read_bytes() == b"half of"


def test_halves_of_killed_uploads_are_removed_when_the_page_begins_and_they_are_old(client: Any) -> None:
    library = client.app.state.held.library
    ident = client.post("/api/homework", json={"chart": "free time\n| C | G |\n"}).json()["ident"]
    homework, take = client.app.state.held.homework.folder_of(ident), library.folder_of(library.add("evening").ident)
    folders = [homework, homework / "recordings", homework / "sounds" / "1995", take, take / "versions", library.folder]
    kept = []
    for folder in folders:
        folder.mkdir(parents=True, exist_ok=True)
        new, old = (folder / f".sound.flac.listen-{letter * 8}.tmp" for letter in "ab")
        for half in (new, old):
            half.write_bytes(b"half of")
        os.utime(old, (time.time() - 86_400,) * 2)
        kept.append(new)
    with TestClient(make_bare_app(library.folder)):
        assert sorted(library.folder.rglob("*.tmp")) == sorted(kept)


def test_a_sound_that_cannot_be_written_blames_no_recording(client: Any) -> None:
    ident = client.post("/api/homework", json={"chart": "free time\n| C | G |\n"}).json()["ident"]
    address, folder = f"/api/homework/{ident}", client.app.state.held.homework.folder_of(ident)
    client.post(f"{address}/recordings", params={"name": "Bo.wav"}, content=b"RIFF")
    (folder / "sounds").write_bytes(b"no folder")
    answer = client.get(f"{address}/student/sound", params={"student": "Bo"})
    assert answer.status_code == 400
    assert answer.json()["error"].startswith(str(folder / "sounds"))
    assert "could not be read or written: " in answer.json()["error"]


@pytest.mark.parametrize(
    ("path", "most_bytes"),
    [("/api/takes/aaaaaaaaaaaa/name", 1 << 20), ("/api/practice/questions/aaaaaaaaaaaa/hum", 4_000_000)],
)
def test_what_is_too_much_is_read_no_further_than_its_limit(client: Any, path: str, most_bytes: int) -> None:
    n_read, said = 0, []

    async def send_piece() -> dict[str, Any]:
        nonlocal n_read
        n_read += 1 << 18
        return {"type": "http.request", "body": bytes(1 << 18), "more_body": n_read < 1 << 25}

    async def hear(message: Any) -> None:
        said.append(message)

    asked = {"type": "http", "method": "POST", "path": path, "raw_path": path.encode(), "root_path": "", "headers": []}
    answering = client.app({**asked, "query_string": b"", "http_version": "1.1"}, send_piece, hear)
    with ThreadPoolExecutor(1) as thread:  # this one may hold the loop of a browser
        thread.submit(asyncio.run, answering).result()
    assert said[0]["status"] == 413
    assert b'{"error":"' in said[1]["body"]
    assert most_bytes < n_read <= most_bytes + (1 << 18)
