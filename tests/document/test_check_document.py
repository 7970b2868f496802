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
from listen.document.praise_words import parse_praise
from listen.errors import DocumentError
from listen.reading import (
    FINDING_KINDS,
    BarOutcome,
    ChangesInTime,
    Check,
    ChordAlwaysRight,
    Comparison,
    DriftingTempo,
    EveryBarRight,
    Finding,
    GuitarInTune,
    MoveFinger,
    OffBeat,
    OffPitch,
    OtherKey,
    OtherMetre,
    OtherSetting,
    OtherTempo,
    PartOfChord,
    Praise,
    PressLess,
    Round,
    RowOfBarsRight,
    SomeBarsRight,
    StoppedAt,
    StrokesLeftOut,
    TeacherWord,
    TeacherWords,
    TempoFrom,
    Tolerances,
    TurnPeg,
    UnevenStrokes,
    WayKept,
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
        Finding("late", 2, 1.0, 4.0, "G/B", measure=OffBeat(310)),
        Finding("late", 2, 3.0, 6.0, measure=OffBeat(900)),
        Finding("late", 2, 4.0, 7.0, measure=OffBeat(2900, is_filled=True)),
    ),
    (Round(0.5, 20.0, 2, 0.5, is_judged=True),), 96.25, "", ("Good.",), ("Clipped.",),
    TeacherWords(
        (TeacherWord(1, 1.5, "wrong"), TeacherWord(2, None, "right"), TeacherWord(1, 1.5, "right", "silent string", 2)),
        "Slower.",
    ),
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


MEASURED = [
    (Finding("out of tune", 2, 1.0, 4.0, measure=OffPitch(12, is_sharp=False), hint=TurnPeg(3, is_up=True), string=3),
     "12 cents flat", "Tune string 3 up."),
    (Finding("out of tune", 2, 1.0, 4.0, measure=OffPitch(9, is_sharp=True), hint=PressLess(2), string=2),
     "9 cents sharp",
     "String 2 is in tune when open: press it less hard, straight down, close behind the fret."),
    (Finding("early", 2, 1.0, 4.0, "Am", measure=OffBeat(140)), "140 ms early", ""),
    (Finding("uneven", 1, 1.0, 0.5, measure=UnevenStrokes(41, 30)), "41 ms off", ""),
    (Finding("way", 1, 1.0, 0.5, measure=WayKept(60)), "60 % of the strokes", ""),
    (Finding("way", 1, 1.0, 0.5, measure=WayKept(60, 2.5)), "60 % of the strokes, least on the & of 2", ""),
    (Finding("way", 1, 1.0, 0.5, measure=WayKept(60, only="up")), "60 % of the strokes, all of them up", ""),
    (Finding("way", 1, 1.0, 0.5, measure=WayKept(60, 3.0)), "60 % of the strokes, least on beat 3", ""),
    (Finding("pattern", 1, 1.0, 0.5, measure=StrokesLeftOut((2.5, 3.5, 4.5), "up", 15, 16)),
     "left out in 15 of 16 bars", ""),
    (Finding("pattern", 1, 1.0, 0.5, measure=StrokesLeftOut((2.0, 3.0, 4.0, 2.25, 3.25), None, 4, 4)),
     "left out in 4 of 4 bars", ""),
    (Finding("pattern", 1, 1.0, 0.5, measure=StrokesLeftOut((2 + 1 / 3, 3.0), "down", 8, 9)),
     "left out in 8 of 9 bars", ""),
    (Finding("tempo", 1, 1.0, 0.5, measure=OtherTempo(96, 110)), "96", ""),
    (Finding("tempo", 5, 1.0, 9.5, measure=DriftingTempo(96, 150)), "faster, from 96 to 150 beats a minute", ""),
    (Finding("tempo", 2, 1.0, 4.5, measure=DriftingTempo(100, 72)), "slower, from 100 to 72 beats a minute", ""),
    (Finding("tempo", 7, 1.0, 15.5, measure=DriftingTempo(96, 52, is_at_end=True)),
     "slower towards the end, from 96 to 52 beats a minute", ""),
    (Finding("tempo", 9, 1.0, 21.0, measure=TempoFrom(13)), "from bar 13 on", ""),
    (Finding("metre", 1, 1.0, 0.5, measure=OtherMetre(4, 3)), "4 beats a bar", ""),
    (Finding("stopped", 5, 1.0, 9.5, measure=StoppedAt(8)), "stopped after bar 5 of 8", ""),
    (Finding("stopped", 5, 1.0, 9.5, measure=StoppedAt(8, breaks_off=True)),
     "the recording breaks off after bar 5 of 8", ""),
    (Finding("restart", 5, 1.0, 9.5), "begun again at bar 5", ""),
    (Finding("repeated", 5, 1.0, 9.5), "bar 5 played again", ""),
    (Finding("left out", 5, 1.0, 9.5), "bar 5 is missing", ""),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(-2, 2)), "no capo", "Put the capo at fret 2."),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(1, 2)), "as with the capo at fret 3",
     "Put the capo at fret 2."),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(-1, 0)), "everything 1 semitone lower",
     "Tune the guitar up, slowly: it is lower than was set. A string that is too tight breaks."),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(-5, 0)), "everything 5 semitones lower", ""),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherKey("C major", "F major", -5, is_in_tune=True)),
     "in C major, everything 5 semitones lower, the guitar itself in tune",
     "Play the chords that were set; do not tune the guitar up to them."),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherKey("A minor", "Bb minor", -1)),
     "in A minor, everything 1 semitone lower", "Play the chords that were set; do not tune the guitar up to them."),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(-1, 0, 30)), "everything 70 cents lower",
     "Tune the guitar up, slowly: it is lower than was set. A string that is too tight breaks."),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(1, 0, -40)), "everything 60 cents higher",
     "Tune the guitar down."),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherKey("D major", "C major", 2)),
     "in D major, everything 2 semitones higher", "Play the chords that were set."),
    (Finding("out of tune", 1, 1.0, 0.5, measure=OffPitch(200, is_sharp=True),
             hint=TurnPeg(6, is_up=False, note="D"), string=6), "a tone sharp", "Tune string 6 down to D."),
    (Finding("chord", 4, 1.0, 9.5, "G", "A/E", measure=PartOfChord(3, goes_on=True)), "A/E from beat 3 on", ""),
    (Finding("chord", 4, 1.0, 9.5, "G", "Bb", measure=PartOfChord(2, goes_on=False)), "Bb up to beat 2", ""),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(0, 2, -38)), "everything 38 cents lower",
     "Tune the guitar up."),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(0, 0, 45)), "everything 45 cents higher",
     "Tune the guitar down."),
    (Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(3, 0)), "everything 3 semitones higher",
     "Take the capo off, or tune down."),
    (Finding("chord", 1, 1.0, 0.5, "C", "C7", hint=MoveFinger(3, 3, 0, 0)), "C7",
     "String 3 is stopped at fret 3; it should be open."),
    (Finding("chord", 1, 1.0, 0.5, "C", "Am", hint=MoveFinger(4, 0, 2, 2)), "Am",
     "String 4 is open; the middle finger belongs at its fret 2."),
    (Finding("chord", 1, 1.0, 0.5, "C", "F", hint=MoveFinger(5, 4, 3, 3)), "F",
     "On string 5 the ring finger is 1 fret too high: fret 3 is right."),
    (Finding("chord", 1, 1.0, 0.5, "D/F#", "D", hint=MoveFinger(6, 0, 2, "T")), "D",
     "String 6 is open; the thumb belongs at its fret 2."),
]  # fmt: skip


