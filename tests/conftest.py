"""Settings of the whole suite."""

import os
import tempfile

import pytest
from hypothesis import HealthCheck, settings

# A thread a worker, and in each program that a test starts: with more threads than cores they wait for one another.
os.environ.setdefault("OMP_NUM_THREADS", "1")

# What was heard is kept between commands; tests keep it apart from a player's own, and from the run before.
os.environ["LISTEN_CACHE"] = tempfile.mkdtemp(prefix="listen-heard-")
# Two workers that compile librosa's functions at once into one cache have ended one of them with a segmentation fault.
os.environ["NUMBA_CACHE_DIR"] = tempfile.mkdtemp(prefix="listen-numba-")
os.environ.setdefault("NUMBA_OPT", "0")  # the compiling is what takes time here: half as much
# What compiles them, on one worker: each that does spends a minute or two on it.
COMPILED = frozenset(
    {
        "tests/audio/test_tuning_offset.py", "tests/audio/test_hum.py", "tests/theory/test_pitch.py",
        "tests/synthesis/test_render.py", "tests/transcription/test_guitar.py", "listen/audio/hum.py",
        "tests/cli/test_practise_command.py",
    }
)  # fmt: skip

# No test asserts a time: a busy machine is no failure.
settings.register_profile("listen", deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("listen")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what waits for a browser, then what compiles: begun last, they would keep one worker busy alone."""
    items.sort(key=lambda item: 0 if item.nodeid.startswith("tests/web/") else 1 if _scope_of(item.nodeid) else 2)


def _scope_of(nodeid: str) -> str:
    """Return what is run by one worker though it is several files; nothing for other files."""
    return "compiled" if nodeid.split("::", 1)[0] in COMPILED else ""


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> object:
    """Give a file to one worker, and what compiles the same functions."""
    from xdist.scheduler import LoadFileScheduling

    scheduler = LoadFileScheduling(config, log)
    by_file = scheduler._split_scope
    scheduler._split_scope = lambda nodeid: _scope_of(nodeid) or by_file(nodeid)
    return scheduler
