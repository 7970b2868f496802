"""Pictures made of characters: every sign in its place, within the width, on either hand."""

from __future__ import annotations

import re
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from listen.export import TextStyle, chord_to_diagram, render_box, render_neck, shape_to_diagram
from listen.export.style import Weight, join_beside, visible_width, wrap_text
from listen.instrument import Fretboard, Shape, Tuning, best_fingering, parse_shape, parse_tuning
from listen.theory import Pitch, parse_chord

NECK = Fretboard()
F_BARRE = parse_shape("133211")


def _box(text: str, *, style: TextStyle, left_handed: bool = False) -> list[str]:
    shape = parse_shape(text)
    diagram = shape_to_diagram(
        shape, NECK, fingering=best_fingering(shape, NECK), chord=parse_chord("F"), left_handed=left_handed
    )
    return list(render_box(diagram, style=style))


def test_box_of_a_barre_reads_as_a_player_would_write_it() -> None:
    assert _box("133211", style=TextStyle()) == [
        "E     ║[1]┼───┼───┼───┼",
        "B     ║(1)┼───┼───┼───┼",
        "G     ║─┃─┼(2)┼───┼───┼",
        "D     ║─┃─┼───┼[4]┼───┼",
        "A     ║─┃─┼───┼(3)┼───┼",
        "E     ║[1]┼───┼───┼───┼",
        "        1   2   3   4",
    ]


def test_left_hand_sees_the_mirror_image_with_readable_labels() -> None:
    mirrored = _box("133211", style=TextStyle(), left_handed=True)
    assert mirrored[0] == "┼───┼───┼───┼[1]║     E"
    assert mirrored[6] == "  4   3   2   1"


def test_plain_letters_hold_nothing_beyond_ascii() -> None:
    style = TextStyle(unicode=False)
    for line in (
        *_box("x-8-10-10-9-x", style=style),
        *render_neck(chord_to_diagram(parse_chord("Bbm7b5"), NECK), style=style),
    ):
        assert line.isascii()


def test_colour_adds_nothing_but_escape_codes() -> None:
    plain, colored = _box("133211", style=TextStyle()), _box("133211", style=TextStyle(color=True))
    assert any("\x1b[" in line for line in colored)
    import re

    assert [re.sub(r"\x1b\[[0-9;]*m", "", line) for line in colored] == plain


@pytest.mark.parametrize("width", [40, 60, 80, 120])
def test_neck_stays_within_the_width_and_shows_every_fret_once(width: int) -> None:
    lines = render_neck(chord_to_diagram(parse_chord("Cmaj9"), NECK), style=TextStyle(width=width))
    assert max(map(visible_width, lines)) <= width
    numbers = [int(word) for line in lines if set(line) <= set(" 0123456789") for word in line.split()]
    assert numbers == list(range(1, 23))


def test_neck_is_drawn_to_scale() -> None:
    # the octave lies at half of the string (12-tone rule), and fret 5 at a quarter of it within 0.2 %
    diagram = chord_to_diagram(parse_chord("C5"), NECK, frets=(1, 12))
    line = render_neck(diagram, style=TextStyle(width=120))[0]
    nut = line.index("║")
    wires = [at - nut for at, sign in enumerate(line) if sign == "┼"]
    assert len(wires) == 12
    for fret, wire in enumerate(wires, start=1):
        exact = wires[-1] * (1 - 2 ** (-fret / 12)) / (1 - 2**-1.0)
        assert abs(wire - exact) < 1  # columns: each end is rounded by half of one at most


def test_every_instrument_can_be_drawn() -> None:
    board = Fretboard(parse_tuning("ukulele"), 15, 0, 381.0)
    lines = render_box(shape_to_diagram(parse_shape("0003", fretboard=board), board), style=TextStyle())
    assert [line[0] for line in lines[:4]] == ["A", "E", "C", "G"]


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_any_shape_on_any_neck_is_drawn_with_every_sounding_string_marked_once(data: st.DataObject) -> None:
    n_strings, capo = data.draw(st.integers(1, 10)), data.draw(st.integers(0, 9))
    tuning = Tuning("any", tuple(Pitch(data.draw(st.integers(28, 76))) for _ in range(n_strings)))
    board = Fretboard(tuning, data.draw(st.integers(12, 27)), capo)
    frets = data.draw(st.tuples(*[st.none() | st.integers(0, board.top_fret)] * n_strings))
    diagram = shape_to_diagram(Shape(frets), board, labels="note", left_handed=data.draw(st.booleans()))
    for lines in (render_box(diagram, style=TextStyle()), render_neck(diagram, style=TextStyle(width=1_000))):
        assert len(lines) == n_strings + 1
        assert [line.count("(") for line in reversed(lines[:-1])] == [int(fret is not None) for fret in frets]
        assert [line.count("×") for line in reversed(lines[:-1])] == [int(fret is None) for fret in frets]
        stopped = {fret for fret in frets if fret}
        assert stopped <= set(map(int, lines[-1].split()))


def test_blocks_keep_their_order_and_width() -> None:
    blocks = [("aaaa", "aa"), ("bbbb",), ("cccc", "c", "c")]
    assert join_beside(blocks, width=11) == ("aaaa   bbbb", "aa", "", "cccc", "c", "c")


def test_wrapped_text_never_exceeds_the_width_unless_a_word_does() -> None:
    lines = wrap_text("one low string left out and a ratherlongword", width=14, indent="  ")
    assert lines == ("  one low", "  string left", "  out and a", "  ratherlongword")


def test_control_signs_in_a_name_do_not_reach_the_terminal() -> None:
    assert TextStyle().plain("a\x1b[2Jb\n\u202ec") == "a?[2Jb??c"


def test_no_colour_is_chosen_for_a_ground_that_nobody_knows() -> None:
    """ECMA-48, section 8.3.117: 30 to 37 are colours of letters; weight holds on a light ground, too."""
    style = TextStyle(color=True)
    told = "".join(style.weigh("G/B", weight) for weight in get_args(Weight))
    assert "1m" in told
    assert not re.search(r"(\[|;)[349]\d", told)
