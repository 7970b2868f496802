"""The check document: valid under its schema, read back as it was, and refused with its place where it is wrong."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from listen.document import (
    CheckFailure,
    ClassCheck,
    class_to_document,
    document_to_class,
    find_words_file,
    load_schema,
    load_words,
    read_class,
    read_tolerances,
    render_document,
    render_tolerances,
    save_words,
)
from listen.errors import DocumentError
from listen.reading import (
    FINDING_KINDS,
    BarOutcome,
    Check,
    Comparison,
    Finding,
    Round,
    TeacherWord,
    TeacherWords,
    Tolerances,
)

CHECK = Check(
    "Anna", "anna.m4a", "Harbour Lights",
    (BarOutcome(1, "right", "C", 0.5, 2.9), BarOutcome(2, "left out", "G/B")),
    (
        *(
            Finding(
                kind, 1, 1.5, 0.75, "C", "Am", 0.9125, settled=number % 2 == 0, string=3 if number % 3 else None,
                hint="h", verdict="wrong" if number == 0 else None,
            )
            for number, kind in enumerate(FINDING_KINDS)
        ),
        Finding("late", 2, 1.0, 4.0, "G/B", off_ms=310),
        Finding("late", 2, 3.0, 6.0, off_ms=900),
    ),
    (Round(0.5, 20.0, 2, 0.5, is_judged=True),), 96.25, "", ("Good.",), ("Clipped.",),
    TeacherWords((TeacherWord(1, 1.5, "wrong"), TeacherWord(2, None, "right")), "Slower."),
    Comparison("better", 0.25, 0.5, ("chord: C",), (), ("late: G",)),
)  # fmt: skip
CLASS = ClassCheck(
    "Harbour Lights",
    (CHECK, Check("Bo", "bo.m4a", refused="Nothing sounds.")),
    (CheckFailure("Cy", "c", "e"),),
    complete=False,
)


def test_the_document_is_valid_under_its_schema_and_read_back_as_it_was(tmp_path: Path) -> None:
    document = class_to_document(CLASS)
    jsonschema.Draft202012Validator(load_schema("check")).validate(json.loads(render_document(document)))
    assert document_to_class(document, name="x") == CLASS
    path = tmp_path / "check.json"
    path.write_text(render_document(document), "utf-8")
    assert read_class(path) == CLASS


@pytest.mark.parametrize(
    ("change", "place"),
    [
        (("checks", 0, "findings", 2, "kind", "loud"), "check 1, finding 3: kind"),
        (("checks", 0, "bars", 0, "bar", -1), "check 1, bar 1"),
        (("checks", 0, "findings", 0, "probability", 2), "check 1, finding 1"),
        (("checks", 0, "student", 5), "check 1"),
    ],
)
def test_a_wrong_value_is_told_with_its_place(change: tuple[object, ...], place: str) -> None:
    document = json.loads(render_document(class_to_document(CLASS)))
    *way, last, value = change
    at = document
    for step in way:
        at = at[step]
    at[last] = value
    with pytest.raises(DocumentError, match=place):
        document_to_class(document, name="check.json")


def test_the_teachers_words_are_kept_beside_the_recording(tmp_path: Path) -> None:
    recording = tmp_path / "anna.m4a"
    assert load_words(recording) == TeacherWords()
    save_words(recording, CHECK.teacher)
    assert find_words_file(recording).parent == tmp_path
    assert load_words(recording) == CHECK.teacher
    find_words_file(recording).write_text("{}", "utf-8")
    with pytest.raises(DocumentError, match="does not say which format"):
        load_words(recording)


def test_tolerances_are_written_with_remarks_and_read_back(tmp_path: Path) -> None:
    path = tmp_path / "tolerances.toml"
    path.write_text(render_tolerances(Tolerances(cents=8.0)), "utf-8")
    assert read_tolerances(path) == Tolerances(cents=8.0)
    assert all("#" in line for line in path.read_text("utf-8").splitlines())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("cent = 10", "Did you mean cents"),
        ("cents = 'ten'", "a number from 1 to 100"),
        ("cents = 900", "a number from 1 to 100"),
        ("cents 10", "is no TOML"),
        ("ask = 0.95", "must not be over sure"),
    ],
)
def test_wrong_tolerances_are_told_with_the_remedy(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "tolerances.toml"
    path.write_text(text, "utf-8")
    with pytest.raises(DocumentError, match=said):
        read_tolerances(path)
