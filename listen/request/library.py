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
from dataclasses import asdict, dataclass, replace
from pathlib import Path, PurePath
from typing import Any

from listen.document import copy_file, hold_lock, load_part, render_part_pieces, write_file
from listen.errors import DocumentError, ListenError, RecordingError
from listen.reading import Part
from listen.request.history import History, Step, document_to_history, history_to_document
from listen.request.kept_folders import KeptFolders, path_text

KEPT_VERSIONS = 10
CHANGED = "This part was changed in another tab or program; you now see it as it is. Do it once more if you like."

Stamp = tuple[int, int, int]
"""Of a file: when it was written, in nanoseconds, its size in bytes, and its inode."""


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


class ChangedMeanwhileError(ListenError):
    """What is to be changed is no longer what was seen."""


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
        """Return all takes, the newest first; a folder that holds none is passed over."""
        takes = []
        for ident in self._kept.list_idents():
            with contextlib.suppress(ListenError):
                takes.append(self.take(ident))
        return tuple(sorted(takes, key=lambda take: -take.added_s))

    def take(self, ident: str) -> Take:
        """Return a take.

        Raises
        ------
        NotInLibraryError
            There is none of that name, or its folder is damaged.
        """
        try:
            return Take(**json.loads((self.folder_of(ident) / "take.json").read_text("utf-8")))
        except (OSError, ValueError, TypeError) as error:
            raise self._kept.not_there(ident) from error

    def folder_of(self, ident: str) -> Path:
        """Return a take's folder; the name is checked, since it comes from a request."""
        return self._kept.place(ident)

    @contextlib.contextmanager
    def receive(self, name: str, suffix: str) -> Iterator[tuple[Take, Path]]:
        """Make a new take whose recording is to be written where told: both are there, whole, once the block ends."""
        with self._kept.add("versions") as (ident, folder):
            take = Take(ident, name, f"recording{suffix}", added_s=time.time())
            yield take, folder / take.recording
            _write_take(folder, take)

    def add(self, name: str, suffix: str = "", *, recording: str = "", document: str = "") -> Take:
        """Make a new take whose recording lies elsewhere, or comes by :meth:`recording_of`."""
        with self._kept.add("versions") as (ident, folder):
            recording = recording or (f"recording{suffix}" if suffix else "")
            return _write_take(folder, Take(ident, name, recording, document, time.time()))

    def save(self, take: Take) -> Take:
        """Write down what a take is."""
        return _write_take(self.folder_of(take.ident), take)

    def note(self, ident: str, **changed: Any) -> Take:
        """Write down what is another in a take now; whatever another program noted of it meanwhile stays."""
        folder = self.folder_of(ident)
        self.take(ident)  # it may have been thrown away
        with hold_lock(folder / "take.json"):
            return _write_take(folder, replace(self.take(ident), **changed))

    def recording_of(self, take: Take) -> Path | None:
        """Return where its recording is; None where there is none."""
        return self.folder_of(take.ident) / take.recording if take.recording else None

    def document_of(self, take: Take) -> Path:
        """Return where its part document is or will be."""
        return Path(take.document) if take.document else self.folder_of(take.ident) / "part.json"

    def history(self, ident: str) -> History:
        """Return what was settled in a take, step by step."""
        path = self.folder_of(ident) / "settled.json"
        if not path.is_file():
            return History()
        try:
            document: dict[str, Any] = json.loads(path.read_text("utf-8"))
        except (OSError, ValueError) as error:
            raise DocumentError(f"{path} is damaged: {error}.") from error
        return document_to_history(document, name=str(path))

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
        document = self.document_of(take)
        before = history.version - 1
        with self.hold(take, before):
            if seen is not None and self.stamp(take) != seen:
                raise ChangedMeanwhileError(CHANGED)
            versions = self.folder_of(take.ident) / "versions"
            if document.is_file():
                copy_file(document, versions / f"{before:06d}.part.json", overwrite=True)
            self.write_history(take, history)
            self.write_part(take, part)
            for old in sorted(versions.glob("*.part.json"))[:-KEPT_VERSIONS]:
                old.unlink(missing_ok=True)

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
        """Return the part as it was written last; None where it was not read yet."""
        path = self.document_of(take)
        return load_part(path) if path.is_file() else None

    def begin(self, take: Take, part: Part, label: str = "") -> None:
        """Write the part of a take that was just read; what a document brought along is the first step.

        A document outside the library is left as it is until something is changed in it.
        """
        path = self.folder_of(take.ident) / "settled.json"
        if not path.exists():
            self.write_history(take, History((Step(label, part.settled.pins, part.settled.corrections),)))
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


def _write_take(folder: Path, take: Take) -> Take:
    write_file(folder / "take.json", json.dumps(asdict(take), ensure_ascii=False), overwrite=True)
    return take


def bring_to_library(library: Library, file: Path) -> Take:
    """Bring a recording in from a file, or a part document, which stays where it is and is worked on there.

    Raises
    ------
    RecordingError, DocumentError
        It is not there, or cannot be read.
    """
    if not file.is_file():
        is_there = file.exists()
        raise RecordingError(f"{file} is {'no ordinary file' if is_there else 'not there'}; check the name.")
    path = file.resolve()
    if path.suffix.lower() != ".json":
        name = os.fsencode(path.name).decode("utf-8", "replace")  # it is no more than what the take is called
        with library.receive(name, PurePath(name).suffix.lower()) as (take, place):
            copy_file(path, place)
        return take
    document, part = path_text(path), load_part(path)
    beside = path.parent / PurePath(part.recording.file).name
    recording = str(beside) if part.recording.file and beside.is_file() else ""
    with hold_lock(library.folder / "documents"):  # two programs that bring one in work on one take
        known = next((take for take in library.list_takes() if take.document == document), None)
        take = known or library.add(path.stem, recording=recording, document=document)
        library.begin(take, part)
    state = "waiting" if recording else "read"  # its sound is to be made ready
    return library.note(take.ident, recording=recording, state=state, message="", duration_s=part.recording.duration_s)
