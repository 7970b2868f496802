"""Text that a person wrote into a file: read only where it is an ordinary file of a bounded size."""

from __future__ import annotations

import re
import stat
from pathlib import Path

from listen.errors import DocumentError

_ENDLESS = re.compile(r"\b0[xob][0-9A-Fa-f_]{40}")
"""Python reads such a number whatever its length, and cannot write it in decimals."""


def read_text_file(path: Path, *, called: str, most_bytes: int) -> str:
    """Read a text file, UTF-8 with or without a byte order mark.

    Parameters
    ----------
    path : Path
    called : str
        What it should be, for the error: ``"a chart"``.
    most_bytes : int

    Raises
    ------
    DocumentError
        It is missing, no ordinary file (a pipe would be waited for, a device has no end), too large, or no text.
    """
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise DocumentError(f"{path} is no ordinary file, so it is not {called}.")
        if status.st_size > most_bytes:
            raise DocumentError(f"{path} is too large for {called}: {most_bytes} bytes are the most.")
        return path.read_text("utf-8-sig")
    except FileNotFoundError as error:
        raise DocumentError(f"{path} is not there; check the name.") from error
    except OSError as error:
        raise DocumentError(f"{path} could not be read: {error.strerror or error}.") from error
    except UnicodeDecodeError as error:
        raise DocumentError(f"{path} is no text, so it is not {called}: write it anew as UTF-8.") from error
    except ValueError as error:  # a name with a zero byte
        raise DocumentError(f"{str(path)!r} is no name of a file.") from error


def parse_toml(text: str, path: Path, *, called: str, such_as: str) -> dict[str, object]:
    """Parse a table in TOML.

    Parameters
    ----------
    text : str
    path : Path
        Where it stood, for the error.
    called : str
        What it should be.
    such_as : str
        A line of one, for the remedy.

    Raises
    ------
    DocumentError
        It is no TOML, nested without end, or holds a number without end.
    """
    import tomllib

    if _ENDLESS.search(text):
        raise DocumentError(f"{path} holds a number that is far too long; undo the edit.")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise DocumentError(f"{path} is not {called}: its brackets are nested too deeply.") from error
    except ValueError as error:  # TOMLDecodeError, and Python reads no whole number of over 4300 digits
        raise DocumentError(
            f"{path} is no TOML, so it is not {called}: {str(error).rstrip('.')}. Write lines such as {such_as}."
        ) from error
