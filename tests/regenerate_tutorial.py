"""Run the commands of the README and the tutorial and write what they print: ``python -m tests.regenerate_tutorial``.

A block that begins with ``$ listen`` holds one command and its output. Commands run in a folder that holds the
recordings of ``audio_fixtures``, in a terminal of 80 columns without colour.
"""

from __future__ import annotations

import os
import re
import shlex
import shutil
import tempfile
from pathlib import Path

from typer.testing import CliRunner

from listen.cli import make_app

ROOT = Path(__file__).parent.parent
PAGES = (ROOT / "README.md", ROOT / "docs" / "tutorial.md")
_BLOCK = re.compile(r"```console\n\$ listen (.*)\n(?:.*\n)*?```\n")


def render_tutorial(page: str) -> str:
    """Return the page with the present output of every command in it."""
    here = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        for place in (folder, f"{folder}/audio_fixtures"):  # the tutorial goes there, the README does not
            shutil.copytree(ROOT / "audio_fixtures", place, dirs_exist_ok=True)
        os.chdir(folder)
        try:
            return _BLOCK.sub(lambda block: _run(block[1]), page)
        finally:
            os.chdir(here)


def _run(words: str) -> str:
    result = CliRunner().invoke(make_app(), shlex.split(words), env={"COLUMNS": "80"}, catch_exceptions=False)
    return f"```console\n$ listen {words}\n{result.stdout}{result.stderr}```\n"


if __name__ == "__main__":
    for path in PAGES:
        path.write_text(render_tutorial(path.read_text(encoding="utf-8")), encoding="utf-8")
