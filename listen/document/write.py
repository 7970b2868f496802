"""Writing files: whole or not at all, and never over somebody's work without being told to.

The bytes go to a temporary file beside the target, are flushed to the disk, and take the target's name in one step
(``os.replace`` is atomic on one file system: POSIX.1-2017 *rename*; Windows ``MoveFileEx``), so that a crash, a full
disk or a second reader never meets half a file. The folder is flushed after that, so that the new name outlasts a loss
of power. A temporary file that a killed program left behind is removed by the next one that writes to its folder.

Only ordinary files are replaced: a device, a pipe, a socket or a file that was made read-only never is.
"""

from __future__ import annotations

import os
import re
import shutil
import stat
import tempfile
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import BinaryIO

from listen.errors import DocumentError

STALE_S = 3600.0
"""A temporary file or folder that nobody has written to for an hour belongs to a program that is no more."""
_TEMPORARY = re.compile(r"\..{1,40}\.listen-[a-z0-9_]{8}\.tmp")


def write_file(path: Path | str, content: str | bytes | Iterable[str | bytes], *, overwrite: bool = False) -> Path:
    """Write a file atomically.

    Parameters
    ----------
    path : Path or str
    content : str, bytes or iterable of them
        Text is written as UTF-8, a ? for half of a sign (a file name need be no text); long text may come in pieces.
    overwrite : bool
        Whether a file that is there may be replaced.

    Returns
    -------
    Path
        Where it was written.

    Raises
    ------
    DocumentError
        The file is there already, the folder is missing, or it cannot be written.
    """
    pieces = (content,) if isinstance(content, str | bytes) else content
    with open_whole(path, overwrite=overwrite) as stream:
        for piece in pieces:
            stream.write(piece if isinstance(piece, bytes) else piece.encode("utf-8", "replace"))
    return Path(os.path.realpath(path))


@contextmanager
def open_whole(path: Path | str, *, overwrite: bool = False) -> Iterator[BinaryIO]:
    """Open a file to be written piece by piece: it is there, whole, once the block ends; nothing is where that fails.

    Raises
    ------
    DocumentError
        See :func:`write_file`; an OSError of the block is told as one of writing.
    """
    check_writable(path, overwrite=overwrite)
    path = Path(os.path.realpath(path))  # a link stays a link; what it points to is written
    temporary = None
    try:
        mode = path.stat().st_mode & 0o777 if path.exists() else 0o666 & ~_umask()
        remove_stale(path.parent)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.listen-", suffix=".tmp")
        with os.fdopen(handle, "wb") as stream:
            yield stream
            stream.flush()
            os.fsync(stream.fileno())
        Path(temporary).chmod(mode)
        if overwrite:
            Path(temporary).replace(path)
        else:
            _publish_new(Path(temporary), path)
        _flush_folder(path.parent)
    except OSError as error:
        raise DocumentError(f"{path} could not be written: {error.strerror or error}.") from error
    finally:
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)


def copy_file(source: Path, path: Path, *, overwrite: bool = False) -> None:
    """Copy a file atomically.

    Raises
    ------
    DocumentError
        It cannot be read; or see :func:`write_file`.
    """
    try:
        read = source.open("rb")
    except OSError as error:
        raise DocumentError(f"{source} could not be read: {error.strerror or error}.") from error
    with read, open_whole(path, overwrite=overwrite) as stream:
        shutil.copyfileobj(read, stream)


