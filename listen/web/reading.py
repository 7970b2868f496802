"""The process that decodes strangers' files: jobs come as lines of JSON on its input, news go out as lines.

It may use so much memory and no more, writes only into the take's folder, and is ended by the page when it takes too
long; a file that brings it down brings down nothing else. Started as ``python -m listen.web.reading FOLDER``.
"""

from __future__ import annotations

import contextlib
import json
import sys
from pathlib import Path
from typing import Any

from listen.errors import ListenError
from listen.web.worker import limit_memory, open_news

FAILED = "This recording could not be read; it may be damaged."


def main() -> None:
    """Read jobs until there are no more."""
    limit_memory()
    news = open_news()
    from listen.request import Library, bring_in

    library = Library(Path(sys.argv[1]))
    _warm_up()
    news({"ready": True})
    for line in sys.stdin:
        ident = json.loads(line)["take"]

        def tell(message: dict[str, Any], ident: str = ident) -> None:
            news({"take": ident, **message})

        place, called = "", ""
        try:
            take = library.take(ident)
            place, called = str(library.recording_of(take) or ""), take.name
            bring_in(library, take, tell)
            state, message = "read", ""
        except ListenError as error:  # named as it came: nobody knows what it is called in the library
            state, message = "failed", str(error).replace(place, called) if place else str(error)
        except MemoryError:
            state, message = "failed", "This recording needs more memory than it may have."
        except Exception as error:
            print(repr(error), file=sys.stderr)
            state, message = "failed", FAILED
        if state == "failed":
            with contextlib.suppress(ListenError):  # it may have been thrown away meanwhile
                library.note(ident, state="failed", message=message)
        tell({"state": state, "message": message})


def _warm_up() -> None:
    """Load what the first recording would else wait for."""
    from listen.audio import load_ear
    from listen.instrument import Fretboard
    from listen.theory import parse_chord
    from listen.transcription import PartSettings  # noqa: F401
    from listen.voicing import find_shapes

    load_ear("trained")
    find_shapes(parse_chord("C"), fretboard=Fretboard())


if __name__ == "__main__":
    main()
