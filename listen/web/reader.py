"""The page's side of the reading process: one recording at a time, watched, and stopped when it takes too long."""

from __future__ import annotations

import contextlib
import json
import os
import queue
import select
import subprocess
import threading
import time

from listen.request import Library
from listen.web.child import CLOSE_S, Publish, close_pipes, end_child, start_child

PATIENCE_S, PATIENCE_PER_S = 90.0, 3.0  # judged: on two busy cores a recording takes a tenth to a half of its length
IDLE_S = 120.0  # then the process ends, and its memory is free
TOO_LONG = "Reading took too long and was ended; the recording may be damaged."
BROKE = "Reading ended without a word; the recording may be damaged or need too much memory."


class Reader:
    """Reads recordings one after another in a process of its own.

    Parameters
    ----------
    library : Library
    publish : callable
        Called from the reader's thread with every piece of news.
    """

    def __init__(self, library: Library, publish: Publish) -> None:
        self._library, self._publish = library, publish
        self._jobs: queue.Queue[str | None] = queue.Queue()
        self._stopped: set[str] = set()
        self._process: subprocess.Popen[bytes] | None = None
        self._buffer = b""
        self._closing = False
        self._thread = threading.Thread(target=self._work, daemon=True)
        self._thread.start()

    def read(self, ident: str) -> None:
        """Put a take in the row."""
        self._stopped.discard(ident)
        self._jobs.put(ident)

    def warm_up(self) -> None:
        """Have the process ready, since a recording may come."""
        if self._jobs.empty():
            self._jobs.put("")

    def stop(self, ident: str) -> None:
        """Stop reading a take, or take it out of the row."""
        self._stopped.add(ident)

    def close(self) -> None:
        """End the thread, and the process with it."""
        self._closing = True
        self._jobs.put(None)
        self._thread.join(CLOSE_S)

    def _work(self) -> None:
        while True:
            try:
                ident = self._jobs.get(timeout=IDLE_S)
            except queue.Empty:
                self._end_process()
                continue
            if ident is None or self._closing:
                self._end_process()
                return
            try:
                if ident in self._stopped:
                    self._finish(ident, "stopped", "")
                    continue
                process = self._ensure_process()
                if ident:
                    self._read_one(process, ident)
            except OSError:
                self._finish(ident, "failed", BROKE)

    def _read_one(self, process: subprocess.Popen[bytes], ident: str) -> None:
        assert process.stdin is not None  # noqa: S101
        process.stdin.write(json.dumps({"take": ident}).encode() + b"\n")
        process.stdin.flush()
        until = time.monotonic() + PATIENCE_S
        while True:
            if self._closing:
                return  # it is read again when the page is opened the next time
            if ident in self._stopped:
                self._finish(ident, "stopped", "")
                return
            if time.monotonic() > until:
                self._finish(ident, "failed", TOO_LONG)
                return
            line = self._next_line(0.1)
            if line is None:
                continue
            if not line:
                self._finish(ident, "failed", BROKE)
                return
            news = json.loads(line)
            if "duration_s" in news:
                until = time.monotonic() + PATIENCE_S + PATIENCE_PER_S * news["duration_s"]
            self._publish(news)
            if "state" in news:
                return

    def _finish(self, ident: str, state: str, message: str) -> None:
        """End what is going on, and say so."""
        self._end_process()
        if not ident:
            return
        with contextlib.suppress(Exception):  # it may have been thrown away meanwhile
            self._library.note(ident, state=state, message=message)
        self._publish({"take": ident, "state": state, "message": message})

    def _ensure_process(self) -> subprocess.Popen[bytes]:
        if self._process is not None and self._process.poll() is None:
            return self._process
        self._buffer = b""
        self._process = start_child("listen.web.reading", str(self._library.folder))
        while (line := self._next_line(0.2)) is None:
            if self._closing:
                break
        if not line:
            raise OSError("the reading process did not start")
        return self._process

    def _next_line(self, timeout_s: float) -> bytes | None:
        """Return the next line; None where none came, empty where the process ended."""
        process = self._process
        if process is None or process.stdout is None:
            return b""
        while b"\n" not in self._buffer:
            ready, _, _ = select.select([process.stdout], [], [], timeout_s)
            if not ready:
                return None if process.poll() is None else b""
            piece = os.read(process.stdout.fileno(), 65536)
            if not piece:
                return b""
            self._buffer += piece
        line, _, self._buffer = self._buffer.partition(b"\n")
        return line

    def _end_process(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        end_child(process)
        close_pipes(process)
