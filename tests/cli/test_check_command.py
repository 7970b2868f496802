"""`listen check` as it is typed."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from listen.assessment import follow_demonstration
from listen.document import load_schema, read_chart
from listen.reading import Check, Tolerances
from tests.cli.runner import run_listen, run_wrong
from tests.cli.test_part_written import WRITTEN
from tests.jobs.test_check_class import write_strum


@pytest.fixture(autouse=True)
def _cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_CACHE", str(tmp_path / "cache"))


def test_a_new_chart_can_be_handed_out_as_it_is(tmp_path: Path) -> None:
    chart = tmp_path / "week.chart"
    assert run_listen("check", "--new", str(chart)).status == 0
    assert len(read_chart(chart).bars) == 10
    sheet = tmp_path / "sheet.html"
    assert run_listen("check", str(chart), "-o", str(sheet)).status == 0
    assert "<audio" in sheet.read_text("utf-8")


def test_a_take_is_checked_corrected_and_checked_again(tmp_path: Path) -> None:
    take = write_strum(tmp_path / "anna.flac", frets="xx0231")
    done = run_listen("check", "C", str(take), "--json")
    document = json.loads(done.out)
    jsonschema.Draft202012Validator(load_schema("check")).validate(document)
    said = document["checks"][0]
    assert said["student"] == "anna"
    corrected = run_listen("check", "Dm", str(take), "--correct", "1=wrong", "--note", "Thumb!")
    assert "Bar 1 (Dm) is wrong, says your teacher." in corrected.out
    assert "(your teacher)" not in corrected.out
    assert "Your teacher writes: Thumb!" in run_listen("check", "Dm", str(take)).out


def test_a_word_and_a_note_can_be_taken_back(tmp_path: Path) -> None:
    take = write_strum(tmp_path / "anna.flac")
    given = ("check", "G", str(take))
    untold = run_listen(*given).out
    told = run_listen(*given, "--correct", "1=wrong", "--note", "Thumb!").out
    assert "says your teacher" in told
    assert "says your teacher" not in run_listen(*given, "--take-back", "1").out
    assert "Thumb!" in run_listen(*given).out
    assert run_listen(*given, "--take-back", "note").out == untold
    assert run_listen(*given).out == untold


def test_only_a_word_that_was_said_can_be_taken_back(tmp_path: Path) -> None:
    given = ("check", "G", str(write_strum(tmp_path / "anna.flac")))
    assert "take-back=1 is not possible: it takes what you said before, which is nothing" in run_wrong(
        *given, "--take-back", "1"
    )
    run_listen(*given, "--correct", "1.1=wrong", "--note", "Thumb!")
    assert "it takes what you said before: 1.1, note" in run_wrong(*given, "--take-back", "2")
    assert "says your teacher" not in run_listen(*given, "--take-back", "1").out


@pytest.mark.parametrize("word", [("--correct", "1=right"), ("--take-back", "3")])
def test_a_word_on_a_recording_that_is_not_there_is_told_that_it_is_not(tmp_path: Path, word: tuple[str, str]) -> None:
    said = run_wrong("check", "G", str(tmp_path / "anna.flac"), *word)
    assert "anna.flac is not there; check the name. Nothing was corrected." in said


def test_a_recording_that_was_set_is_checked_as_the_takes_are(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its own times are then the ones to play."""
    shown: list[str] = []

    def follow(check: Check, demonstration: Check, tolerances: Tolerances) -> Check:
        shown.append(demonstration.source)
        return follow_demonstration(check, demonstration, tolerances)

    monkeypatch.setattr("listen.assessment.follow_demonstration", follow)
    take, demo = write_strum(tmp_path / "anna.flac"), write_strum(tmp_path / "demo.flac")
    assert run_listen("check", str(demo), str(take)).status == 0
    assert shown == ["demo.flac"]


def test_a_demonstration_in_a_folder_that_may_not_be_written_to_is_set_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take, demo = write_strum(tmp_path / "anna.flac"), write_strum(tmp_path / "demo.flac")
    ask = os.access
    monkeypatch.setattr("os.access", lambda path, mode: mode != os.W_OK and ask(path, mode))
    done = run_listen("check", str(demo), str(take))
    assert done.status == 0, done.err
    assert "may not be written to" in done.err
    assert f"'listen part {demo} -o demo.chart'" in done.err
    assert "1 of 1 bar is right" in done.out
    assert not (tmp_path / "demo.chart").exists()


