"""The command line: one command a file."""

from __future__ import annotations


def run() -> None:
    """Run the command line."""
    raise SystemExit("not built yet")
