"""One word stands for one thing: no public name of the program is given to two of them."""

import ast
from collections import defaultdict
from pathlib import Path

LISTEN = Path(__file__).parents[1] / "listen"

DEFINITIONS = ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef

# A convention of a room's files rather than a thing: each command adds itself, each program has its main, each file of
# the page serves what the browser asks it under the words of the address.
CONVENTIONS = frozenset({"add_to", "main"})


def test_no_two_files_define_the_same_public_class_or_function() -> None:
    defined: dict[str, list[str]] = defaultdict(list)
    for path in sorted(LISTEN.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef) and not node.name.startswith(
                "_"
            ):
                defined[node.name].append(str(path.relative_to(LISTEN)))
    assert len(defined) > 800
    twice = {name: places for name, places in defined.items() if len(places) > 1 and name not in CONVENTIONS}
    assert not twice
