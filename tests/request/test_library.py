"""The library: nothing that a person settled is lost, whatever happens in between."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import pytest

from listen.document import load_part, write_part
from listen.errors import BadValueError, DocumentError, RecordingError
from listen.reading import Correction, Part
from listen.request import (
    AskedChange,
    ChangedMeanwhileError,
    Desk,
    History,
    Library,
    NotInLibraryError,
    Step,
    Take,
    bring_in,
    bring_to_library,
)
from listen.request.changes import take_step
from listen.request.history import document_to_history, history_to_document
from tests.hand_made_parts import straight_part


def _settled(history: History, part: Part, title: str) -> tuple[History, Part]:
    told = (Correction("title", title),)
    return history.take_step(Step(title, (), told)), replace(part, settled=replace(part.settled, corrections=told))


def test_steps_are_taken_back_and_again_without_end(library: Library, take: Take) -> None:
    part = library.part(take)
    assert part is not None
    history = library.history(take.ident)
    for number in range(14):
        history, part = _settled(history, part, f"title {number}")
        library.settle(take, history, part)
    kept = library.history(take.ident)
    for number in reversed(range(13)):
        kept = kept.undo()
        assert kept.now.label == f"title {number}"
    assert kept.undo().undone == ""
    assert kept.redo().now.label == "title 1"


def test_a_step_after_one_that_was_taken_back_forgets_it() -> None:
    history = History().take_step(Step("one")).take_step(Step("two")).undo().take_step(Step("three"))
    assert [step.label for step in history.steps] == ["", "one", "three"]
    assert (history.now.label, history.undone, history.redone) == ("three", "three", "")
    assert history.undo().now.label == "one"


def test_the_last_ten_versions_are_kept(library: Library, take: Take) -> None:
    part = library.part(take)
    assert part is not None
    history = library.history(take.ident)
    for number in range(14):
        history, part = _settled(history, part, f"title {number}")
        library.settle(take, history, part)
    kept = sorted((library.folder_of(take.ident) / "versions").iterdir())
    assert len(kept) == 10
    assert load_part(kept[-1]).settled.corrections == (Correction("title", "title 12"),)


def test_what_was_changed_meanwhile_is_not_overwritten(library: Library, take: Take) -> None:
    part = library.part(take)
    assert part is not None
    seen = library.history(take.ident)
    history, changed = _settled(seen, part, "mine")
    library.settle(take, history, changed)
    history, changed = _settled(seen, part, "theirs")
    with pytest.raises(ChangedMeanwhileError):
        library.settle(take, history, changed)
    assert library.history(take.ident).now.label == "mine"


def test_a_history_is_read_back_as_it_was_written() -> None:
    part = straight_part()
    step = take_step(part, Step(), AskedChange("shape", "x32010", chord=0))
    step = take_step(part, step, AskedChange("name", "Am7", chord=1, everywhere=True))
    step = take_step(part, step, AskedChange("bass", "E2", chord=1))
    step = take_step(part, step, AskedChange("section", "Verse", bar=1))
    history = History().take_step(step)
    plain = json.loads(json.dumps(history_to_document(history)))
    assert document_to_history(plain, name="settled.json") == history


def test_a_change_of_a_chord_replaces_the_one_before_it() -> None:
    part = straight_part()
    once = take_step(part, Step(), AskedChange("name", "Am7", chord=1))
    twice = take_step(part, once, AskedChange("name", "C6", chord=1))
    assert [one.value for one in twice.corrections if one.what == "name"] == ["C6"]
    pinned = take_step(part, twice, AskedChange("shape", "x02010", chord=1))
    assert len(pinned.pins) == 1
    assert take_step(part, pinned, AskedChange("heard shape", chord=1)).pins == ()


def test_a_chord_has_one_told_bass() -> None:
    part = straight_part()
    once = take_step(part, Step(), AskedChange("bass", "E2", chord=1))
    step = take_step(part, once, AskedChange("bass", "A2", chord=1))
    assert [one.value.split()[0] for one in step.corrections] == ["A2"]
    step = take_step(part, step, AskedChange("bass", "E2", chord=0))
    assert [one.value.split()[0] for one in step.corrections] == ["A2", "E2"]


@pytest.mark.parametrize(
    ("change", "said"),
    [
        (AskedChange("colour", "red"), "what=colour"),
        (AskedChange("name", "Qx", chord=0), "Qx"),
        (AskedChange("name", "Am", chord=999), "chord=999"),
        (AskedChange("shape", "x3", chord=0), "x3"),
        (AskedChange("note", "H9", chord=0), "note=H9"),
        (AskedChange("bass", "C2", chord=0), "bass=C2 is not possible: it takes what the strings can sound"),
        (AskedChange("section", "Verse", bar=999), "bar=999"),
        (AskedChange("title", "a\nb"), "one line"),
    ],
)
def test_what_cannot_be_settled_is_refused(change: AskedChange, said: str) -> None:
    with pytest.raises(BadValueError, match=said):
        take_step(straight_part(), Step(), change)


def test_what_is_thrown_away_comes_back(library: Library, take: Take) -> None:
    library.throw_away(take.ident)
    with pytest.raises(NotInLibraryError):
        library.take(take.ident)
    assert library.list_takes() == ()
    assert library.bring_back(take.ident) == take
    assert library.part(take) is not None


def test_what_cannot_be_moved_is_one_sentence_and_stays(library: Library, take: Take) -> None:
    here, aside = library.folder_of(take.ident), library.folder / "thrown-away" / take.ident
    (aside / "in the way").mkdir(parents=True)
    with pytest.raises(DocumentError, match="could not be moved"):
        library.throw_away(take.ident)
    assert library.take(take.ident) == take
    (aside / "in the way").rmdir()
    library.throw_away(take.ident)
    (here / "in the way").mkdir(parents=True)
    with pytest.raises(DocumentError, match="could not be moved"):
        library.bring_back(take.ident)
    assert (aside / "take.json").is_file()


KEEP_SETTLING = """
import sys
from dataclasses import replace
from pathlib import Path
from listen.reading import Correction
from listen.request import Library, Step
library = Library(Path(sys.argv[1]))
take = library.list_takes()[0]
part, history = library.part(take), library.history(take.ident)
print("go", flush=True)
for number in range(100000):
    told = (Correction("title", f"title {number}"),)
    history = history.take_step(Step(f"title {number}", (), told))
    part = replace(part, settled=history.now.settled)
    library.settle(take, history, part)
    print(number, flush=True)
