"""The run of ``listen check``: recordings found and named, checked, corrected by the teacher, compared with last week."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from listen.cli.check_asked import CheckAsked, find_tolerances, parse_correction
from listen.cli.console import LEAST_WIDTH
from listen.errors import BadValueError, bad_value

if TYPE_CHECKING:
    from listen.document import ClassCheck
    from listen.jobs import Recording
    from listen.reading import Assignment

MOST_JOBS = 512


def run_check(
    assignment: Assignment,
    named: Sequence[Path],
    asked: CheckAsked,
    *,
    n_jobs: int,
    cluster: str,
    overwrite: bool,
) -> tuple[ClassCheck, list[Recording]]:
    """Check recordings as they were asked for.

    Raises
    ------
    ListenError
        An option is wrong, or no recordings are there.
    """
    from listen.cli.check_output import check_reports
    from listen.document import read_class
    from listen.jobs import CheckCache, CheckJob, check_class, find_cache_folder, find_recordings, name_students

    if not 0 <= n_jobs <= MOST_JOBS:
        raise bad_value("jobs", n_jobs, allowed=f"a number from 0, one a core, to {MOST_JOBS}")
    if asked.names and asked.students is not None:
        raise BadValueError("--names and --students both say whose a file is: give one of them.")
    paths = find_recordings(named)
    recordings = name_students(paths, pattern=asked.names, table=asked.students)
    words = [parse_correction(text) for text in asked.corrections]
    if (words or asked.note) and len(recordings) != 1:
        raise BadValueError("--correct and --note are about one recording: name that one alone.")
    before = None if asked.before is None else read_class(asked.before)
    tolerances = find_tolerances(asked.tolerances)
    check_reports(asked, paths, overwrite=overwrite)
    job = CheckJob(assignment, tolerances, n_jobs, cluster)
    checked = check_class(recordings, job, CheckCache(find_cache_folder()), progress=_show_progress(len(recordings)))
    if sys.stderr.isatty():
        sys.stderr.write("\r\x1b[K")
    if words or asked.note:
        checked = _correct(checked, recordings[0], asked)
    return (checked if before is None else _compare(checked, before)), recordings


def _correct(checked: ClassCheck, recording: Recording, asked: CheckAsked) -> ClassCheck:
    """Put the teacher's words on the one check, and keep them beside the recording."""
    from listen.assessment import add_words, apply_words
    from listen.document import save_words
    from listen.reading import TeacherWords

    if not checked.checks:
        raise BadValueError(f"{checked.failures[0].error} Nothing was corrected." if checked.failures else "Stopped.")
    check = checked.checks[0]
    given = TeacherWords(tuple(parse_correction(text) for text in asked.corrections), asked.note)
    words = add_words(check, given)
    save_words(recording.path, words)
    return replace(checked, checks=(apply_words(check, words),))


def _compare(checked: ClassCheck, before: ClassCheck) -> ClassCheck:
    from listen.assessment import compare_checks

    known = {one.student.casefold(): one for one in before.checks if not one.refused}
    checks = tuple(
        replace(one, comparison=compare_checks(one, known[one.student.casefold()]))
        if one.student.casefold() in known and not one.refused
        else one
        for one in checked.checks
    )
    return replace(checked, checks=checks)


def _show_progress(total: int) -> Callable[[int, int, str], None] | None:
    """Return what shows, on a terminal, how many are done and how long the rest will take."""
    if total < 2 or not sys.stderr.isatty():
        return None
    from listen.export import TextStyle

    begun = time.monotonic()
    first: list[int] = []

    def show(done: int, of: int, student: str) -> None:
        first[:] = first or [done - 1]  # what was kept from before took no time
        left_s = (time.monotonic() - begun) * (of - done) / max(1, done - first[0])
        line = f"{done} of {of} read, about {_span_text(left_s)} left: {student}"
        sys.stderr.write(f"\r{TextStyle().plain(line)[: 2 * LEAST_WIDTH - 1]}\x1b[K")
        sys.stderr.flush()

    return show


def _span_text(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds < 90 else f"{seconds / 60:.0f} min"
