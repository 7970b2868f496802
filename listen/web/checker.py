"""The page's side of the process that hears homework: one run for each homework, watched, stopped on request."""

from __future__ import annotations

import contextlib
import json
import subprocess
import threading

from listen.errors import ListenError, RecordingError
from listen.request import HomeworkShelf, Library
from listen.web.child import CLOSE_S, News, Publish, close_pipes, end_child, start_child

SOUND_S = 120.0  # an hour's recording is decoded in a quarter of that
BROKE = "Checking ended without a word; a recording may be damaged or need too much memory."


class Checker:
    """Checks homework in processes of their own.

    Parameters
    ----------
    library : Library
    homework : HomeworkShelf
        On which what was checked is noted.
    publish : callable
        Called from the checker's threads with every piece of news.
    """

    def __init__(self, library: Library, homework: HomeworkShelf, publish: Publish) -> None:
        self._library, self._homework, self._publish = library, homework, publish
        self._running: dict[str, subprocess.Popen[bytes]] = {}
        self._threads: dict[str, threading.Thread] = {}
        self._far: dict[str, News] = {}
        self._lock = threading.Lock()

    def start(self, ident: str) -> None:
        """Check some homework, unless that is going on."""
        with self._lock:
            if ident in self._running:
                return
            process = self._begin(ident)
            self._running[ident] = process
            self._far[ident] = {"done": 0, "of": 0}
            self._threads[ident] = threading.Thread(target=self._watch, args=(ident, process), daemon=True)
            self._threads[ident].start()

    def stop(self, ident: str) -> None:
        """Stop; what was heard is kept."""
        with self._lock:
            process, thread = self._running.get(ident), self._threads.get(ident)
        if process is not None and thread is not None:
            end_child(process)
            thread.join(CLOSE_S)  # whoever starts it again right away must not meet the end of this run

    def how_far(self, ident: str) -> News | None:
        """Return how far a run is; None where there is none."""
        with self._lock:
            return self._far.get(ident) if ident in self._running else None

    def make_sound(self, ident: str, student: str) -> None:
        """Make the sound of a student's recording ready.

        Raises
        ------
        RecordingError
            It cannot be read.
        """
        process = self._begin(ident, student)
        try:
            told, _ = process.communicate(timeout=SOUND_S)
        except subprocess.TimeoutExpired:
            end_child(process)
            process.communicate()
            raise RecordingError("This recording takes too long to read; it may be damaged.") from None
        lines = told.splitlines()
        ended = json.loads(lines[-1]).get("ended", BROKE) if lines else BROKE
        if ended:
            raise RecordingError(ended)

    def close(self) -> None:
        """End everything."""
        with self._lock:
            running = list(self._running.values())
        for process in running:
            end_child(process)

    def _begin(self, *words: str) -> subprocess.Popen[bytes]:
        return start_child("listen.web.checking", str(self._library.folder), *words)

    def _keep(self, ident: str, stamp: str) -> None:
        """Note what was checked, where all of it was."""
        if stamp:
            with contextlib.suppress(ListenError):  # it may have been thrown away meanwhile
                self._homework.keep(ident, stamp)

    def _watch(self, ident: str, process: subprocess.Popen[bytes]) -> None:
        assert process.stdout is not None  # noqa: S101
        ended = None
        for line in process.stdout:
            news = json.loads(line)
            if "ended" in news:
                ended = news["ended"]
                self._keep(ident, news.get("checked", ""))
                break
            with self._lock:
                self._far[ident] = news
            self._publish({"homework": ident, **news})
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(CLOSE_S)
        end_child(process)
        close_pipes(process)
        with self._lock:
            self._running.pop(ident, None)
        stopped = process.returncode is not None and process.returncode < 0 and ended is None
        message = "" if stopped else BROKE if ended is None else ended
        self._publish({"homework": ident, "ended": True, "message": message, "stopped": stopped})