@pytest.mark.parametrize(("finding", "heard", "hint"), MEASURED)
def test_what_was_measured_is_told_in_words_and_read_back(finding: Finding, heard: str, hint: str) -> None:
    document = class_to_document(ClassCheck("", (Check("Anna", "anna.m4a", findings=(finding,)),)))
    told = document["checks"][0]["findings"][0]
    assert (told["heard"], told["hint"]) == (heard, hint)
    assert document_to_class(document, name="x").checks[0].findings == (finding,)


def test_what_was_done_well_is_told_in_words_and_read_back() -> None:
    praise: dict[Praise | str, str] = {
        EveryBarRight(8): "Every one of the 8 bars is right.",
        EveryBarRight(1): "The bar is right.",
        RowOfBarsRight(3, 8): "Bars 3 to 8 are right, one after another.",
        SomeBarsRight(6, 8): "6 of 8 bars are right.",
        SomeBarsRight(1, 8): "1 of 8 bars is right.",
        ChordAlwaysRight("G/B"): "G/B is right every time.",
        ChangesInTime(): "The changes come in time, without a stop.",
        GuitarInTune(): "The guitar is in tune.",
        "Well held.": "Well held.",
    }
    check = Check("Anna", "anna.m4a", praise=tuple(praise))
    document = class_to_document(ClassCheck("", (check,)))
    assert document["checks"][0]["praise"] == list(praise.values())
    assert document_to_class(document, name="x").checks == (check,)
    assert parse_praise("1 of 8 bars are right.") == SomeBarsRight(1, 8)  # as it was written before


def test_words_that_are_not_ours_stay_as_they_were_read() -> None:
    finding = Finding("out of tune", 2, 1.0, 4.0, "in tune", "rather flat", hint="Listen to the open string.")
    document = class_to_document(ClassCheck("", (Check("Anna", "anna.m4a", findings=(finding,)),)))
    assert document_to_class(document, name="x").checks[0].findings == (finding,)


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
    before = '{"format": "listen.teacher/1", "words": [{"bar": 2, "beat": 1.0, "verdict": "right"}], "note": "!"}'
    find_words_file(recording).write_text(before, "utf-8")
    assert load_words(recording) == TeacherWords((TeacherWord(2, 1.0, "right"),), "!")
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
