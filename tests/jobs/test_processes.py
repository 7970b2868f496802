"""The processes of a check: one that dies costs one file, and none outlives the run or speaks beside it."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from listen.document import parse_chords
from listen.jobs import CheckJob
from listen.jobs.check_class import Done, Task, run_in_processes
from listen.reading import Check, Performance

ROOT = Path(__file__).parents[2]
SET = parse_chords("C")


def _die_on_bo(number: int, key: str, path: Path, performance: Performance | None, job: CheckJob) -> Done:
    if path.stem == "bo":
        os.kill(os.getpid(), signal.SIGKILL)
    return number, key, (performance, Check(path.stem, path.name, job.assignment.title))


def test_a_worker_that_dies_costs_one_file() -> None:
    tasks: list[Task] = [(at, "", Path(f"{name}.flac"), None) for at, name in enumerate(("anna", "bo", "cy", "dora"))]
    done = {number: outcome for number, _, outcome in run_in_processes(tasks, CheckJob(SET, n_jobs=2), _die_on_bo)}
    assert sorted(done) == [0, 1, 2, 3]
    assert [number for number, outcome in done.items() if isinstance(outcome, str)] == [1]
    assert "died" in str(done[1])


def _interrupt_oneself(number: int, key: str, path: Path, performance: Performance | None, job: CheckJob) -> Done:
    os.kill(os.getpid(), signal.SIGINT)
    return number, key, (performance, Check(path.stem, path.name, job.assignment.title))


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_a_worker_lets_whoever_stops_the_run_be_heard_by_the_run_alone() -> None:
    tasks: list[Task] = [(at, "", Path(f"{at}.flac"), None) for at in range(3)]
    done = list(run_in_processes(tasks, CheckJob(SET, n_jobs=2), _interrupt_oneself))
    assert sorted(number for number, _, _ in done) == [0, 1, 2]
    assert not any(isinstance(outcome, str) for _, _, outcome in done)
    assert signal.SIGINT not in signal.pthread_sigmask(signal.SIG_BLOCK, [])


def end_the_run(_number: int, _key: str, _path: Path, _performance: Performance | None, _job: CheckJob) -> Done:
    """End the program that started this worker, and work on."""
    os.kill(os.getppid(), signal.SIGTERM)
    while True:
        time.sleep(1.0)


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_a_run_that_is_ended_takes_its_workers_and_its_folder_with_it(tmp_path: Path) -> None:
    code = (
        "from pathlib import Path\n"
        "from listen.cli.ending import end_by_exception\n"
        "from listen.jobs.check_class import CheckJob, run_in_processes\n"
        "from tests.jobs.test_processes import SET, end_the_run\n"
        "end_by_exception()\n"
        "tasks = [(at, '', Path(f'{at}.flac'), None) for at in range(2)]\n"
        "list(run_in_processes(tasks, CheckJob(SET, n_jobs=2), end_the_run))\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code], env={**os.environ, "TMPDIR": str(tmp_path), "PYTHONPATH": str(ROOT)},
        stdout=subprocess.PIPE, start_new_session=True,
    ) as run:  # fmt: skip
        try:
            run.communicate(timeout=120)  # until the last of them has closed what it writes to
        except subprocess.TimeoutExpired:
            os.killpg(run.pid, signal.SIGKILL)
            raise
    assert run.returncode == 128 + signal.SIGTERM
    assert not list(tmp_path.glob("listen-check-*"))