def make_folder(path: Path, *, option: str) -> None:
    """Make a folder for what a person wants to have in it, unless it is there.

    Parameters
    ----------
    path : Path
    option : str
        That names another one.

    Raises
    ------
    DocumentError
        It cannot be made, or a file has its name.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        is_taken = isinstance(error, FileExistsError | NotADirectoryError)
        why = "a file stands in its place" if is_taken else f"nothing can be made there ({error.strerror or error})"
        raise DocumentError(
            f"The folder {path} cannot be made: {why}. Give a folder of your own with {option}."
        ) from error


@contextmanager
def make_whole_folder(path: Path) -> Iterator[Path]:
    """Make a folder in another one: filled where the block is told, it is there, whole, once the block ends.

    Raises
    ------
    DocumentError
        It is there already, or cannot be made; nothing is left of it.
    """
    temporary = None
    try:
        remove_stale(path.parent)
        temporary = Path(tempfile.mkdtemp(dir=path.parent, prefix=f".{path.name[:40]}.listen-", suffix=".tmp"))
        temporary.chmod(0o777 & ~_umask())
        yield temporary
        temporary.rename(path)
        _flush_folder(path.parent)
    except OSError as error:
        raise DocumentError(f"{path} could not be made: {error.strerror or error}.") from error
    finally:
        if temporary is not None:
            shutil.rmtree(temporary, ignore_errors=True)


def check_writable(path: Path | str, *, overwrite: bool = False) -> None:
    """Say early, before long work, that a file could not be written.

    Raises
    ------
    DocumentError
        The file is there already, is a folder, or has no folder to go to that may be written to.
    """
    path = Path(path)
    try:
        is_folder = path.is_dir()
    except OSError as error:  # a name that is too long
        raise DocumentError(f"{path} cannot be written: {error.strerror or error}.") from error
    if is_folder:
        raise DocumentError(f"{path} is a folder; give the name of a file in it.")
    if path.exists() and not path.is_file():
        raise DocumentError(f"{path} is a device or a pipe and no ordinary file; give another name.")
    if Path(os.path.realpath(path)).is_symlink():
        raise DocumentError(f"{path} is a link that leads to itself; give another name.")
    if not path.parent.is_dir():
        raise DocumentError(f"The folder {path.parent} does not exist; make it first, or write elsewhere.")
    if not os.access(path.parent, os.W_OK):
        raise DocumentError(f"The folder {path.parent} may not be written to; choose another one.")
    if path.exists() and not overwrite:
        raise DocumentError(f"{path} is there already; give --overwrite to replace it, or another name.")
    if path.exists() and not path.stat().st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH):
        raise DocumentError(f"{path} is read-only and was left as it is; make it writable first, or give another name.")


@contextmanager
def hold_lock(path: Path) -> Iterator[None]:
    """Keep other programs of this kind from a file between reading and writing it.

    The lock is on a file beside it, ``.NAME.lock``, and ends with the program, however it ends. A system or a folder
    that has no locks gets none.

    Raises
    ------
    DocumentError
        The folder cannot be written to.
    """
    try:
        import fcntl
    except ImportError:  # Windows
        yield
        return
    try:
        handle = os.open(path.with_name(f".{path.name}.lock"), os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
    except OSError as error:
        raise DocumentError(f"{path} could not be written: {error.strerror or error}.") from error
    try:
        with suppress(OSError):  # a file system of another machine may have none
            fcntl.flock(handle, fcntl.LOCK_EX)
        yield
    finally:
        os.close(handle)


def remove_stale(folder: Path) -> None:
    """Remove temporary files and folders that a killed program left in a folder."""
    with suppress(OSError), os.scandir(folder) as entries:  # a folder that cannot be listed
        left = [one for one in entries if _TEMPORARY.fullmatch(one.name) and not one.is_symlink()]
        for one in left:
            with suppress(OSError):  # somebody else was quicker
                if time.time() - _last_written_s(Path(one.path)) <= STALE_S:
                    continue
                if one.is_dir():
                    shutil.rmtree(one.path)
                else:
                    Path(one.path).unlink()


def _last_written_s(path: Path) -> float:
    """Return when a file, or a folder or a file in it, was written last."""
    inside = list(path.iterdir()) if path.is_dir() else []
    return max(one.stat().st_mtime for one in (path, *inside))


def _flush_folder(folder: Path) -> None:
    """Flush a folder's list of names to the disk, where the system can."""
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _publish_new(temporary: Path, path: Path) -> None:
    """Give the file its name unless somebody took the name meanwhile (a hard link never replaces)."""
    try:
        path.hardlink_to(temporary)
    except FileExistsError as error:
        raise DocumentError(f"{path} was made by somebody else just now and was left as it is.") from error
    except OSError:  # a file system without hard links, e.g. FAT
        temporary.replace(path)


def _umask() -> int:
    current = os.umask(0)
    os.umask(current)
    return current
