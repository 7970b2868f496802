"""What each process that works for the page begins with: a limit of its memory, and news as lines of JSON."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from typing import Any

MOST_MEMORY_BYTES = 3 << 30
"""Of address space, of which libraries reserve a gigabyte; an hour of recording needs .3 GB of memory."""


def limit_memory() -> None:
    """Use so much memory and no more: this process, and those that it starts."""
    try:
        import resource
    except ImportError:  # not on Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY_BYTES, MOST_MEMORY_BYTES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def open_news() -> Callable[[dict[str, Any]], None]:
    """Return what writes a message on standard output, where nothing else goes from now on."""
    news = os.fdopen(os.dup(1), "w", encoding="utf-8")
    os.dup2(2, 1)  # whatever a library prints is no news

    def tell(message: dict[str, Any]) -> None:
        news.write(json.dumps(message) + "\n")
        news.flush()

    return tell
