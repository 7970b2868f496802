from __future__ import annotations

import subprocess
import sys

from tests.regenerate_floor_plan import ROOT, render_floor_plan


def test_the_floor_plan_page_is_what_the_code_says() -> None:
    page = (ROOT / "docs" / "floor_plan.md").read_text(encoding="utf-8")
    assert page == render_floor_plan(), "run python -m tests.regenerate_floor_plan"


def test_every_room_has_a_line_in_words() -> None:
    plan = render_floor_plan()
    assert "`: \n" not in plan
    assert "### `theory/`" in plan


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
