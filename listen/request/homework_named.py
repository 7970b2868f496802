"""Homework that was named: a chart file and recordings, or folders of them, all of which stay where they are."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from listen.document import read_chart_text
from listen.jobs import StudentRecording, find_recordings, name_students
from listen.request.homework import HomeworkShelf, read_set_chart
from listen.request.homework_kept import Homework
from listen.request.library import Library


def bring_homework(library: Library, chart: Path, files: Sequence[Path]) -> Homework:
    """Return the homework of a chart file and recordings, or folders of them; made where there is none of that chart.

    Raises
    ------
    ListenError
        The chart cannot be read, or there are no recordings.
    """
    recordings = name_students(find_recordings(files)) if files else []
    shelf, text = HomeworkShelf(library), read_chart_text(chart)
    known = next((one for one in shelf.list_homework() if one.chart == str(chart.resolve())), None)
    if known is None:
        return shelf.add(text, file=chart, recordings=recordings)
    return _bring_up_to_date(shelf, known, read_set_chart(text, str(chart)).title, recordings)


def _bring_up_to_date(
    shelf: HomeworkShelf, known: Homework, title: str, recordings: Sequence[StudentRecording]
) -> Homework:
    paths, students = tuple(str(one.path.resolve()) for one in recordings), [one.student for one in recordings]
    out = tuple(one for one in known.taken_out if one.recording not in paths)
    return shelf.save(replace(known, title=title, recordings=paths, students=tuple(students), taken_out=out))
