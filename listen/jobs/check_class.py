"""A class's recordings, checked over all cores or a cluster: each is heard once, and one that fails costs itself.

joblib runs the work: on this machine in processes (loky), or on a Dask cluster through joblib's own backend. What has
been heard is kept as soon as it comes back, so that a run that is stopped goes on where it was.
"""

from __future__ import annotations

import signal
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from listen.assessment import apply_words, assess
from listen.document import CheckFailure, ClassCheck, load_words
from listen.errors import BadValueError, ListenError, install_text
from listen.jobs.cache import CheckCache, check_key
from listen.jobs.students import StudentRecording
from listen.reading import Assignment, Check, Performance, Tolerances

DIED = "The process that read it died: the file may be damaged, or too large for this machine's memory."
REPORT = "The recording may be in order: keep it, and report the fault with it."


@dataclass(frozen=True, slots=True)
class CheckJob:
    """What is the same for all recordings of a run.

    Parameters
    ----------
    assignment : Assignment
    tolerances : Tolerances
    n_jobs : int
        Processes; 0 for one a core.
    cluster : str
        Address of a Dask scheduler; empty for this machine.
    has_words : bool
        Whether the teacher's words that lie beside the recordings are put on the checks.
    """

    assignment: Assignment
    tolerances: Tolerances = field(default_factory=Tolerances)
    n_jobs: int = 0
    cluster: str = ""
    has_words: bool = True


Progress = Callable[[int, int, str], None]
Outcome = tuple[Performance | None, Check] | str
Done = tuple[int, str, Outcome]
Task = tuple[int, str, Path, Performance | None]
Work = Callable[[int, str, Path, Performance | None, CheckJob], Done]


def check_class(
    recordings: Sequence[StudentRecording],
    job: CheckJob,
    cache: CheckCache,
    *,
    progress: Progress | None = None,
    found: Callable[[Check | CheckFailure], None] | None = None,
) -> ClassCheck:
    """Check recordings.

    Parameters
    ----------
    recordings : sequence of StudentRecording
    job : CheckJob
    cache : CheckCache
    progress : callable or None
        Told how many of how many are done, and whose was the last.
    found : callable or None
        Given each check, or why there is none, as soon as it is there; in no order.

    Returns
    -------
    ClassCheck
        In the order of the recordings; when stopped from the keyboard, those that were done, and not complete.
    """
    done: dict[int, Check | CheckFailure] = {}
    waiting: list[tuple[int, str]] = []
    for number, recording in enumerate(recordings):
        try:
            key = cache.heard_key(recording.path)
        except ListenError as error:
            done[number] = _failure(recording, str(error))
            continue
        before = cache.load_check(check_key(key, job.assignment, job.tolerances))
        if before is None:
            waiting.append((number, key))
        else:
            done[number] = before
    complete = True
    if found is not None:
        for number, kept in done.items():
            found(_name(kept, recordings[number], job))
    try:
        for number, key, outcome in _run(recordings, waiting, job, cache):
            done[number] = _keep(key, outcome, recordings[number], job, cache)
            if found is not None:
                found(_name(done[number], recordings[number], job))
            if progress is not None:
                progress(len(done), len(recordings), recordings[number].student)
    except KeyboardInterrupt:
        complete = False
    named = [_name(done[number], one, job) for number, one in enumerate(recordings) if number in done]
    return ClassCheck(
        job.assignment.title,
        tuple(one for one in named if isinstance(one, Check)),
        tuple(one for one in named if isinstance(one, CheckFailure)),
        complete,
    )


def _keep(
    key: str, outcome: Outcome, recording: StudentRecording, job: CheckJob, cache: CheckCache
) -> Check | CheckFailure:
    """Keep what was heard and judged."""
    if isinstance(outcome, str):
        return _failure(recording, outcome)
    performance, check = outcome
    if performance is not None:
        cache.save_performance(key, performance)
    cache.save_check(check_key(key, job.assignment, job.tolerances), check)
    return check


def _name(check: Check | CheckFailure, recording: StudentRecording, job: CheckJob) -> Check | CheckFailure:
    """Put the student's name and the teacher's words on a check."""
    if isinstance(check, CheckFailure):
        return check
    named = replace(check, student=recording.student, source=recording.path.name)
    if not job.has_words:
        return named
    try:
        words = load_words(recording.path)
    except ListenError as error:
        return _failure(recording, str(error))
    return apply_words(named, words) if words.words or words.note else named


def _failure(recording: StudentRecording, error: str) -> CheckFailure:
    """Return why there is no check; the recording is called by its name, since a page of it goes to other people."""
    path = recording.path
    for spelled in (str(path.resolve()), str(path)):
        error = error.replace(spelled, path.name)
    return CheckFailure(recording.student, path.name, error)


