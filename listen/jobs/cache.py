"""What was heard and judged before: kept by the recording's content and the settings, so that only what is new is read.

Two kinds of entries: what was heard of a recording (by its content), and the check of it (by that, the assignment and
the tolerances). An entry of an older version has another key and is never met; one that is damaged is made again.
"""

from __future__ import annotations

import hashlib
import json
import stat
from dataclasses import asdict, is_dataclass
from pathlib import Path
from typing import Any

from listen import __version__
from listen.document import (
    Cursor,
    check_to_document,
    content_key,
    document_to_check,
    load_kept,
    pack_kept,
    render_chart_text,
    save_kept,
    unpack_kept,
)
from listen.errors import DocumentError, ListenError
from listen.reading import (
    Assignment,
    Check,
    HeardCents,
    HeardPitch,
    HeardSound,
    Performance,
    PerformedStroke,
    Tolerances,
)

CACHE_VERSION = 15  # of what an entry holds and how it was made: counted up when hearing or judging changes


class CheckCache:
    """Entries in a folder.

    Parameters
    ----------
    folder : Path or None
        None keeps nothing; one that cannot be made or written costs time, not the work.
    """

    def __init__(self, folder: Path | None) -> None:
        self.folder = folder

    def heard_key(self, path: Path) -> str:
        """Return the key of a recording: its content, and how it is heard.

        Raises
        ------
        DocumentError
            It cannot be read, or is no ordinary file: a pipe would be waited for, a device has no end.
        """
        try:
            if not stat.S_ISREG(path.stat().st_mode):
                raise DocumentError(f"{path} is no ordinary file: save the recording to a file first.")
            return content_key(path, f"heard {CACHE_VERSION} {__version__}")
        except FileNotFoundError as error:
            raise DocumentError(f"{path} is not there; check the name.") from error
        except OSError as error:
            raise DocumentError(f"{path} could not be read: {error.strerror or error}.") from error

    def load_performance(self, key: str) -> Performance | None:
        """Return what was heard; None where it is not kept."""
        found = self._load(f"{key}.heard")
        try:
            return None if found is None else _to_performance(found)
        except (KeyError, TypeError, ValueError):
            return None

    def save_performance(self, key: str, performance: Performance) -> None:
        """Keep what was heard."""
        self._save(f"{key}.heard", _to_rows(performance))

    def load_check(self, key: str) -> Check | None:
        """Return a check; None where it is not kept."""
        found = self._load(f"{key}.check")
        try:
            return None if found is None else document_to_check(Cursor(found, key))
        except ListenError:
            return None

    def save_check(self, key: str, check: Check) -> None:
        """Keep a check."""
        self._save(f"{key}.check", check_to_document(check))

    def _load(self, name: str) -> Any:
        found = None if self.folder is None else load_kept(self.folder, name)
        return None if found is None else unpack_kept(found)

    def _save(self, name: str, value: Any) -> None:
        if self.folder is not None:
            save_kept(self.folder, name, pack_kept(value))


def check_key(heard_key: str, assignment: Assignment, tolerances: Tolerances) -> str:
    """Return the key of a check."""
    digest = hashlib.sha256(f"check {CACHE_VERSION} {heard_key}\n".encode())
    digest.update(render_chart_text(assignment).encode())
    digest.update(json.dumps(asdict(tolerances), sort_keys=True).encode())
    return digest.hexdigest()


def _to_rows(value: Any) -> Any:
    """Turn values into lists, field by field, which is half the size of objects with names."""
    if is_dataclass(value) and not isinstance(value, type):
        return [_to_rows(getattr(value, name)) for name in value.__dataclass_fields__]
    if isinstance(value, tuple):
        return [_to_rows(one) for one in value]
    return value


def _to_performance(rows: Any) -> Performance:
    duration_s, strokes, sounds, offset, warnings, complete, breaks_off = rows
    return Performance(
        float(duration_s),
        tuple(
            PerformedStroke(time_s, level, lean, is_hit, sound, tuple((midi, rise) for midi, rise in rises))
            for time_s, level, lean, is_hit, sound, rises in strokes
        ),
        tuple(
            HeardSound(
                start_s, end_s, tuple(HeardPitch(*one) for one in pitches), tuple(HeardCents(*one) for one in cents)
            )
            for start_s, end_s, pitches, cents in sounds
        ),
        float(offset),
        tuple(warnings),
        bool(complete),
        bool(breaks_off),
    )
