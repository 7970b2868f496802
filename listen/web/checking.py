"""The process that hears homework: one for each run, ended when the page says so; what is heard is kept as it comes.

Started as ``python -m listen.web.checking FOLDER IDENT`` to check a class, with a student's name after it to make that
student's sound ready. News go out as lines of JSON.
"""

from __future__ import annotations

import contextlib
import os
import sys
from pathlib import Path

from listen.errors import ListenError
from listen.web.worker import limit_memory, open_news

POLITE = 5  # the page answers first


def main() -> None:
    """Do one piece of work, and say how it ended."""
    limit_memory()
    with contextlib.suppress(OSError, AttributeError):
        os.nice(POLITE)
    tell = open_news()
    from listen.request import Library, check_homework, make_sound

    library, ident = Library(Path(sys.argv[1])), sys.argv[2]
    try:
        stamp = ""
        if len(sys.argv) > 3:
            make_sound(library, ident, sys.argv[3])
        else:
            stamp = check_homework(library, ident, tell)
        tell({"ended": "", "checked": stamp})
    except ListenError as error:
        tell({"ended": str(error)})
    except OSError as error:
        tell({"ended": f"{error.filename or 'A file'} could not be read or written: {error.strerror or error}."})


if __name__ == "__main__":
    main()
