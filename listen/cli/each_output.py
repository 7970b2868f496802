"""Files that one command writes, each for itself: one that fails is one line, and takes no other with it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from listen.cli.console import bug_sentence, print_error, print_note
from listen.errors import ListenError


def write_each(path: Path, write: Callable[[], object], *, tells: bool = True) -> bool:
    """Write one file of several.

    Parameters
    ----------
    path : Path
    write : callable
        Renders and writes it.
    tells : bool
        Whether a line says that it was written.

    Returns
    -------
    bool
        Whether it was written; else a line said why not.
    """
    try:
        write()
    except (ListenError, OSError, MemoryError) as error:
        reason = str(error) or "there is not enough memory"
        print_error(reason if str(path) in reason else f"{path} was not written: {reason}")
        return False
    except Exception as error:  # (a bug of ours in one form must not lose the others)
        print_error(f"{path} was not written: {bug_sentence(error)}")
        return False
    if tells:
        print_note(f"{path} was written.")
    return True
