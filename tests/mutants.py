"""Break the code on purpose, and see which breakages the tests of the same room notice.

``python -m tests.mutants [--rooms harmony,voicing] [-n 100] [--skip 0] [--seed 1] [--list]``

A sample of mutants is drawn from each room: an operator or a comparison turned round, ``and`` for ``or``, a ``not`` or
a minus dropped, an argument left out, a name swapped (``min`` for ``max``). Numbers and texts stay as they are: a
threshold that was tuned has no right neighbour; nor is an assertion of the code about itself touched (``strict=True``,
``frozen=True``). Which of the room's tests (doctests too) pass over a line is learned
once; a mutant is killed when one of those fails, or never ends. What survives is printed, with the share killed and its
Wilson interval. A smaller sample of a seed is the beginning of a larger one, so ``--skip`` goes on with a sample.

mutmut makes the mutants (``pip install -e '.[mutants]'``); its own runner takes the whole tree through a copy of every
function, where this takes one line.
"""

import argparse
import ast
import difflib
import os
import random
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.scores import Rate
from tests.room_tests import is_noticed, learn_tests

ROOT = Path(__file__).parents[1]
ROOMS = ("instrument", "harmony", "voicing", "transcription")
REPORTED_EVERY = 10
AGED_NS = 10_000_000_000
ASSERTED = ("strict", "frozen", "slots")


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
        if _dump(broken) == _dump(text):
            return None
    except SyntaxError:
        return None
    before, after = text.splitlines(), broken.splitlines()
    changed = [code for code in difflib.SequenceMatcher(None, before, after).get_opcodes() if code[0] != "equal"]
    lines = tuple(line + 1 for _, low, high, _, _ in changed for line in range(low, max(high, low + 1)))
    return Mutant(file, broken, lines, "  ".join(" ".join(after[low:high]).strip() for _, _, _, low, high in changed))


def _dump(text: str) -> str:
    """Return the code without its assertions about itself."""
    tree = ast.parse(text)
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            node.keywords = [keyword for keyword in node.keywords if keyword.arg not in ASSERTED]
    return ast.dump(tree)


@contextmanager
def broken(copy: Path, mutant: Mutant) -> Iterator[None]:
    """Put a mutant in its file's place, and the file back afterwards, as old as it was: its bytecode holds again."""
    path = copy / mutant.file
    kept, changed_ns = path.read_text(encoding="utf-8"), path.stat().st_mtime_ns
    path.write_text(mutant.text, encoding="utf-8")
    os.utime(path, ns=(changed_ns + AGED_NS, changed_ns + AGED_NS))
    try:
        yield
    finally:
        path.write_text(kept, encoding="utf-8")
        os.utime(path, ns=(changed_ns, changed_ns))


def main() -> None:
    """Draw, break, run, print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").partition("\n")[0])
    parser.add_argument("--rooms", default=",".join(ROOMS))
    parser.add_argument("-n", type=int, default=100, help="mutants a room")
    parser.add_argument("--skip", type=int, default=0, help="leave out so many of these, tried before")
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
            sample = draw_mutants(files, asked.n, random.Random(f"{asked.seed} {room}"))[asked.skip :]
            if asked.list:
                print(*(f"{mutant.file}:{mutant.lines[0]}  {mutant.change}" for mutant in sample), sep="\n")
                continue
            _try_room(copy, room, sample)


def _try_room(copy: Path, room: str, sample: list[Mutant]) -> None:
    room_tests = learn_tests(copy, room)
    print(f"{room}: {len(room_tests.seconds)} tests in {sum(room_tests.seconds.values()):.0f} s", flush=True)
    if is_noticed(copy, tuple(room_tests.seconds), sum(room_tests.seconds.values())):
        raise SystemExit(f"the tests of {room} fail in a child of this process, with nothing broken")
    killed = 0
    for number, mutant in enumerate(sample, start=1):
        tests = room_tests.order(mutant.file, mutant.lines)
        with broken(copy, mutant):
            noticed = bool(tests) and is_noticed(copy, tests, sum(room_tests.seconds[test] for test in tests))
        killed += noticed
        if not noticed:
            met = f"{len(tests)} tests" if tests else "no test"
            print(f"  lives: {mutant.file}:{mutant.lines[0]}  {mutant.change}  ({met})", flush=True)
        if number % REPORTED_EVERY == 0:
            print(f"{room}: killed {Rate(killed, number)} so far", flush=True)
    print(f"{room}: killed {Rate(killed, len(sample))}", flush=True)


if __name__ == "__main__":
    main()
