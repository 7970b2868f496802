"""The chart in text: what a player reads on the stand."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from listen.document import parse_chart, render_chart_text
from listen.export import PANNED_APART, part_to_assignment
from listen.export.bars import lay_bars
from listen.export.chart import ChartView, render_chart
from listen.export.fold import find_folds, mark_returns
from listen.export.head import setting_fact
from listen.export.listed_shapes import list_first_spans
from listen.export.part_sheet import render_part_fragment
from listen.export.score_line import find_items
from listen.export.style import TextStyle, visible_width
from listen.export.tempo_marks import write_tempi
from listen.instrument import Fretboard, parse_shape
from listen.reading import (
    ChordName,
    Correction,
    Mark,
    Metre,
    Part,
    PatternStroke,
    SetupHypothesis,
    StrummingPattern,
)
from listen.theory import parse_chord
from tests.hand_made_parts import (
    ALL_PARTS,
    Scene,
    compound_part,
    count_pickup_as_one,
    free_part,
    line_part,
    straight_part,
    waltz_part,
)

EVERY_PART = pytest.mark.parametrize("make", ALL_PARTS.values(), ids=ALL_PARTS.keys())
ASCII = TextStyle(unicode=False)
FULL = ChartView(level="full")


def _bars(chart: str) -> list[str]:
    return [line for line in chart.splitlines() if re.match(r" *\d+ \|", line)]


def test_a_bar_like_the_one_before_shows_a_repeat_sign_and_repeats_are_folded() -> None:
    assert _bars(render_chart(straight_part())) == [
        "  1 |: Em             | %              | Cadd9 · &D/F♯ · | G            :| ×2",
    ]


def test_a_pushed_change_stands_on_its_beat_in_the_plain_chart_and_before_it_in_the_full_one() -> None:
    plain, full = render_chart(straight_part()), render_chart(straight_part(), view=FULL)
    assert re.search(r"&D/F♯ · \| G ", plain)
    assert re.search(r"Cadd9 +D/F♯ +<G \|", full)
    assert "< before its beat" in full


def test_four_bars_stand_on_a_line() -> None:
    scene = Scene()
    for bar in range(1, 11):
        scene.chord(("A", "D", "Bm", "E", "F#m")[bar % 5] if bar < 9 else "G", "x02220")
        scene.strum(bar, 0)
    lines = _bars(render_chart(scene.part(10)))
    assert [line.count("|") - 1 for line in lines] == [4, 4, 2]
    assert all(visible_width(line) <= 80 for line in lines)


def test_the_pattern_stands_once() -> None:
    chart = render_chart(straight_part())
    rows = chart.splitlines()
    at = next(i for i, line in enumerate(rows) if line.startswith("Pattern, the rhythm of 6 of 8 bars: "))
    assert rows[at + 1].split() == ["1", "&", "2", "&", "3", "&", "4", "&"]
    assert rows[at + 2].split() == ["↓>", "↓", "↑'", "↑'", "↓", "↑'"]
    assert sum(line.startswith("Pattern") for line in rows) == 1


def test_a_bass_and_brush_pattern_shows_which_is_which() -> None:
    strokes = (PatternStroke(0, None, "bass"), PatternStroke(12, "down", "full"), PatternStroke(24, None, "single"))
    part = replace(waltz_part(), pattern=StrummingPattern(strokes, (1, 2), 1.0), events=())
    lines = render_chart(part).splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("Pattern, the rhythm of all 2 bars: "))
    legend = " ".join(lines[at : at + 2])
    assert "B a low string picked" in legend
    assert next(line.split() for line in lines[at:] if "B  " in line) == ["B", "↓", "•"]


def _stroke_rows(chart: str) -> str:
    return "".join(block.splitlines()[1] for block in chart.split("\n\n") if re.match(r" *\d+ \|", block))


def test_the_full_chart_holds_every_stroke_and_hit_that_the_pattern_does_not_tell() -> None:
    part = straight_part()
    assert part.pattern is not None
    own = [e for e in part.events if e.position is not None and e.position.bar not in part.pattern.bars]
    signs = _stroke_rows(render_chart(part, view=FULL))
    assert len(re.findall("[↓↑↕×]", signs)) == sum(len(event.strokes) for event in own)
    assert signs.count("×") == 2
    without = _stroke_rows(render_chart(replace(part, pattern=None), view=FULL))
    assert len(re.findall("[↓↑↕×]", without)) > len(re.findall("[↓↑↕×]", signs))


def test_in_the_full_chart_bars_that_play_the_pattern_show_their_names_alone() -> None:
    lines = _bars(render_chart(straight_part(), view=FULL))
    assert [line[:21] for line in lines] == ["  1 | Em | % | Cadd9 ", "  5 | Em | % | Cadd9 "]


def test_a_bass_where_the_pattern_strums_is_shown_though_the_rhythm_is_the_patterns() -> None:
    strokes = (PatternStroke(0, "down", "full"), PatternStroke(12, "down", "full"), PatternStroke(24, "up", "full"))
    part = replace(waltz_part(), pattern=StrummingPattern(strokes, (1, 2, 3, 4), 1.0))
    chart = render_chart(part, view=FULL)
    assert _stroke_rows(chart).count("5 ") == 3, "and a repeat sign"
    assert "names alone" not in chart
    assert "Pattern, the rhythm of all 4 bars: " in chart, "which none of them plays as it is written"


def test_one_stroke_on_a_sixteenth_does_not_widen_the_other_beats() -> None:
    scene = Scene()
    scene.chord("E", "022100")
    for step in (0, 12, 21, 24, 36):
        scene.strum(1, step)
    rows = render_chart(scene.part(1), view=FULL).splitlines()
    assert any("1 & 2 & a 3 & 4 &" in row for row in rows)


def test_a_bar_wider_than_the_page_goes_on_below_and_loses_nothing() -> None:
    scene = Scene()
    scene.chord("E", "022100")
    for step in range(0, 48, 1):
        scene.strum(1, step)
    chart = render_chart(scene.part(1), style=TextStyle(width=60), view=FULL)
    assert max(map(visible_width, chart.splitlines())) <= 60
    assert chart.split("Shapes")[0].count("↓") == 48 + 1, "and once in the legend"


def test_a_picked_pattern_is_written_by_string_numbers() -> None:
    assert "| 5 3 2 1 2 3 | 51 3 2 4 2 3 |" in render_chart(compound_part(), view=FULL)


def test_what_has_no_chord_says_so_and_what_could_not_be_read_says_where_to_listen() -> None:
    chart = render_chart(line_part())
    assert re.search(r"1 \| +N\.C\. +\| N\.C\. +\| listen 0:05 +\| D5 ", chart)
    assert "Could not be read, to be listened to: 0:05." in chart


def test_under_a_capo_names_are_as_played_and_the_head_says_so() -> None:
    chart = render_chart(waltz_part())
    assert "Capo 3: play in C, sounds in E♭" in chart
    assert re.search(r"C +\| % +\| G7/B +\| C", chart)
    assert "x20001  sounds B♭7/D" in chart
    sounding = render_chart(waltz_part(), view=ChartView(names="sounding"))
    assert re.search(r"E♭ +\| % +\| B♭7/D +\| E♭", sounding)


@pytest.mark.parametrize(
    ("names", "expected"), [("nashville", ["6-", "4", "5/7", "1"]), ("roman", ["vi", "IV", "V6", "I"])]
)
def test_chords_are_numbered_in_the_key(names: str, expected: list[str]) -> None:
    assert names in {"nashville", "roman"}
    view = ChartView(names="nashville" if names == "nashville" else "roman")
    chart = render_chart(straight_part(), view=view, style=ASCII)
    assert "1 = G" in chart
    (line,) = _bars(chart)
    for text in expected:
        assert re.search(rf"[ &]{re.escape(text)}", line), (text, line)


def test_without_a_key_numbers_give_way_to_names() -> None:
    chart = render_chart(replace(straight_part(), keys=()), view=ChartView(names="nashville"))
    assert "no key was found" in chart
    assert "Em" in chart


def test_the_pickup_stands_before_the_first_full_line() -> None:
    lines = _bars(render_chart(waltz_part()))
    assert [line.split("|")[0].strip() for line in lines] == ["0", "1"]
    assert lines[0] == "  0 |  N.C. |", "as long as what is in it"
    full = render_chart(waltz_part(), view=FULL)
    assert re.search(r"^ +3 +& +1 +& ", full, re.MULTILINE), "a pickup of one beat counts three and"


def test_free_time_is_written_by_the_clock() -> None:
    chart = render_chart(free_part())
    assert "free time" in chart
    assert re.search(r"0:00  Asus2 +0:04  Cmaj7/G", chart)


def test_a_doubtful_setting_is_never_silent() -> None:
    part = straight_part()
    rival = SetupHypothesis(Fretboard(capo_fret=2), 40.0, 0.35, "Capo 2")
    part = replace(part, setups=(replace(part.setups[0], probability=0.6), rival))
    text = " ".join(render_chart(part).split())
    assert "not certain" in text
    assert "Capo 2, 40 cents sharp (35 %)" in text
    told = replace(part, setups=(replace(part.setups[0], told=True), rival))
    assert "not certain" not in render_chart(told)


def test_the_full_chart_says_where_the_two_paths_differ() -> None:
    text = " ".join(render_chart(straight_part(), view=FULL).split())
    assert "Easier for the hand: Cadd9 in bar 3 as x32033, in place of x32030." in text


def test_the_full_chart_tells_no_rival_that_is_hardly_possible() -> None:
    part = straight_part()
    assert part.bars.metre is not None
    for chance, is_told in ((0.004, False), (0.05, True)):
        metres = (part.bars.metre, replace(part.bars.metre, beats_per_bar=3, probability=chance))
        keys = (part.keys[0], replace(part.keys[0], probability=chance))
        text = render_chart(replace(part, keys=keys, bars=replace(part.bars, metres=metres)), view=FULL)
        assert ("may also be counted in 3/4" in text) == is_told
        assert ("The key may also be" in text) == is_told
        assert "under 1 %" not in text


def test_a_stopped_reading_says_where_it_stopped() -> None:
    assert "stopped at 0:20" in render_chart(
        replace(straight_part(), recording=replace(straight_part().recording, complete=False))
    )


@EVERY_PART
@pytest.mark.parametrize("view", [ChartView(), FULL], ids=["plain", "full"])
@pytest.mark.parametrize("width", [50, 80, 120])
def test_no_line_is_wider_than_asked_and_ascii_stays_ascii(
    make: Callable[[], Part], view: ChartView, width: int
) -> None:
    chart = render_chart(make(), style=TextStyle(unicode=False, width=width), view=view)
    assert chart.isascii()
    assert chart.endswith("\n")
    assert max(map(len, chart.splitlines())) <= width


def test_in_plain_letters_the_bars_are_as_a_person_would_type_them() -> None:
    (line,) = _bars(render_chart(straight_part(), style=ASCII))
    assert line.split() == ["1", "|:", "Em", "|", "%", "|", "Cadd9", ".", "&D/F#", ".", "|", "G", ":|", "x2"]


def test_control_characters_in_the_name_of_the_recording_do_not_reach_the_terminal() -> None:
    assert "\x1b" not in render_chart(
        replace(straight_part(), recording=replace(straight_part().recording, file="a\x1b[31mb.wav"))
    )


def test_two_hundred_bars_of_one_chord_are_one_line() -> None:
    scene = Scene(Metre(4, 4, 2, 120.0))
    scene.chord("Am", "x02210")
    for bar in range(1, 201):
        scene.strum(bar, 0)
    assert _bars(render_chart(scene.part(200))) == ["  1 |: Am            :| ×200"]


def test_folding_keeps_every_bar() -> None:
    for contents in ("ABCDABCDABCDE", "AAAAAAAA", "ABABABABCC", "ABCABD", ""):
        unfolded = "".join(contents[f.first : f.first + f.length] * f.times for f in find_folds(contents))
        assert unfolded == contents


def test_a_section_that_comes_back_after_another_is_named_by_its_bars() -> None:
    scene = Scene(Metre(4, 4, 2, 120.0))
    shapes = {"C": "x32010", "G": "320003", "Am": "x02210", "F": "133211", "Dm": "xx0231", "E": "022100"}
    form = ["C", "G", "Am", "F", "C", "G", "F", "F"]
    for bar, name in enumerate([*form, "Dm", "E", "Am", "G", *form], start=1):
        scene.chord(name, shapes[name])
        scene.strum(bar, 0)
    assert _bars(render_chart(scene.part(20)))[-1] == " 13 |  as bars 1 to 8 |"


def test_marking_sections_keeps_every_bar() -> None:
    for contents in (
        "ABCDEFGH" * 2 + "XYZ" + "ABCDEFGH" * 2 + "ABCDEFGHX",
        "ABCDEFGHIABCDEFGHK",
        "A" * 40,
        "",
        "ABCD" * 2 + "EFGH" + "XY" + "ABCDEFGH",  # all eight together only in the second pass
        "ABCDEFGHIJ" + "XY" + "ABCDEFGH" + "IJKL" + "YX" + "CDEFGHIJKL",  # the longer run only where it came back
    ):
        unfolded, written = "", set[int]()
        for fold in mark_returns(find_folds(contents), contents):
            first = fold.first if fold.like is None else fold.like
            assert fold.like is None or fold.like + fold.length <= fold.first
            assert fold.like is None or written.issuperset(range(fold.like, fold.like + fold.length))
            written.update(range(fold.first, fold.first + fold.length) if fold.like is None else ())
            unfolded += contents[first : first + fold.length] * fold.times
        assert unfolded == contents


def test_a_capo_as_likely_as_none_is_not_stated_as_a_fact() -> None:
    part = straight_part()
    plain = part.setups[0]
    capo = replace(plain, text="Capo 2", probability=0.4, told=False)
    doubtful = render_chart(replace(part, setups=(capo, replace(plain, text="", probability=0.38, told=False))))
    assert "perhaps Capo 2, perhaps no capo" in doubtful
    waltz = waltz_part()
    rivals = (replace(waltz.setups[0], probability=0.4), replace(plain, text="", probability=0.38))
    text = " ".join(render_chart(replace(waltz, setups=rivals)).split())
    assert "perhaps Capo 3 (play in C, sounds in E♭), perhaps no capo" in text
    rarer = replace(plain, text="", probability=0.2, told=False)
    likely = replace(part, setups=(replace(capo, probability=0.77), rarer))
    assert "· perhaps Capo 2 · " in render_chart(likely), "its rival stands below the chart"
    for sure in (replace(capo, probability=0.95), replace(capo, probability=0.77, told=True)):
        assert "perhaps" not in render_chart(replace(part, setups=(sure, rarer)))


def test_a_rival_that_is_as_likely_as_no_capo_stands_in_the_head() -> None:
    part = straight_part()
    plain = replace(part.setups[0], text="", probability=0.28, told=False)
    capo = replace(plain, text="Capo 1", probability=0.3)
    assert "· perhaps no capo, perhaps Capo 1" in render_chart(replace(part, setups=(plain, capo)))
    retuned = replace(capo, text="Drop D")
    assert "· perhaps standard tuning, perhaps Drop D" in render_chart(replace(part, setups=(plain, retuned)))
    assert "· perhaps Drop D, perhaps standard tuning" in render_chart(replace(part, setups=(retuned, plain)))
    for sure in (replace(plain, probability=0.7), replace(plain, told=True)):
        assert setting_fact(replace(part, setups=(sure, capo))) == ""


def test_a_short_stop_inside_a_bar_is_no_nc_and_a_long_one_is() -> None:
    for last, expected in ((36, ["chord"]), (12, ["chord", "none", "chord"])):
        scene = Scene()
        scene.chord("E", "022100")
        scene.strum(1, 0)
        scene.gap(1, last, "silence")
        scene.strum(2, 0)
        kinds = [change.kind for bar in lay_bars(scene.part(2)).played for change in bar.changes]
        assert kinds == expected, last


def test_silence_before_the_first_bar_is_not_written_over_the_first_chord() -> None:
    scene = Scene()
    scene.gap(1, 0, "silence")
    scene.chord("E", "022100")
    scene.strum(1, 0)
    assert [change.kind for change in lay_bars(scene.part(1)).played[0].changes] == ["chord"]
    assert "| E " in render_chart(scene.part(1), view=FULL)


def test_two_chords_in_one_cell_stand_side_by_side() -> None:
    scene = Scene()
    scene.chord("E", "022100")
    scene.strum(1, 0)
    scene.chord("A", "x02220")
    scene.strum(1, 1)
    assert "| E A " in render_chart(scene.part(1), view=FULL)


def test_the_full_chart_tells_the_numbers_that_pins_and_names_are_given_by() -> None:
    chart = " ".join(render_chart(straight_part(), view=FULL).split())
    assert "Events at which chords begin, for --pin and --name: bar 1: 1 Em; bar 3: 13 Cadd9" in chart
    assert "Events" not in render_chart(straight_part())
    assert "--name: 1 Asus2, 3 Cmaj7/G." in " ".join(render_chart(free_part(), view=FULL).split())


def test_what_is_special_about_a_chord_is_said_once_with_its_bars() -> None:
    part = straight_part()
    spans = tuple(replace(span, remark="Held oddly." if place < 2 else "") for place, span in enumerate(part.spans))
    assert "Bar 1, bar 3: Held oddly." in render_chart(replace(part, spans=spans))


def test_a_chord_without_a_name_shows_its_notes() -> None:
    part = straight_part()
    span = replace(part.spans[0], names=())
    assert "(E B E G B E)" in render_chart(replace(part, spans=(span, *part.spans[1:])))


def _ring_out(last: int) -> Part:
    scene = Scene()
    scene.chord("E", "022100")
    scene.strum(1, 0)
    scene.chord("A", "x02220")
    scene.strum(2, 0)
    scene.strum(2, 24)
    scene.gap(2 + last // 48, last % 48, "silence")
    return scene.part(4)


@pytest.mark.parametrize("last", [33, 45, 47, 60, 100])
def test_the_ring_out_after_the_last_chord_is_no_bar_and_no_nc(last: int) -> None:
    bars = lay_bars(_ring_out(last)).played
    assert [bar.number for bar in bars] == [1, 2]
    assert [(item.start, item.end) for item in find_items(bars)[-1]] == [(0, 24), (24, 48)], "to the end of its bar"
    assert _bars(render_chart(_ring_out(last))) == ["  1 |  E              | A              |"]
    assert "N.C." not in render_chart(_ring_out(last), view=FULL)


def test_a_silence_in_the_middle_says_nc_from_the_next_beat_on() -> None:
    scene = Scene()
    scene.chord("E", "022100")
    scene.strum(1, 0)
    scene.gap(1, 7, "silence")
    scene.chord("A", "x02220")
    scene.strum(3, 0)
    assert _bars(render_chart(scene.part(3))) == ["  1 |  E N.C. · ·     | N.C.           | A              |"]


@pytest.mark.parametrize(
    ("step", "marks", "expected"),
    [(27, (), "C · E ·"), (9, (), "C E · ·"), (30, (), "C · &E ·"), (33, ("pushed",), "C · · E"), (3, (), "E")],
)
def test_a_change_is_written_on_a_beat_or_between_two(step: int, marks: tuple[Mark, ...], expected: str) -> None:
    scene = Scene()
    scene.chord("C", "x32010")
    scene.strum(1, 0)
    scene.chord("E", "022100", marks=marks)
    scene.strum(1, step)
    assert _bars(render_chart(scene.part(1)))[0].split("|")[1].strip() == expected


def _dyad(text: str, label: str, *others: str) -> Part:
    scene = Scene()
    scene.chord("G", "3x0xxx")
    scene.strum(1, 0)
    part = scene.part(1)
    name = ChordName(parse_chord(text), 0.7, label=label)
    names = (name, *(ChordName(parse_chord(other), 0.2) for other in others))
    return replace(part, spans=(replace(part.spans[0], names=names),))


def test_two_notes_are_called_by_what_they_stand_for_with_their_letters_beside_it() -> None:
    label = "G–B, a major tenth (a major third and an octave)"
    chart = render_chart(_dyad("G(1,3)", label, "G"))
    assert "|  G (G–B)" in chart
    assert "tenth" not in chart
    assert "|  G–B  " in render_chart(_dyad("G(1,3)", label))
    assert "|  G (G–B)" in render_chart(_dyad("G(1,3)", label, "G/B", "G")), "its bass is the lower of the two"
    assert "|  G–B  " in render_chart(_dyad("G(1,3)", label, "G/B"))


def test_letters_of_a_melody_are_spelled_by_the_key_and_by_the_capo() -> None:
    def letters(tonic: str, capo_fret: int, view: ChartView) -> list[str]:
        scene = Scene(fretboard=Fretboard(capo_fret=capo_fret))
        scene.line([(1, 0, 5, 1), (1, 12, 5, 3), (1, 24, 4, 1), (1, 36, 4, 3)])
        return _stroke_rows(render_chart(scene.part(1, tonic=tonic), view=view)).strip("| ").split()

    assert letters("Eb", 0, FULL) == ["B♭", "C", "E♭", "F"]
    assert letters("E", 0, FULL) == ["A♯", "C", "D♯", "F"]
    assert letters("F", 2, FULL) == ["B♭", "C", "E♭", "F"], "played in E flat, sounding in F"
    assert letters("F", 2, replace(FULL, names="sounding")) == ["C", "D", "F", "G"]


def test_a_doubtful_name_is_marked_once_and_said_once_with_its_times() -> None:
    scene = Scene()
    for bar, (text, frets) in enumerate(
        [("Am7", "x02010"), ("G", "320003"), ("Am7", "x02010"), ("G", "320003")], start=1
    ):
        scene.chord(text, frets)
        scene.strum(bar, 0)
    part = scene.part(4)
    doubted = ChordName(parse_chord("Am7"), 0.5)
    names = (doubted, ChordName(parse_chord("C6"), 0.4))
    spans = tuple(replace(s, names=names) if at % 2 == 0 else s for at, s in enumerate(part.spans))
    chart = render_chart(replace(part, spans=spans))
    assert _bars(chart) == ["  1 |  Am7?           | G              | Am7            | G              |"]
    assert "? not sure: Am7 at 0:00, 0:05 (or C6)." in chart
    assert "?" not in render_chart(part)


def test_a_stretch_says_that_its_bars_are_counted_from_its_beginning() -> None:
    part = straight_part()
    part = replace(part, recording=replace(part.recording, span=replace(part.recording.span, start_s=10.0)))
    assert "read from 0:10 on, bars counted from there" in " ".join(render_chart(part).split())
    assert "read from" not in render_chart(straight_part())


def test_a_tempo_that_changes_for_good_stands_at_its_bar() -> None:
    part = straight_part()
    bars = (*part.bars.lines_s[:5], *(part.bars.lines_s[4] + 2.0 * n for n in range(1, 5)))
    chart = render_chart(replace(part, spans=part.spans, bars=replace(part.bars, lines_s=bars)))
    assert "♩=120" in chart
    assert chart.count("♩") == 1
    slow = (
        replace(part, bars=replace(part.bars, lines_s=bars, metre=replace(part.bars.metre, tempo_bpm=110.0)))
        if part.bars.metre
        else part
    )
    assert "4/4, 96 beats a minute" in render_chart(slow), "the head gives the tempo of the beginning"
    drifting = tuple(at * (1 + 0.003 * n) for n, at in enumerate(part.bars.lines_s))
    assert "♩" not in render_chart(replace(part, bars=replace(part.bars, lines_s=drifting)))


def test_a_capo_that_was_told_leaves_the_tuning_alone_open() -> None:
    part = waltz_part()  # over a capo
    first = replace(part.setups[0], probability=0.44, told=False)
    low = replace(first, text=f"Drop D, {first.text}", probability=0.3)
    told = replace(part.settled, corrections=(Correction("capo", str(part.fretboard.capo_fret)),))
    text = " ".join(render_chart(replace(part, setups=(first, low), settled=told)).split())
    assert "sounds in E♭), perhaps Drop D ·" in text
    assert f"perhaps {first.text}" not in text
    assert "Say which: give the tuning." in text
    likely = replace(first, probability=0.8)
    assert "perhaps" not in setting_fact(replace(part, setups=(likely, replace(low, probability=0.04)), settled=told))


def test_another_count_or_key_that_is_likely_is_said_under_the_plain_chart_and_twice_the_tempo_is_not() -> None:
    part = straight_part()
    metre = replace(part.bars.metres[0], probability=0.6)
    twice = replace(metre, tempo_bpm=2 * metre.tempo_bpm, probability=0.2)
    waltz = Metre(3, 4, 2, 126.0, probability=0.19)
    keys = (replace(part.keys[0], probability=0.5), replace(part.keys[1], probability=0.44))
    doubted = replace(part, bars=replace(part.bars, metres=(metre, twice, waltz)), keys=keys)
    text = " ".join(render_chart(doubted).split())
    assert f"Perhaps {keys[1].text} and in 3/4, 126 beats a minute." in text
    assert "192" not in text
    assert "Perhaps" not in render_chart(part)


@pytest.mark.parametrize(("ratio", "said"), [(2.0, "or 192, twice as fast"), (0.5, "or 48, half as fast")])
def test_the_head_offers_half_or_double_the_tempo_once_where_it_is_nearly_as_likely(ratio: float, said: str) -> None:
    part = straight_part()
    metre = replace(part.bars.metres[0], probability=0.5)
    other = replace(metre, tempo_bpm=ratio * metre.tempo_bpm, probability=0.4)
    doubted = replace(part, bars=replace(part.bars, metres=(metre, other)))
    text = " ".join(render_chart(doubted).split())
    assert f"{metre.text}, {said}: --tempo {ratio * metre.tempo_bpm:.0f}" in text
    assert text.count(said) == 1
    sheet = render_part_fragment(doubted)
    assert f"{metre.text}, {said}" in sheet
    assert "--tempo" not in sheet
    sure = replace(doubted, bars=replace(doubted.bars, metres=(metre, replace(other, probability=0.2))))
    assert "as fast" not in render_chart(sure)


def test_the_gentler_path_keeps_the_bass_of_the_name() -> None:
    part = straight_part()
    assert part.path is not None
    (difference,) = part.path.differences
    held = difference.gentlest
    over_g = replace(held, shape=parse_shape("332030"))
    told = replace(part, path=replace(part.path, differences=(replace(difference, gentlest=over_g),)))
    assert "Easier for the hand" not in render_chart(told, view=FULL)


def test_beats_of_compound_time_are_dotted() -> None:
    part = compound_part()
    bars = lay_bars(part).played
    assert write_tempi(part, ()) == {}
    stretched = [replace(bar, start_s=2 * bar.start_s, end_s=2 * bar.end_s) for bar in bars]
    marks = write_tempi(part, [*bars[:2], *stretched[2:]])
    assert marks
    assert all(text.startswith("♩.=") for text in marks.values())


def test_shapes_beside_a_chart_are_whole_and_of_chords_that_it_shows() -> None:
    scene = Scene()
    scene.chord("A", "x0x220")
    scene.strum(1, 0)
    scene.strum(1, 24)
    scene.chord("D", "xx0232")
    scene.strum(2, 0)
    scene.chord("A", "x02220")
    scene.strum(3, 0)
    listed = [span.shape.shape.text for span in list_first_spans(lay_bars(scene.part(4))) if span.shape is not None]
    assert listed == ["xx0232", "x02220"]


def test_repeats_are_folded_by_whole_lines_and_phrases_stand() -> None:
    scene = Scene()
    shapes = {"C": "x32010", "G": "320003", "Am": "x02210", "F": "133211", "D": "xx0232", "E": "022100", "A": "x02220"}
    for bar, name in enumerate(["C", "G", "Am", "F", "D", *["E", "A"] * 3, "C"], start=1):
        scene.chord(name, shapes[name])
        scene.strum(bar, 0)
    lines = _bars(render_chart(scene.part(12)))
    assert [line.split("|")[0].strip() for line in lines] == ["1", "5", "9"]
    assert not any("×" in line for line in lines)
    whole = Scene()
    for bar, name in enumerate(["C", "G", "Am", "F"] * 2 + ["D"], start=1):
        whole.chord(name, shapes[name])
        whole.strum(bar, 0)
    assert "×2" in _bars(render_chart(whole.part(9)))[0]


def test_a_chord_that_is_held_into_a_bar_is_named_in_the_full_chart_as_in_the_plain_one() -> None:
    scene = Scene()
    scene.chord("G/B", "x20003")
    scene.strum(1, 0)
    scene.strum(1, 24)
    scene.strum(2, 0)
    scene.chord("G", "320003")
    scene.strum(2, 24)
    scene.gap(3, 0, "unread", "Something sounds here that could not be read.")
    scene.chord("C", "x32010")
    scene.strum(5, 0)
    for view in (ChartView(), FULL):
        bars = [bar for line in _bars(render_chart(scene.part(5), view=view)) for bar in line.split("|")[1:-1]]
        assert [re.sub("[ ·]+", " ", bar).strip() for bar in bars] == ["G/B", "G/B G", "listen 0:05", "%", "C"]


@pytest.mark.parametrize(
    ("step", "bar"), [(6, "F&C · ·"), (12, "F C ·"), (18, "F &C ·"), (30, "F · &C")], ids=["1&", "2", "2&", "3&"]
)
def test_a_printed_bar_typed_back_has_its_changes_at_the_same_places(step: int, bar: str) -> None:
    """`F &C · ·` and `F &C ·` were two places for C, half a beat after the first beat and after the second."""
    scene = Scene(Metre(3, 4, 2, 96.0))
    scene.chord("F", "133211")
    scene.strum(1, 0)
    scene.chord("C", "x32010")
    scene.strum(1, step)
    (line,) = _bars(render_chart(scene.part(1)))
    assert line == f"  1 |  {bar:14} |"
    (section,) = parse_chart(f"metre: 3/4\n{line}").sections
    assert [change.step for change in section.bars[0].changes] == [0, step]
    assert f"| {bar.replace('·', '.')} |" in render_chart_text(part_to_assignment(scene.part(1)))


def test_a_pickup_is_called_one_once() -> None:
    for render, said in ((render_chart, "Bar 0 is the pickup."), (render_part_fragment, ">0 pickup<")):
        assert render(waltz_part()).count(said) == 1
        assert render(waltz_part()).count("pickup") == 1
        assert "pickup" not in render(straight_part())


def test_a_short_first_bar_is_no_pickup_where_bar_one_is_told_to_begin_with_it() -> None:
    told = count_pickup_as_one(waltz_part())
    assert "Bar 1 begins with a rest." in render_chart(told)
    for render in (render_chart, render_part_fragment):
        assert "pickup" not in render(told)


def test_two_players_left_and_right_are_told_with_the_option_in_the_terminal_alone() -> None:
    """The page and the sheet offer no ``--channel``."""
    part = replace(straight_part(), warnings=(PANNED_APART,))
    assert "With --channel left or --channel right it is." in " ".join(render_chart(part).split())
    sheet = render_part_fragment(part)
    assert PANNED_APART in sheet
    assert "--channel" not in sheet


def test_the_full_chart_has_four_bars_a_line_at_most_and_no_empty_row() -> None:
    part = straight_part()
    for width in (80, 400):
        lines = render_chart(part, view=ChartView("full"), style=TextStyle(width=width)).splitlines()
        rows = [line for line in lines if re.match(r" *\d+ \|", line)]
        assert rows
        assert max(row.count("|") for row in rows) <= 5
        assert not [line for line in lines if line.strip() and not line.strip("| ")]
