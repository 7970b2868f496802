"""How the server ends: open tabs are let go at once, and what is cut short then is no fault to tell of."""

from __future__ import annotations

import logging
import socket

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

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """End: an upload that is still under way is cut off, and nothing is kept of it."""
        self._hub.close()
        logging.getLogger("uvicorn.error").setLevel(logging.CRITICAL)  # a traceback for each that is cut off
        await super().shutdown(sockets)
