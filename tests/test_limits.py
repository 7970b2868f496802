"""The house's limits, held by machine: how long a file and a function may be, how many options, how many fields.

Exceptions are named, each with its reason.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]
MOST_LINES = 300
MOST_FUNCTION_LINES = 60
MOST_OPTIONS = 5
MOST_FIELDS = 12

LONG_FILES = {
    "tests/audio/test_recording.py": "one sentence a way in which files are odd; the scenes are shared",
    "tests/export/test_part_chart.py": "the scenes of charts are shared",
    "tests/export/test_part_musicxml.py": "the parts that are read back by three readers are shared",
    "tests/hand_made_parts.py": "the parts of all tests, one after another",
    "tests/web/test_page.py": "one server for all of it",
}
LONG_FUNCTIONS = {
    "listen/voicing/traits.py:measure_traits": "a table: one line a trait",
}
MANY_FIELDS = {
    "listen/request/shape_filters.py:FilterWords": "a field for each filter option of `listen shapes`",
    "listen/voicing/filters.py:ShapeFilters": "all of one kind: callers give one or two by name",
    "listen/training/guitars.py:Guitars": "tensors of one batch, told apart by what they vary",
}
MANY_OPTIONS = {
    "tests/audio/sounds.py:make_plucked": "each test varies another of them",
}


@cache
def _read() -> dict[str, tuple[int, ast.Module]]:
    found = {}
    for path in sorted([*(ROOT / "listen").rglob("*.py"), *(ROOT / "tests").rglob("*.py")]):
        text = path.read_text("utf-8")
        found[path.relative_to(ROOT).as_posix()] = (len(text.splitlines()), ast.parse(text))
    return found


def _functions() -> Iterator[tuple[str, ast.FunctionDef | ast.AsyncFunctionDef]]:
    """Yield every function but commands, whose options are their parameters and their own help."""
    for name, (_, tree) in _read().items():
        for node in ast.walk(tree):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef) and not name.startswith("listen/cli/"):
                yield f"{name}:{node.name}", node


def test_no_file_is_too_long() -> None:
    assert len(_read()) > 600
    long = {name for name, (n_lines, _) in _read().items() if n_lines > MOST_LINES}
    assert long <= set(LONG_FILES)


def test_no_function_is_too_long() -> None:
    long = {
        name
        for name, node in _functions()
        if node.end_lineno is not None and node.end_lineno - node.lineno + 1 > MOST_FUNCTION_LINES
    }
    assert long <= set(LONG_FUNCTIONS)


def test_no_function_has_too_many_options() -> None:
    many = set()
    for name, node in _functions():
        options = [*node.args.defaults, *(default for default in node.args.kw_defaults if default is not None)]
        if len(options) > MOST_OPTIONS:
            many.add(name)
    assert many <= set(MANY_OPTIONS)


def test_no_value_has_too_many_fields() -> None:
    many = set()
    for name, (_, tree) in _read().items():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef) and any("dataclass" in ast.unparse(one) for one in node.decorator_list):
                fields = [one for one in node.body if isinstance(one, ast.AnnAssign)]
                if len(fields) > MOST_FIELDS:
                    many.add(f"{name}:{node.name}")
    assert many <= set(MANY_FIELDS)
