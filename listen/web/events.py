"""News for every open tab: server-sent events (WHATWG HTML, section 9.2), one row of listeners, nothing kept."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from typing import Any

MOST_WAITING = 200  # pieces of news; a tab that sleeps for longer is told to ask for everything when it wakes
AGAIN = json.dumps({"again": True})
ALIVE_S = 15.0  # a comment now and then, so that a tab that is gone is noticed


class Hub:
    """Passes news on to whoever listens."""

    def __init__(self) -> None:
        self._listeners: set[asyncio.Queue[str]] = set()
        self._loop: asyncio.AbstractEventLoop | None = None
        self._closing = False

    def publish(self, news: dict[str, Any]) -> None:
        """Tell every listener; may be called from any thread."""
        if self._loop is not None and not self._loop.is_closed():
            self._loop.call_soon_threadsafe(self._spread, json.dumps(news))

    def close(self) -> None:
        """Let every listener go."""
        self._closing = True
        self.publish({"closing": True})

    async def listen(self) -> AsyncIterator[str]:
        """Yield news as lines of an event stream."""
        self._loop = asyncio.get_running_loop()
        waiting: asyncio.Queue[str] = asyncio.Queue(MOST_WAITING)
        self._listeners.add(waiting)
        try:
            yield "retry: 1000\n\n"
            while not self._closing:
                try:
                    yield f"data: {await asyncio.wait_for(waiting.get(), ALIVE_S)}\n\n"
                except TimeoutError:
                    yield ": here\n\n"
        finally:
            self._listeners.discard(waiting)

    def _spread(self, text: str) -> None:
        for waiting in self._listeners:
            if waiting.full():
                while not waiting.empty():
                    waiting.get_nowait()
                waiting.put_nowait(AGAIN)
            waiting.put_nowait(text)
