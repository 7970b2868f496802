"""Two programs on one library: what one changed is never lost to the other."""

from __future__ import annotations

import json
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import asdict, replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

import listen.audio
from listen.document import load_part, write_part
from listen.reading import Correction, Part, Settled
from listen.request import (
    AskedChange,
    ChangedMeanwhileError,
    Desk,
    History,
    HomeworkShelf,
    Library,
    Step,
    Take,
    bring_homework,
    bring_to_library,
)
from listen.request.bring_in import prepare_sound
from tests.hand_made_parts import straight_part

CHART = "free time\n| C | G |\n"


@pytest.fixture
def elsewhere(tmp_path: Path) -> Path:
    """A part document outside the library."""
    return write_part(straight_part(), tmp_path / "evening.json")


def _titled(part: Part, title: str) -> Part:
    settled = part.settled
    return replace(part, settled=replace(settled, corrections=(*settled.corrections, Correction("title", title))))


def _take_step(history: History, title: str) -> History:
    return history.take_step(Step(title, (), (Correction("title", title),)))


def test_changes_of_two_programs_at_once_are_all_kept(library: Library, take: Take) -> None:
    part = replace(straight_part(), settled=Settled())

    def settle(name: str) -> None:
        mine = Library(library.folder)  # as another program has it
        for number in range(12):
            while True:
                history = _take_step(mine.history(take.ident), f"{name} {number}")
                try:
                    mine.settle(take, history, replace(part, settled=history.now.settled))
                except ChangedMeanwhileError:
                    continue
                break

    with ThreadPoolExecutor() as programs:
        list(programs.map(settle, "abc"))
    kept = library.history(take.ident)
    assert (kept.version, len(kept.steps)) == (37, 37)
    assert {step.label for step in kept.steps[1:]} == {f"{name} {number}" for name in "abc" for number in range(12)}


def test_what_two_programs_note_of_a_take_at_once_is_all_kept(library: Library, take: Take) -> None:
    def note(name: str) -> bool:
        mine = Library(library.folder)
        for number in range(30):
            mine.note(take.ident, **{name: str(number)})
            if asdict(mine.take(take.ident))[name] != str(number):
                return False
        return True

    with ThreadPoolExecutor() as programs:
        assert list(programs.map(note, ("name", "message"))) == [True, True]


def test_a_document_that_changed_while_a_change_was_decoded_is_not_written_over(
    library: Library, elsewhere: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take, desk = bring_to_library(library, elsewhere), Desk(library)
    version = desk.open(take.ident).history.version
    theirs, conclude = _titled(straight_part(), "theirs"), desk._conclude

    def decode(*words: Any) -> tuple[History, Part]:
        write_part(theirs, elsewhere, overwrite=True)
        return conclude(*words)

    monkeypatch.setattr(desk, "_conclude", decode)
    with pytest.raises(ChangedMeanwhileError, match="changed in another tab or program"):
        desk.change(take.ident, AskedChange("title", "mine"), version=version)
    assert load_part(elsewhere) == theirs
    assert desk.open(take.ident).history.undone == "changes of another program"


def test_a_part_that_lagged_behind_can_be_changed_right_away(library: Library, take: Take) -> None:
    library.write_history(take, _take_step(library.history(take.ident), "Evening"))  # and then the program was killed
    desk = Desk(library)
    opened = desk.open(take.ident)
    assert opened.part is not None
    assert opened.part.settled.corrections == (Correction("title", "Evening"),)
    again = desk.change(take.ident, AskedChange("title", "Morning"), version=opened.history.version)
    assert again.part == library.part(take)


def test_a_document_that_two_programs_bring_in_at_once_is_one_take(library: Library, elsewhere: Path) -> None:
    with ThreadPoolExecutor(6) as programs:
        brought = programs.map(lambda _: bring_to_library(Library(library.folder), elsewhere).ident, range(6))
        assert len(set(brought)) == 1


def test_recordings_that_two_programs_take_in_at_once_all_count(library: Library) -> None:
    ident = HomeworkShelf(library).add(CHART).ident

    def bring(name: str) -> None:
        mine = HomeworkShelf(library)
        for number in range(8):
            with mine.receive(ident, f"{name}{number}.wav") as (_, stream):
                stream.write(b"RIFF")

    with ThreadPoolExecutor() as programs:
        list(programs.map(bring, ("Anna", "Bo", "Cy")))
    kept = HomeworkShelf(library).homework(ident)
    assert kept.students == tuple(f"{name}{number}" for name in ("Anna", "Bo", "Cy") for number in range(8))


def test_homework_that_is_named_again_keeps_what_came_by_the_page(library: Library, tmp_path: Path) -> None:
    chart, named = tmp_path / "week.chart", tmp_path / "takes"
    named.mkdir()
    chart.write_text(CHART)
    (named / "Anna.wav").write_bytes(b"RIFF")
    shelf, ident = HomeworkShelf(library), bring_homework(library, chart, [named]).ident
    for name in ("Dora.wav", "Bo.wav"):
        with shelf.receive(ident, name) as (_, stream):
            stream.write(b"RIFF")
    (named / "Bo.wav").write_bytes(b"RIFX")
    again = bring_homework(library, chart, [named])
    assert (again.ident, again.students) == (ident, ("Anna", "Bo", "Dora"))
    assert again.recordings == (str(named / "Anna.wav"), str(named / "Bo.wav"), "Dora.wav")
    assert [one.student for one in again.taken_out] == ["Bo"]
    assert json.loads((shelf.folder_of(ident) / "homework.json").read_text())["students"] == list(again.students)


def test_homework_that_two_programs_name_at_once_is_one(library: Library, tmp_path: Path) -> None:
    chart = tmp_path / "week.chart"
    chart.write_text(CHART)
    with ThreadPoolExecutor(6) as programs:
        named = programs.map(lambda _: bring_homework(Library(library.folder), chart, []).ident, range(6))
        assert len(set(named)) == 1


def test_a_sound_that_two_programs_make_at_once_is_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    recording, folder = tmp_path / "Anna.wav", tmp_path / "sounds"
    folder.mkdir()
    soundfile.write(recording, np.linspace(-0.5, 0.5, 8000), 8000)
    stream_blocks = listen.audio.stream_blocks

    def stream(*words: Any, **named: Any) -> Iterator[Any]:
        monkeypatch.setattr(listen.audio, "stream_blocks", stream_blocks)
        for block in stream_blocks(*words, **named):
            assert prepare_sound(recording, folder) == 1.0  # another program, in the midst of it
            yield block

    monkeypatch.setattr(listen.audio, "stream_blocks", stream)
    assert prepare_sound(recording, folder) == 1.0
    assert soundfile.info(folder / "sound.flac").frames == 8000
    assert sorted(path.name for path in folder.iterdir()) == ["curve.bin", "sound.flac"]
