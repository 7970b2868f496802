"""What a sheet says beside its chart: how far it was read, what else a chord is called, what heads its later leaves."""

from __future__ import annotations

from dataclasses import replace

from listen.export import render_bar_fragment, render_part_fragment, render_part_sheet
from listen.reading import ChordName, Correction
from listen.theory import parse_chord
from tests.hand_made_parts import straight_part


def test_a_part_that_is_still_being_read_was_not_stopped() -> None:
    part = straight_part()
    cut = replace(part, recording=replace(part.recording, complete=False))
    assert "Reading was stopped at" in render_part_fragment(cut)
    assert "Reading was stopped at" in render_part_sheet(cut)
    assert "stopped" not in render_part_fragment(cut, is_growing=True)


def test_names_of_the_same_notes_share_a_percentage() -> None:
    part = straight_part()
    chances = (("Em7", 0.86), ("G6/E", 0.86), ("G/B", 0.14))
    names = tuple(ChordName(parse_chord(text), chance) for text, chance in chances)
    spans = (replace(part.spans[0], names=names), *part.spans[1:])
    piece = render_bar_fragment(replace(part, spans=spans), 1, curve=b"", step_s=0.01)
    assert piece is not None
    assert piece.count("86 %") == 1
    assert "the same notes as Em7" in piece


def test_later_leaves_of_a_sheet_bear_its_title_and_their_number() -> None:
    """CSS Paged Media Level 3, section 4.2, margin boxes; a title is no style."""
    part = straight_part()
    title = Correction("title", 'A "road" </style>\\')
    settled = replace(part.settled, corrections=(*part.settled.corrections, title))
    style = render_part_sheet(replace(part, settled=settled)).split("</style>")[0]
    assert "counter(page)" in style
    assert r'@bottom-left { content: "A\20 \22 road\22 \20 \3c \2f style\3e \5c ";' in style


def test_shapes_have_a_key_and_on_the_page_the_chart_comes_first() -> None:
    printed, alive = render_part_sheet(straight_part()), render_part_fragment(straight_part())
    for html in (printed, alive):
        assert html.count("A filled square is the root, a ring another tone, a number the finger") == 1
    assert printed.index('aria-label="Shapes"') < printed.index("<h2>Chart</h2>")
    assert alive.index('aria-label="Shapes"') > alive.index("<h2>Chart</h2>")
    assert "Choose a bar" in alive
    assert "Choose a bar" not in printed  # nothing there plays
