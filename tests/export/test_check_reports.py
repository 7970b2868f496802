"""Reports of a check: the terminal, CSV, a student's page, and the class's page."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pytest

from listen.document import CheckFailure, ClassCheck, parse_chart
from listen.export import (
    TextStyle,
    render_check_csv,
    render_check_page,
    render_check_text,
    render_class_page,
    render_class_text,
)
from listen.export.check_text import comparison_text, most_missed
from listen.export.check_words import VERDICT_WORDS, summary_text, verdict_words
from listen.export.homework_view import render_student_fragment
from listen.reading import (
    FINDING_KINDS,
    BarOutcome,
    Check,
    Comparison,
    DriftingTempo,
    Finding,
    FindingKind,
    Measure,
    OffBeat,
    OffPitch,
    OtherKey,
    OtherMetre,
    OtherTempo,
    RowOfBarsRight,
    SomeBarsRight,
    StoppedAt,
    TeacherWords,
    TempoFrom,
    TurnPeg,
    WayKept,
)

SET = parse_chart(
    "title: Harbour Lights\ncapo: 2\ntempo: 96\npattern: D . D U . U D U\n|: C | G/B | Am F | . . &G . :| ×2"
)
FINDINGS = (
    Finding("chord", 2, 1.0, 2.5, "G/B", "C", 0.97, hint="On string 5 a finger is off."),
    Finding("late", 3, 3.0, 6.0, "G", probability=0.95, measure=OffBeat(300)),
    Finding("left out", 8, 1.0, 14.0, probability=0.95),
    Finding(
        "out of tune",
        4,
        1.0,
        8.0,
        probability=0.94,
        string=2,
        hint=TurnPeg(2, is_up=True),
        measure=OffPitch(24, is_sharp=False),
    ),
    Finding("bass", 6, 1.0, 12.0, "B", "G", 0.7, settled=False),
)
BARS = tuple(
    BarOutcome(bar, "finding" if bar in {2, 3} else "question" if bar == 6 else "right", "D", bar * 2.0, bar * 2.0 + 2)
    for bar in range(1, 9)
)
ANNA = Check("Anna", "anna.m4a", "Harbour Lights", BARS, FINDINGS, (), 95.0, "", ("Bars 7 to 8 are right.",), (),
             TeacherWords((), "Slowly."), Comparison("better", 0.5, 0.75, ("the late change to F",)))  # fmt: skip
BO = Check("=Bo<script>", "bo.m4a", "Harbour Lights", refused="Nothing sounds in this recording.")
CLASS = ClassCheck("Harbour Lights", (ANNA, BO), (CheckFailure("Cy", "cy.m4a", "cy.m4a is damaged."),))


def test_the_terminal_says_two_things_to_work_on_and_asks_the_rest() -> None:
    text = render_check_text(ANNA)
    work = text.split("To work on")[1].split("Later")[0]
    assert len(re.findall(r"^  \d:\d\d", work, re.MULTILINE)) == 2
    assert "Bar 2 should be G/B; it sounds like C. On string 5 a finger is off." in " ".join(text.split())
    assert "Listen at 0:12" in text
    assert "5 of 8 bars are right, 1 to listen to" in text
    assert "Your teacher writes: Slowly." in text
    assert "Better than last time: 75 % of the bars are right, 50 % before. The late change to F is mended." in (
        " ".join(text.split())
    )


def test_the_class_table_has_a_row_a_student_and_a_sign_a_bar() -> None:
    text = render_class_text(CLASS, style=TextStyle(unicode=False))
    assert "-!!--?--" in text
    assert "Nothing sounds" in text
    assert "cy.m4a is damaged." in text
    assert text.isascii()


def test_a_bar_to_listen_to_is_neither_right_nor_wrong_in_the_share_of_a_class() -> None:
    asked = replace(ANNA, bars=tuple(BarOutcome(bar, "question" if bar < 3 else "right", "D") for bar in range(1, 10)))
    both = ClassCheck("", (asked, replace(asked, student="Bo", bars=asked.bars[2:])))
    text = render_class_text(both, style=TextStyle(width=100))
    assert re.search(r"^student +right +bars", text)
    assert re.search(r"^Anna +78–100% +\?\?·+", text, re.MULTILINE)
    assert re.search(r"^Bo +100% +·+", text, re.MULTILINE)
    assert "7 of 9 bars are right, 2 to listen to" in render_check_text(asked)
    cells = re.findall(r'<td class="num" data-sort="(\d+)">([^<]*%)<', render_class_page(both))
    assert cells == [("78", "78–100 %"), ("100", "100 %")]


def test_the_csv_has_a_row_a_finding_and_no_formula() -> None:
    rows = list(csv.DictReader(io.StringIO(render_check_csv(CLASS))))
    assert [row["kind"] for row in rows if row["student"] == "Anna"] == [one.kind for one in FINDINGS]
    assert {row["student"] for row in rows} == {"Anna", "'=Bo<script>", "Cy"}
    assert rows[4]["settled"] == "question"


def test_a_students_page_names_nobody_else_and_loads_nothing() -> None:
    page = render_check_page(ANNA, SET)
    assert "Anna" in page
    assert BO.student not in page
    assert BO.source not in page
    assert not re.search(r"(?:src|href)=\"https?:", page)
    assert page.count("<h3>") == 2
    assert "♭ar" not in page
    assert "How G/B should sound" in page
    assert "heard: C" in page
    assert "over the capo at fret 2: C sounds D, G/B sounds A/C♯" in page


def test_the_class_page_escapes_names_and_says_states_in_words() -> None:
    page = render_class_page(CLASS, links={"Anna": "pages/Anna.html"})
    assert "<script>alert" not in page
    assert "=Bo&lt;script&gt;" in page
    assert 'href="pages/Anna.html"' in page
    assert 'title="bar 2: to work on"' in page
    assert "data:audio" not in page


def test_the_class_page_counts_what_each_student_is_asked() -> None:
    twice = replace(ANNA, student="Dora", findings=(*FINDINGS, replace(FINDINGS[-1], bar=7)))
    page = render_class_page(ClassCheck("", (ANNA, twice)), links={})
    columns = [re.findall(r'data-sort="([^"]*)"', row) for row in page.split("<tr") if "Anna" in row or "Dora" in row]
    asked = [sum(one.is_asked for one in check.findings) for check in (ANNA, twice)]
    assert asked == [1, 2]
    assert all(str(count) in row for count, row in zip(asked, columns, strict=True))
    assert columns[0].index("1") == columns[1].index("2")


def test_a_teachers_word_cannot_be_taken_for_agreeing_with_the_finding() -> None:
    bass = Finding("bass", 6, 1.0, 12.0, "B", "G", 0.97, verdict="right")
    overruled = replace(ANNA, findings=(bass,))
    said = "In bar 6 the lowest note should be B; it is G. Your teacher says: the bass is right."
    assert said in " ".join(render_check_text(overruled, style=TextStyle(width=200)).split())
    assert said in render_check_page(overruled, SET)
    assert set(VERDICT_WORDS) == set(FINDING_KINDS)


def test_how_many_bars_are_right_is_said_once() -> None:
    told = replace(ANNA, praise=(RowOfBarsRight(4, 7), SomeBarsRight(5, 8)))
    for text in (render_check_text(told), render_check_page(told, SET), render_student_fragment(told, SET)):
        assert text.count("5 of 8 bars are right") == 1
        assert "Bars 4 to 7 are right" in text


@pytest.mark.parametrize(
    ("measure", "said"),
    [
        (OffBeat(2504, is_filled=True), "something else for 2.5 s"),
        (OffBeat(2193), "a stop of 2.2 s"),
        (OffBeat(900), "a stop of 900 ms"),
    ],
)
def test_a_table_tells_a_time_over_a_second_in_seconds(measure: OffBeat, said: str) -> None:
    checked = replace(CLASS, checks=(replace(ANNA, findings=(Finding("late", 5, 1.0, 9.6, measure=measure),)), BO))
    for told in (render_class_text(checked), render_class_page(checked)):
        assert f"before bar 5: {said}" in " ".join(told.split())
    assert next(csv.DictReader(io.StringIO(render_check_csv(checked))))["heard"] == said


@pytest.mark.parametrize(
    ("kind", "measure", "pair"),
    [
        ("late", OffBeat(2504, is_filled=True), ("nothing else is played", "something else is played")),
        ("late", OffBeat(2193), ("it goes on in time", "there is a stop")),
        ("stopped", StoppedAt(12, breaks_off=True), ("the recording is whole", "the recording breaks off")),
        ("stopped", StoppedAt(12), ("it goes to the end", "it stops early")),
    ],
)
def test_a_teachers_word_answers_what_was_found(kind: FindingKind, measure: Measure, pair: tuple[str, str]) -> None:
    own = Finding(kind, 5, 1.0, 12.0, measure=measure)
    assert (verdict_words(own, "right"), verdict_words(own, "wrong")) == pair


def test_a_wrong_bass_is_named_as_a_bass_in_the_table_of_a_class() -> None:
    wrong = replace(ANNA, findings=(Finding("bass", 6, 1.0, 12.0, "B", "G", 0.97),))
    assert summary_text(wrong) == "bar 6: bass G played, B set"


def test_bars_left_out_or_played_again_are_named_and_a_tempo_is_said_as_one() -> None:
    own = [Finding("left out", bar, 1.0, 20.0, probability=0.97) for bar in (5, 6, 9)]
    own += [Finding("repeated", 2, 1.0, at, probability=0.97) for at in (2.0, 4.0, 6.0)]
    told = replace(ANNA, findings=tuple(own))
    assert summary_text(told) == "bars 5, 6 and 9 are left out; bar 2 is played again, 3 times"
    assert "Bars 5, 6 and 9 are left out." in render_check_text(told)
    slow = replace(ANNA, findings=(Finding("tempo", 1, 1.0, 0.5, measure=OtherTempo(52, 104)),))
    assert summary_text(slow) == "played at 52, set was 104"
    kept = replace(ANNA, findings=(Finding("tempo", 9, 1.0, 21.0, measure=OtherTempo(96, 120)),))
    assert summary_text(kept) == "from bar 9: played at 96, set was 120"
    late = replace(ANNA, findings=(Finding("tempo", 9, 1.0, 21.0, measure=TempoFrom(13)),))
    assert summary_text(late) == "the new tempo comes 4 bars late: at bar 13, not at bar 9"
    up = replace(ANNA, findings=(Finding("way", 1, 1.0, 0.5, measure=WayKept(50, only="up")),))
    assert summary_text(up) == "the hand only goes up"
    rushed = replace(ANNA, findings=(Finding("tempo", 5, 1.0, 9.5, measure=DriftingTempo(96, 150)),))
    assert summary_text(rushed) == "faster, from 96 to 150 beats a minute"
    four = replace(ANNA, findings=(Finding("metre", 1, 1.0, 0.5, measure=OtherMetre(4, 3)),))
    assert summary_text(four) == "4 beats a bar"
    assert "Bars are played with 4 beats; they should have 3." in render_check_text(four)
    assert "From bar 5 on it gets faster, from 96 to 150 beats a minute." in render_check_text(rushed)


def test_a_class_is_told_of_a_recording_that_breaks_off_and_not_of_a_student_who_stopped() -> None:
    cut = replace(ANNA, findings=(Finding("stopped", 6, 1.0, 13.1, measure=StoppedAt(8, breaks_off=True)),))
    checked = replace(CLASS, checks=(cut, BO))
    for told in (render_class_text(checked), render_check_csv(checked), render_class_page(checked)):
        assert "the recording breaks off after bar 6 of 8" in " ".join(told.split())
        assert "stopped after" not in told


def test_what_was_most_missed_stands_on_a_line_of_its_own() -> None:
    text = render_class_text(ClassCheck("", (ANNA, replace(ANNA, student="Bea"))))
    assert "\nMost missed: bar 2 (D), 2 of 2" in text


def test_a_bar_is_missed_by_those_who_came_so_far_and_played_what_was_set() -> None:
    stopped = replace(ANNA, student="Cy", bars=(*BARS[:1], *(replace(bar, state="left out") for bar in BARS[1:])))
    left_out = replace(ANNA, student="Di", bars=(BARS[0], replace(BARS[1], state="left out"), *BARS[2:]))
    assert most_missed((ANNA, BO, stopped)) == ""
    counts = re.findall(r'<td class="bar num">(.*?)</td>', render_class_page(ClassCheck("", (ANNA, BO, stopped))))
    assert counts == ["", "1", "1", "", "", "", "", ""]
    refused = replace(BO, bars=tuple(replace(bar, state="not judged") for bar in BARS))
    assert most_missed((ANNA, refused, stopped, left_out)) == "bar 2 (D), 2 of 2, bar 3 (D), 2 of 2"


@pytest.mark.parametrize(
    ("comparison", "sentence"),
    [
        (Comparison("worse", 0.875, 0.875), "As many bars are right as last time (88 %), but there is more"),
        (Comparison("better", 0.88, 0.9), "As many bars are right as last time (90 %, 88 % before), and there is less"),
        (Comparison("same", 0.88, 0.88), "As many bars are right as last time (88 %)."),
        (Comparison("worse", 0.88, 0.5), "Less than last time: 50 % of the bars are right, 88 % before."),
        (Comparison("same", 1.0, 1.0, again=("the chord Bb/D", "the tempo")),
         "The chord B♭/D and the tempo are still to work on."),
    ],
)  # fmt: skip
def test_a_comparison_says_no_less_where_as_many_bars_are_right(comparison: Comparison, sentence: str) -> None:
    assert sentence in comparison_text(replace(ANNA, comparison=comparison))


def test_another_key_is_said_before_any_bar_is_called_right() -> None:
    key = OtherKey("C major", "F major", -5, is_in_tune=True)
    told = replace(ANNA, findings=(Finding("setting", 1, 1.0, 0.5, measure=key), *FINDINGS))
    text = " ".join(render_check_text(told).split())
    assert text.startswith("Anna In C, where F was set, 5 of 8 bars are right")
    assert "Played in C, set in F: everything is 5 semitones lower. The guitar itself is in tune. Play the" in text
    assert summary_text(told).startswith("played in C, set in F; ")


def test_a_note_of_several_lines_is_shown_in_lines_without_control_characters() -> None:
    written = replace(ANNA, teacher=TeacherWords((), "Line one.\r\nLine two.\n\nSo\x1b[31m long."))
    text = render_check_text(written)
    assert "\nYour teacher writes: Line one.\nLine two.\n\nSo?[31m long.\n" in text
    page = render_check_page(written, SET)
    assert "</strong> Line one.\nLine two.\n\nSo?[31m long.</p>" in page
    kind = re.search(r'<p class="note (\w+)"><strong>Your teacher writes', page)
    assert kind is not None
    assert f".{kind[1]} {{ white-space: pre-line; }}" in page


def test_who_sent_another_piece_sees_what_was_set_and_what_to_do_next() -> None:
    unplayed = tuple(replace(bar, state="not judged", start_s=None, end_s=None) for bar in BARS)
    refused = replace(BO, bars=unplayed, refused="This does not look like what was set: 1 of 8 bars match.")
    page = render_check_page(refused, SET)
    assert "ask your teacher. What was set stands below." in page
    for shown in (page, render_student_fragment(refused, SET)):
        assert "<h2>What was set</h2>" in shown
        assert shown.count("<strong>D</strong>") == len(BARS)
    assert "What was set" not in render_check_page(BO, SET)  # nothing is known of its bars


def test_what_a_heading_does_is_said_where_it_can_be_pressed() -> None:
    assert '<span class="screen">A heading sorts its column.</span>' in render_class_page(CLASS)
