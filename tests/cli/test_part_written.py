"""``listen part PART.json``: a part that was written before, in every form."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
import soundfile

from listen.document import load_part, write_part
from listen.errors import BadValueError
from listen.request import part_file
from tests.cli.runner import run_listen, run_wrong
from tests.hand_made_parts import line_part, straight_part


@pytest.fixture
def written(tmp_path: Path) -> Path:
    return write_part(straight_part(), tmp_path / "part.json")


def test_it_is_shown_as_a_chart_and_as_tablature(written: Path) -> None:
    chart = run_listen("part", str(written))
    assert chart.status == 0
    assert "Cadd9 · &D/F♯ ·" in chart.out or "Cadd9 - &D/F# -" in chart.out
    assert "E |-0---0-0---0-0-0-|" in run_listen("part", str(written), "--tablature").out
    assert "before its beat" in run_listen("part", str(written), "--full").out
    assert "6-" in run_listen("part", str(written), "--numbers", "nashville").out


@pytest.mark.parametrize(
    "options",
    [
        ("--json", "--tablature"),
        ("--json", "--full"),
        ("--tablature", "--full"),
        ("--numbers", "roman", "--sounding"),
    ],
)
def test_two_forms_at_once_are_refused(written: Path, tmp_path: Path, options: tuple[str, ...]) -> None:
    """One of them was printed, and the other went unsaid."""
    out = tmp_path / "a.mid"
    said = run_wrong("part", str(written), *options, "-o", str(out))
    assert "exclude each other" in said
    assert all(option in said for option in options)
    assert not out.exists()


def test_json_gives_the_document_back(written: Path) -> None:
    assert run_listen("part", str(written), "--json").out == written.read_text("utf-8")


def test_it_is_written_in_every_form(written: Path, tmp_path: Path) -> None:
    names = ["a.musicxml", "a.mid", "a.csv", "a.lab", "a.tab", "a.svg", "again.json"]
    words = [word for name in names for word in ("-o", str(tmp_path / name))]
    assert run_listen("part", str(written), *words).status == 0
    starts = [(tmp_path / name).read_bytes()[:4] for name in names]
    assert starts == [b"<?xm", b"MThd", b"numb", b"0.00", b"take", b"<svg", b'{\n "']
    assert load_part(tmp_path / "again.json") == straight_part()


def test_the_sheet_holds_the_recording_where_it_lies_beside_the_part(tmp_path: Path) -> None:
    written = write_part(line_part(), tmp_path / "part.json")
    alone, beside = tmp_path / "alone.html", tmp_path / "beside.html"
    assert run_listen("part", str(written), "-o", str(alone)).status == 0
    soundfile.write(tmp_path / "take one.wav", 0.1 * np.sin(np.arange(10 * 22_050) / 20.0), 22_050)
    assert run_listen("part", str(written), "-o", str(beside)).status == 0
    assert 'id="blend"' not in alone.read_text("utf-8")
    assert 'id="blend"' in beside.read_text("utf-8")


def test_a_wrong_fret_is_one_sentence_that_says_where_and_nothing_is_written(written: Path, tmp_path: Path) -> None:
    document = json.loads(written.read_text("utf-8"))
    document["strums"][11]["shapes"][0]["frets"][1] = 31
    written.write_text(json.dumps(document), "utf-8")
    sentence = run_wrong("part", str(written), "-o", str(tmp_path / "out.csv"))
    assert "event 12, shape 1, fret of string 5: 31 is not possible" in sentence
    assert not (tmp_path / "out.csv").exists()


def test_what_needs_the_recording_is_refused(written: Path) -> None:
    for words in (
        ["--pin", "3=x32010"],
        ["--capo", "2"],
        ["--from", "0:10"],
        ["--channel", "left"],
        ["--metre", "3/4"],
    ):
        assert "give its recording" in run_wrong("part", str(written), *words)


def test_pins_are_never_lost_to_a_part_without_them(written: Path, tmp_path: Path) -> None:
    other = write_part(line_part(), tmp_path / "other.json")
    before = written.read_bytes()
    assert "left as it is" in run_wrong("part", str(other), "-o", str(written), "--overwrite")
    assert written.read_bytes() == before


WRITTEN = Path(__file__).parents[1] / "data" / "written_at_format_1" / "part_waltz.json"


@pytest.mark.parametrize("failure", [BadValueError("no sound for it"), ZeroDivisionError(), MemoryError()])
def test_one_output_that_fails_is_one_line_and_the_others_are_written(
    failure: Exception, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_part: object) -> bytes:
        raise failure

    monkeypatch.setitem(part_file._PLAIN, ".mid", fail)
    outputs = [tmp_path / name for name in ("x.mid", "x.csv", "x.json")]
    result = run_listen("part", str(WRITTEN), *(word for path in outputs for word in ("-o", str(path))))
    assert result.status == 2
    assert [path.exists() for path in outputs] == [False, True, True]
    lines = result.err.splitlines()
    assert len(lines) == 3
    assert lines[0].startswith(f"listen: {outputs[0]} was not written: ")
    assert "│" in result.out or "|" in result.out


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the device of a full disk is Linux's")
def test_a_chart_that_cannot_be_printed_does_not_lose_the_files(tmp_path: Path) -> None:
    with Path("/dev/full").open("w") as full:
        result = subprocess.run(
            [sys.executable, "-m", "listen", "part", str(WRITTEN), "-o", str(tmp_path / "x.csv")],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False, timeout=60,
        )  # fmt: skip
    assert result.returncode == 2
    assert "could not be written: No space left" in result.stderr
    assert (tmp_path / "x.csv").exists()


def test_a_part_takes_the_place_of_the_document_that_it_goes_on_from_and_nothing_else_does(tmp_path: Path) -> None:
    part, linked = tmp_path / "waltz.json", tmp_path / "waltz.html"
    part.write_bytes(WRITTEN.read_bytes())
    linked.symlink_to(part)
    assert "never replaced" in run_wrong("part", str(part), "-o", str(linked), "--overwrite")
    assert part.read_bytes() == WRITTEN.read_bytes()
    assert run_listen("part", str(part), "-o", str(part), "--overwrite").status == 0
