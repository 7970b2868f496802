"""Kept folders: one for each thing in the library, named by chance, thrown away and brought back whole."""

from __future__ import annotations

import os
import re
import secrets
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from listen.document import make_folder, make_whole_folder, remove_stale
from listen.errors import DocumentError, ListenError

THROWN_AWAY = "thrown-away"
_Kept = TypeVar("_Kept")
_IDENT = re.compile(r"[0-9a-f]{12}")


class NotInLibraryError(ListenError):
    """There is no such thing in the library."""


@dataclass(frozen=True, slots=True)
class DamagedFolder:
    """A folder in the library whose thing cannot be read.

    Parameters
    ----------
    folder : Path
    why : str
        One sentence.
    """

    folder: Path
    why: str


@dataclass(frozen=True, slots=True)
class KeptFolders:
    """Folders of one kind, with a place beside them for those that were thrown away.

    Parameters
    ----------
    folder : Path
    called : str
        What lies in one of them, for errors: ``"recording"``.
    """

    folder: Path
    called: str

    def make(self) -> None:
        """Make the place for them where it is not there.

        Raises
        ------
        DocumentError
            It cannot be made, or is no folder.
        """
        for folder in (self.folder, self.folder / THROWN_AWAY):
            make_folder(folder, option="--library")

    def list_idents(self) -> list[str]:
        """Return the names of all that are there, in no order."""
        return [path.name for path in self.folder.iterdir() if _IDENT.fullmatch(path.name)]

    def sort_out(self, read: Callable[[str], _Kept]) -> tuple[list[_Kept], list[DamagedFolder]]:
        """Read all that are there, in no order; return them, and the folders whose thing cannot be read."""
        whole: list[_Kept] = []
        damaged: list[DamagedFolder] = []
        for ident in self.list_idents():
            try:
                whole.append(read(ident))
            except NotInLibraryError:
                continue  # thrown away just now
            except ListenError as error:
                damaged.append(DamagedFolder(self.place(ident), str(error)))
        return whole, damaged

    def file_of(self, ident: str, name: str) -> Path:
        """Return a file in a folder that is there.

        Raises
        ------
        NotInLibraryError
            There is none of that name.
        """
        if not self.place(ident).is_dir():
            raise self.not_there(ident)
        return self.place(ident) / name

    def place(self, ident: str) -> Path:
        """Return a folder; the name is checked, since it comes from a request.

        Raises
        ------
        NotInLibraryError
            It is no name of such a folder.
        """
        if not _IDENT.fullmatch(ident):
            raise NotInLibraryError(f"No {self.called} is named so: its name has twelve hexadecimal digits.")
        return self.folder / ident

    @contextmanager
    def add(self, inside: str) -> Iterator[tuple[str, Path]]:
        """Name a new folder and make it, with one in it: it is to be filled where told, and there once the block ends.

        Raises
        ------
        DocumentError
            It cannot be made; nothing is left of it.
        """
        self.make()
        ident = secrets.token_hex(6)
        with make_whole_folder(self.place(ident)) as folder:
            (folder / inside).mkdir()
            yield ident, folder

    def throw_away(self, ident: str) -> None:
        """Put a folder aside.

        Raises
        ------
        NotInLibraryError
            There is none of that name.
        DocumentError
            It cannot be moved.
        """
        if not self.place(ident).is_dir():
            raise self.not_there(ident)
        self.make()
        move_path(self.place(ident), self.folder / THROWN_AWAY / ident)

    def bring_back(self, ident: str) -> None:
        """Take back a folder that was put aside.

        Raises
        ------
        NotInLibraryError
            None of that name was.
        DocumentError
            It cannot be moved.
        """
        kept = self.folder / THROWN_AWAY / self.place(ident).name
        if not kept.is_dir():
            raise NotInLibraryError(f"There is no {self.called} {ident} that was thrown away.")
        move_path(kept, self.place(ident))

    def mend(self, *inside: str) -> None:
        """Remove what programs that were killed left half, here and in each folder, once it is old.

        Parameters
        ----------
        *inside : str
            Patterns of the folders inside that are written to, such as ``"*/versions"``.
        """
        remove_stale(self.folder)
        for pattern in ("*", *inside):
            for folder in self.folder.glob(pattern):
                remove_stale(folder)

    def not_there(self, ident: str) -> NotInLibraryError:
        """Return the error that there is none of that name."""
        return NotInLibraryError(f"There is no {self.called} {ident} in the library.")


def move_path(path: Path, to: Path) -> None:
    """Move a folder or a file to a place beside which it lies.

    Raises
    ------
    DocumentError
        It cannot be moved.
    """
    try:
        path.rename(to)
    except OSError as error:
        raise DocumentError(f"{path} could not be moved to {to.parent}: {error.strerror or error}.") from error


def path_text(path: Path) -> str:
    """Return a path as text that leads back to it when it was written down.

    Raises
    ------
    DocumentError
        It has a name in it that is no UTF-8, and so no text.
    """
    text = str(path)
    try:
        text.encode()
    except UnicodeEncodeError as error:
        shown = os.fsencode(text).decode("utf-8", "replace")
        raise DocumentError(
            f"{shown} cannot be found again: a name in it is no UTF-8, as after a move from an older system. Rename it."
        ) from error
    return text
