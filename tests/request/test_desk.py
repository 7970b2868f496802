"""Corrections at the desk: what was found of the guitar holds until something else is told."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from listen.instrument import Fretboard, parse_tuning
from listen.reading import Correction, Part, Settled, SetupHypothesis
from listen.request import AskedChange, Desk, HeardRecording, Library
from listen.transcription import PartSettings
from tests.hand_made_parts import Scene, waltz_part

FOUND = Fretboard(parse_tuning("drop D"), 24, 3)


def _lay_on_desk(part: Part, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> tuple[Desk, str, list[PartSettings]]:
    """Bring a part to a library; readings of it find nothing of the guitar, and what each was told is listed."""
    library = Library(tmp_path / "library")
    take = library.add("evening.wav", ".wav")
    (library.folder_of(take.ident) / "recording.wav").write_bytes(b"RIFF")
    library.begin(take, part)
    library.save(replace(take, state="read"))
    asked: list[PartSettings] = []

    def conclude(_: HeardRecording, settings: PartSettings) -> Part:
        asked.append(settings)
        return replace(part, setups=(), settled=Settled(settings.pins, settings.corrections))

    monkeypatch.setattr("listen.request.desk.hear_for_part", lambda *_: None)
    monkeypatch.setattr("listen.request.desk.conclude_part", conclude)
    return Desk(library), take.ident, asked


def test_capo_and_tuning_that_were_found_hold_while_something_else_is_corrected(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = replace(
        waltz_part(), fretboard=FOUND, settled=Settled(), setups=(SetupHypothesis(FOUND, 4.0, 0.9, "Capo 3"),)
    )
    desk, ident, asked = _lay_on_desk(part, tmp_path, monkeypatch)
    keyed = desk.change(ident, AskedChange("key", "C major"), version=1)
    assert (asked[-1].tuning, asked[-1].n_frets, asked[-1].capo_fret) == (FOUND.tuning, 24, 3)
    assert keyed.part is not None
    assert keyed.part.setups == part.setups
    told = desk.change(ident, AskedChange("capo", "5"), version=2)
    assert (asked[-1].tuning, asked[-1].capo_fret) == (None, 5)
    assert told.part is not None
    assert told.part.setups == ()
    back = desk.undo(ident, version=3)  # a capo that is told no more is looked for again
    assert (asked[-1].tuning, asked[-1].capo_fret) == (None, None)
    assert back.history.now.label == keyed.history.now.label


def test_a_chord_that_was_held_on_may_hold_nothing_by_now(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was struck before the stop may be called otherwise after a change of something else: no error."""
    scene = Scene()
    scene.chord("C", "x32010")
    scene.strum(1, 0)
    scene.chord("G", "320003")
    scene.strum(3, 0)
    held_on, named = Correction("name", "C", bar=2), Correction("name", "G", bar=3)
    part = replace(scene.part(3), settled=Settled(corrections=(held_on, named)))
    desk, ident, asked = _lay_on_desk(part, tmp_path, monkeypatch)
    desk.change(ident, AskedChange("key", "C major"), version=1)  # all is kept from the reading before
    desk.change(ident, AskedChange("key", "G major"), version=2)
    assert {held_on, named} <= set(asked[-1].corrections)
    assert asked[-1].kept == (held_on,)
