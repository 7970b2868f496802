"""Who may ask: this machine's own browser, which was given the token, and no page of another site.

* The server listens on the loopback address only; ``Host`` must name it, so that a stranger's name that was bound to
  127.0.0.1 is refused (DNS rebinding).
* A token in the first address becomes an HttpOnly, SameSite=Strict cookie, and leaves the address (RFC 6265bis).
* ``Origin`` and ``Sec-Fetch-Site``, where a browser sends them, must be the page's own (W3C, Fetch Metadata).
* A policy on every answer: scripts from here only, and WebAssembly for the time-stretch (W3C, CSP Level 3).
"""

from __future__ import annotations

import json
import secrets
from collections.abc import Awaitable, Callable, MutableMapping
from http.cookies import CookieError, SimpleCookie
from typing import Any
from urllib.parse import parse_qs, urlencode

Scope = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[MutableMapping[str, Any]]]
Send = Callable[[MutableMapping[str, Any]], Awaitable[None]]

POLICY = (
    "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; style-src 'self'; style-src-attr 'unsafe-inline'; "
    "img-src 'self' data:; media-src 'self' blob:; connect-src 'self'; worker-src 'self'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'"
)
HEADERS = (
    (b"content-security-policy", POLICY.encode()),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"permissions-policy", b"microphone=(self), camera=(), geolocation=()"),
)
LET_IN_FIRST = "Open the address that listen page printed: it lets this browser in."


class Guard:
    """Wraps the application; whatever is refused never reaches it.

    Parameters
    ----------
    app : ASGI application
    port : int
    token : str
    """

    def __init__(self, app: Callable[[Scope, Receive, Send], Awaitable[None]], *, port: int, token: str) -> None:
        self._app, self._token = app, token
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        self._cookie = f"listen_{port}"  # cookies do not know ports: two pages at once must not take each other's

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer or pass on."""
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return
        headers = {name.decode("latin-1"): value.decode("latin-1") for name, value in scope["headers"]}
        host = headers.get("host", "")
        if host not in self._hosts:
            await _refuse(send, 421, "This server answers to its own address on this machine only.")
            return
        origin, site = headers.get("origin"), headers.get("sec-fetch-site", "none")
        is_opened = scope["method"] == "GET" and headers.get("sec-fetch-mode") == "navigate"  # a link may lead here
        if (origin is not None and origin != f"http://{host}") or (
            site not in ("none", "same-origin") and not (is_opened and scope["path"] == "/")
        ):
            await _refuse(send, 403, "Another site's page may not ask here.")
            return
        query = parse_qs(scope.get("query_string", b"").decode("latin-1"), keep_blank_values=True)
        if scope["path"] == "/" and scope["method"] == "GET" and "token" in query:
            await self._let_in(send, query)
            return
        if not self._has_cookie(headers.get("cookie", "")):
            await _refuse(send, 401, LET_IN_FIRST, is_read=scope["path"] == "/")
            return

        async def send_guarded(message: MutableMapping[str, Any]) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message.get("headers", []), *HEADERS]}
            await send(message)

        await self._app(scope, receive, send_guarded)

    def _has_cookie(self, text: str) -> bool:
        try:
            cookie = SimpleCookie(text).get(self._cookie)
        except CookieError:
            return False
        return cookie is not None and secrets.compare_digest(cookie.value.encode(), self._token.encode())

    async def _let_in(self, send: Send, query: dict[str, list[str]]) -> None:
        """Turn the token into a cookie, and the address into one without it."""
        if not secrets.compare_digest(query.pop("token")[0].encode(), self._token.encode()):
            await _refuse(send, 401, LET_IN_FIRST, is_read=True)
            return
        rest = urlencode(query, doseq=True)
        cookie = f"{self._cookie}={self._token}; Path=/; HttpOnly; SameSite=Strict"
        headers = [(b"location", f"/{'?' + rest if rest else ''}".encode()), (b"set-cookie", cookie.encode()), *HEADERS]
        await send({"type": "http.response.start", "status": 303, "headers": [*headers, (b"content-length", b"0")]})
        await send({"type": "http.response.body", "body": b""})


async def _refuse(send: Send, status: int, sentence: str, *, is_read: bool = False) -> None:
    """Say why nothing is answered: to a person who reads it in a browser, or to a program."""
    body = (sentence if is_read else json.dumps({"error": sentence})).encode()
    kind = b"text/plain; charset=utf-8" if is_read else b"application/json"
    headers = [(b"content-type", kind), (b"content-length", str(len(body)).encode()), *HEADERS]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
