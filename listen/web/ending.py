"""How the server ends: open tabs are let go at once, and what is cut short then is no fault to tell of."""

from __future__ import annotations

import contextlib
import logging
import signal
import socket
from collections.abc import Iterator

import uvicorn

from listen.web.events import Hub


class TabsFirstServer(uvicorn.Server):
    """A server that lets every listening tab go before it waits for connections to end.

    Parameters
    ----------
    config : uvicorn.Config
    hub : Hub
        Whom the tabs listen to.
    """

    def __init__(self, config: uvicorn.Config, hub: Hub) -> None:
        super().__init__(config)
        self._hub = hub

    @contextlib.contextmanager
    def capture_signals(self) -> Iterator[None]:
        """Take the end of the terminal as uvicorn takes its signals: the server ends, then the signal counts."""
        with super().capture_signals():
            number = getattr(signal, "SIGHUP", None)  # Windows has none
            before = None if number is None else signal.getsignal(number)
            if number is None or before is signal.SIG_IGN:
                yield
                return
            signal.signal(number, self.handle_exit)
            try:
                yield
            finally:
                signal.signal(number, before)

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End: an upload that is still under way is cut off, and nothing is kept of it."""
        self._hub.close()
        logging.getLogger("uvicorn.error").setLevel(logging.CRITICAL)  # a traceback for each that is cut off
        await super().shutdown(sockets)
