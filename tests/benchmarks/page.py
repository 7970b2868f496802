"""Run benchmarks anew and put what they print into ``docs/figures.md``: ``python -m tests.benchmarks.page``.

Each of the commands below has its place there, between two comments that name it; the day and the commit of the run go
above it. ``--only held`` runs one of them; ``--printed FILE`` takes what it printed earlier. All of them at full size
take a quarter of an hour; ``--n 20`` is quick.
"""

from __future__ import annotations

import argparse
import re
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "figures.md"
COMMANDS = ("held", "strums", "string_ceiling", "speed")
SIZED = ("held", "strums", "string_ceiling")  # which take --n


def replace_section(page: str, command: str, printed: str, *, day: str, commit: str) -> str:
    r"""Put what a command printed into its place.

    Examples
    --------
    >>> old = "    python -m tests.benchmarks.held\n\nMeasured 2026-01-01, abc.\n\n"
    >>> old += "<!-- begin held -->\nx\n<!-- end held -->"
    >>> print(replace_section(old, "held", "y", day="2026-02-02", commit="def"))
        python -m tests.benchmarks.held
    <BLANKLINE>
    Measured 2026-02-02, def.
    <BLANKLINE>
    <!-- begin held -->
    y
    <!-- end held -->
    """
    begin, end = f"<!-- begin {command} -->\n", f"\n<!-- end {command} -->"
    before, found, rest = page.partition(begin)
    if not found or end not in rest:
        raise SystemExit(f"{PAGE.name} has no place for {command}.")
    head, command_line, text = before.rpartition(f"tests.benchmarks.{command}")
    text = re.sub(r"(?m)^Measured .*$", f"Measured {day}, {commit}.", text, count=1)
    return head + command_line + text + begin + printed.strip() + rest[rest.index(end) :]


def _run(*words: str) -> str:
    return subprocess.run(words, check=True, capture_output=True, text=True, cwd=ROOT).stdout.strip()


def main() -> None:
    """Run what was asked for, and write the page."""
    parser = argparse.ArgumentParser(description="Measure again what docs/figures.md says.")
    parser.add_argument("--only", choices=COMMANDS, help="run this command alone")
    parser.add_argument("--n", type=int, help="cases a row")
    parser.add_argument("--printed", type=Path, help="with --only: what the command printed earlier")
    given = parser.parse_args()
    if given.printed and not given.only:
        parser.error("--printed is of one command; name it with --only.")
    day, commit = datetime.now(UTC).date().isoformat(), _run("git", "rev-parse", "--short", "HEAD")
    for command in [given.only] if given.only else COMMANDS:
        size = ["--n", str(given.n)] if given.n and command in SIZED else []
        kept = given.printed.read_text("utf-8") if given.printed else None
        printed = kept or _run(sys.executable, "-m", f"tests.benchmarks.{command}", *size)
        page = replace_section(PAGE.read_text("utf-8"), command, printed, day=day, commit=commit)
        PAGE.write_text(page, "utf-8")


if __name__ == "__main__":
    main()
