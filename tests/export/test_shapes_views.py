"""The places of a chord, the same in the terminal, on a page and in a drawing."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace

from listen.export import (
    ShapeCard,
    ShapeSection,
    ShapesView,
    TextStyle,
    chord_to_diagram,
    render_shapes_page,
    render_shapes_svg,
    render_shapes_text,
    shape_to_card,
)
from listen.instrument import Fretboard, best_fingering, parse_shape
from listen.theory import parse_chord

NECK = Fretboard()
C = parse_chord("C")
CAUTION = "Stop when it hurts."


def _card(text: str) -> ShapeCard:
    shape = parse_shape(text)
    return shape_to_card(shape, NECK, fingering=best_fingering(shape, NECK), chord=C)


def _view() -> ShapesView:
    strained = replace(_card("x-3-5-5-5-8"), caution=CAUTION, remark="second & last")
    groups = (
        ShapeSection("Root <position>", (_card("x32010"), strained), n_more=7),
        ShapeSection("", (_card("332010"),)),
    )
    return ShapesView("C", "C major: C, E, G.", NECK, groups, remarks=("Two groups.",))


def _text(view: ShapesView, width: int = 80) -> str:
    return "\n".join(render_shapes_text(view, style=TextStyle(width=width)))


def test_terminal_page_and_drawing_show_the_same_shapes() -> None:
    view = _view()
    text, page, drawing = _text(view), render_shapes_page(view), render_shapes_svg(view)
    for shown in ("x32010", "x35558", "332010"):
        assert shown in text
        assert shown in page
        assert shown in drawing
    assert page.count("<svg") == 3
    assert len(ET.fromstring(drawing).findall(".//{http://www.w3.org/2000/svg}desc")) == 3  # noqa: S314


def test_caution_is_shown_beside_the_shape_it_is_for() -> None:
    text = _text(_view())
    assert "x35558 *" in text
    assert "x32010 *" not in text
    assert f"* {CAUTION}" in text
    page = render_shapes_page(_view())
    assert page.count(CAUTION) == 1
    assert page.index("x35558") < page.index(CAUTION) < page.index("332010")


def test_what_is_left_out_is_counted() -> None:
    assert "7 more; --all shows them." in _text(_view())
    assert "7 more shapes are not shown." in render_shapes_page(_view())
    view = _view()
    one = replace(view, groups=(replace(view.groups[0], n_more=1),))
    assert "1 more shape is not shown." in render_shapes_page(one)


def test_titles_are_escaped_where_they_have_to_be() -> None:
    view = _view()
    assert "Root <position>" in _text(view)
    for markup in (render_shapes_page(view), render_shapes_svg(view)):
        assert "Root &lt;position&gt;" in markup
        assert "<position>" not in markup


def test_a_map_is_one_neck_with_its_own_legend() -> None:
    view = ShapesView("C", "C major.", NECK, map=chord_to_diagram(C, NECK, title="C on the neck"))
    text = _text(view, 120)
    assert "other tone of the chord" in text
    assert text.count("[1]") == sum(
        NECK.pitch_at(string, fret).pitch_class == 0 for string in range(6) for fret in range(23)
    )
    assert render_shapes_page(view).count("<svg") == 1


def test_a_comparison_explains_its_forms() -> None:
    view = replace(_view(), is_comparison=True)
    assert "{ } where its finger was" in _text(view)
    assert "A diamond is a string that changed" in render_shapes_page(view)
    assert "A diamond" not in render_shapes_page(_view())


def test_a_page_to_hear_from_has_a_player_a_shape() -> None:
    view = _view()
    page = render_shapes_page(view, with_sound=True)
    assert page.count("<audio") == 3
    assert page.count("data:audio/flac;base64,") == 3
    assert "volume low" in page
    assert "<audio" not in render_shapes_page(view)
