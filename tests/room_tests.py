"""The tests of one room, run in children of a warm process: which lines each passes over, and whether one fails.

A child is forked, forgets what it knows of this project, and reads it anew from a copy of the tree; the libraries stay
as they are, which saves the most of a short run. A room's doctests are its own tests too.
"""

from __future__ import annotations

import functools
import importlib
import multiprocessing
import os
import pickle
import sys
import time
from collections.abc import Callable, Generator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib.metadata import entry_points
from pathlib import Path
from typing import Any

import pytest

FLAGS = ("-q", "-p", "no:cacheprovider", "-W", "ignore:Module already imported")
OURS = ("listen", "tests")
ROOT = Path(__file__).resolve().parents[1]

TIMES_AS_LONG = 5.0
"""Tests that run this many times as long as they did, and a minute more, go round in circles."""

_FORK = multiprocessing.get_context("fork")


@dataclass(frozen=True, slots=True)
class RoomTests:
    """What was learnt of a room's tests.

    Parameters
    ----------
    meets : dict of (str, int) to frozenset of str
        Which tests pass over each line of the room's files that runs at all; none where it runs as files are imported.
    seconds : dict of str to float
        How long each test took.
    libraries : tuple of str
        What the tests import that is not of this project.
    """

    meets: dict[tuple[str, int], frozenset[str]]
    seconds: dict[str, float]
    libraries: tuple[str, ...]

    def order(self, file: str, lines: Sequence[int]) -> tuple[str, ...]:
        """Return the tests to ask of a change: those that pass over it, quick files first, then the rest of the files.

        A fixture that tests share, and what is remembered between calls, are met by one test only, so the tests beside
        it are asked as well. Where the lines run as files are imported, every test is.
        """
        direct = {test for line in lines for test in self.meets.get((file, line), ())}
        if not direct:
            return tuple(self.seconds) if any((file, line) in self.meets for line in lines) else ()
        taken: dict[str, float] = {}
        for test in direct:
            taken[_file_of(test)] = taken.get(_file_of(test), 0.0) + self.seconds[test]
        asked = [test for test in self.seconds if _file_of(test) in taken]
        return tuple(
            sorted(
                asked, key=lambda test: (test not in direct, taken[_file_of(test)], _file_of(test), self.seconds[test])
            )
        )


def _file_of(test: str) -> str:
    return test.partition("::")[0]


class _Learner:
    """Tells coverage which test runs, and forgets between tests what the room remembers."""

    def __init__(self, measured: Any, room: str) -> None:
        self.measured, self.room = measured, room
        self.seconds: dict[str, float] = {}

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Generator[None, object, object]:
        for name, module in list(sys.modules.items()):
            if name.startswith(f"listen.{self.room}"):
                for value in list(vars(module).values()):
                    if isinstance(value, functools._lru_cache_wrapper):
                        value.cache_clear()
        self.measured.switch_context(item.nodeid)
        began = time.perf_counter()
        try:
            return (yield)
        finally:
            self.seconds[item.nodeid] = time.perf_counter() - began
            self.measured.switch_context("")


class _Chooser:
    """Keeps the tests that are asked, in their order."""

    def __init__(self, order: Sequence[str]) -> None:
        self.place = {test: place for place, test in enumerate(order)}

    @pytest.hookimpl(trylast=True)
    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = sorted(
            (item for item in items if item.nodeid in self.place), key=lambda item: self.place[item.nodeid]
        )


def learn_tests(copy: Path, room: str) -> RoomTests:
    """Run a room's tests once, all of which must pass."""
    told = copy / ".learnt"
    child = _FORK.Process(target=_in_copy, args=(copy, lambda: _learn(copy, room, told)))
    child.start()
    child.join()
    if child.exitcode or not told.exists():
        raise SystemExit(f"the tests of {room} do not pass as they stand")
    learnt = pickle.loads(told.read_bytes())  # noqa: S301  (written a moment ago by the child)
    told.unlink()
    assert isinstance(learnt, RoomTests)
    for library in learnt.libraries:
        with suppress(Exception):
            importlib.import_module(library)
    return learnt


def _learn(copy: Path, room: str, told: Path) -> int:
    import coverage

    sys.dont_write_bytecode = False  # what stands is read quickly from now on; what is broken is never kept
    measured = coverage.Coverage(data_file=None, source=[str(copy / "listen" / room)], config_file=False)
    learner = _Learner(measured, room)
    measured.start()
    code = pytest.main([*FLAGS, f"tests/{room}", f"listen/{room}"], plugins=[learner])
    measured.stop()
    data = measured.get_data()
    meets = {}
    for path in data.measured_files():
        for line, contexts in data.contexts_by_lineno(path).items():
            meets[str(Path(path).relative_to(copy)), line] = frozenset(each for each in contexts if each)
    plugins = {entry.value.partition(".")[0].partition(":")[0] for entry in entry_points(group="pytest11")}
    libraries = tuple(sorted(name for name in sys.modules if name.partition(".")[0] not in {*OURS, *plugins}))
    told.write_bytes(pickle.dumps(RoomTests(meets, learner.seconds, libraries)))
    return int(code)


def is_noticed(copy: Path, tests: Sequence[str], seconds: float) -> bool:
    """Tell whether one of some tests fails, or whether they never end.

    Parameters
    ----------
    seconds : float
        How long they took as the code stood.
    """
    child = _FORK.Process(target=_in_copy, args=(copy, lambda: _ask(tests)))
    child.start()
    child.join(60.0 + TIMES_AS_LONG * seconds)
    if child.exitcode is None:
        child.kill()
        child.join()
    return child.exitcode != 0


def _ask(tests: Sequence[str]) -> int:
    sys.dont_write_bytecode = True
    files = dict.fromkeys(_file_of(test) for test in tests)
    return int(pytest.main(["-x", *FLAGS, *files], plugins=[_Chooser(tests)]))


def _in_copy(copy: Path, run: Callable[[], int]) -> None:
    """Run something that knows nothing yet of this project but what stands in the copy."""
    for name in [name for name in sys.modules if name.partition(".")[0] in OURS and name != __name__]:
        del sys.modules[name]
    os.chdir(copy)
    sys.path[:] = [
        str(copy),
        *(entry for entry in sys.path if Path(entry or ".").resolve() != Path(__file__).parents[1]),
    ]
    quiet = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(quiet, stream)
    os._exit(run())