def test_a_report_that_cannot_be_written_takes_no_other_with_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from listen.document import write_file

    def full(path: Path, content: str, *, overwrite: bool = False) -> Path:
        if Path(path).suffix == ".html":
            raise OSError(28, "No space left on device")
        return write_file(path, content, overwrite=overwrite)

    monkeypatch.setattr("listen.document.write_file", full)
    take = write_strum(tmp_path / "anna.flac")
    outputs = [word for name in ("class.html", "class.csv") for word in ("-o", str(tmp_path / name))]
    done = run_listen("check", "G", str(take), *outputs, "--pages", str(tmp_path / "pages"))
    assert done.status == 2
    assert (tmp_path / "class.csv").is_file()
    assert "No space left on device" in done.err
    assert "0 pages were written" in done.err
    assert "anna" in done.out


def test_what_a_folder_holds_beside_recordings_is_said(tmp_path: Path) -> None:
    folder = tmp_path / "class"
    folder.mkdir()
    write_strum(folder / "anna.flac")
    (folder / "bo.caf").touch()
    (folder / "cleo").mkdir()
    done = run_listen("check", "C", str(folder))
    assert done.status == 0
    assert "Passed over, since they end as no recording does: bo.caf." in done.err
    assert "Passed over, since they are folders: cleo; put" in done.err


def test_a_page_that_is_there_is_replaced_only_when_asked(tmp_path: Path) -> None:
    take, page = write_strum(tmp_path / "anna.flac"), tmp_path / "pages" / "anna.html"
    page.parent.mkdir()
    page.write_text("mine")
    given = ("check", "G", str(take), "--pages", str(page.parent))
    assert "anna.html is there already; give --overwrite" in run_wrong(*given)
    assert page.read_text() == "mine"
    assert run_listen(*given, "--overwrite").status == 0
    assert "anna" in page.read_text()


def test_one_recording_that_cannot_be_read_is_one_sentence(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "anna.wav")  # would be waited for
    assert "no ordinary file" in run_wrong("check", "C G", str(tmp_path / "anna.wav"))


def test_what_cannot_be_read_is_named_as_it_was_typed_and_said_beside_a_document_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "text.wav").write_text("no sound at all")
    monkeypatch.chdir(tmp_path)
    said = run_wrong("check", "C G", "text.wav")
    assert "text.wav" in said
    assert str(tmp_path) not in said
    done = run_listen("check", "C G", "text.wav", "--json")
    assert done.status == 2
    assert json.loads(done.out)["failures"][0]["error"] in done.err
    assert len(done.err.strip().splitlines()) == 1


def test_a_recording_that_may_not_be_read_takes_no_other_with_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    takes = [write_strum(tmp_path / name) for name in ("anna.flac", "bo.flac")]
    ask, read = os.access, Path.open

    def refuse(path: Path, *given: Any, **named: Any) -> Any:
        if path.name == "bo.flac":
            raise PermissionError(13, "Permission denied")
        return read(path, *given, **named)

    monkeypatch.setattr("os.access", lambda path, mode: "bo.flac" not in str(path) and ask(path, mode))
    monkeypatch.setattr(Path, "open", refuse)
    done = run_listen("check", "G", *map(str, takes))
    assert "anna" in done.out
    assert "bo.flac could not be read: Permission denied" in done.out


