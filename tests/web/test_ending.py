"""What a page says on the terminal when it is stopped, or what is being sent breaks off: nothing but its address."""

from __future__ import annotations

import http.client
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from tests.web.browser import ROOT, wait_until

pytest.importorskip("uvicorn")


class Terminal:
    """A page that was started from a terminal, and a browser that it let in."""

    def __init__(self, folder: Path) -> None:
        self.library = folder / "library"
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "LISTEN_SETTINGS": str(folder / "settings.json")}
        words = ["page", "--no-open", "--port", "0", "--library", self.library.name]
        self.process = subprocess.Popen(
            [sys.executable, "-m", "listen", *words],
            stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=environment, cwd=folder,
        )  # fmt: skip
        assert self.process.stdout is not None
        address = urlsplit(self.process.stdout.readline().strip())
        self.host, self.port = str(address.hostname), int(address.port or 0)
        self.opened: list[http.client.HTTPConnection] = []
        came = self.ask("GET", f"/?{address.query}")
        self.cookie = str(came.headers["set-cookie"]).split(";", 1)[0]

    def ask(self, method: str, path: str, cookie: str = "") -> http.client.HTTPResponse:
        """Ask, and leave the connection open."""
        asked = http.client.HTTPConnection(self.host, self.port, timeout=60)
        self.opened.append(asked)
        asked.request(method, path, headers={"cookie": cookie} if cookie else {})
        return asked.getresponse()

    def begin_to_send(self) -> socket.socket:
        """Send half of a recording, and wait until the half is there."""
        sending = socket.create_connection((self.host, self.port), timeout=60)
        head = f"POST /api/takes?name=half.wav HTTP/1.1\r\nHost: {self.host}:{self.port}\r\nCookie: {self.cookie}\r\n"
        sending.sendall(f"{head}Content-Length: 2000\r\n\r\n".encode() + bytes(1000))
        wait_until(lambda: any(path.suffix == ".tmp" for path in self.library.rglob("*")), within_s=60)
        return sending

    def stop(self, how: signal.Signals = signal.SIGINT) -> str:
        """Stop as Ctrl+C does, and return what was said beside where recordings are kept."""
        self.process.send_signal(how)
        _, said = self.process.communicate(timeout=60)
        assert said.startswith(f"Recordings and parts are kept in {self.library}. ")
        return said.split("\n", 1)[1]


@pytest.fixture
def terminal(tmp_path: Path) -> Iterator[Terminal]:
    started = Terminal(tmp_path)
    yield started
    for one in started.opened:
        one.close()
    started.process.kill()
    started.process.communicate()


def test_a_page_that_is_stopped_lets_open_tabs_go_and_says_nothing(terminal: Terminal) -> None:
    with terminal.ask("GET", "/api/news", terminal.cookie) as news:
        assert news.readline().startswith(b"retry")
        assert terminal.stop() == ""
        assert b'{"closing": true}' in news.read()


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGHUP])
def test_a_page_that_is_ended_from_outside_ends_as_one_that_is_stopped(terminal: Terminal, how: signal.Signals) -> None:
    with terminal.begin_to_send():
        assert terminal.stop(how) == ""
    assert terminal.process.returncode == 128 + how
    assert not [path for path in terminal.library.rglob("*") if path.is_file()]


def test_a_page_that_is_stopped_while_something_is_sent_says_nothing(terminal: Terminal) -> None:
    with terminal.begin_to_send():
        assert terminal.stop() == ""


def test_what_breaks_off_while_it_is_sent_is_no_fault_and_leaves_nothing(terminal: Terminal) -> None:
    terminal.begin_to_send().close()
    wait_until(lambda: not [path for path in terminal.library.rglob("*") if path.is_file()], within_s=60)
    assert terminal.stop() == ""
