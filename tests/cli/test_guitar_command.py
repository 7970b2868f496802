"""``listen guitar``: a guitar is learnt, shown, used by ``listen strum``, and forgotten."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import soundfile

from listen.instrument import STANDARD, Fretboard, parse_shape
from listen.synthesis import PluckedNote, StrumStyle, Tone, render_notes, render_shape
from tests.cli.runner import run_listen, run_wrong

RATE_HZ = 22_050
TONE = Tone(sample_rate_hz=RATE_HZ, seed=2)


@pytest.fixture(autouse=True)
def _folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_GUITARS", str(tmp_path / "guitars"))


@pytest.fixture(scope="module")
def strings(tmp_path_factory: pytest.TempPathFactory) -> str:
    path = tmp_path_factory.mktemp("guitar") / "strings.wav"
    notes = tuple(
        PluckedNote(0.3 + 1.2 * place, pitch, string=place, kind=place, duration_s=1.1)
        for place, pitch in enumerate(STANDARD.open_strings)
    )
    soundfile.write(path, render_notes(notes, tone=TONE, duration_s=8.0), RATE_HZ)
    return str(path)


def test_a_guitar_is_learnt_shown_listed_and_forgotten(strings: str) -> None:
    added = run_listen("guitar", "add", "Old Steel", strings)
    assert added.status == 0
    assert added.err == ""
    assert "learnt from 6 open strings, in strings.wav" in added.out
    assert run_listen("guitar", "show", "old steel").out in added.out
    assert run_listen("guitar", "list").out.startswith("Old Steel  standard tuning, learnt from 6 open strings")
    document = json.loads(run_listen("guitar", "show", "Old Steel", "--json").out)
    assert document["format"] == "listen.guitar/1"
    assert "already" in run_wrong("guitar", "add", "old steel", strings)
    assert run_listen("guitar", "add", "old steel", strings, "--overwrite").status == 0
    assert "was removed" in run_listen("guitar", "remove", "old steel").out
    assert "No guitar was learnt yet" in run_listen("guitar", "list").err


def test_a_strum_is_placed_by_the_guitar_that_played_it(strings: str, tmp_path: Path) -> None:
    """The same notes as x32010, higher up the neck; only the strings' stiffness tells."""
    run_listen("guitar", "add", "steel", strings)
    samples = render_shape(parse_shape("8755xx"), Fretboard(), settings=StrumStyle(tone=TONE, duration_s=2.0))
    path = tmp_path / "strum.wav"
    soundfile.write(path, samples, RATE_HZ)
    read = json.loads(run_listen("strum", str(path), "--guitar", "steel", "--json").out)
    first = read["shapes"][0]
    sounding = [None if place in first["silent"] else fret for place, fret in enumerate(first["frets"])]
    assert sounding == [8, 7, 5, 5, None, None]


def test_the_guitars_own_tuning_is_taken_unless_another_is_given(strings: str, tmp_path: Path) -> None:
    lowered = tmp_path / "guitars" / "low.json"
    run_listen("guitar", "add", "low", strings)
    document = json.loads(lowered.read_text("utf-8"))
    document["tuning"] = {"name": "drop D", "open_strings": ["D2", "A2", "D3", "G3", "B3", "E4"]}
    lowered.write_text(json.dumps(document), "utf-8")
    read = json.loads(run_listen("strum", strings, "--guitar", "low", "--json").out)
    assert read["tuning"] == "D2 A2 D3 G3 B3 E4"
    assert "as many strings as low has, 6" in run_wrong("strum", strings, "--guitar", "low", "--tuning", "ukulele")


def test_what_cannot_be_is_said_in_one_sentence(strings: str, tmp_path: Path) -> None:
    assert "guitar add NAME FILE" in run_wrong("strum", strings, "--guitar", "none")
    assert "letters, digits" in run_wrong("guitar", "add", "../x", strings)
    assert "gone.wav" in run_wrong("guitar", "add", "x", str(tmp_path / "gone.wav"))
    assert "does not hold all of the open strings" in run_wrong("guitar", "add", "x", strings, "--tuning", "DGDGBD")
    assert not (tmp_path / "guitars").exists()
    assert "the name of a guitar" in run_wrong("guitar", "show", "x")


def test_a_damaged_guitar_does_not_hide_the_others(strings: str, tmp_path: Path) -> None:
    run_listen("guitar", "add", "good", strings)
    (tmp_path / "guitars" / "bad.json").write_text("{", "utf-8")
    listed = run_listen("guitar", "list")
    assert listed.out.startswith("good")
    assert "bad.json is damaged" in listed.err