@pytest.mark.parametrize("words", [(), ("--json",), ("--note", "Thumb!")])
def test_a_check_that_is_stopped_at_once_prints_no_empty_table(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    def stop(*_given: object, **_named: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("listen.transcription.hear_performance", stop)
    done = run_listen("check", "G", str(write_strum(tmp_path / "anna.flac")), "-o", str(tmp_path / "a.csv"), *words)
    assert (done.status, done.out) == (130, "")
    assert done.err == "Stopped before anything was read; nothing was written.\n"
    assert [one.name for one in tmp_path.iterdir()] == ["anna.flac"]


def test_a_stopped_check_says_how_it_goes_on_where_it_wrote_something(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    takes = [str(write_strum(tmp_path / f"{frets}.flac", frets=frets)) for frets in ("x32010", "320003")]
    assert run_listen("check", "C", takes[0]).status == 0  # is kept
    monkeypatch.setattr("listen.transcription.hear_performance", stop)
    given = ("check", "C", *takes, "--jobs", "1")
    assert "the same command goes on from there" in run_listen(*given).err
    written = run_listen(*given, "-o", str(tmp_path / "c.html"))
    assert "the same command, with --overwrite, goes on from there" in written.err
    assert written.status == 130
    assert "the same command, with --overwrite, goes on" in (tmp_path / "c.html").read_text("utf-8")
    again = run_listen(*given, "-o", str(tmp_path / "c.html"), "--overwrite")
    assert "the same command goes on from there" in again.err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("check",), "SET is empty"),
        (("check", "week9.chart", "take.wav"), "week9.chart is not there"),
        (("check", "week9.webm", "take.wav"), "week9.webm is not there"),
        (("check", "/dev/zero", "take.wav"), "/dev/zero is no ordinary file"),
        (("check", "C Gmajj7", "take.wav"), "column 3"),
        (("check", "C", "take.wav", "--correct", "1.9=wrong"), "beat 1 of bar 1, which has no other"),
        (("check", "C", "take.wav", "--correct", "x=right"), "Write 5=right or 5.3=wrong"),
        (("check", "C", "take.wav", "--names", "{student}", "--students", "x.csv"), "give one of them"),
        (("check", "C", "a.wav", "b.wav", "--note", "Well"), "name that one alone"),
        (("check", "| |", "take.wav"), "Nothing is set in these bars"),
        (("check", "C", "take.wav", "-o", "x.pdf"), ".html"),
        (("check", "--new", "take.wav", "--overwrite"), "ends in .chart or .txt"),
        (("check", "C", "take.wav", "--new", "x.chart", "-o", "x.html", "--pages", "p"), "give it alone"),
    ],
)
def test_what_is_asked_wrongly_is_said_in_one_sentence(arguments: tuple[str, ...], said: str) -> None:
    done = run_listen(*arguments)
    assert done.status == 2
    assert said in done.err
    assert len(done.err.strip().splitlines()) == 1


def test_a_folder_of_pages_that_is_a_file_is_one_sentence_with_what_to_do(tmp_path: Path) -> None:
    take = write_strum(tmp_path / "anna.flac")
    for pages in (take, take / "pages"):
        said = run_wrong("check", "G", str(take), "--pages", str(pages))
        assert f"The folder {pages} cannot be made: a file stands in its place. Give a folder of your own" in said


def test_nothing_that_is_read_is_replaced(tmp_path: Path) -> None:
    take = write_strum(tmp_path / "anna.flac")
    part, before, words = (tmp_path / name for name in ("part.json", "before.json", "anna.flac.teacher.json"))
    chart, table, usual = (tmp_path / name for name in ("c.html", "who.csv", "usual.csv"))
    part.write_bytes(WRITTEN.read_bytes())
    chart.write_text("| G |", "utf-8")
    table.write_text("file,student\nanna.flac,anna\n", "utf-8")
    assert run_listen("check", "G", str(take), "-o", str(before), "--note", "Thumb!").status == 0
    assert run_listen("check", "G", str(take), "--tolerances", str(usual)).status == 0
    kept = {path: path.read_bytes() for path in tmp_path.iterdir() if path.is_file()}
    assert words in kept
    for given, out in (
        ((str(part),), part),
        ((str(chart),), chart),
        (("G", "--students", str(table)), table),
        (("G", "--before", str(before)), before),
        (("G", "--tolerances", str(usual)), usual),
        (("G",), words),
    ):
        said = run_wrong("check", *given[:1], str(take), *given[1:], "-o", str(out), "--overwrite")
        assert f"{out} is the file that is read and is never replaced" in said
    assert "never replaced" in run_wrong("check", str(chart), "-o", str(chart), "--overwrite")
    (tmp_path / "G.html").write_text("| G |", "utf-8")
    asked = ("--names", "{student}", "--pages", str(tmp_path), "--overwrite")
    copy = write_strum(tmp_path / "G.flac")
    assert "never replaced" in run_wrong("check", str(tmp_path / "G.html"), str(copy), *asked)
    assert {path: path.read_bytes() for path in kept} == kept


def test_words_that_say_the_opposite_of_one_place_are_refused(tmp_path: Path) -> None:
    take = write_strum(tmp_path / "anna.flac")
    said = run_wrong("check", "G", str(take), "--correct", "1=right", "--correct", " 1=WRONG")
    assert "correct=1=right and correct= 1=WRONG say the opposite" in said
    assert not list(tmp_path.glob("*.teacher.json"))
    assert run_listen("check", "G", str(take), "--correct", "1=right", "--correct", "1=right").status == 0


def test_a_report_is_written_once_however_its_name_is_spelled(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    take = write_strum(tmp_path / "anna.flac")
    for words in (("G", str(take)), ("G",)):
        assert "each file once" in run_wrong("check", *words, "-o", "c.html", "-o", "./c.html", "--overwrite")
    assert not (tmp_path / "c.html").exists()
