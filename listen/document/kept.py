"""What was worked out before, kept by the content of what it was worked out from, so that it is not done again.

Conventions: an entry is a file, named by a SHA-256 in hexadecimal digits and an ending that says what it holds. A
folder holds entries up to one limit; when there is too much, what was used longest ago goes. Whatever else lies there
stays. An entry that cannot be written or read costs time, not the work.
"""

from __future__ import annotations

import hashlib
import json
import os
import re
import zlib
from contextlib import suppress
from pathlib import Path
from typing import Any

from listen.document.write import write_file
from listen.errors import DocumentError

MOST_KEPT_BYTES = 200 * 1024 * 1024  # what was heard in two minutes of strumming takes about .5 MB
MOST_BYTES = 256 * 1024 * 1024  # of JSON in one entry; an hour of strumming takes a third of it
_ENTRY = re.compile(r"[0-9a-f]{64}(\.[a-z]+)+")
_BLOCK = 1 << 20


def find_kept_folder(kind: str) -> Path:
    """Return where entries of a kind are kept: what ``LISTEN_CACHE`` names, else the system's place for such things."""
    named = os.environ.get("LISTEN_CACHE")
    if named:
        return Path(named)
    from platformdirs import user_cache_path

    return user_cache_path("listen", appauthor=False) / kind


def content_key(path: Path, how: str) -> str:
    """Return the key of what is worked out from a file: its content, and how that is done.

    Raises
    ------
    OSError
        It cannot be read.
    """
    digest = hashlib.sha256(f"{how}\n".encode())
    with path.open("rb") as stream:
        while block := stream.read(_BLOCK):
            digest.update(block)
    return digest.hexdigest()


def load_kept(folder: Path, name: str) -> bytes | None:
    """Return an entry, which counts as used now; None where it is not kept."""
    path = folder / name
    try:
        content = path.read_bytes()
        path.touch()
    except OSError:
        return None
    return content


def pack_kept(value: Any) -> bytes:
    """Return what an entry holds as bytes: JSON in zlib, whose checksum tells a damaged one (RFC 1950)."""
    return zlib.compress(json.dumps(value, separators=(",", ":"), default=float).encode(), 1)


def unpack_kept(packed: bytes) -> Any:
    """Return what an entry holds; None where it is damaged."""
    try:
        unpacker = zlib.decompressobj()
        text = unpacker.decompress(packed, MOST_BYTES)
        return json.loads(text) if unpacker.eof else None
    except (zlib.error, ValueError, RecursionError):
        return None


def save_kept(folder: Path, name: str, content: bytes) -> None:
    """Keep an entry, and let go of those that were used longest ago."""
    with suppress(OSError, DocumentError):
        folder.mkdir(parents=True, exist_ok=True)
        write_file(folder / name, content, overwrite=True)
        entries = [path for path in folder.iterdir() if _ENTRY.fullmatch(path.name) and path.name != name]
        left_bytes = MOST_KEPT_BYTES - len(content)
        for path in sorted(entries, key=lambda one: -one.stat().st_mtime_ns):
            left_bytes -= path.stat().st_size
            if left_bytes < 0:
                path.unlink(missing_ok=True)
