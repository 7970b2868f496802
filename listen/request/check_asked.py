"""What a check was told: what was set, from a chart, a demonstration or a few chords; and its options, as typed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from listen.errors import BadValueError, DocumentError, bad_value
from listen.request.hearing import conclude_part, hear_recording

if TYPE_CHECKING:
    from listen.reading import Assignment, TeacherWord, TeacherWords, Tolerances

CHART_ENDINGS = {".chart", ".txt", ".text", ".md"}
NEW_ENDINGS = (".chart", ".txt")  # of a chart that is written
NOTE = "note"  # what is taken back by that name is no verdict
TYPED_CHART = "The chart"  # what one without a file is called

CHART_TEMPLATE = """# What you set. Lines that begin with # are remarks; leave out what does not matter.

title: A name for it
# capo: 2
# tuning: drop D
tempo: 96
# free time
metre: 4/4
# feel: swing
# pickup: 1

# The strokes of a bar, if they matter: D down, U up, * either, x damped, . none.
# pattern: D . D U . U D U

# What matters of every chord:
#   name    the chord, at any place of the neck (this is so if nothing is said)
#   bass    its lowest note too
#   notes   these notes and no others
#   shape   this very shape
# or of some strings only: name strings 3-1
matters: name

# A shape, or what matters of one chord, where it is not as usual:
# G/B = x20003
# Am = notes

# Bars stand between bar lines. Two names share a bar; else write every beat, with . where nothing changes and & before
# a name that comes half a beat late. An empty bar goes on with what was held, % plays the bar before again. ? is not
# judged, N.C. is no chord. tempo=120 before the names of a bar begins another tempo there, metre=2/4 a bar of two beats
# (and metre=4/4 in the bar after it goes on as before).
|: C      | G     | Am F  | . . &G . :| ×2
|  C      |       |
"""


@dataclass(frozen=True, slots=True)
class CheckAsked:
    """Options of a check, as they were typed.

    Parameters
    ----------
    names : str
        Pattern of the recordings' names.
    students, before : Path or None
        Files: whose a recording is; an earlier check.
    corrections : tuple of str
        The teacher's verdicts.
    note : str
        To the student.
    taken_back : tuple of str
        Places of the teacher's verdicts that hold no longer, or ``note``.
    n_jobs : int
        How many at once; 0 for one a core.
    cluster : str
        Address of a Dask scheduler.
    demonstration : Path or None
        The recording that was set, whose own times count.
    """

    names: str = ""
    students: Path | None = None
    before: Path | None = None
    corrections: tuple[str, ...] = ()
    note: str = ""
    taken_back: tuple[str, ...] = ()
    n_jobs: int = 0
    cluster: str = ""
    demonstration: Path | None = None


def read_set(text: str, *, overwrite: bool = False) -> tuple[Assignment, str]:
    """Read what was set, and say before any recording is read what of it cannot be played.

    Returns
    -------
    Assignment
    str
        What to tell the teacher; empty where there is nothing.

    Raises
    ------
    ListenError
        It cannot be read, or a chord cannot be held.
    """
    from listen.assessment import check_playable
    from listen.audio import RECORDING_ENDINGS
    from listen.document import load_part, looks_like_chart, parse_chart, parse_chords, read_chart
    from listen.export import part_to_assignment

    if not text.strip():
        raise BadValueError(
            'SET is empty: give a chart, a recording to play as, or chords in quotes ("C G Am F"); '
            "--new CHART writes one to fill in."
        )
    path = Path(text)
    try:
        is_file, is_there = path.is_file(), path.exists()
    except (OSError, ValueError):  # too long for a name, or with a zero byte
        is_file = is_there = False
    suffix, note = path.suffix.lower(), ""
    if is_file and suffix == ".json":
        assignment = part_to_assignment(load_part(path))
    elif is_file and suffix in RECORDING_ENDINGS:
        assignment, note = _read_demonstration(path, overwrite=overwrite)
    elif is_file:
        assignment = read_chart(path)
    elif is_there and _looks_like_file(text):
        raise BadValueError(f"{text} is no ordinary file: give a chart, a recording, or chords in quotes.")
    elif _looks_like_file(text):
        raise BadValueError(f"{text} is not there: check the name, or write chords in quotes.")
    elif looks_like_chart(text):
        assignment = parse_chart(text, name="SET")
    else:
        assignment = parse_chords(text)
    check_playable(assignment)
    return assignment, note


def write_out_chords(text: str) -> str:
    """Return a few chords, typed where a chart is asked for, as the chart that they are; a chart as it is.

    Raises
    ------
    DocumentError
        One of them is neither a chord nor frets.

    Examples
    --------
    >>> print(write_out_chords("C G"))
    title: C G
    free time
    <BLANKLINE>
    | C | G |
    <BLANKLINE>
    >>> write_out_chords("| C | G |")
    '| C | G |'
    """
    from listen.document import are_chords, parse_chords, render_chart_text

    return render_chart_text(parse_chords(text, name=TYPED_CHART)) if are_chords(text) else text


def find_demonstration(text: str) -> Path | None:
    """Return the recording that was set; None where a chart, a part or chords were."""
    from listen.audio import RECORDING_ENDINGS

    path = Path(text)
    return path if path.suffix.lower() in RECORDING_ENDINGS and path.is_file() else None


def _looks_like_file(text: str) -> bool:
    """Tell whether a text is meant as a file's name: bars, several lines and a line of a chart's head are none."""
    from listen.audio import RECORDING_ENDINGS

    typed = text.strip()
    if "|" in typed or "\n" in typed:
        return False
    if Path(text).suffix.lower() in {*CHART_ENDINGS, ".json", *RECORDING_ENDINGS}:
        return True
    return "/" in typed.strip("/ ") and not re.search(r"[A-G][^ /]*/[A-G]|^[a-z]+: ", typed)


def _read_demonstration(path: Path, *, overwrite: bool) -> tuple[Assignment, str]:
    """Read the teacher's own recording once; its chart is written beside it, to be corrected."""
    from listen.document import read_chart, render_chart_text, write_file
    from listen.export import part_to_assignment
    from listen.transcription import PartSettings

    chart = path.with_suffix(".chart")
    if chart.is_file() and not overwrite:
        note = f"{chart} is what was read of {path.name}, with your corrections; --overwrite reads it anew."
        return read_chart(chart), note
    part = conclude_part(hear_recording(path), PartSettings())
    assignment = part_to_assignment(part)
    warned = "".join(f" {path.name}: {warning}" for warning in part.warnings)
    try:
        write_file(chart, render_chart_text(assignment), overwrite=overwrite)
    except DocumentError as error:  # a folder for all to read, an old disc: what was read is as good
        return assignment, (
            f"{error} What was read of {path.name} is set all the same, and is read anew each time; "
            f"'listen part {path} -o {chart.name}' writes its chart elsewhere, to be corrected and set in its place."
            + warned
        )
    return assignment, f"{chart} was written: what was read of {path.name}. Correct it if something is wrong.{warned}"


