from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

from tests.regenerate_floor_plan import ROOT, render_floor_plan


def test_the_floor_plan_page_is_what_the_code_says() -> None:
    page = (ROOT / "docs" / "floor_plan.md").read_text(encoding="utf-8")
    assert page == render_floor_plan(), "run python -m tests.regenerate_floor_plan"


def test_every_room_has_a_line_in_words() -> None:
    plan = render_floor_plan()
    assert "`: \n" not in plan
    assert "### `theory/`" in plan


def test_inner_files_of_a_room_are_imported_by_that_room_alone() -> None:
    inner = []
    for path in sorted((ROOT / "listen").rglob("*.py")):
        room = path.relative_to(ROOT / "listen").parts[0]
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.ImportFrom) and node.module is not None:
                parts = node.module.split(".")
                is_file = (ROOT / Path(*parts)).with_suffix(".py").is_file()
                if parts[0] == "listen" and len(parts) > 2 and parts[1] != room and is_file:
                    inner.append(f"{path.relative_to(ROOT)}:{node.lineno} imports {node.module}")
    assert inner == []


def test_importing_listen_and_asking_for_help_load_no_heavy_library() -> None:
    heavy = ("librosa", "numba", "scipy.signal", "matplotlib", "av", "jinja2")
    program = (
        "import sys, listen\n"
        "from listen.__main__ import main\n"
        "sys.argv = ['listen', '--help']\n"
        "try:\n    main()\nexcept SystemExit as stop:\n    assert not stop.code, stop.code\n"
        f"print([name for name in {heavy!r} if name in sys.modules], file=sys.stderr)\n"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"
