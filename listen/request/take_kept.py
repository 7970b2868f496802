"""What is kept of a take: what it is, in one JSON file."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass
from pathlib import Path

from listen.document import Cursor, read_json, write_file

STATES = ("waiting", "reading", "read", "failed", "stopped")
LATEST_S = 1e11
"""Seconds since 1970: a time that every calendar can show."""


@dataclass(frozen=True, slots=True)
class Take:
    """A recording in the library.

    Parameters
    ----------
    ident : str
        Twelve hexadecimal digits: the name of its folder.
    name : str
        What it is called: the recording's file name at first.
    recording : str
        File name inside the folder, or the path of a recording that stays where it is; empty where there is none.
    document : str
        Path of a part document outside the library that this take works on; else empty.
    added_s : float
        When it came, in seconds since 1970.
    state : "waiting", "reading", "read", "failed" or "stopped"
    message : str
        Why it failed.
    duration_s : float
        Of the recording; 0 where it is not known yet.
    """

    ident: str
    name: str
    recording: str = ""
    document: str = ""
    added_s: float = 0.0
    state: str = "waiting"
    message: str = ""
    duration_s: float = 0.0


def load_take(path: Path, ident: str) -> Take:
    """Read what a take is.

    Raises
    ------
    DocumentError
        The file is not there, is damaged, or holds a value that is not possible.
    """
    kept = Cursor(read_json(path), str(path))
    return Take(
        ident,
        kept.text("name"),
        kept.text("recording", ""),
        kept.text("document", ""),
        kept.number("added_s", 0.0, LATEST_S),
        kept.choice("state", STATES),
        kept.text("message", ""),
        kept.number("duration_s", 0.0, default=0.0),
    )


def save_take(folder: Path, take: Take) -> Take:
    """Write what a take is into its folder."""
    write_file(folder / "take.json", json.dumps(asdict(take), ensure_ascii=False), overwrite=True)
    return take
