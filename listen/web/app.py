"""The application: the page's own files, its routes, and the guard before them."""

from __future__ import annotations

from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager
from importlib.resources import files
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from fastapi.responses import FileResponse
from starlette.staticfiles import StaticFiles

from listen import __version__
from listen.request import Desk, HomeworkShelf, Library
from listen.web import hand, homework, neck, practice, sheets, sounds, students, takes
from listen.web.bodies import BodyBound
from listen.web.checker import Checker
from listen.web.events import Hub
from listen.web.failures import answer_failures
from listen.web.guard import Guard
from listen.web.reader import Reader
from listen.web.state import Held

ROUTERS = (
    takes.router, sheets.router, sounds.router, neck.router, hand.router, practice.router, homework.router,
    students.router,
)  # fmt: skip  # another view brings its own


def make_page_app(library: Path, *, port: int, token: str, hub: Hub | None = None) -> Callable[..., Awaitable[None]]:
    """Make the application behind its guard.

    Parameters
    ----------
    library : Path
        The folder of recordings; made where it is not there.
    port : int
        That the server listens on.
    token : str
        That lets a browser in.
    hub : Hub, optional
        That passes news on, for whoever ends the server.
    """
    return Guard(make_bare_app(library, hub), port=port, token=token)


def make_bare_app(library: Path, hub: Hub | None = None) -> FastAPI:
    """Make the application without its guard: for its description, and for tests of its routes."""
    hub = hub or Hub()
    shelf = Library(library)
    class_shelf = HomeworkShelf(shelf)
    checker = Checker(shelf, class_shelf, hub.publish)
    held = Held(shelf, Desk(shelf), Reader(shelf, hub.publish), hub, class_shelf, checker)

    @asynccontextmanager
    async def live(_: FastAPI) -> AsyncIterator[None]:
        class_shelf.mend()
        for take in shelf.mend():
            held.reader.read(take.ident)
        yield
        hub.close()
        held.reader.close()
        held.checker.close()

    app = FastAPI(title="listen", version=__version__, docs_url=None, redoc_url=None, lifespan=live)
    app.state.held = held
    app.add_middleware(BodyBound)
    answer_failures(app)
    for router in ROUTERS:
        app.include_router(router)
    static = Path(str(files("listen.web").joinpath("static")))

    @app.get("/", include_in_schema=False)
    def page() -> FileResponse:
        held.reader.warm_up()  # a recording may come
        return FileResponse(static / "page.html", headers={"Cache-Control": "no-store"})

    app.mount("/static", _Static(directory=static), name="static")
    return app


class _Static(StaticFiles):
    """The page's own files: a browser asks each time whether they are still the same."""

    def file_response(self, *args: Any, **kwargs: Any) -> Any:
        response = super().file_response(*args, **kwargs)
        response.headers["Cache-Control"] = "no-cache"
        return response
