"""Children out of a warm process: it has imported what they need, and forks one for each request, in milliseconds.

The decoder's child is what a cold start makes, limits and all; only its imports were done before. One in
:data:`COLD_ONE_IN` is started cold all the same, so that the program's own way of starting it is tried too.
"""

from __future__ import annotations

import importlib.util
import json
import os
import signal
import socket
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import IO, BinaryIO

COLD_ONE_IN = 40
DECODER = Path(__file__).parents[2] / "listen" / "audio" / "decode_child.py"
_largest_kb, _spent_s, _started = [0], [0.0], [0]
_servers: list[tuple[subprocess.Popen[bytes], socket.socket]] = []


@dataclass(frozen=True, slots=True)
class WarmChild:
    """A child, with as much of ``subprocess.Popen`` as is asked of it."""

    pid: int
    stdout: IO[bytes]
    server: socket.socket

    def kill(self) -> None:
        """End it at once."""
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)

    def wait(self) -> int:
        """Wait for its end; what it took is added up."""
        self.server.send(json.dumps({"wait": self.pid}).encode())
        status, cpu_s, memory_kb = json.loads(self.server.recv(1 << 12))
        _spent_s[0] += cpu_s
        _largest_kb[0] = max(_largest_kb[0], memory_kb)
        return int(status)


def start_warm(what: str, argument: str, stdin: IO[bytes] | None = None) -> WarmChild:
    """Start a child: ``"decoder"`` (its request, the file) or ``"writer"`` (a path)."""
    server = _open_server(what)
    read_end, write_end = os.pipe()
    given = stdin.fileno() if stdin is not None else os.open(os.devnull, os.O_RDONLY)
    socket.send_fds(server, [json.dumps({"start": argument}).encode()], [given, write_end])
    os.close(write_end)
    if stdin is None:
        os.close(given)
    pid = int(server.recv(64))
    return WarmChild(pid, os.fdopen(read_end, "rb"), server)


def use_warm_decoders() -> None:
    """Let the program take its decoders from here."""
    from listen.audio import compressed

    start_cold: Callable[[str, BinaryIO], subprocess.Popen[bytes]] = compressed._start_child

    def start(asked: str, file: BinaryIO) -> subprocess.Popen[bytes] | WarmChild:
        _started[0] += 1
        return start_warm("decoder", asked, file) if _started[0] % COLD_ONE_IN else start_cold(asked, file)

    setattr(compressed, "_start_child", start)  # noqa: B010  (mypy lets no function be replaced otherwise)


def close_servers() -> None:
    """End the warm processes."""
    for process, ours in _servers:
        ours.close()
        process.wait()
    _servers.clear()


def spent_by_warm_children() -> tuple[float, float]:
    """Return the seconds of CPU that they took together, and the megabytes of the largest."""
    return _spent_s[0], _largest_kb[0] / 1024


@cache
def _open_server(what: str) -> socket.socket:
    ours, theirs = socket.socketpair(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    root = Path(__file__).parents[2]
    command = [sys.executable, "-m", "tests.fuzz.warm", what, str(theirs.fileno())]
    _servers.append((subprocess.Popen(command, pass_fds=[theirs.fileno()], cwd=root), ours))
    theirs.close()
    return ours


# --- the warm process


def _serve(what: str, server: socket.socket) -> None:
    """Fork a child at each request until nobody asks any more."""
    run = {"decoder": _prepare_decoder, "writer": _prepare_writer}[what]()
    while True:
        message, handles, _, _ = socket.recv_fds(server, 1 << 16, 2)
        if not message:
            return
        asked = json.loads(message)
        if "wait" in asked:
            _, status, usage = os.wait4(asked["wait"], 0)
            spent = [os.waitstatus_to_exitcode(status), usage.ru_utime + usage.ru_stime, usage.ru_maxrss]
            server.send(json.dumps(spent).encode())
            continue
        pid = os.fork()
        if pid == 0:
            server.close()
            for handle, number in zip(handles, (0, 1), strict=True):
                os.dup2(handle, number)
                os.close(handle)
            try:
                run(asked["start"])
                sys.stdout.flush()
            finally:
                os._exit(0)
        for handle in handles:
            os.close(handle)
        server.send(str(pid).encode())


def _prepare_decoder() -> Callable[[str], None]:
    import av

    spec = importlib.util.spec_from_file_location("decode_child", DECODER)  # by its file: it must not bring the room in
    assert spec is not None
    assert spec.loader is not None
    decode_child = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(decode_child)
    av.AudioResampler(format="flt")  # what the first decoding would import

    def run(asked: str) -> None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 2)
        sys.argv = ["decode_child", asked]
        decode_child.main()

    return run


def _prepare_writer() -> Callable[[str], None]:
    from tests.fuzz.kills import write_for_ever

    return write_for_ever


if __name__ == "__main__":
    _serve(sys.argv[1], socket.socket(fileno=int(sys.argv[2])))
