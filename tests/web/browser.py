"""A browser and a page that is served to it, for the tests of the page.

Debian's Chromium, driven by Playwright; without its windows (`chromium-headless-shell`) where that is installed, which
takes less than half the time. Where there is none, the tests that need one are skipped with one line; under ``CI`` that
is a failure.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--use-fake-ui-for-media-stream",
    "--use-fake-device-for-media-stream",
    "--autoplay-policy=no-user-gesture-required",
)
BROWSERS = ("chromium-headless-shell", "chromium", "chromium-browser")  # the first that is installed
ROOT = Path(__file__).parents[2]


def find_chromium() -> str:
    """Return where Chromium is; skip, or fail under CI, where there is none."""
    found = os.environ.get("CHROMIUM") or next(filter(None, map(shutil.which, BROWSERS)), None)
    try:
        import playwright  # noqa: F401
    except ImportError:
        found = None
    if found is None:
        reason = "the page's browser tests need Chromium and Playwright (apt-get install chromium-headless-shell)"
        if os.environ.get("CI"):
            pytest.fail(reason)
        pytest.skip(reason)
    return found


@dataclass(slots=True)
class Served:
    """A page that is being served."""

    process: subprocess.Popen[str]
    address: str
    library: Path
    log: list[str] = field(default_factory=list)

    @property
    def base(self) -> str:
        """The address without its token."""
        return self.address.split("/?", 1)[0]

    @property
    def token(self) -> str:
        """What lets a browser in."""
        return self.address.split("token=", 1)[1].split("#", 1)[0]


@contextmanager
def serve(library: Path, *, port: str = "0") -> Iterator[Served]:
    """Serve a library as ``listen page`` does, until the block ends."""
    environment = {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "LISTEN_CACHE": str(library.parent / "cache"),
        "LISTEN_SETTINGS": str(library.parent / "settings.json"),
        "LISTEN_PRACTICE": str(library.parent / "practice.sqlite"),
        "OMP_NUM_THREADS": "1",
    }
    process = subprocess.Popen(
        [sys.executable, "-m", "listen", "page", "--no-open", "--port", port, "--library", str(library)],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
        env=environment,
    )
    assert process.stdout is not None
    address = process.stdout.readline().strip()
    assert address.startswith("http://127.0.0.1:"), address
    try:
        yield Served(process, address, library)
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
        process.stdout.close()


def wait_until(holds: Any, *, within_s: float = 240.0) -> None:
    """Wait until something holds."""
    until = time.monotonic() + within_s
    while not holds():
        assert time.monotonic() < until, "it did not come about"
        time.sleep(0.05)


def until(tab: Any, expression: str) -> None:
    """Wait until an expression holds in a tab; asked from here, since the page's policy forbids a script to poll it."""
    wait_until(lambda: tab.evaluate(expression))


def bring(tab: Any, path: Path) -> None:
    """Drop a file on the page and wait until it is there as a sheet, or cannot be read."""
    data = list(path.read_bytes())
    tab.wait_for_selector(".bring h1")
    transfer = tab.evaluate_handle(
        """([bytes, name]) => { const held = new DataTransfer();
        held.items.add(new File([new Uint8Array(bytes)], name)); return held; }""",
        [data, path.name],
    )
    tab.dispatch_event(".bring", "drop", {"dataTransfer": transfer})
    tab.wait_for_url("**/#/take/*")
    read = "document.querySelector('.listening')?.hidden && document.querySelector('.sheet h1')"
    until(tab, f"({read}) || document.querySelector('.listening .failed')")


def open_take(tabs: Any, served: Served, take: str) -> Any:
    """Open a part that was read in a tab of its own."""
    tab = tabs.open(f"{served.address}#{take}")
    tab.wait_for_selector(".sheet .bar")
    return tab


def unfold(tab: Any, number: int) -> None:
    """Unfold a bar of the sheet."""
    tab.click(f"[data-number='{number}'] button")
    tab.wait_for_selector(".opened .held")
