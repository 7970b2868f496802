"""Drawings: well-formed, described, to scale, told by form, and safe to put in a page."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from math import hypot

import pytest

from listen.export import Diagram, PlaceMark, chord_to_diagram, overlay_shapes, render_diagram_svg, shape_to_diagram
from listen.export.svg import size_of_drawing
from listen.instrument import Fretboard, best_fingering, parse_shape
from listen.theory import parse_chord

NECK = Fretboard()


def _draw(diagram: Diagram) -> ET.Element:
    return ET.fromstring(render_diagram_svg(diagram, ident="d"))  # noqa: S314  (made by ourselves)


def _shape(text: str = "133211", symbol: str = "F") -> Diagram:
    shape = parse_shape(text)
    return shape_to_diagram(shape, NECK, fingering=best_fingering(shape, NECK), chord=parse_chord(symbol), title=symbol)


def test_drawing_says_in_words_what_it_shows() -> None:
    # WAI-ARIA graphics roles: role img, named and described by its title and desc
    drawing = _draw(_shape())
    assert drawing.get("role") == "img"
    title, text = drawing.find("title"), drawing.find("desc")
    assert title is not None
    assert text is not None
    assert drawing.get("aria-labelledby") == f"{title.get('id')} {text.get('id')}"
    assert title.text == "F"
    assert "string 4 fret 3 with the little finger, F3, the root" in (text.text or "")


def test_root_is_a_square_and_every_other_tone_a_ring() -> None:
    drawing = _draw(_shape())
    squares = [rect for rect in drawing.findall("rect") if rect.get("width") == rect.get("height")]
    rings = [circle for circle in drawing.findall("circle") if circle.get("r") == "9.0"]
    assert len(squares) == 3  # F on strings 6, 4 and 1
    assert len(rings) == 3


def test_changed_and_dropped_tones_have_forms_of_their_own() -> None:
    diagram = replace(_shape(), marks=(PlaceMark(3, 2, "3", "changed"), PlaceMark(2, 3, "1", "gone")))
    drawing = _draw(diagram)
    assert sum("z" in (path.get("d") or "") for path in drawing.findall("path")) == 1
    assert sum(circle.get("stroke-dasharray") is not None for circle in drawing.findall("circle")) == 1


def test_wires_follow_the_twelve_tone_rule() -> None:
    drawing = _draw(chord_to_diagram(parse_chord("F"), NECK, frets=(1, 12)))
    uprights = sorted(
        float(line.get("x1") or 0) for line in drawing.findall("line") if line.get("x1") == line.get("x2")
    )
    length = uprights[-1] - uprights[0]
    for fret, x in enumerate(uprights):
        assert abs((x - uprights[0]) / length - (1 - 2 ** (-fret / 12)) / 0.5) < 0.001


def test_left_hand_has_the_nut_at_the_right() -> None:
    right, left = _draw(_shape()), _draw(replace(_shape(), left_handed=True))

    def nut(drawing: ET.Element) -> float:
        return next(float(line.get("x1") or 0) for line in drawing.findall("line") if line.get("stroke-width") == "4")

    width = float(right.get("width") or 0)
    assert abs(nut(right) + nut(left) - width) < 0.6
    assert nut(right) < width / 2 < nut(left)


def test_titles_from_outside_are_escaped() -> None:
    text = render_diagram_svg(replace(_shape(), title="<script>alert('1')</script>"), ident="d")
    assert "<script>" not in text
    title = ET.fromstring(text).find("title")  # noqa: S314
    assert title is not None
    assert title.text == "<script>alert('1')</script>"


def test_marks_are_readable_in_black_and_white() -> None:
    # WCAG 2.1, success criterion 1.4.3: text has a contrast of 4.5 to 1; formula of relative luminance from the same
    from listen.export.svg import ACCENT, INK, PAPER, QUIET, WOOD

    def luminance(color: str) -> float:
        parts = [int(color[at : at + 2], 16) / 255 for at in (1, 3, 5)]
        linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    for text, ground in ((INK, PAPER), (PAPER, INK), (QUIET, PAPER), (QUIET, WOOD), (ACCENT, PAPER)):
        light, dark = sorted((luminance(text), luminance(ground)), reverse=True)
        assert (light + 0.05) / (dark + 0.05) >= 4.5


def test_the_first_string_is_on_top_and_strings_that_are_not_played_are_crossed() -> None:
    """As tablature is read: the thinnest string uppermost."""
    drawing = _draw(_shape("x32010", "C"))
    names = {
        float(text.get("y", "0")): text.text
        for text in drawing.findall("text")
        if text.get("font-size") == "11" and (text.text or "").isalpha()
    }
    assert [names[y] for y in sorted(names)] == ["E", "B", "G", "D", "A", "E"]
    heights = {float(line.get("y1", "0")): line for line in drawing.findall("line") if line.get("y1") == line.get("y2")}
    assert len(heights) == 6
    widths = [float(heights[y].get("stroke-width", "0")) for y in sorted(heights)]
    assert widths == sorted(widths)
    lowest = max(heights)
    assert [y for y, line in heights.items() if line.get("stroke-dasharray")] == [lowest]
    (cross,) = [path for path in drawing.findall("path") if "m0 -8" in path.get("d", "")]
    assert float(cross.get("d", "").split("l")[0].split()[1]) + 4.0 == lowest


def test_a_barre_is_seen_where_every_string_of_it_bears_a_mark() -> None:
    """A mark is a ring of 9 px and half of its line: a bar is wider."""
    bars = [line for line in _draw(_shape()).findall("line") if line.get("stroke-linecap") == "round"]
    assert [float(line.get("stroke-width", "0")) > 2 * 10 for line in bars] == [True]


def test_other_places_of_a_chord_bear_their_degrees_and_its_roots_are_squares() -> None:
    neck = chord_to_diagram(parse_chord("C"), NECK)
    laid = overlay_shapes(neck, [parse_shape("x32010")])
    dotted = [mark for mark in laid.marks if "elsewhere" in mark.form]
    assert {mark.label for mark in dotted} == {"1", "3", "5"}
    assert all((mark.form == "elsewhere root") == (mark.label == "1") for mark in dotted)
    squares = [rect for rect in _draw(laid).findall("rect") if rect.get("width") == rect.get("height")]
    assert len(squares) == sum(mark.label == "1" for mark in laid.marks)


def test_a_slash_chord_shows_where_its_bass_may_lie() -> None:
    """A chord of three tones wants two strings above its bass."""
    marks = chord_to_diagram(parse_chord("G/B"), NECK).marks
    assert {mark.string_index for mark in marks if mark.form == "bass"} == {0, 1, 2, 3}
    assert {mark.label for mark in marks if mark.form == "bass"} == {"3"}
    assert not any(mark.form == "bass" for mark in chord_to_diagram(parse_chord("G"), NECK).marks)


def test_letters_on_a_whole_neck_are_read_on_a_page() -> None:
    """On a page of 992 px, which a window of 1280 px leaves: 10 px, as the fret numbers of a box."""
    neck = chord_to_diagram(parse_chord("Cm7"), NECK)
    width, _ = size_of_drawing(neck)
    sizes = [float(text.get("font-size", "0")) for text in _draw(neck).iter("text") if text.get("font-weight")]
    assert min(sizes) * 992 / width >= 10.0


@pytest.mark.parametrize("label", ["#11", "#9", "b7", "bb7", "F#"])
def test_a_sign_in_a_mark_is_as_tall_as_its_figures_and_keeps_off_the_ring(label: str) -> None:
    """Heights and widths of figures: 0.72 and 0.64 of the letters' size, those of usual bold sans-serif letters."""
    neck = Diagram(NECK, 1, 4, (PlaceMark(3, 2, label, "tone"),))
    (ring,) = [circle for circle in _draw(neck).findall("circle") if circle.get("stroke-width")]
    x, y, room = (float(ring.get(name, "0")) for name in ("cx", "cy", "r"))
    room -= float(ring.get("stroke-width", "0")) / 2
    (letters,) = [text for text in _draw(neck).findall("text") if text.get("font-weight")]
    size, middle = float(letters.get("font-size", "0")), float(letters.get("x", "0"))
    figures = len(label.strip("#b")) * 0.64 * size
    signs = [path.get("d", "") for path in _draw(neck).findall("path") if path.get("class") == "sign"]
    assert len(signs) == label.count("#") + label.count("b")
    corners = [(middle + side * figures / 2, y + at * 0.36 * size) for side in (-1, 1) for at in (-1, 1)]
    for sign in signs:
        stems = re.findall(r"M([-.\d]+) ([-.\d]+)(v|V)([-.\d]+)", sign)
        for across, top, way, far in stems:
            bottom = float(far) + (float(top) if way == "v" else 0.0)
            assert bottom - float(top) >= 0.72 * size
            corners += [(float(across), float(top)), (float(across), bottom)]
    assert all(hypot(a - x, b - y) <= room for a, b in corners)


def test_a_shape_with_open_strings_says_the_capo_wherever_its_frets_begin() -> None:
    """Open strings sound from the capo; a shape without them is held at its frets, whatever is below."""
    board = Fretboard(capo_fret=2)
    for frets, is_said in (("x32010", True), ("x-7-6-0-0-x", True), ("x-7-6-6-x-x", False)):
        shape = parse_shape(frets)
        diagram = shape_to_diagram(shape, board, fingering=best_fingering(shape, board), chord=None)
        assert ("capo at fret 2" in [text.text for text in _draw(diagram).findall("text")]) == is_said, frets
