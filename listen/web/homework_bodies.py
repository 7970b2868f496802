"""What is asked and told of homework: the bodies of its routes."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, Field

from listen.request import MOST_RECORDINGS
from listen.web.takes import LONGEST_NAME, DamagedAnswer

LONGEST_CHART = 50_000
LONGEST_STUDENT = 255  # letters: a student is called as a file is, which has no more


class HomeworkRow(BaseModel):
    """Some homework in the list."""

    ident: str
    title: str
    added_s: float
    n_students: int
    is_due: bool
    is_running: bool


class HomeworkAnswer(BaseModel):
    """All homework, and which of it cannot be read."""

    homework: list[HomeworkRow]
    damaged: list[DamagedAnswer]


class ClassAnswer(HomeworkRow):
    """A class: what was set, who sent something, and what was found."""

    chart: str
    students: list[str]
    waiting: list[str]
    failures: list[tuple[str, str]]
    taken_out: list[TakenOutAnswer]
    done: int
    html: str


class ChartAsked(BaseModel):
    """A chart, and the one that was seen before it."""

    chart: str = Field(max_length=LONGEST_CHART)
    seen: str = Field("", max_length=LONGEST_CHART)


class StudentNamed(BaseModel):
    """Whose recording is meant."""

    student: str = Field(min_length=1, max_length=LONGEST_STUDENT)


class TakenOutAnswer(BaseModel):
    """A recording that was taken out, and whose recording has its place now, where one has."""

    ident: str
    student: str
    file: str
    rival: str


class FilesNamed(BaseModel):
    """Files that are to come, and the pattern of their names."""

    files: list[Annotated[str, Field(min_length=1, max_length=LONGEST_NAME)]] = Field(max_length=MOST_RECORDINGS)
    names: str = Field("", max_length=LONGEST_NAME)


class OwnerAnswer(BaseModel):
    """Whose a file is, whose recording's place it would take, or why it cannot come."""

    file: str
    student: str
    rival: str
    error: str


class TakenOutNamed(BaseModel):
    """Which recording is to be taken back."""

    taken_out: str = Field(max_length=LONGEST_NAME)


class Template(BaseModel):
    """A chart to fill in."""

    chart: str
