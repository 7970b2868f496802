"""What goes wrong, in one shape for the whole server: ``{"error": "One sentence."}`` and a status."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect

from listen.errors import ListenError, bad_value
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
        sentence = _OF_THE_FRAMEWORK.get(str(error.detail), str(error.detail))
        return JSONResponse({"error": sentence}, error.status_code, headers=error.headers)

    @app.exception_handler(ClientDisconnect)
    async def _(_: Request, __: ClientDisconnect) -> JSONResponse:  # a tab that was closed; nobody reads this
        return JSONResponse({"error": "It broke off while it was sent: send it again."}, 400)

    @app.exception_handler(RequestValidationError)
    async def _(_: Request, error: RequestValidationError) -> JSONResponse:
        return JSONResponse({"error": _tell_wrong(error.errors()[0])}, 422)

    @app.exception_handler(Exception)
    async def _(_: Request, __: Exception) -> JSONResponse:
        return JSONResponse({"error": "Something went wrong inside; what you settled is safe."}, 500)


UNREADABLE = "What was sent to the program cannot be read: load the page again."
_OF_THE_FRAMEWORK = {
    "Not Found": "There is no such page here: open the address that listen page printed.",
    "Method Not Allowed": "That is not done at this address: load the page again.",
    "There was an error parsing the body": UNREADABLE,
}
"""Our own words for what starlette and FastAPI say of themselves."""
_TAKES = {
    "int_parsing": "a whole number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_parsing": "a number",
    "float_type": "a number",
    "bool_parsing": "yes or no",
    "greater_than_equal": "{ge} or more",
    "less_than_equal": "{le} or less",
    "string_too_long": "up to {max_length} letters",
    "literal_error": "{expected}",
}
"""What is taken where a value is refused, by the kind of the refusal as pydantic names it
(https://docs.pydantic.dev/latest/errors/validation_errors/)."""


def _tell_wrong(found: Mapping[str, Any]) -> str:
    """Say what is wrong with what was asked, as everywhere: name=value and what it takes.

    Examples
    --------
    >>> _tell_wrong({"type": "int_parsing", "loc": ("query", "capo"), "input": "2.5"})
    'capo=2.5 is not possible: it takes a whole number.'
    >>> _tell_wrong({"type": "string_too_short", "loc": ("query", "chord"), "input": ""})
    'No chord is written: write one.'
    """
    name = ".".join(str(step) for step in found["loc"] if step not in ("body", "query", "path"))
    kind = found["type"]
    if not name or kind == "json_invalid":
        return UNREADABLE
    if kind in ("string_too_short", "missing"):
        return f"No {name} is written: write one."
    if kind in _TAKES:
        return str(bad_value(name, found["input"], allowed=_TAKES[kind].format(**found.get("ctx", {}))))
    return f"{name} is not what is asked for here."
