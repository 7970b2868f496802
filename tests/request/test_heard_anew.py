"""A recording is heard anew, and a rest found that was none before: what was settled stays where it was told."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile

from listen.document import load_part, write_part
from listen.document.part_document import document_to_part
from listen.evidence import PartEvidence, TimeSpan
from listen.instrument import STANDARD, parse_shape
from listen.reading import Part, Pin, Settled
from listen.request import AskedChange, Desk, HeardRecording, History, Library, Take, bring_to_library
from listen.request.heard_anew import follow_rewritten
from listen.request.hearing import conclude_part
from listen.request.history import Step
from listen.transcription import PartSettings
from tests.cli.runner import run_listen
from tests.hand_made_parts import straight_part
from tests.transcription.written_strokes import AM, EM, C, D, F, G, hear_bars

PLAYED = tuple(pitches for pitches in (C, G, AM, F, C, EM, D, G) for _ in range(4))
IN_REST = (10, 11)  # strokes of bar 3 that are not played
REST = TimeSpan(5.9, 7.0)
IN_4_4 = PartSettings(tuning=STANDARD, capo_fret=0, metre=(4, 4))


def _hear(*, rest: bool, lost: tuple[int, ...] = ()) -> HeardRecording:
    evidence: PartEvidence = hear_bars(PLAYED, lost=(*IN_REST, *lost))
    evidence = replace(evidence, span=TimeSpan(0.0, 17.5), quiet=(REST,) if rest else ())
    return HeardRecording(evidence, "evening.wav", "mix", 17.5)


def _bars(part: Part | None, *, what: str = "name") -> list[str]:
    """List names, pinned shapes or sections, each with the bar in which it is."""
    assert part is not None
    if what == "section":
        at = {event.number: event.position.bar for event in part.events if event.position}
        return [f"{at[one.event_number or 0]} {one.value}" for one in part.settled.corrections if one.what == what]
    spans = [(span, span.position.bar) for span in part.spans if span.position and span.name and span.shape]
    if what == "pin":
        return [f"{bar} {span.shape.shape.text}" for span, bar in spans if span.pinned and span.shape]
    return [f"{bar} {span.name.chord.text}" for span, bar in spans if span.name]


def _change(desk: Desk, take: Take, change: AskedChange) -> History:
    return desk.change(take.ident, change, version=desk.library.history(take.ident).version).history


def _chord(part: Part | None, bar: int) -> int:
    assert part is not None
    return next(at for at, span in enumerate(part.spans) if span.position and span.position.bar == bar)


def _settle(library: Library, take: Take, monkeypatch: pytest.MonkeyPatch) -> None:
    """Settle a name, a shape and a section in a take as an older program heard it, and take the last step back."""
    monkeypatch.setattr("listen.request.desk.hear_for_part", lambda *_: _hear(rest=False))
    desk = Desk(library)
    part = desk.open(take.ident).part
    _change(desk, take, AskedChange("name", "C6", chord=_chord(part, 5)))
    _change(desk, take, AskedChange("shape", "x5423x", chord=_chord(part, 7)))
    _change(desk, take, AskedChange("section", "Verse two", bar=5))
    _change(desk, take, AskedChange("name", "Em7", chord=_chord(part, 6)))
    desk.undo(take.ident, version=library.history(take.ident).version)
    path = library.folder_of(take.ident) / "settled.json"
    written = json.loads(path.read_text("utf-8"))
    written.pop("counts", None)
    path.write_text(json.dumps(written), "utf-8")
    monkeypatch.setattr("listen.request.desk.hear_for_part", lambda *_: _hear(rest=True))


@pytest.fixture
def heard_before(library: Library, monkeypatch: pytest.MonkeyPatch) -> Take:
    take = library.add("evening.wav", ".wav")
    (library.folder_of(take.ident) / "recording.wav").write_bytes(b"RIFF")
    library.begin(take, conclude_part(_hear(rest=False), IN_4_4))
    take = library.save(replace(take, state="read"))
    _settle(library, take, monkeypatch)
    return take


NAMES = ["1 C", "2 G", "3 Am", "4 F", "5 C6", "6 Em", "7 D", "8 G"]


def test_what_is_settled_stays_at_its_chords_through_every_step(library: Library, heard_before: Take) -> None:
    take, desk = heard_before, Desk(library)
    _change(desk, take, AskedChange("metre", "4/4"))
    for opened in (desk.open(take.ident), Desk(library).open(take.ident)):
        assert opened.part is not None
        assert "silence" in {event.kind for event in opened.part.events}
        assert _bars(opened.part) == NAMES
        assert _bars(opened.part, what="pin") == ["7 x5423x"]
        assert _bars(opened.part, what="section") == ["5 Verse two"]
    while desk.open(take.ident).history.undone:
        opened = desk.undo(take.ident, version=library.history(take.ident).version)
        named, pinned, said = (_bars(opened.part, what=what) for what in ("name", "pin", "section"))
        assert named in (NAMES, [*NAMES[:4], "5 C", *NAMES[5:]])
        assert (pinned, said) in ((["7 x5423x"], ["5 Verse two"]), (["7 x5423x"], []), ([], []))
    assert named[4] == "5 C"
    while desk.open(take.ident).history.redone:
        opened = desk.redo(take.ident, version=library.history(take.ident).version)
    assert (_bars(opened.part), _bars(opened.part, what="pin")) == (NAMES, ["7 x5423x"])
    assert _bars(opened.part, what="section") == ["5 Verse two"]


@pytest.mark.parametrize("is_outside", [False, True])
def test_a_program_that_was_killed_before_the_part_was_written_moves_nothing_twice(
    library: Library, heard_before: Take, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, is_outside: bool
) -> None:
    take = heard_before
    if is_outside:
        path = write_part(conclude_part(_hear(rest=False), IN_4_4), tmp_path / "evening.json")
        (tmp_path / "evening.wav").write_bytes(b"RIFF")
        take = library.save(replace(bring_to_library(library, path), state="read"))
        _settle(library, take, monkeypatch)

    def kill(*_: object) -> None:
        raise KeyboardInterrupt

    with monkeypatch.context() as killed:
        killed.setattr(library, "write_part", kill)
        with pytest.raises(KeyboardInterrupt):
            _change(Desk(library), take, AskedChange("key", "C major"))
    opened = Desk(library).open(take.ident)
    assert opened.history.undone == "key C major"
    assert (_bars(opened.part), _bars(opened.part, what="pin")) == (NAMES, ["7 x5423x"])


def test_what_finds_no_place_is_kept_and_holds_nothing(
    library: Library, heard_before: Take, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("listen.request.desk.hear_for_part", lambda *_: _hear(rest=True, lost=(24,)))  # of bar 7
    take, desk = heard_before, Desk(library)
    _change(desk, take, AskedChange("section", "Coda", bar=7))
    for key in ("C major", "G major"):
        _change(desk, take, AskedChange("key", key))
        part = desk.open(take.ident).part
        assert part is not None
        assert [pin.shape.text for pin in part.settled.pins] == ["x5423x"]
        assert _bars(part, what="pin") == []
        assert [one.value for one in part.settled.corrections if one.what == "section"] == ["Verse two", "Coda"]
        for said in ("=x5423x that was kept points to no chord of", "=Coda that was kept points to no event of"):
            assert any(said in warning for warning in part.warnings)


def test_what_a_part_keeps_stays_at_its_chords_on_the_command_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take, kept = tmp_path / "evening.wav", tmp_path / "kept.json"
    soundfile.write(take, np.zeros(8000), 8000)
    told = ("--tuning", "standard", "--capo", "0", "--metre", "4/4")
    monkeypatch.setattr("listen.request.hearing.hear_recording", lambda *_, **__: _hear(rest=False))
    first = conclude_part(_hear(rest=False), IN_4_4)
    number = {bar: first.events[first.spans[_chord(first, bar)].first_event].number for bar in (5, 6, 7)}
    settled = ("--name", f"{number[5]}=C6", "--pin", f"{number[7]}=x5423x", "--section", f"{number[5]}=Verse two")
    assert run_listen("part", str(take), *told, *settled, "-o", str(kept)).status == 0
    as_it_was = kept.read_bytes()
    again = tmp_path / "again.json"
    run_listen("part", str(take), "--keep", str(kept), "-o", str(again))
    assert load_part(again).settled == load_part(kept).settled  # the same evidence: the numbers stay
    monkeypatch.setattr("listen.request.hearing.hear_recording", lambda *_, **__: _hear(rest=True))
    anew = tmp_path / "anew.json"
    late = str(number[5])  # now the last stroke of bar 4: it takes the place of nothing that was kept
    for words in (("--keep", str(kept), "-o", str(anew)), ("-o", str(kept), "--overwrite")):
        read = run_listen("part", str(take), *words, "--section", f"{late}=Break")
        assert (read.status, read.err) == (0, f"{words[words.index('-o') + 1]} was written.\n"), read.err
    for path in (anew, kept):
        part = load_part(path)
        assert _bars(part) == NAMES
        assert _bars(part, what="pin") == ["7 x5423x"]
        assert _bars(part, what="section") == ["5 Verse two", "4 Break"]
    assert kept.read_bytes() != as_it_was


def _settle_elsewhere(library: Library, folder: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Take, Path]:
    """Settle as :func:`_settle` in a document outside the library, with its recording beside it."""
    path = write_part(conclude_part(_hear(rest=False), IN_4_4), folder / "evening.json")
    soundfile.write(folder / "evening.wav", np.zeros(8000), 8000)
    take = library.save(replace(bring_to_library(library, path), state="read"))
    _settle(library, take, monkeypatch)
    return take, path


def test_a_document_that_a_newer_program_read_anew_holds_what_was_settled_and_no_changes_of_another(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take, path = _settle_elsewhere(library, tmp_path, monkeypatch)
    before, desk = library.history(take.ident), Desk(library)
    monkeypatch.setattr("listen.request.hearing.hear_recording", lambda *_, **__: _hear(rest=True))
    read = run_listen("part", str(tmp_path / "evening.wav"), "-o", str(path), "--overwrite")
    assert read.status == 0, read.err
    assert load_part(path).settled != before.now.settled  # a rest more: other numbers
    opened = desk.open(take.ident)
    assert [step.label for step in opened.history.steps] == [step.label for step in before.steps]
    assert (opened.history.undone, opened.history.redone) == (before.undone, before.redone)
    assert opened.history.version == before.version + 1  # who saw the older reading is told
    assert opened.part == load_part(path)
    for which, names in (("redo", [*NAMES[:5], "6 Em7", *NAMES[6:]]), ("undo", NAMES)):
        opened = getattr(desk, which)(take.ident, version=opened.history.version)
        assert _bars(opened.part) == names
        assert _bars(opened.part, what="pin") == ["7 x5423x"]
        assert _bars(opened.part, what="section") == ["5 Verse two"]
    while desk.open(take.ident).history.undone:
        opened = desk.undo(take.ident, version=library.history(take.ident).version)
    assert _bars(opened.part)[4] == "5 C"
    assert _bars(opened.part, what="pin") == []


def test_a_shape_that_another_program_pinned_at_another_chord_is_a_change(
    library: Library, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take, path = _settle_elsewhere(library, tmp_path, monkeypatch)
    part = load_part(path)
    last = part.events[part.spans[_chord(part, 8)].first_event].number
    moved = tuple(replace(pin, event_number=last) for pin in part.settled.pins)
    path.unlink()  # as by hand
    write_part(replace(part, settled=replace(part.settled, pins=moved)), path)
    opened = Desk(library).open(take.ident)
    assert opened.history.undone == "changes of another program"
    assert [pin.event_number for pin in opened.history.now.pins] == [last]


def test_a_part_that_is_kept_is_read_once_and_what_is_wrong_in_it_is_said_before_anything_is_heard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take, kept = tmp_path / "evening.wav", tmp_path / "kept.json"
    soundfile.write(take, np.zeros(8000), 8000)
    write_part(conclude_part(_hear(rest=False), IN_4_4), kept)
    n_heard, read = 0, []

    def hear(*_: object, **__: object) -> HeardRecording:
        nonlocal n_heard
        n_heard += 1
        return _hear(rest=False)

    def parse(document: Any, *, name: str) -> Part:
        read.append(name)
        return document_to_part(document, name=name)

    monkeypatch.setattr("listen.request.hearing.hear_recording", hear)
    monkeypatch.setattr("listen.document.part_file.document_to_part", parse)
    assert run_listen("part", str(take), "--keep", str(kept)).status == 0
    assert (read, n_heard) == ([str(kept)], 1)
    kept.write_text("{}")
    assert run_listen("part", str(take), "--keep", str(kept)).status == 2
    assert n_heard == 1


def test_a_version_that_no_step_of_the_history_has_says_nothing_of_its_numbers() -> None:
    """It may count the events of another reading: that its event 2 is event 2 now does not move what is settled."""
    pin = Pin(parse_shape("320003"), event_number=2)
    history = History().take_step(Step("pinned", (pin,)))
    now = replace(straight_part(), settled=Settled((replace(pin, event_number=3),)))
    stranger = replace(now, settled=Settled((replace(pin, event_number=2), replace(pin, event_number=5))))
    followed = follow_rewritten(history, [stranger], now)
    assert followed is not None
    assert followed.now.pins == now.settled.pins
