"""Break the code on purpose, and see which breakages the tests of the same room notice.

``python -m tests.mutants [--rooms harmony,voicing] [-n 100] [--seed 1] [--list]``

A sample of mutants is drawn from each room: an operator or a comparison turned round, ``and`` for ``or``, a ``not`` or
a minus dropped, an argument left out, a name swapped (``min`` for ``max``). Numbers and texts stay as they are: a
threshold that was tuned has no right neighbour. Which of the room's tests pass over a line is learned once; a mutant is
killed when one of those fails. What survives is printed, with its share and the Wilson interval of the share killed.

mutmut makes the mutants (``pip install -e '.[mutants]'``); its own runner takes the whole tree through a copy of every
function, where this takes one line.
"""

import argparse
import ast
import difflib
import random
import shutil
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.scores import Rate

ROOT = Path(__file__).parents[1]
ROOMS = ("instrument", "harmony", "voicing", "transcription")

FLAGS = ("-q", "-p", "no:cacheprovider")

TIMES_AS_LONG = 5.0
"""A mutant that runs this many times as long as the tests that meet it do, and a minute more, goes round in circles."""


@dataclass(frozen=True, slots=True)
class Mutant:
    """One breakage: the text of a file with it, and the lines it touches."""

    file: str
    text: str
    lines: tuple[int, ...]
    change: str


def draw_mutants(files: dict[str, str], n: int, chance: random.Random) -> list[Mutant]:
    """Draw ``n`` mutants of some files, none of a number or of a text, each once.

    Parameters
    ----------
    files : dict of str to str
        What stands in each file.
    """
    import libcst as cst
    from mutmut.mutation.file_mutation import create_mutations

    kept_out = cst.BaseNumber | cst.BaseString
    pool = []
    for file, text in files.items():
        module, mutations, _, _ = create_mutations(file, text)
        pool += [(file, module, one) for one in mutations if not isinstance(one.original_node, kept_out)]
    chance.shuffle(pool)
    drawn: list[Mutant] = []
    for file, module, mutation in pool:
        if len(drawn) == n:
            break
        broken = module.deep_replace(mutation.original_node, mutation.mutated_node)
        assert isinstance(broken, cst.Module)
        mutant = _write(file, files[file], broken.code)
        if mutant:
            drawn.append(mutant)
    return drawn


def _write(file: str, text: str, broken: str) -> Mutant | None:
    """Say where a breakage stands; None where it is none, or none that Python reads."""
    try:
        if ast.dump(ast.parse(broken)) == ast.dump(ast.parse(text)):
            return None
    except SyntaxError:
        return None
    before, after = text.splitlines(), broken.splitlines()
    changed = [code for code in difflib.SequenceMatcher(None, before, after).get_opcodes() if code[0] != "equal"]
    lines = tuple(line + 1 for _, low, high, _, _ in changed for line in range(low, max(high, low + 1)))
    return Mutant(file, broken, lines, "  ".join(" ".join(after[low:high]).strip() for _, _, _, low, high in changed))


def find_tests(copy: Path, room: str) -> dict[tuple[str, int], set[str]]:
    """Run a room's tests once; return which of them pass over each line of its files."""
    import coverage

    settings = copy / ".coveragerc"
    settings.write_text(f"[run]\ndynamic_context = test_function\nsource = listen/{room}\n")
    covered = [sys.executable, "-m", "coverage", "run", "--rcfile", str(settings)]
    command = [*covered, "-m", "pytest", *FLAGS, f"tests/{room}"]
    subprocess.run(command, cwd=copy, check=True, stdout=subprocess.DEVNULL)
    data = coverage.CoverageData(str(copy / ".coverage"))
    data.read()
    found = {}
    for path in data.measured_files():
        for line, contexts in data.contexts_by_lineno(path).items():
            found[str(Path(path).relative_to(copy.resolve())), line] = {context for context in contexts if context}
    return found


def is_killed(copy: Path, mutant: Mutant, tests: list[str], limit_s: float) -> bool:
    """Put a mutant in its file's place, run the tests that meet it, and put the file back."""
    path = copy / mutant.file
    kept = path.read_text(encoding="utf-8")
    path.write_text(mutant.text, encoding="utf-8")
    try:
        command = [sys.executable, "-m", "pytest", "-x", *FLAGS, *tests]
        return subprocess.run(command, check=False, cwd=copy, capture_output=True, timeout=limit_s).returncode != 0
    except subprocess.TimeoutExpired:
        return True
    finally:
        path.write_text(kept, encoding="utf-8")


def main() -> None:
    """Draw, break, run, print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--rooms", default=",".join(ROOMS))
    parser.add_argument("-n", type=int, default=100, help="mutants a room")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--list", action="store_true", help="print the mutants that would be tried, and stop")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder).resolve() / "tree"
        tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, check=True, capture_output=True, text=True).stdout
        for name in tracked.splitlines():
            (copy / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(ROOT / name, copy / name)
        for room in asked.rooms.split(","):
            paths = sorted((ROOT / "listen" / room).glob("*.py"))
            files = {str(path.relative_to(ROOT)): path.read_text(encoding="utf-8") for path in paths}
            sample = draw_mutants(files, asked.n, random.Random(f"{asked.seed} {room}"))
            if asked.list:
                print(*(f"{mutant.file}:{mutant.lines[0]}  {mutant.change}" for mutant in sample), sep="\n")
                continue
            _try_room(copy, room, sample)


def _try_room(copy: Path, room: str, sample: list[Mutant]) -> None:
    meets = find_tests(copy, room)
    nodes = _find_nodes(copy, room)
    killed = 0
    for mutant in sample:
        named = {name for line in mutant.lines for name in meets.get((mutant.file, line), ())}
        # A line that runs while files are imported belongs to no test by name: the whole room is asked.
        imported = not named and any((mutant.file, line) in meets for line in mutant.lines)
        tests = [f"tests/{room}"] if imported else sorted({nodes[name] for name in named if name in nodes})
        if tests and is_killed(copy, mutant, tests, limit_s=60.0 + TIMES_AS_LONG * 10.0 * len(tests)):
            killed += 1
        else:
            print(f"  lives: {mutant.file}:{mutant.lines[0]}  {mutant.change}", flush=True)
    print(f"{room}: killed {Rate(killed, len(sample))}", flush=True)


def _find_nodes(copy: Path, room: str) -> dict[str, str]:
    """Return where each test function stands, by the name that coverage gives it."""
    found = {}
    for path in sorted((copy / "tests" / room).rglob("test_*.py")):
        inside = path.relative_to(copy)
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                found[f"{'.'.join(inside.with_suffix('').parts)}.{node.name}"] = f"{inside}::{node.name}"
    return found


if __name__ == "__main__":
    main()
