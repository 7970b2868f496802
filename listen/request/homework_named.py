"""Homework that was named: a chart file and recordings, or folders of them, all of which stay where they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from listen.document import hold_lock, read_chart_text
from listen.jobs import StudentRecording, find_recordings, name_order, name_students
from listen.request.homework import HOMEWORK, HomeworkShelf, read_set_chart
from listen.request.homework_kept import Homework
from listen.request.kept_folders import path_text
from listen.request.library import Library


def bring_homework(library: Library, chart: Path, files: Sequence[Path]) -> Homework:
    """Return the homework of a chart file and recordings, or folders of them; made where there is none of that chart.

    What came by the page stays; it is taken out where a recording of that student's is named now.

    Raises
    ------
    ListenError
        The chart cannot be read, there are no recordings, or a path is no text (:func:`path_text`).
    """
    recordings = name_students(find_recordings(files)) if files else []
    shelf, text = HomeworkShelf(library), read_chart_text(chart)
    title = read_set_chart(text, str(chart)).title
    with hold_lock(library.folder / HOMEWORK):  # two programs that name it work on one
        known = next((one for one in shelf.list_homework() if one.chart == path_text(chart.resolve())), None)
        if known is None:
            return shelf.add(text, file=chart, recordings=recordings)
    named = {one.student.casefold() for one in recordings}
    for student, recording in zip(known.students, known.recordings, strict=True):
        if not Path(recording).is_absolute() and student.casefold() in named:
            shelf.take_out(known.ident, student)
    with shelf.hold(known.ident) as now:
        return shelf.save(_bring_up_to_date(now, title, recordings))


def _bring_up_to_date(now: Homework, title: str, recordings: Sequence[StudentRecording]) -> Homework:
    named = [(one.student, path_text(one.path.resolve())) for one in recordings]
    came = [one for one in zip(now.students, now.recordings, strict=True) if not Path(one[1]).is_absolute()]
    pairs = sorted(named + came, key=lambda pair: name_order(pair[0]))
    return replace(
        now,
        title=title,
        students=tuple(student for student, _ in pairs),
        recordings=tuple(recording for _, recording in pairs),
        taken_out=tuple(one for one in now.taken_out if one.recording not in {path for _, path in named}),
    )
