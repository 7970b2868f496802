"""One browser and one served library for the tests of the page; each test has a tab of its own."""

from __future__ import annotations

import secrets
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import soundfile

from tests.benchmarks.part_scenes import make_scene
from tests.benchmarks.part_sound import RATE_HZ, render_strings
from tests.web.browser import FLAGS, Served, bring, find_chromium, serve


@pytest.fixture(scope="session")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a part of three bars in four chords, of our own."""
    scene = make_scene(11, pattern="sway", strums_per_s=2.0, n_bars=3, setting="plain")
    path = tmp_path_factory.mktemp("recordings") / "evening.flac"
    soundfile.write(path, render_strings(scene), RATE_HZ)
    return path


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    find_chromium()
    with serve(tmp_path_factory.mktemp("page") / "library") as page:
        yield page


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    path = find_chromium()
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield opened
        opened.close()


class Watched:
    """A browser's tab, and what went wrong in it."""

    def __init__(self, context: Any) -> None:
        self.context = context
        self.asked: list[str] = []
        self._told: list[str] = []
        self._expected: tuple[str, ...] = ()

    @property
    def wrong(self) -> list[str]:
        """Return what the browser noted, less what the test expects."""
        return [one for one in self._told if not any(part in one for part in self._expected)]

    def expect(self, *parts: str) -> None:
        """Let the browser note what a test brings about, whenever it comes: what stopped is asked until the end."""
        self._expected += parts

    def open(self, address: str) -> Any:
        tab = self.context.new_page()
        tab.set_default_timeout(240_000)
        tab.on("pageerror", lambda error: self._told.append(str(error)))
        tab.on("console", lambda one: self._told.append(one.text) if one.type == "error" else None)
        tab.on("request", lambda request: self.asked.append(request.url))
        tab.goto(address)
        return tab


@pytest.fixture
def tabs(browser: Any) -> Iterator[Watched]:
    """Return a fresh browser profile; a script error or a request that leaves this machine fails the test."""
    context = browser.new_context(viewport={"width": 1200, "height": 850}, accept_downloads=True)
    watched = Watched(context)
    yield watched
    context.close()
    assert not watched.wrong, watched.wrong
    foreign = [url for url in watched.asked if not url.startswith(("http://127.0.0.1:", "data:", "blob:"))]
    assert not foreign, foreign


@pytest.fixture(scope="session")
def dropped(served: Served, browser: Any, recording: Path) -> str:
    """Return the name of a part that was dropped on the page and read."""
    context = browser.new_context()
    tab = Watched(context).open(served.address)
    bring(tab, recording)
    address: str = tab.url
    context.close()
    return address.rsplit("/", 1)[1]


@pytest.fixture(scope="module")
def take(served: Served, dropped: str) -> str:
    """Return the address of a copy of the part that was dropped on the page: one for each file of tests."""
    copied = secrets.token_hex(6)
    shutil.copytree(served.library / dropped, served.library / copied)
    return f"/take/{copied}"
