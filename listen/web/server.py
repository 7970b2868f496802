"""The server: a port of this machine, a token, the address, and a browser that is opened at it."""

from __future__ import annotations

import contextlib
import secrets
import socket
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from listen.errors import BadValueError, ListenError, bad_value, install_text
from listen.web.events import Hub

USUAL_PORT = 8765


@dataclass(frozen=True, slots=True)
class PageSettings:
    """How the page is served.

    Parameters
    ----------
    library : Path
    port : int or None
        None for the usual one, or any free one where that is taken; 0 for any free one.
    opens : bool
        Whether a browser is opened.
    show : str
        What the page shows first: the part of the address after ``#``.
    """

    library: Path
    port: int | None = None
    opens: bool = True
    show: str = ""


def serve_page(settings: PageSettings, *, say: Callable[[str], None]) -> None:
    """Serve until stopped from the keyboard.

    Parameters
    ----------
    settings : PageSettings
    say : callable
        Told the address when the server listens.

    Raises
    ------
    BadValueError
        The port is taken, or the extra is not installed.
    """
    try:
        import uvicorn

        from listen.web.app import make_page_app
        from listen.web.ending import TabsFirstServer
    except ModuleNotFoundError as error:
        if error.name is None or error.name.partition(".")[0] not in ("fastapi", "uvicorn", "starlette", "pydantic"):
            raise
        raise ListenError(f"The page needs an optional extra: {install_text('page')}  and try again.") from error
    taken = open_port(settings.port)
    port, token = taken.getsockname()[1], secrets.token_urlsafe(32)
    hub = Hub()
    app = make_page_app(settings.library, port=port, token=token, hub=hub)
    config = uvicorn.Config(
        app, log_level="error", access_log=False, server_header=False, timeout_graceful_shutdown=1, lifespan="on"
    )
    server = TabsFirstServer(config, hub)
    address = f"http://127.0.0.1:{port}/?token={token}" + (f"#{settings.show}" if settings.show else "")
    say(address)
    if settings.opens:
        import webbrowser

        with contextlib.suppress(webbrowser.Error):
            webbrowser.open(address)
    with contextlib.suppress(KeyboardInterrupt):
        server.run(sockets=[taken])


def open_port(port: int | None) -> socket.socket:
    """Take a port of the loopback address.

    Raises
    ------
    BadValueError
        It is taken, is none, or may not be used.
    """
    if port is not None and not 0 <= port <= 65535:
        raise bad_value("port", port, allowed="a number from 1024 to 65535, or 0 for any that is free")
    taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
    taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        try:
            taken.bind(("127.0.0.1", USUAL_PORT if port is None else port))
        except OSError:
            if port is not None:
                raise
            taken.bind(("127.0.0.1", 0))
        taken.listen(64)
    except OSError as error:
        taken.close()
        raise BadValueError(
            f"port={port} cannot be used ({error.strerror}): another program may have it. Leave --port out, or give "
            "--port 0 for any that is free."
        ) from error
    return taken
