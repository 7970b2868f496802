"""What goes wrong, in one shape for the whole server: ``{"error": "One sentence."}`` and a status."""

from __future__ import annotations

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from listen.errors import ListenError
from listen.request import ChangedMeanwhileError, NotInLibraryError


class Failure(BaseModel):
    """One sentence that says what is wrong and what to do."""

    error: str


FAILURES: dict[int | str, dict[str, object]] = {
    status: {"model": Failure, "description": what}
    for status, what in (
        (400, "The person can put it right."),
        (401, "Not let in."),
        (404, "There is no such thing."),
        (405, "Not this way."),
        (409, "It was changed meanwhile."),
        (413, "Too large."),
        (422, "Not what is asked for."),
    )
}


def answer_failures(app: FastAPI) -> None:
    """Have every error answered in the one shape."""

    @app.exception_handler(ListenError)
    async def _(_: Request, error: ListenError) -> JSONResponse:
        is_gone = isinstance(error, NotInLibraryError)
        status = 404 if is_gone else 409 if isinstance(error, ChangedMeanwhileError) else 400
        return JSONResponse({"error": str(error)}, status)

    @app.exception_handler(HTTPException)
    async def _(_: Request, error: HTTPException) -> JSONResponse:
        return JSONResponse({"error": str(error.detail)}, error.status_code, headers=error.headers)

    @app.exception_handler(RequestValidationError)
    async def _(_: Request, error: RequestValidationError) -> JSONResponse:
        first = error.errors()[0]
        where = ".".join(str(step) for step in first["loc"] if step not in ("body", "query", "path"))
        return JSONResponse({"error": f"{where or 'the request'} is not right: {first['msg']}."}, 422)

    @app.exception_handler(Exception)
    async def _(_: Request, __: Exception) -> JSONResponse:
        return JSONResponse({"error": "Something went wrong inside; what you settled is safe."}, 500)
