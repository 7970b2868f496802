"""Answers that a browser keeps as a file: what the file is called, in any script (RFC 6266)."""

from __future__ import annotations

from urllib.parse import quote

from fastapi import Response

LONGEST_FILE_NAME = 100  # letters; the ending is at its end


def name_file(name: str) -> dict[str, str]:
    r"""Return the header that has an answer kept under a name.

    Examples
    --------
    >>> name_file("Übung 5.txt")["Content-Disposition"]
    'attachment; filename="_bung 5.txt"; filename*=UTF-8\'\'%C3%9Cbung%205.txt'
    """
    kept = name[-LONGEST_FILE_NAME:]
    plain = "".join(letter if letter.isascii() and (letter.isalnum() or letter in " -_.") else "_" for letter in kept)
    told = f"attachment; filename=\"{plain}\"; filename*=UTF-8''{quote(kept, safe='', errors='replace')}"
    return {"Content-Disposition": told}


def answer_file(text: str, name: str) -> Response:
    """Answer with a text to be kept under a name, whose ending says what it is."""
    media = {"html": "text/html", "csv": "text/csv", "json": "application/json"}.get(name.rsplit(".", 1)[-1])
    return Response(
        text.encode("utf-8", "replace"),
        media_type=f"{media or 'text/plain'}; charset=utf-8",
        headers=name_file(name),
    )
