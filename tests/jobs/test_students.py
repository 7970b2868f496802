"""Which recordings there are, and whose: what a folder holds, spellings of one file, tables of students."""

from __future__ import annotations

from pathlib import Path

import pytest

from listen.document import find_words_file
from listen.errors import BadValueError, DocumentError
from listen.jobs import find_passed_over, find_recordings, name_students


def test_a_folder_gives_every_recording_that_the_ear_reads_and_no_hidden_one(tmp_path: Path) -> None:
    for name in ("Anna.flac", "Bo.oga", "Cy.MKV", "._Anna.flac", ".DS_Store", "list.txt", "Dora.caf", "Anna.csv"):
        (tmp_path / name).touch()
    find_words_file(tmp_path / "Anna.flac").touch()
    (tmp_path / "old").mkdir()
    assert [one.name for one in find_recordings([tmp_path])] == ["Anna.flac", "Bo.oga", "Cy.MKV"]
    assert [one.name for one in find_passed_over([tmp_path])] == ["Anna.csv", "Dora.caf", "list.txt", "old"]
    assert find_passed_over([tmp_path / "Dora.caf"]) == []  # it was named


def test_a_folder_is_read_in_the_order_of_names_whatever_their_marks_and_capitals(tmp_path: Path) -> None:
    for name in ("Zoë.wav", "Élise.wav", "E\u0301mile.wav", "anna.wav", "Eva.wav"):
        (tmp_path / name).touch()
    assert [one.name[0] for one in find_recordings([tmp_path])] == ["a", "É", "E", "E", "Z"]
    assert [one.stem[-3:] for one in find_recordings([tmp_path])] == ["nna", "ise", "ile", "Eva", "Zoë"]


def test_a_folder_of_folders_says_how_a_class_is_to_lie(tmp_path: Path) -> None:
    (tmp_path / "anna").mkdir()
    (tmp_path / "ben.wav").mkdir()
    (tmp_path / "anna" / "take.wav").touch()
    with pytest.raises(BadValueError, match=r"folders \(anna and 1 more\).*one folder, each named after its student"):
        find_recordings([tmp_path])


def test_a_recording_that_was_named_twice_is_one_in_its_first_spelling(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "cl").mkdir()
    (tmp_path / "cl" / "Anna.flac").touch()
    (tmp_path / "cl" / "Bo.flac").symlink_to("Anna.flac")  # another student's, though it leads to the same sound
    (tmp_path / "class").symlink_to("cl")
    monkeypatch.chdir(tmp_path)
    named: list[Path | str] = [
        "cl/Anna.flac",
        "cl/../cl/Anna.flac",
        tmp_path / "cl" / "Anna.flac",
        "class/Anna.flac",
        "cl",
    ]
    assert find_recordings(named) == [Path("cl/Anna.flac"), Path("cl/Bo.flac")]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("file,student\n", "does not say whose a.flac is"),
        ("", "needs the columns file and student in its first line\\.$"),
        ("file;student\na.flac;Anna\n", "first line; they are parted by semicolons: save it with commas"),
        ("file,student\na.flac,Anna\na.flac,Bo\n", "gives a.flac to Anna and to Bo: keep one of the two lines"),
    ],
)
def test_what_is_wrong_with_a_table_is_said(tmp_path: Path, text: str, said: str) -> None:
    table = tmp_path / "class.csv"
    table.write_text(text, "utf-8")
    with pytest.raises(DocumentError, match=said):
        name_students([Path("a.flac")], table=table)


def test_a_table_may_say_the_same_twice_and_hold_empty_lines(tmp_path: Path) -> None:
    table = tmp_path / "class.csv"
    table.write_text("file,student\na.flac,Anna\n,\na.flac,Anna\n,Bo\n", "utf-8")
    assert [one.student for one in name_students([Path("a.flac")], table=table)] == ["Anna"]


def test_students_stand_in_the_order_of_their_names_whatever_their_files_are_called(tmp_path: Path) -> None:
    table = tmp_path / "class.csv"
    table.write_text("file,student\n1.flac,Zoë\n2.flac,anna\n3.flac,Élise\n", "utf-8")
    found = name_students([Path("1.flac"), Path("2.flac"), Path("3.flac")], table=table)
    assert [(one.student, one.path.name) for one in found] == [
        ("anna", "2.flac"), ("Élise", "3.flac"), ("Zoë", "1.flac"),
    ]  # fmt: skip
    dated = name_students([Path("monday-zoe.flac"), Path("tuesday-anna.flac")], pattern="*-{student}")
    assert [one.student for one in dated] == ["anna", "zoe"]
