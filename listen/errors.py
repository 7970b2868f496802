"""What goes wrong on the user's side, in sentences that say how to put it right.

Every error of this program that a user can cause is a :class:`ListenError`. Its text is one sentence (or two) that
gives the name and the value, what is allowed, the likely mistake and the remedy. The command line prints it on one
line of stderr and exits with status 2; a traceback means a bug of ours.
"""

from __future__ import annotations

import sys
from pathlib import PurePath

PIP = r".venv\Scripts\pip" if sys.platform == "win32" else ".venv/bin/pip"
MOST_SHOWN = 60  # letters of what was given

READABLE = "WAV, AIFF, FLAC, OGG, Opus, MP3, M4A, AAC, MP4, MOV, 3GP, WebM or MKV"
"""What recordings may be: the one list that the help, the page and every refusal give."""


class ListenError(Exception):
    """Something that the user can put right; its text is printed as it stands."""


class BadValueError(ListenError, ValueError):
    """A value given by the user is outside what is allowed."""


class RecordingError(ListenError):
    """A recording cannot be read, or holds nothing that can be listened to."""


class DocumentError(ListenError):
    """A document (part, profile, settings) cannot be read or must not be written."""


def bad_value(name: str, value: object, *, allowed: str, remedy: str = "") -> BadValueError:
    """Make the error for a value outside its range, in the house's one form.

    Parameters
    ----------
    name : str
        What the user called the thing, e.g. ``"capo"``.
    value : object
        What was given; shortened when it is long, unless it is a path.
    allowed : str
        What would have been right, e.g. ``"a fret from 0 to 11"``.
    remedy : str
        What to do about it, as a sentence; may be empty.

    Examples
    --------
    >>> raise bad_value("capo", 30, allowed="a fret from 0 to 11", remedy="Count frets from the nut.")
    Traceback (most recent call last):
    listen.errors.BadValueError: capo=30 is not possible: it takes a fret from 0 to 11. Count frets from the nut.
    """
    shown = str(value) if isinstance(value, PurePath) else shorten(str(value))
    text = f"{name}={shown} is not possible: it takes {allowed}."
    return BadValueError(f"{text} {remedy}".strip())


def shorten(text: str) -> str:
    """Shorten what was typed, where it is long, to what a sentence can hold.

    Examples
    --------
    >>> shorten("x32010"), len(shorten("-" * 400))
    ('x32010', 60)
    """
    return text if len(text) <= MOST_SHOWN else f"{text[: MOST_SHOWN - 3]}..."


def install_text(extra: str) -> str:
    """Say how an optional extra is installed: from the program's own folder, since a registry may know another program.

    Examples
    --------
    >>> install_text("page")
    'in the folder that the program came in, type  .venv/bin/pip install ".[page]"'
    """
    return f'in the folder that the program came in, type  {PIP} install ".[{extra}]"'
