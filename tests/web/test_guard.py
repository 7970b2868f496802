"""Who is let in, and what of a request is believed: asked without a browser, as a stranger would ask."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

pytest.importorskip("fastapi")
from starlette.testclient import TestClient

from listen.web.app import make_page_app

PORT, TOKEN = 8765, "a-token-of-our-own"
HOST = f"127.0.0.1:{PORT}"


@pytest.fixture
def stranger(tmp_path: Path) -> Iterator[TestClient]:
    with TestClient(make_page_app(tmp_path / "library", port=PORT, token=TOKEN), base_url=f"http://{HOST}") as client:
        yield client


@pytest.fixture
def player(stranger: TestClient) -> TestClient:
    """Return one who came by the address that was printed."""
    came = stranger.get(f"/?token={TOKEN}&x=1", follow_redirects=False)
    assert (came.status_code, came.headers["location"]) == (303, "/?x=1")
    return stranger


def test_without_the_token_nobody_is_let_in(stranger: TestClient) -> None:
    for path in ("/", "/api/takes", "/static/main.js", "/openapi.json"):
        refused = stranger.get(path)
        assert refused.status_code == 401, path
        assert "Open the address" in refused.text
    stale = stranger.get("/?token=guessed", follow_redirects=False)
    assert (stale.status_code, stale.text) == (401, stranger.get("/").text)  # a sentence for a person, in a browser
    assert not stranger.cookies


def test_the_token_becomes_a_cookie_that_no_script_reads_and_leaves_the_address(player: TestClient) -> None:
    again = player.get(f"/?token={TOKEN}", follow_redirects=False)
    cookie = again.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert TOKEN not in again.headers["location"]
    assert player.get("/api/takes").status_code == 200


@pytest.mark.parametrize(
    "host", ["evil.example", f"evil.example:{PORT}", "127.0.0.1:9999", "", f"127.0.0.1.evil:{PORT}"]
)
def test_another_host_name_is_refused(player: TestClient, host: str) -> None:
    """DNS rebinding: a stranger's name that was bound to this machine."""
    assert player.get("/api/takes", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": f"https://{HOST}"},
        {"origin": f"http://127.0.0.1:{PORT + 1}"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
    ],
)
def test_another_origin_is_refused_even_with_the_cookie(player: TestClient, headers: dict[str, str]) -> None:
    assert player.post("/api/takes?name=a.wav", content=b"RIFF", headers=headers).status_code == 403
    assert player.get("/api/takes").json()["takes"] == []


def test_every_answer_carries_the_policy(player: TestClient) -> None:
    for path in ("/", "/api/takes", "/static/page.css", "/api/nothing"):
        policy = player.get(path).headers["content-security-policy"]
        assert "script-src 'self' 'wasm-unsafe-eval';" in policy
        assert "default-src 'none'" in policy
        assert "frame-ancestors 'none'" in policy


@pytest.mark.parametrize(
    "path", ["/docs", "/redoc", "/static/../app.py", "/static/%2e%2e/app.py", "/static//etc/passwd"]
)
def test_there_is_no_page_but_ours_and_no_way_out_of_its_folder(player: TestClient, path: str) -> None:
    assert player.get(path).status_code == 404


@pytest.mark.parametrize("ident", ["..", "../..", "thrown-away", "0" * 11, "g" * 12, "%2e%2e%2f", "a" * 12])
def test_a_take_is_never_a_path(player: TestClient, ident: str) -> None:
    for path in ("sheet", "sound", "about", "bars/1", "files/json"):
        refused = player.get(f"/api/takes/{ident}/{path}")
        assert refused.status_code == 404
        assert set(refused.json()) == {"error"}


def test_every_error_has_one_shape(player: TestClient) -> None:
    for asked in (
        player.get("/api/neck"),
        player.get("/api/neck?chord=Qx"),
        player.get("/api/strings/frets?frets=zz"),
        player.post("/api/takes/aaaaaaaaaaaa/changes", content=b"{"),
        player.put("/api/takes"),
        player.get("/api/nothing"),
        player.post("/api/takes/aaaaaaaaaaaa/name", content=b"\xff", headers={"content-type": "application/json"}),
        player.post("/api/takes?name=empty.wav", content=b""),
    ):
        assert asked.status_code in (400, 404, 405, 422)
        assert set(asked.json()) == {"error"}, asked.text
        assert asked.json()["error"].endswith("."), asked.text


def test_an_upload_that_says_to_be_too_large_is_refused_before_it_is_sent(player: TestClient) -> None:
    refused = player.post("/api/takes?name=a.wav", content=b"x", headers={"content-length": str(1 << 40)})
    assert refused.status_code == 413
    assert player.get("/api/takes").json()["takes"] == []


def test_a_name_is_only_a_name(player: TestClient) -> None:
    came = player.post("/api/takes", params={"name": "../../<script>x.wav"}, content=b"no sound")
    assert came.status_code == 201
    assert came.json()["name"] == "<script>x.wav"
    folder = Path(player.get("/api/takes").json()["folder"])
    assert {path.name for path in folder.parent.iterdir()} == {"library"}


def test_a_recording_is_renamed_to_one_line(player: TestClient) -> None:
    ident = player.post("/api/takes?name=a.wav", content=b"no sound").json()["ident"]
    for sent, kept in (("Verse\n\x1b[31m 2", "Verse[31m 2"), ("\n", "recording")):
        assert player.post(f"/api/takes/{ident}/name", json={"name": sent}).json()["name"] == kept