def find_tolerances(path: Path | None) -> tuple[Tolerances, str]:
    """Return the tolerances, and what to tell: a file that is not there yet is written with the usual ones."""
    from listen.document import read_tolerances, render_tolerances, write_file
    from listen.reading import Tolerances

    if path is None:
        return Tolerances(), ""
    note = ""
    if not path.exists():
        write_file(path, render_tolerances())
        note = f"{path} was written with the usual values: edit it, and give it again."
    return read_tolerances(path), note


_PLACE = re.compile(r"(\d{1,4})(?:\.(\d{1,2})(½|\.5)?)?")


def parse_correction(text: str) -> TeacherWord:
    """Read a verdict: ``5=right``, ``5.3=wrong``.

    Examples
    --------
    >>> word = parse_correction("5.3=right")
    >>> word.bar, word.beat, word.verdict
    (5, 3.0, 'right')
    """
    from listen.reading import TeacherWord

    where, _, verdict = (word.strip() for word in text.lower().partition("="))
    place = _parse_place(where)
    if place is None or verdict not in {"right", "wrong"}:
        raise bad_value(
            "correct", text, allowed="a bar, or bar and beat, and right or wrong", remedy="Write 5=right or 5.3=wrong."
        )
    return TeacherWord(*place, "right" if verdict == "right" else "wrong")


def _parse_place(text: str) -> tuple[int, float | None] | None:
    """Read a bar, or a bar and a beat."""
    match = _PLACE.fullmatch(text)
    if match is None:
        return None
    return int(match[1]), None if match[2] is None else int(match[2]) + (0.5 if match[3] else 0.0)


def take_back_asked(words: TeacherWords, asked: CheckAsked) -> TeacherWords:
    """Return the teacher's words without those that were taken back.

    Raises
    ------
    BadValueError
        Nothing was said there.
    """
    from listen.assessment import take_back_place
    from listen.reading import TeacherWords

    for text in asked.taken_back:
        typed = text.strip().lower()
        place = _parse_place(typed)
        left = words
        if typed == NOTE:
            left = TeacherWords(words.words)
        elif place is not None:
            left = take_back_place(words, *place)
        if left == words:
            said = [*dict.fromkeys(_place_text(one) for one in words.words), *([NOTE] if words.note else [])]
            allowed = f"what you said before: {', '.join(said)}" if said else "what you said before, which is nothing"
            raise bad_value("take-back", text, allowed=allowed)
        words = left
    return words


def _place_text(word: TeacherWord) -> str:
    return f"{word.bar}" if word.beat is None else f"{word.bar}.{word.beat:g}"
