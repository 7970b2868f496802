"""The terminal: what it can show, where errors go, and how far a long job has come."""

from __future__ import annotations

import os
import shutil
import sys
import traceback
from collections.abc import Iterable, Iterator
from contextlib import contextmanager, suppress
from pathlib import PurePath
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from listen.errors import ListenError
    from listen.export import TextStyle

LEAST_WIDTH, MOST_WIDTH = 40, 120  # below, no box fits; above, lines are too long to read


def find_style(*, ascii_only: bool = False, in_words: bool = False) -> TextStyle:
    """Find out what standard output can show.

    Parameters
    ----------
    ascii_only : bool
        Whether the user asked for plain letters only.
    in_words : bool
        Whether the user asked for words in place of pictures.

    Returns
    -------
    TextStyle
        Without colour where output goes to a file or a pipe, ``NO_COLOR`` is set, or the terminal is dumb.
    """
    from listen.export import TextStyle

    is_terminal = sys.stdout.isatty()
    color = is_terminal and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    unicode = not ascii_only and "utf" in (getattr(sys.stdout, "encoding", None) or "ascii").lower()
    width = shutil.get_terminal_size((80, 24)).columns if is_terminal or "COLUMNS" in os.environ else 80
    width = max(LEAST_WIDTH, min(width, MOST_WIDTH))
    return TextStyle(unicode=unicode, color=color, width=width, pictures=not in_words)


def print_lines(lines: Iterable[str]) -> None:
    """Print lines on standard output."""
    print_pieces(["".join(f"{line}\n" for line in lines)])


def print_pieces(pieces: Iterable[str]) -> None:
    """Print text on standard output as it comes.

    Raises
    ------
    DocumentError
        It cannot be written: the disk that it goes to is full. A reader that has seen enough (``| head``) is no error
        of the user's; the command ends without a word.
    """
    from listen.errors import DocumentError

    try:
        for piece in pieces:
            sys.stdout.write(piece)
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as error:
        discard_output()
        raise DocumentError(f"The output could not be written: {error.strerror or error}.") from error


def discard_output() -> None:
    """Let what is still to be written to standard output go nowhere, so that the program's end does not fail on it."""
    with suppress(OSError, ValueError):  # where it is no real file
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def print_error(sentence: str) -> None:
    """Print one line on standard error, whatever the sentence holds."""
    print_note(f"listen: {sentence}")


def bug_sentence(error: Exception) -> ListenError:
    """Return what is said of a mistake in this program, for a file after which others are still to be read."""
    from listen.errors import ListenError

    frames = traceback.extract_tb(error.__traceback__)
    where = f" at {PurePath(frames[-1].filename).name}:{frames[-1].lineno}" if frames else ""
    return ListenError(
        f"it could not be read because of a mistake in this program ({type(error).__name__}{where}); please report it."
    )


def print_note(sentence: str) -> None:
    """Say something beside the result: one line on standard error."""
    from listen.export import TextStyle

    shown = TextStyle(unicode="utf" in (getattr(sys.stderr, "encoding", None) or "ascii").lower()).plain(
        " ".join(sentence.split())
    )
    with suppress(OSError):  # where the disk that it goes to is full there is nobody to tell
        print(shown, file=sys.stderr, flush=True)


@contextmanager
def show_progress(place: int, total: int, name: str) -> Iterator[None]:
    """Say on stderr which of many files is being read, while it is being read; on a terminal only."""
    if total < 2 or not sys.stderr.isatty():
        yield
        return
    from listen.export import TextStyle

    line = TextStyle().plain(f"reading {place} of {total}: {name}")[: LEAST_WIDTH - 1]
    write_progress(line)
    try:
        yield
    finally:
        clear_progress()


def write_progress(line: str) -> None:
    """Say on the terminal's last line how far it has come, in place of what was said there."""
    sys.stderr.write(f"\r{line}\x1b[K")
    sys.stderr.flush()


def clear_progress() -> None:
    """Clear the line that showed how far it has come."""
    if sys.stderr.isatty():
        write_progress("")
