"""The run of a check: recordings found and named, checked, corrected by the teacher, compared with last week."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from listen.errors import BadValueError, bad_value
from listen.request.check_asked import CheckAsked, parse_correction, take_back_asked

if TYPE_CHECKING:
    from listen.document import ClassCheck
    from listen.jobs import CheckCache, CheckJob, StudentRecording
    from listen.reading import Assignment, TeacherWords, Tolerances

MOST_JOBS = 512


def find_asked(named: Sequence[Path], asked: CheckAsked) -> list[StudentRecording]:
    """Find the recordings and whose they are, and say before any is read what was asked wrongly.

    Raises
    ------
    ListenError
        An option is wrong, or no recordings are there.
    """
    from listen.jobs import find_recordings, name_students

    if not 0 <= asked.n_jobs <= MOST_JOBS:
        raise bad_value("jobs", asked.n_jobs, allowed=f"a number from 0, one a core, to {MOST_JOBS}")
    if asked.names and asked.students is not None:
        raise BadValueError("--names and --students both say whose a file is: give one of them.")
    recordings = name_students(find_recordings(named), pattern=asked.names, table=asked.students)
    for text in asked.corrections:
        parse_correction(text)
    if _has_word(asked) and len(recordings) != 1:
        raise BadValueError("--correct, --note and --take-back are about one recording: name that one alone.")
    return recordings


def run_check(
    assignment: Assignment,
    recordings: Sequence[StudentRecording],
    asked: CheckAsked,
    *,
    tolerances: Tolerances,
    progress: Callable[[int, int, str], None] | None = None,
) -> ClassCheck:
    """Check recordings as they were asked for.

    Parameters
    ----------
    assignment : Assignment
    recordings : sequence of Recording
        See :func:`find_asked`.
    asked : CheckAsked
    tolerances : Tolerances
    progress : callable or None
        Told how many of how many are done, and whose was the last.

    Raises
    ------
    ListenError
        The earlier check cannot be read, a correction is about a bar or a beat that is not there, or what is taken back
        was never said.
    """
    from listen.assessment import check_places
    from listen.document import find_kept_folder, load_words, read_class
    from listen.jobs import CheckCache, CheckJob, check_class

    check_places(_find_given(asked), assignment)
    before = None if asked.before is None else read_class(asked.before)
    words = load_words(recordings[0].path) if _has_word(asked) else None
    if words is not None and recordings[0].path.is_file():  # else that is said, not what was said of it
        words = take_back_asked(words, asked)
    job = CheckJob(assignment, tolerances, asked.n_jobs, asked.cluster, has_words=words is None)
    cache = CheckCache(find_kept_folder("check"))
    checked = check_class(recordings, job, cache, progress=progress)
    if asked.demonstration is not None:
        checked = _follow(checked, asked.demonstration, job, cache)
    if words is not None and (checked.checks or checked.failures):  # else it was stopped
        checked = _correct(checked, recordings[0], words, _find_given(asked))
    return checked if before is None else _compare(checked, before)


def _follow(checked: ClassCheck, demonstration: Path, job: CheckJob, cache: CheckCache) -> ClassCheck:
    """Hold the times of all against those of the demonstration, which is checked as they are."""
    from listen.assessment import follow_demonstration
    from listen.jobs import StudentRecording, check_class

    shown = check_class([StudentRecording(demonstration, "")], replace(job, has_words=False), cache).checks
    if not shown:
        return checked
    followed = (follow_demonstration(one, shown[0], job.tolerances) for one in checked.checks)
    return replace(checked, checks=tuple(followed))


def _has_word(asked: CheckAsked) -> bool:
    return bool(asked.corrections or asked.note or asked.taken_back)


def _correct(checked: ClassCheck, recording: StudentRecording, before: TeacherWords, given: TeacherWords) -> ClassCheck:
    """Put the teacher's words, from before and from now, on the one check, and keep them beside the recording."""
    from listen.assessment import add_words, apply_words
    from listen.document import save_words

    if not checked.checks:
        raise BadValueError(f"{checked.failures[0].error} Nothing was corrected.")
    check = checked.checks[0]
    words = add_words(replace(check, teacher=before), given)
    save_words(recording.path, words)
    return replace(checked, checks=(apply_words(check, words),))


def _find_given(asked: CheckAsked) -> TeacherWords:
    """Return the words that were given now; what is said of one place twice is to be the same.

    Raises
    ------
    BadValueError
    """
    from listen.reading import TeacherWords

    words = tuple(parse_correction(text) for text in asked.corrections)
    said: dict[tuple[int, float | None], tuple[str, str]] = {}
    for word, text in zip(words, asked.corrections, strict=True):
        before, verdict = said.setdefault((word.bar, word.beat), (text, word.verdict))
        if verdict != word.verdict:
            raise BadValueError(f"correct={before} and correct={text} say the opposite: give one of them.")
    return TeacherWords(words, asked.note)


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