def _run(
    recordings: Sequence[StudentRecording], waiting: Sequence[tuple[int, str]], job: CheckJob, cache: CheckCache
) -> Iterator[Done]:
    """Hear and judge what waits, in the order in which it is done."""
    if not waiting:
        return
    tasks = [(number, key, recordings[number].path.resolve(), cache.load_performance(key)) for number, key in waiting]
    if job.cluster:
        yield from _run_on_cluster(tasks, job)
    elif len(tasks) == 1 or job.n_jobs == 1:
        for number, key, path, performance in tasks:
            yield check_one(number, key, path, performance, job)
    else:
        yield from run_in_processes(tasks, job)


def check_one(number: int, key: str, path: Path, performance: Performance | None, job: CheckJob) -> Done:
    """Hear a recording, where it was not heard before, and judge it; what fails becomes a sentence."""
    try:
        return number, key, _hear_and_judge(path, performance, job)
    except ListenError as error:
        return number, key, str(error)
    except MemoryError:
        return number, key, DIED
    except Exception as error:  # the others are checked all the same
        return number, key, f"A fault of the program ended its check ({type(error).__name__}: {error}). {REPORT}"


def _hear_and_judge(path: Path, performance: Performance | None, job: CheckJob) -> tuple[Performance | None, Check]:
    """Return what was heard, None where it was heard before, and the check of it."""
    from listen.transcription import hear_performance

    heard = hear_performance(path) if performance is None else None
    played = heard or performance
    if played is None or not played.complete:
        raise KeyboardInterrupt
    return heard, assess(played, job.assignment, tolerances=job.tolerances)


def _begin_and_do(work: Work, marks: Path, task: Task, job: CheckJob) -> Done:
    """Do one task, and mark that it was begun until it is done: who dies leaves the mark."""
    mark = marks / str(task[0])
    mark.touch()
    done = work(*task, job)
    mark.unlink(missing_ok=True)
    return done


@contextmanager
def _holding_interrupts() -> Iterator[None]:
    """Hold Ctrl+C back while processes start: they inherit that, and whoever stops the run is heard here alone."""
    if not hasattr(signal, "pthread_sigmask"):  # Windows
        yield
        return
    from multiprocessing import resource_tracker

    resource_tracker.ensure_running()  # before Python 3.12 it lets Ctrl+C through again as it starts
    before = signal.pthread_sigmask(signal.SIG_BLOCK, [signal.SIGINT])
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def run_in_processes(tasks: Sequence[Task], job: CheckJob, work: Work = check_one) -> Iterator[Done]:
    """Run tasks in processes; where one dies, find out whose fault it was, and go on with the rest."""
    from joblib import Parallel, cpu_count, delayed
    from joblib.externals.loky.process_executor import BrokenProcessPool

    n_jobs = min(job.n_jobs or cpu_count(), len(tasks))
    left = {task[0]: task for task in tasks}
    alone = False
    while left:
        with tempfile.TemporaryDirectory(prefix="listen-check-") as folder:
            marks = Path(folder)
            batch = list(left.values())[:1] if alone else list(left.values())
            workers = Parallel(n_jobs=max(2, n_jobs), batch_size=1, return_as="generator_unordered")
            try:
                with _holding_interrupts():
                    results = workers(delayed(_begin_and_do)(work, marks, task, job) for task in batch)
                for done in results:
                    del left[done[0]]
                    yield done
                alone = False
            except BrokenProcessPool:
                begun = [number for number in left if (marks / str(number)).exists()]
                if alone or len(begun) == 1:
                    number = batch[0][0] if alone else begun[0]
                    yield number, left.pop(number)[1], DIED
                    alone = False
                else:
                    left = {number: left[number] for number in sorted(left, key=lambda one: one not in begun)}
                    alone = True


def _run_on_cluster(tasks: Sequence[Task], job: CheckJob) -> Iterator[Done]:
    """Run tasks on a Dask cluster, through joblib's backend."""
    try:
        from distributed import Client
    except ImportError as error:
        raise BadValueError(
            f"--cluster needs an optional extra, here and where the workers run: {install_text('cluster')}"
        ) from error
    from joblib import Parallel, delayed, parallel_config

    try:
        client: Any = Client(job.cluster, timeout=10)
    except (OSError, ValueError) as error:
        raise BadValueError(
            f"No cluster answers at {job.cluster}: start one with 'dask scheduler' and give the address it prints."
        ) from error
    with client, parallel_config("dask", wait_for_workers_timeout=30):
        workers = Parallel(batch_size=1, return_as="list")
        try:
            yield from workers(delayed(check_one)(*task, job) for task in tasks)
        except TimeoutError as error:
            raise BadValueError(
                f"The cluster at {job.cluster} has no workers: start some with 'dask worker {job.cluster}'."
            ) from error
