"""The neck names a shape as the command ``listen name`` does."""

from __future__ import annotations

from pathlib import Path

import pytest

from listen.document import change_settings
from listen.errors import BadValueError
from listen.instrument import parse_tuning
from listen.request import render_chord_sound
from listen.web.hand import HandAsked, change_hand, show_hand
from listen.web.neck import look_up
from tests.web.browser import Served
from tests.web.conftest import Watched


def test_over_a_capo_the_hand_is_told_too() -> None:
    assert "x32010 is D (the hand plays C)" in look_up("x32010", capo=2).html
    assert "the hand plays" not in look_up("x32010").html


def test_no_tuning_is_the_one_that_the_player_keeps_and_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("LISTEN_SETTINGS", str(tmp_path / "settings.json"))
    for kept in ("drop D", "D2 A2 D3 F#3 A3 E4"):
        change_settings({"tuning": kept})
        told = look_up("D5").tuning
        assert parse_tuning(told) == parse_tuning(kept)
        assert look_up("D5", tuning=told).html == look_up("D5").html
        assert render_chord_sound("D5", "", 0) == render_chord_sound("D5", kept, 0)


def test_the_field_shows_the_tuning_that_is_looked_up_in(served: Served, tabs: Watched) -> None:
    tab = tabs.open(f"{served.address}#/neck")
    tab.locator(".looked-up svg").first.wait_for()
    assert tab.get_by_label("Tuning").input_value() == "standard"


def test_several_shapes_are_no_spelling_fault() -> None:
    with pytest.raises(BadValueError, match="one shape at a time"):
        look_up("x32010 133211")


@pytest.mark.parametrize("width", [360, 900, 1000, 1400])
def test_a_neck_is_to_be_moved_only_where_it_does_not_fit(served: Served, tabs: Watched, width: int) -> None:
    tab = tabs.open("about:blank")
    tab.set_viewport_size({"width": width, "height": 800})
    tab.goto(f"{served.address}#/neck/C7")
    tab.locator(".looked-up .neck svg").first.wait_for()
    said = tab.evaluate("getComputedStyle(document.querySelector('.neck + figcaption'), '::before').content")
    over = tab.evaluate("(({scrollWidth, clientWidth}) => scrollWidth > clientWidth)(document.querySelector('.neck'))")
    assert over == (width < 1000)
    assert ("sideways" in said) == over


def test_the_page_says_how_a_sung_name_was_read() -> None:
    assert "where Do is the note, write C7" in look_up("Do7", by="shapes").html
    assert "where Do is the note, write C7" in look_up("Do7", by="map").html


def test_a_left_handed_player_says_so_on_the_page(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LISTEN_SETTINGS", str(tmp_path / "settings.json"))
    assert not show_hand().left_handed
    assert 'class="wide neck mirrored"' not in look_up("C").html
    assert change_hand(HandAsked(left_handed=True)).left_handed
    assert 'class="wide neck mirrored"' in look_up("C").html
    assert change_hand(HandAsked(reach="small")).left_handed  # what is not named stays
    assert show_hand().reach == "small"
    with pytest.raises(BadValueError, match="reach"):
        change_hand(HandAsked(reach="huge"))
