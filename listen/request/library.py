"""The library: a folder with one folder for each recording that was brought in, and what was made of it.

Conventions: a take's folder holds ``recording.*`` as it came, ``take.json`` (what it is), ``settled.json`` (every step
that a person took), ``part.json`` (the part as it stands) and ``versions/`` (the last ten parts). The folder is there
once its recording came whole, and every file in it is written whole or not at all, ``settled.json`` before
``part.json``: what is settled is never lost, and a part that lags behind it, after a crash between the two, is decoded
again. What is thrown away goes to ``thrown-away/`` and can come back.
"""

from __future__ import annotations

import contextlib
import json
import os
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from listen.document import (
    NewerFormatError,
    copy_file,
    hold_lock,
    load_part,
    read_json,
    render_part_pieces,
    write_file,
)
from listen.errors import DocumentError, ListenError
from listen.reading import Part, Settled
from listen.request.history import History, Step, document_to_history, history_to_document
from listen.request.kept_folders import DamagedFolder, KeptFolders, path_text
from listen.request.take_kept import Take, load_take, save_take

KEPT_VERSIONS = 10
CHANGED = "This part was changed in another tab or program; you now see it as it is. Do it once more if you like."

Stamp = tuple[int, int, int]
"""Of a file: when it was written, in nanoseconds, its size in bytes, and its inode."""


class ChangedMeanwhileError(ListenError):
    """What is to be changed is no longer what was seen."""


class DamagedTakeError(DocumentError):
    """The part of a take, or what was settled in it, cannot be read."""


def find_library_folder() -> Path:
    """Return where recordings are kept, whether or not there are any: ``LISTEN_LIBRARY``, or the system's folder."""
    named = os.environ.get("LISTEN_LIBRARY")
    if named:
        return Path(named)
    from platformdirs import user_data_path

    return user_data_path("listen", appauthor=False) / "library"


