"""How much may be sent to the server: counted while it comes, so that nobody fills the memory.

What a view asks is small; a route that takes sound says so itself, and how much of it (:func:`take_pieces`).
"""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable, MutableMapping
from typing import Any

from fastapi import HTTPException, Request

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]

MOST_ASKED_BYTES = 1 << 20  # a chart of 50 000 letters, and the one before it, take less than half of it
TOO_MUCH = "That is more than is taken here at once (1 MB): send less."
_BOUND = "listen.bound"  # where in a request's scope its limit stands


class BodyBound:
    """Wraps the application: a request that sends more than its route takes is answered with 413 and read no further.

    Parameters
    ----------
    app : ASGI application
    """

    def __init__(self, app: Callable[[Scope, Receive, Send], Awaitable[None]]) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Count what comes in."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        scope[_BOUND] = (MOST_ASKED_BYTES, TOO_MUCH)
        n_bytes = 0

        async def receive_bounded() -> MutableMapping[str, Any]:
            nonlocal n_bytes
            message = await receive()
            n_bytes += len(message.get("body", b""))
            most_bytes, sentence = scope[_BOUND]
            if n_bytes > most_bytes:
                raise HTTPException(413, sentence)
            return message

        await self._app(scope, receive_bounded, send)


async def take_pieces(request: Request, *, most_bytes: int, too_large: str) -> AsyncIterator[bytes]:
    """Yield the body of a request piece by piece, up to a limit of its own.

    Raises
    ------
    HTTPException
        413, with the sentence ``too_large``: before anything is read where the request says how long it is.
    """
    length = request.headers.get("content-length", "")
    if length.isdecimal() and int(length) > most_bytes:
        raise HTTPException(413, too_large)
    request.scope[_BOUND] = (most_bytes, too_large)
    async for piece in request.stream():
        yield piece
