"""``listen shapes``: the chord everywhere, in every way of looking; filters; and questions that make no sense."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import jsonschema
import pytest

from listen.document import load_schema
from listen.export.style import visible_width
from listen.instrument import Fretboard, parse_shape
from listen.theory import Pitch, parse_chord
from tests.cli.runner import run_listen, run_wrong


def _shapes(*words: str) -> list[dict[str, object]]:
    document = json.loads(run_listen("shapes", "--json", *words).out)
    jsonschema.Draft202012Validator(load_schema("shapes")).validate(document)
    found = document["shapes"]
    assert isinstance(found, list)
    return found


def _sounding(shape: dict[str, object]) -> list[str]:
    pitches = shape["pitches"]
    assert isinstance(pitches, list)
    return [pitch for pitch in pitches if pitch is not None]


def test_a_beginners_first_shape_comes_first() -> None:
    # x32010 is the open C of every first lesson (common practice, no source)
    result = run_listen("shapes", "C")
    assert "C major: C (1), E (3), G (5)." in result.out
    assert result.out.index("x32010") < result.out.index("more; --all shows them")
    assert "easy: open strings" in result.out


def test_every_listed_shape_sounds_the_chord() -> None:
    wanted = parse_chord("F#m7b5").pitch_classes
    found = _shapes("F#m7b5", "--shapes", "40")
    assert found
    for shape in found:
        frets = shape["frets"]
        assert isinstance(frets, list)
        text = "-".join("x" if fret is None else str(fret) for fret in frets)
        pitches = parse_shape(text).pitches(Fretboard())
        assert {pitch.pitch_class for pitch in pitches if pitch is not None} <= wanted
        assert [pitch.name for pitch in pitches if pitch is not None] == _sounding(shape)


def test_all_lists_more_than_the_best_few_and_each_once() -> None:
    found = _shapes("Ebm6", "--all", "--position", "5", "--no-open")
    texts = [json.dumps(shape["frets"]) for shape in found]
    assert len(texts) == len(set(texts)) > 6
    lines = run_listen("shapes", "Ebm6", "--all", "--position", "5", "--no-open").out.splitlines()
    assert len(lines) == len(texts)


def test_notes_are_found_at_every_place() -> None:
    found = _shapes("E3", "G3", "C4")
    assert [None, None, 2, 0, 1, None] in [shape["frets"] for shape in found]
    assert all(sorted(_sounding(shape)) == ["C4", "E3", "G3"] for shape in found)


def test_a_note_name_alone_is_a_chord() -> None:
    assert "C sixth" in run_listen("shapes", "C6").out


def test_degree_lists_are_chords() -> None:
    assert "D (1), F♯ (3), B (6), E (9)" in run_listen("shapes", "D: 1 3 6 9").out
    assert "F♯ (1), A (♭3), C♯ (5), E (♭7)" in run_listen("shapes", "F#", "1", "b3", "5", "b7").out


def test_map_shows_the_whole_neck_by_degree_or_note() -> None:
    by_degree, by_note = (
        run_listen("shapes", "Am", "--map").out,
        run_listen("shapes", "Am", "--map", "--labels", "note").out,
    )
    assert "(♭3)" in by_degree
    assert "(C)" in by_note
    assert " 22" in by_degree
    assert "more;" not in by_degree


def test_inversions_are_arranged_by_their_bass() -> None:
    out = run_listen("shapes", "Gm", "--by", "inversion", "--shapes", "1").out
    heads = [line.strip() for line in out.splitlines() if "in the bass" in line]
    assert heads == [
        "Root position, G in the bass", "First inversion, B♭ in the bass", "Second inversion, D in the bass",
    ]  # fmt: skip


def test_triads_lie_on_four_sets_of_three_strings_with_three_inversions_each() -> None:
    # six strings have four sets of three neighbours (common practice, no source)
    out = run_listen("shapes", "Gm", "--by", "string-set").out
    assert [line.split(":")[0].strip() for line in out.splitlines() if "Strings " in line] == [
        "Strings 6-5-4", "Strings 5-4-3", "Strings 4-3-2", "Strings 3-2-1",
    ]  # fmt: skip
    assert out.count("second inversion") == 4
    assert "xxx333" in out


def test_the_string_that_shifts_a_form_is_named() -> None:
    out = " ".join(run_listen("shapes", "D5", "--by", "string-set").out.split())
    assert "string 2 is tuned 4 half steps above string 3, so a form moves 1 fret up there" in out
    assert "10-12-12-x-x-x" in out


@pytest.mark.parametrize(
    "words",
    [("Ebm7b5", "--by", "string-set"), ("C", "--compare", "Cm"), ("C", "--map"), ("Am", "--by", "inversion")],
)
def test_no_line_is_wider_than_a_terminal(words: tuple[str, ...]) -> None:
    # 80 columns is what is assumed where output goes to a file
    assert max(visible_width(line) for line in run_listen("shapes", *words).out.splitlines()) <= 80


def test_compared_chords_tell_which_tone_changed_and_where() -> None:
    out = run_listen("shapes", "A", "--compare", "Am", "--compare", "A7", "--shapes", "1").out
    assert "Am, A minor: 3 moves to ♭3." in out
    assert "A7, A dominant seventh: ♭7 is added." in out
    assert "From x02220" in out
    assert "Am  x02210" in out
    assert "string 2 from 2 to 1" in out
    assert "<♭3>" in out
    assert "A7  x02020" in out


def test_drop_2_of_a_major_seventh_has_four_inversions_on_one_string_set() -> None:
    # drop-2 voicings of four-note chords lie on strings 4 to 1 (a jazz guitar textbook's first page; from memory)
    for inversion in range(4):
        found = _shapes(
            "Cmaj7", "--voices", "drop-2", "--strings", "4-1", "--inversion", str(inversion), "--no-open"
        )  # fmt: skip
        assert found
        assert all(len(_sounding(shape)) == 4 for shape in found)


@pytest.mark.parametrize(
    "words",
    [
        ("--bass", "E"),
        ("--top", "G"),
        ("--n-strings", "3"),
        ("--no-open",),
        ("--strings", "5,3,2"),
        ("--frets", "5-8"),
        ("--position", "7"),
    ],
)
def test_filters_do_what_they_say(words: tuple[str, ...]) -> None:
    found = _shapes("C", "--shapes", "20", *words)
    assert found
    for shape in found:
        frets = shape["frets"]
        assert isinstance(frets, list)
        pitches = sorted(Pitch.parse(name) for name in _sounding(shape))
        stopped = [fret for fret in frets if fret]
        holds = {
            "--bass": pitches[0].pitch_class == 4,
            "--top": pitches[-1].pitch_class == 7,
            "--n-strings": len(pitches) == 3,
            "--no-open": 0 not in frets,
            "--strings": [fret is not None for fret in frets] == [False, True, False, True, True, False],
            "--frets": all(5 <= fret <= 8 for fret in stopped),
            "--position": all(7 <= fret <= 10 for fret in stopped),
        }
        assert holds[words[0]], shape


def test_reach_decides_what_can_be_held() -> None:
    small, wide = (
        len(_shapes("G13", "--all", "--no-open", "--frets", "1-6", "--strings", "5-1", "--reach", reach))
        for reach in ("small", "wide")
    )
    assert 0 < small < wide


def test_other_instruments_have_other_necks() -> None:
    assert _shapes("C", "--tuning", "ukulele")[0]["frets"] == [
        0,
        0,
        0,
        3,
    ]  # every ukulele beginner's C (common practice)
    assert len(run_listen("shapes", "A5", "--tuning", "E1 A1 D2 G2", "--ascii").out.splitlines()) > 8
    document = json.loads(run_listen("shapes", "D", "--tuning", "drop D", "--capo", "2", "--json").out)
    assert document["tuning"] == "D2 A2 D3 G3 B3 E4"
    assert document["capo_fret"] == 2


def test_drawing_and_page_are_written_once(tmp_path: Path) -> None:
    svg, html = tmp_path / "a.svg", tmp_path / "a.html"
    result = run_listen("shapes", "C", "--svg", str(svg), "--html", str(html))
    assert result.out == ""
    drawing = ET.parse(svg).getroot()  # noqa: S314
    assert len(drawing.findall(".//{http://www.w3.org/2000/svg}desc")) == 6
    assert html.read_text("utf-8").count("<svg") == 6
    assert "is there already" in run_wrong("shapes", "C", "--svg", str(svg))
    assert run_listen("shapes", "C", "--svg", str(svg), "--overwrite").status == 0
    same = run_wrong("shapes", "C", "--svg", str(svg), "--html", str(svg), "--overwrite")
    assert "ends in .html" in same
    assert "<svg" in svg.read_text("utf-8")[:300]


@pytest.mark.parametrize(
    ("words", "part"),
    [
        (("",), "empty"),
        (("H7",), "character 1"),
        (("Cmaj7y",), "character 6"),
        (("C" * 3_000,), "character 121"),
        (("C" * 10_000,), "no word here takes over 4096"),
        (("C", "--tuning", ""), "tuning"),
        (("C", "--tuning", "E2 " * 50), "1 to 10 open strings"),
        (("C", "--tuning", "E8 A8"), "E0 to E6"),
        (("C", "--capo", "25"), "capo=25"),
        (("C", "--reach", "0"), "60 to 160 mm"),
        (("C", "--reach", "1000"), "60 to 160 mm"),
        (("C", "--reach", "far"), "small, usual, wide"),
        (("C", "--frets", "30-33"), "frets=30-33 is not possible: it takes frets of this neck, 0 to 22"),
        (("C", "--frets", "21-22", "--position", "20"), "not both"),
        (("Cmaj7", "--strings", "3-1", "--all-tones"), "--strings 3-1 and --all-tones leave no playable shape"),
        (("C", "--no-open", "--position", "1", "--n-strings", "6"), "--n-strings 6, --position 1 and --no-open leave"),
        (("C", "--by", "string-set", "--strings", "6,4,2"), "--strings 6,4,2 and --by string-set leave no"),
        (("C13", "--tuning", "E2"), "hold no shape of C13"),
        (("C", "--n-strings", "0"), "n-strings=0"),
        (("C", "--strings", "2,2"), "names string 2 twice"),
        (("C", "--strings", ""), "--strings is empty"),
        (("C", "--strings="), "--strings is empty"),
        (("C", "--map", "--compare", "Cm"), "--map and --compare are different ways"),
        (("C", "--all", "--shapes", "3"), "--all shows every shape: leave out --shapes"),
        (
            ("C", "--left-handed", "--right-handed"),
            "--left-handed and --right-handed say the opposite: give one of them",
        ),
        (("C", "--no-thumb", "--reach", "small", "--thumb"), "--thumb and --no-thumb say the opposite"),
        (("C", "--all", "--by", "inversion"), "--all lists shapes one by one"),
        (("C", "--json", "--compare", "Cm"), "--json lists shapes one by one"),
        (("C", "--map", "--labels", "finger"), "labels=finger"),
        (("E3", "G3", "--no-open"), "--no-open is about a chord"),
        (("C", "--svg", "a.html"), "ends in .svg"),
        (("C", "--html", "a.svg"), "ends in .html"),
        (("C", "--svg", ""), "--svg is empty"),
        (("C", "--inversion", "7"), "0 to 2"),
        (("C", "--inversion", "-1"), "inversion=-1"),
        (("C", "--position", "-1"), "position=-1"),
        (("C", "--position", "5", "--frets", "5-8"), "not both"),
        (("C", "--strings", "9-7"), "1 to 6"),
        (("C", "--strings", "a"), "1 to 6"),
        (("C", "--voices", "drop-9"), "drop-2"),
        (("C", "--by", "colour"), "inversion, string-set"),
        (("C", "--labels", "colour"), "finger, degree, note"),
        (("C", "--bass", "H"), "bass=H"),
        (("C", "--shapes", "0"), "shapes=0"),
        (("C", "--neck", "0"), "neck=0 is not possible: it takes a number of frets from 4 to 36"),
        (("C", "--neck", "37"), "neck=37"),
        (("C", "--tuning", "E2", "--strings", "2"), "strings=2 is not possible: it takes 1, the only string."),
        (("E3", "G3", "--map"), "--map is about a chord, and E3 G3 are notes"),
        (("E3", "E3"), "a note twice"),
        (("C", "--map", "--frets", "30-33"), "0 to 22"),
        (("C", "--map", "--frets", "9-5"), "lower first"),
        (("C", "--map", "--no-open"), "map=with --no-open"),
        (("C", "--compare", "D"), "same root. Set apart by a comma, C, D, they are shown one after the other"),
        (("C", "--compare", "Dm"), "same root. Compare with Cm."),
        (("C", "--compare", "Q"), "chord=Q"),
        (("E9", "G9"), "E9"),
        (("C", "--svg", "no/such/folder/a.svg"), "does not exist"),
    ],
)
def test_what_makes_no_sense_is_explained(words: tuple[str, ...], part: str) -> None:
    assert part in run_wrong("shapes", *words)
