"""Settings of the whole suite."""

import os
import tempfile

import pytest
from hypothesis import HealthCheck, settings

# A thread a worker, and in each program that a test starts: with more threads than cores they wait for one another.
os.environ.setdefault("OMP_NUM_THREADS", "1")

# What was heard is kept between commands; tests keep it apart from a player's own, and from the run before.
os.environ["LISTEN_CACHE"] = tempfile.mkdtemp(prefix="listen-heard-")
# librosa compiles for a minute as it is imported (so one file alone asks it): less carefully, half as long.
os.environ["NUMBA_CACHE_DIR"] = tempfile.mkdtemp(prefix="listen-numba-")
os.environ.setdefault("NUMBA_OPT", "0")

# No test asserts a time: a busy machine is no failure.
settings.register_profile("listen", deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("listen")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Begin with what waits for a browser, then what compiles: begun last, they would keep one worker busy alone."""
    items.sort(key=lambda item: 0 if item.nodeid.startswith("tests/web/") else 1 if "librosa" in item.nodeid else 2)
