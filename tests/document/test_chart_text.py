"""The chart in plain text: what is written is read back, and what is wrong is told with its place."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from typing import Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listen.document import are_chords, parse_chart, parse_chords, render_chart_text
from listen.errors import DocumentError
from listen.instrument import Shape, parse_tuning
from listen.reading import (
    DEMANDS,
    Assignment,
    Expectation,
    SetBar,
    SetChange,
    SetChord,
    SetSection,
    SetStroke,
)
from listen.theory import QUALITIES, Chord, ChordQuality, Note, parse_chord

CHART = """# for Thursday
title: Harbour Lights
capo: 2
tempo: 96
pattern: D.DU.UDU
matters: bass

G/B = x20003 shape
Am = notes strings 4-1

|: C | G/B | Am F | . . &G . |
|  C | | x32010 | N.C. :| x2
| ? |
"""
LATE = (0, 3, 4, 6, 8, 9)


def chord_of(root: str, quality: ChordQuality, bass: str | None) -> SetChord:
    """A chord under the symbol that it is written with."""
    chord = parse_chord(Chord(Note.parse(root), quality, None if bass is None else Note.parse(bass)).text)
    return SetChord(chord.text, chord)


def frets_of(frets: tuple[int | None, ...]) -> SetChord:
    """Frets in place of a symbol."""
    return SetChord(Shape(frets).text, None, Shape(frets))


symbols = st.one_of(
    st.builds(
        chord_of,
        st.sampled_from(["C", "F#", "Bb", "Ab", "E"]),
        st.sampled_from([quality for quality in QUALITIES if not quality.members]),
        st.sampled_from([None, "G", "F#", "Bb"]),
    ),
    st.tuples(*[st.one_of(st.none(), st.integers(0, 12))] * 6).map(frets_of),
    st.sampled_from([SetChord("N.C."), SetChord("?")]),
)
expectations = st.builds(
    Expectation,
    st.sampled_from(DEMANDS),
    st.sets(st.integers(1, 6)).map(lambda numbers: tuple(sorted(numbers, reverse=True))),
)


@st.composite
def assignments(draw: st.DrawFn) -> Assignment:
    """Charts of every kind that can be set."""
    signature = draw(st.sampled_from([(4, 4), (3, 4), (6, 8), (2, 4), (12, 8), (5, 4)]))
    frame = Assignment((), (), signature=signature)
    n_steps = frame.steps_per_bar
    pool = {one.symbol: one for one in draw(st.lists(symbols, min_size=1, max_size=5))}
    pickup = draw(st.integers(0, frame.beats_per_bar - 1))
    steps = [12 * beat + late for beat in range(frame.beats_per_bar) for late in LATE]
    names = st.sampled_from(list(pool))

    def bar(most: int) -> SetBar:
        places = sorted(draw(st.sets(st.sampled_from([step for step in steps if step < most]), max_size=4)))
        return SetBar(tuple(SetChange(step, draw(names)) for step in places))

    sections: list[SetSection] = []
    for _ in range(draw(st.integers(1, 3))):
        n_bars = draw(st.integers(1, 6))
        first = pickup * 12 if pickup and not sections else n_steps
        bars = tuple(bar(first if place == 0 else n_steps) for place in range(n_bars))
        times = draw(st.integers(2, 4)) if sections and sections[-1].times == 1 else draw(st.integers(1, 4))
        sections.append(SetSection(bars, times))
    if sections[0].times > 1 and pickup:
        sections[0] = SetSection(sections[0].bars, 1)
        if len(sections) > 1 and sections[1].times == 1:
            sections[1] = SetSection(sections[1].bars, 2)
    used = dict.fromkeys(change.symbol for section in sections for one in section.bars for change in one.changes)
    chords = []
    for symbol in used:
        chord = pool[symbol]
        if chord.chord is not None and draw(st.booleans()):
            chord = SetChord(symbol, chord.chord, Shape((3, 2, 0, 0, None, 11)))
        if draw(st.booleans()):
            chord = SetChord(symbol, chord.chord, chord.shape, draw(expectations))
        chords.append(chord)
    width = draw(st.sampled_from([12, 6, 4, 3]))
    stroke: st.SearchStrategy[tuple[Literal["down", "up"] | None, bool]] = st.sampled_from(
        [("down", False), ("up", False), (None, False), (None, True)]
    )
    pattern = tuple(SetStroke(step, *draw(stroke)) for step in range(0, n_steps, width) if draw(st.booleans()))
    tempo = draw(st.one_of(st.none(), st.integers(200, 4000).map(lambda tenths: tenths / 10)))
    is_free = draw(st.booleans())
    if tempo is not None and not is_free:
        tempi = st.one_of(st.none(), st.integers(200, 4000).map(lambda tenths: tenths / 10))
        sections = [
            replace(section, bars=tuple(replace(one, tempo_bpm=draw(tempi)) for one in section.bars))
            for section in sections
        ]
    return Assignment(
        tuple(chords), tuple(sections), draw(st.sampled_from(["", "Two Piers", "é: a = b | c"])),
        parse_tuning(draw(st.sampled_from(["standard", "drop D"]))), draw(st.integers(0, 7)), signature, tempo,
        is_free, pickup, pattern, draw(expectations), draw(st.booleans()),
    )  # fmt: skip


@given(assignments())
@settings(max_examples=60, deadline=None)
def test_what_the_chart_writes_is_read_back_as_the_same(assignment: Assignment) -> None:
    assert parse_chart(render_chart_text(assignment)) == assignment


def test_a_typed_chart_says_bars_repeats_shapes_and_what_matters() -> None:
    chart = parse_chart(CHART)
    assert chart.title == "Harbour Lights"
    assert (chart.capo_fret, chart.tempo_bpm, len(chart.bars)) == (2, 96.0, 17)
    assert chart.bars[2].changes == (SetChange(0, "Am"), SetChange(24, "F"))
    assert chart.bars[3].changes == (SetChange(30, "G"),)
    assert chart.bars[5].changes == ()
    over_b = chart.chord_of("G/B")
    assert over_b.shape == Shape((None, 2, 0, 0, 0, 3))
    assert chart.expectation_of(over_b) == Expectation("shape")
    assert chart.expectation_of(chart.chord_of("Am")) == Expectation("notes", (4, 3, 2, 1))
    assert chart.expectation_of(chart.chord_of("C")) == Expectation("bass")
    assert [stroke.step for stroke in chart.pattern] == [0, 12, 18, 30, 36, 42]
    assert chart.pattern[2] == SetStroke(18, "up")


def test_a_compound_bar_may_be_written_by_beats_or_by_eighths() -> None:
    by_beats = parse_chart("metre: 6/8\n| C G |").bars[0]
    by_eighths = parse_chart("metre: 6/8\n| C . . G . . |").bars[0]
    assert by_beats == by_eighths
    assert Fraction(by_beats.changes[1].step, 12) == 1


def test_a_few_chords_in_quotes_are_an_assignment_in_free_time() -> None:
    chart = parse_chords("C, G/B x02210")
    assert chart.is_free
    assert [bar.changes[0].symbol for bar in chart.bars] == ["C", "G/B", "x02210"]


@pytest.mark.parametrize(
    ("text", "place", "remedy"),
    [
        ("| C | G", "line 1, column 7", "put | after it"),
        ("\n|: C | G |", "line 2, column 1", "write :| ×2"),
        ("| C | C G Am |", "line 1, column 7", "4 places, with . where nothing changes"),
        ("| C | Gmajj7 |", "line 1, column 7", "The nearest good symbol is"),
        ("| x3201 |", "line 1, column 3", "write x where a string is not played"),
        ("capo: two\n| C |", "line 1, column 7", "a fret, counted from the nut"),
        ("| C |\nkapo: 2", "line 2, column 1", "Did you mean capo"),
        ("| C |\npattern: D U U", "line 2, column 10", "write 4, 8, 12 or 16"),
        ("| C |\nC = loud", "line 2, column 5", "name, bass, notes, shape"),
        ("| C |\nC = notes strings 3-9", "line 2, column 19", "1 to 6"),
        ("| C&&G . . . |", "line 1, column 3", "no name after its last sign"),
        ("| C&G&D . . . |", "line 1, column 7", "two names stand at one place"),
        ("C G Am F", "line 1, column 1", "between bar lines"),
        ("tuning: dorp D\n| C |", "line 1, column 9", "Did you mean drop D"),
        ("tempo: 96\n| C | tempo=fast G |", "line 2, column 13", "beats a minute, 20 to 400."),
        ("tempo: 96\n| C | tempo= |", "line 2, column 7", "write beats a minute after it"),
        ("tempo: 96\n| C . tempo=120 . |", "line 2, column 7", "stands before the names of its bar"),
        ("| C | tempo=120 G |", "line 1, column 7", "write tempo: 96 above the bars"),
        ("free time\n| C | tempo=120 G |", "line 2, column 7", "a chart in free time has no tempo"),
        ("title: x", "line 1, column 1", "there are no bars"),
        ("| " + "C | " * 900, "line 1, column 2000", "break it after a bar line"),
    ],
)
def test_what_cannot_be_read_is_told_with_its_line_column_and_remedy(text: str, place: str, remedy: str) -> None:
    with pytest.raises(DocumentError) as error:
        parse_chart(text)
    assert place in str(error.value)
    assert remedy in str(error.value)


def test_a_percent_sign_plays_the_bar_before_again() -> None:
    """As on any lead sheet; common practice, no source."""
    written = parse_chart("| C | . . G . | % |\n|: % | Am :| x2")
    meant = parse_chart("| C | . . G . | C . G . |\n|: C . G . | Am :| x2")
    assert written.bars == meant.bars
    with pytest.raises(DocumentError, match="line 1, column 3: there is no whole bar before %"):
        parse_chart("| % | C |")


@pytest.mark.parametrize("mark", ["tempo=120", "Tempo = 120", "tempo: 120", "♩=120", "♩ = 120"])
def test_a_bar_may_begin_another_tempo_which_holds_until_the_next(mark: str) -> None:
    chart = parse_chart(f"tempo: 96\n| C | {mark} % | | tempo=60 . . G . |")
    assert chart.tempi_bpm == (96.0, 120.0, 120.0, 60.0)
    assert [bar.changes for bar in chart.bars] == [bar.changes for bar in parse_chart("| C | C | | . . G . |").bars]


def test_a_repeat_goes_back_to_the_tempo_of_its_first_bar() -> None:
    chart = parse_chart("tempo: 96\n|: tempo=96 C | tempo=120 G :| x2")
    assert chart.tempi_bpm == (96.0, 120.0, 96.0, 120.0)
    assert "|: tempo=96 C | tempo=120 G :| ×2" in render_chart_text(chart)


def test_a_feel_that_nobody_has_is_refused_with_what_may_be_written() -> None:
    assert parse_chart("feel: swing\n| C |").is_swung
    assert not parse_chart("feel: straight\n| C |").is_swung
    with pytest.raises(DocumentError, match="line 1, column 7: feel is funky, but it must be straight or swing"):
        parse_chart("feel: funky\n| C |")


@pytest.mark.parametrize(
    ("typed", "symbols"),
    [
        ("C G Am F", ["C", "G", "Am", "F"]),
        ("x32010", ["x32010"]),
        ("C | G/B | x02210, F |", ["C", "G/B", "x02210", "F"]),
        ("C G\n Am N.C. C\n", ["C", "G", "Am", "N.C.", "C"]),
    ],
)
def test_a_few_chords_are_a_chart_that_is_written_and_read_back(typed: str, symbols: list[str]) -> None:
    assert are_chords(typed)
    chords = parse_chords(typed)
    assert [bar.changes[0].symbol for bar in chords.bars] == symbols
    assert parse_chart(render_chart_text(chords)) == chords


def test_a_long_row_of_chords_has_a_short_title_and_is_read_back() -> None:
    chords = parse_chords(" ".join(["Cmaj7", "G/B"] * 250))
    assert len(chords.bars) == 500
    assert chords.title.startswith("Cmaj7 G/B Cmaj7")
    assert chords.title.endswith(" …")
    assert parse_chart(render_chart_text(chords)) == chords


@pytest.mark.parametrize(
    "text", ["", " | ", "| C | G |", "3 | C | G |", "C | G\n| C | G |", "C = x32010", "tempo: 96", "# C", "a song"]
)
def test_a_chart_is_no_row_of_chords(text: str) -> None:
    assert not are_chords(text)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("C Gg Am", "SET, line 1, column 3: chord=Gg cannot be read"),
        ("C | G\nAm | Hm", "SET, line 2, column 6: chord=Hm cannot be read"),
        (" , | ", "SET, line 1, column 1: there are no chords; write some with spaces between: C G Am F."),
    ],
)
def test_what_is_no_chord_among_chords_is_told_with_its_place(typed: str, said: str) -> None:
    with pytest.raises(DocumentError, match=re.escape(said)):
        parse_chords(typed)


@pytest.mark.parametrize("times", ["1", "100", "99999", "9" * 1500])
def test_a_repeat_of_too_many_times_is_told_what_it_may_be(times: str) -> None:
    with pytest.raises(DocumentError, match=rf"bars are repeated 2 to 99 times, not {times[:9]}[9.]{{0,51}}\.$"):
        parse_chart(f"|: C | G :| ×{times}")


@pytest.mark.parametrize(("end", "times"), [(":|", 2), (":| x2", 2), (":| ×3", 3), (":|x12", 12)])
def test_a_repeat_is_played_twice_unless_it_says_how_often(end: str, times: int) -> None:
    """As music is written: dots at a bar line mean once more."""
    assert len(parse_chart(f"tempo: 90\n|: C | G {end}").bars) == 2 * times
