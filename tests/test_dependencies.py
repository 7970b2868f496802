"""What the tests import is declared, and what is declared for them is imported (deptry does the same for `listen`)."""

from __future__ import annotations

import ast
import re
import sys
import tomllib

from tests.regenerate_floor_plan import ROOT

USED_OTHERWISE = {
    "fastapi",  # these four serve the page that the tests of the page look at
    "pydantic",
    "starlette",
    "uvicorn",
    "httpx2",  # behind starlette's client
    "pytest_xdist",  # runs the tests on all cores: the README's command
}


def _declared(*extras: str) -> set[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    rows = list(project["dependencies"])
    for extra in extras:
        rows += project["optional-dependencies"][extra]
    return {re.split(r"[<>=\[;~! ]", row)[0].replace("-", "_").lower() for row in rows}


def _imported() -> set[str]:
    found = set()
    for path in (ROOT / "tests").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                found |= {alias.name.split(".")[0] for alias in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                found.add(node.module.split(".")[0])
    # the last two are of the experiment that one command reads weights from
    return {name.lower() for name in found - set(sys.stdlib_module_names) - {"listen", "tests", "frontend", "infer_np"}}


def test_every_import_of_the_tests_is_declared() -> None:
    every = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["optional-dependencies"]
    assert _imported() - _declared(*every) == set()


def test_everything_that_is_declared_for_the_tests_is_imported() -> None:
    assert _declared("test") - _declared() - _imported() - USED_OTHERWISE == set()


def test_no_advice_asks_a_registry_for_a_program_of_this_name() -> None:
    """Outside the clone ``pip install 'listen[page]'`` installs whatever is called so there."""
    pages = [ROOT / "README.md", *(ROOT / "docs").glob("*.md"), *(ROOT / "listen").rglob("*.py")]
    assert len(pages) > 100
    assert not [path.name for path in pages if re.search(r"pip install ['\"]?listen", path.read_text("utf-8"))]