class Library:
    """The takes in one folder.

    Parameters
    ----------
    folder : Path
        Made where it is not there.

    Raises
    ------
    DocumentError
        It cannot be made, is no folder, or is no text (:func:`path_text`).
    """

    def __init__(self, folder: Path) -> None:
        path_text(folder)
        self.folder = folder
        self._kept = KeptFolders(folder, "recording")
        self._kept.make()

    def list_takes(self) -> tuple[Take, ...]:
        """Return all takes that can be read, the newest first."""
        return self.sort_takes()[0]

    def sort_takes(self) -> tuple[tuple[Take, ...], tuple[DamagedFolder, ...]]:
        """Return all takes, the newest first, and the folders of those that cannot be read."""
        takes, damaged = self._kept.sort_out(self.take)
        return tuple(sorted(takes, key=lambda take: -take.added_s)), tuple(damaged)

    def take(self, ident: str) -> Take:
        """Return a take.

        Raises
        ------
        NotInLibraryError
            There is none of that name.
        DocumentError
            Its folder is damaged.
        """
        return load_take(self._kept.file_of(ident, "take.json"), ident)

    def folder_of(self, ident: str) -> Path:
        """Return a take's folder; the name is checked, since it comes from a request."""
        return self._kept.place(ident)

    @contextlib.contextmanager
    def receive(self, name: str, suffix: str) -> Iterator[tuple[Take, Path]]:
        """Make a new take whose recording is to be written where told: both are there, whole, once the block ends."""
        with self._kept.add("versions") as (ident, folder):
            take = Take(ident, name, f"recording{suffix}", added_s=time.time())
            yield take, folder / take.recording
            save_take(folder, take)

    def add(self, name: str, suffix: str = "", *, recording: str = "", document: str = "") -> Take:
        """Make a new take whose recording lies elsewhere, or comes by :meth:`recording_of`."""
        with self._kept.add("versions") as (ident, folder):
            recording = recording or (f"recording{suffix}" if suffix else "")
            return save_take(folder, Take(ident, name, recording, document, time.time()))

    def save(self, take: Take) -> Take:
        """Write down what a take is."""
        return save_take(self.folder_of(take.ident), take)

    def note(self, ident: str, **changed: Any) -> Take:
        """Write down what is another in a take now; whatever another program noted of it meanwhile stays."""
        folder = self.folder_of(ident)
        self.take(ident)  # it may have been thrown away
        with hold_lock(folder / "take.json"):
            return save_take(folder, replace(self.take(ident), **changed))

    def recording_of(self, take: Take) -> Path | None:
        """Return where its recording is; None where there is none."""
        return self.folder_of(take.ident) / take.recording if take.recording else None

    def document_of(self, take: Take) -> Path:
        """Return where its part document is or will be."""
        return Path(take.document) if take.document else self.folder_of(take.ident) / "part.json"

    def history(self, ident: str) -> History:
        """Return what was settled in a take, step by step; without its file, what the part holds is the first step.

        Raises
        ------
        DamagedTakeError
        """
        path = self.folder_of(ident) / "settled.json"
        if not path.exists():
            part = self.part(self.take(ident))
            versions = [path.name[:6] for path in self._versions(ident)]
            version = 1 + max((int(name) for name in versions if name.isdecimal()), default=0)
            return _history_of(part, version=version)
        with _telling_damage():
            return document_to_history(read_json(path), name=str(path))

    @contextlib.contextmanager
    def hold(self, take: Take, version: int) -> Iterator[None]:
        """Keep every other program from what is settled in a take, which is to be at a version.

        Raises
        ------
        ChangedMeanwhileError
            It is at another one.
        """
        with hold_lock(self.folder_of(take.ident) / "settled.json"):
            if self.history(take.ident).version != version:
                raise ChangedMeanwhileError(CHANGED)
            yield

    def settle(self, take: Take, history: History, part: Part, *, seen: Stamp | None = None) -> None:
        """Write down what is settled, and the part with it; the part before becomes a version.

        Parameters
        ----------
        take : Take
        history : History
            One step on from the one that was seen.
        part : Part
        seen : Stamp or None
            Of the document that `part` was made from; None where nobody else writes to it.

        Raises
        ------
        ChangedMeanwhileError
            Somebody else changed the take, or the document, since then.
        """
        before = history.version - 1
        with self.hold(take, before):
            if seen is not None and self.stamp(take) != seen:
                raise ChangedMeanwhileError(CHANGED)
            self.keep_version(take, f"{before:06d}")
            self.write_history(take, history)
            self.write_part(take, part)
            for old in self._versions(take.ident)[:-KEPT_VERSIONS]:
                old.unlink(missing_ok=True)

    def keep_version(self, take: Take, name: str) -> None:
        """Keep the part document as it is now among the versions."""
        document = self.document_of(take)
        if document.is_file():
            versions = self.folder_of(take.ident) / "versions"
            copy_file(document, versions / f"{name}.part.json", overwrite=True)

    def _versions(self, ident: str) -> list[Path]:
        """Return the parts that were kept, the oldest first."""
        return sorted((self.folder_of(ident) / "versions").glob("*.part.json"))

    def stamp(self, take: Take) -> Stamp | None:
        """Return what changes whenever the part document is written; None where there is none."""
        path = self.document_of(take)
        if not path.is_file():
            return None
        about = path.stat()
        return about.st_mtime_ns, about.st_size, about.st_ino

    def write_history(self, take: Take, history: History) -> None:
        """Write what is settled alone."""
        path = self.folder_of(take.ident) / "settled.json"
        write_file(path, json.dumps(history_to_document(history)), overwrite=True)

    def write_part(self, take: Take, part: Part) -> None:
        """Write the part document alone."""
        write_file(self.document_of(take), render_part_pieces(part), overwrite=True)

    def part(self, take: Take) -> Part | None:
        """Return the part as it was written last; None where it was not read yet.

        Raises
        ------
        DamagedTakeError
        """
        path = self.document_of(take)
        with _telling_damage():
            return load_part(path) if path.is_file() else None

    def begin(self, take: Take, part: Part, label: str = "") -> None:
        """Write the part of a take that was just read; what a document brought along is the first step.

        A document outside the library is left as it is until something is changed in it.
        """
        path = self.folder_of(take.ident) / "settled.json"
        if not path.exists():
            self.write_history(take, _history_of(part, label))
        if not take.document:
            self.write_part(take, part)

    def throw_away(self, ident: str) -> None:
        """Put a take aside; a document outside the library stays where it is."""
        self.take(ident)
        self._kept.throw_away(ident)

    def bring_back(self, ident: str) -> Take:
        """Take back what was thrown away."""
        self._kept.bring_back(ident)
        return self.take(ident)

    def mend(self) -> Iterator[Take]:
        """Yield takes that a crash left in the middle, to be read again; what came half is removed once it is old."""
        self._kept.mend("*/versions")
        for take in self.list_takes():
            if take.state in ("waiting", "reading"):
                try:
                    mended = self.note(take.ident, state="waiting", message="")
                except DocumentError:
                    continue  # of a library that cannot be written, what was read is shown
                yield mended


@contextlib.contextmanager
def _telling_damage() -> Iterator[None]:
    """Tell what cannot be read as damage, unless it is whole, and a newer version of this program wrote it."""
    try:
        yield
    except NewerFormatError:
        raise
    except DocumentError as error:
        raise DamagedTakeError(str(error)) from error


def _history_of(part: Part | None, label: str = "", *, version: int = 1) -> History:
    """Return a history whose one step is what a part holds."""
    settled = Settled() if part is None else part.settled
    return History((Step(label, settled.pins, settled.corrections),), version=version)