"""


def test_a_kill_in_mid_save_loses_nothing_that_was_said_to_be_saved(library: Library, take: Take) -> None:
    environment = {**os.environ, "PYTHONPATH": str(Path.cwd())}
    for pause_s in (0.0, 0.007):
        process = subprocess.Popen(
            [sys.executable, "-c", KEEP_SETTLING, str(library.folder)],
            stdout=subprocess.PIPE,
            text=True,
            env=environment,
        )
        assert process.stdout is not None
        for line in process.stdout:
            if line.strip() == "4":
                break
        time.sleep(pause_s)
        process.send_signal(signal.SIGKILL)
        rest = process.stdout.read().split()
        process.stdout.close()
        process.wait()
        said = int(rest[-1]) if rest else 4
        history = library.history(take.ident)
        assert history.now.label in (f"title {said}", f"title {said + 1}")
        part = library.part(take)
        assert part is not None
        assert part.settled.corrections in (
            (Correction("title", f"title {said}"),),
            (Correction("title", f"title {said + 1}"),),
        )
        assert library.take(take.ident).state == "read"


def test_a_document_elsewhere_is_worked_on_there_and_not_touched_before(library: Library, tmp_path: Path) -> None:
    path = tmp_path / "evening.json"
    write_part(straight_part(), path)
    before = path.read_bytes()
    path.write_bytes(before := before + b"\n")  # as no program writes it
    take = bring_to_library(library, path)
    assert bring_to_library(library, path).ident == take.ident
    opened = Desk(library).open(take.ident)
    assert opened.part == load_part(path)
    assert path.read_bytes() == before


def test_what_another_program_settled_in_a_document_becomes_a_step(library: Library, tmp_path: Path) -> None:
    path = tmp_path / "evening.json"
    write_part(straight_part(), path)
    take = bring_to_library(library, path)
    desk = Desk(library)
    version = desk.open(take.ident).history.version
    theirs = replace(
        straight_part(),
        settled=replace(
            straight_part().settled, corrections=(*straight_part().settled.corrections, Correction("title", "theirs"))
        ),
    )
    write_part(theirs, path, overwrite=True)
    opened = desk.open(take.ident)
    assert opened.part is not None
    assert opened.part.settled.corrections[-1].value == "theirs"
    assert opened.history.undone == "changes of another program"
    with pytest.raises(ChangedMeanwhileError, match="changed in another tab or program"):
        desk.change(take.ident, AskedChange("title", "mine"), version=version)
    assert load_part(path).settled.corrections[-1].value == "theirs"


def test_without_its_recording_a_part_says_so(library: Library, take: Take) -> None:
    desk = Desk(library)
    version = desk.open(take.ident).history.version
    with pytest.raises(RecordingError, match="not where it was"):
        desk.change(take.ident, AskedChange("key", "C major"), version=version)
    assert desk.open(take.ident).history.undone == ""
    titled = desk.change(take.ident, AskedChange("title", "Evening"), version=version)  # words need no recording
    assert titled.part is not None
    assert titled.part.settled.corrections == (Correction("title", "Evening"),)


def test_a_name_that_is_given_while_the_sound_is_decoded_stays(
    library: Library, take: Take, monkeypatch: pytest.MonkeyPatch
) -> None:
    def rename(*_: object) -> float:
        Desk(library).rename(take.ident, "My song")
        return 2.0

    monkeypatch.setattr(sys.modules["listen.request.bring_in"], "prepare_sound", rename)
    with pytest.raises(RecordingError):  # there are no bytes to hear
        bring_in(library, take, lambda _: None)
    kept = library.take(take.ident)
    assert (kept.name, kept.state, kept.duration_s) == ("My song", "reading", 2.0)


def test_why_a_take_cannot_be_changed_is_said_as_it_is(library: Library, take: Take) -> None:
    title, desk = AskedChange("title", "Evening"), Desk(library)
    version = desk.open(take.ident).history.version
    for state, said in (("waiting", "still being read"), ("reading", "still being read"), ("failed", "read it again")):
        library.save(replace(take, state=state))
        with pytest.raises(RecordingError, match=said):
            desk.change(take.ident, title, version=version)
    library.save(replace(take, state="read"))
    library.document_of(take).unlink()
    with pytest.raises(RecordingError, match="is not there, so there is nothing"):
        desk.change(take.ident, title, version=version)


def test_a_document_whose_recording_could_not_be_read_can_be_changed(library: Library, tmp_path: Path) -> None:
    path = tmp_path / "evening.json"
    write_part(straight_part(), path)
    take = library.save(replace(bring_to_library(library, path), state="failed", message="It is damaged."))
    opened = Desk(library).change(take.ident, AskedChange("title", "Evening"), version=1)
    assert opened.part == load_part(path)
    assert load_part(path).settled.corrections[-1] == Correction("title", "Evening")
