"""Reasons in words and back: a document holds the words, so nothing may be lost on the way."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest

from listen.document import reason_text
from listen.document.reason_words import parse_reason
from listen.instrument import Fretboard, Hand, Reason, ReasonKind, Shape, find_fingerings

SAID = {
    Reason("fingers", (0,)): "nothing to hold",
    Reason("fingers", (1,)): "one finger",
    Reason("too many fingers", (5,)): "needs five fingers",
    Reason("barre", (6,), (1,)): "index barre over six strings",
    Reason("thumb"): "thumb over the lowest string",
    Reason("unused thumb"): "thumb over the lowest string, which this hand does not use",
    Reason("stretch", (88,), (1, 4)): "stretch of 88 mm between index and little finger",
    Reason("too far", (120,), (1, 2)): "stretch of 120 mm between index and middle finger, too far for this hand",
    Reason("silent string under a barre"): "a barre over a string that must stay silent",
    Reason("crowded"): "fingers crowded together",
    Reason("crossing"): "one finger over another",
    Reason("high"): "high on the neck",
    Reason("open strings"): "open strings",
    Reason("one open string"): "one open string",
    Reason("inner strings to damp", (2,)): "two inner strings to damp",
    Reason("strings left out", (1, 2)): "one low string and two high strings left out",
    Reason("stays", (1,)): "one finger stays",
    Reason("goes flat", (), (1,)): "index finger goes flat for a barre",
    Reason("slides", (), (3,)): "ring finger slides along its string",
    Reason("to place", (2,)): "two fingers to place",
    Reason("same form", (-2, 1)): "same form, two frets down and one string over",
    Reason("travel", (-70,)): "the hand moves 70 mm down",
    Reason("little time", (200, 451)): "little time: 0.20 s for what takes about 0.45 s",
    Reason("written", words="hurts"): "hurts",
}
OF_MOVES = {"stays", "goes flat", "slides", "to place", "same form", "travel", "little time"}  # not in documents


def test_every_kind_of_reason_has_its_words() -> None:
    assert {reason.kind for reason in SAID} == set(get_args(ReasonKind))
    for reason, text in SAID.items():
        assert reason_text(reason) == text


@pytest.mark.parametrize("text", [text for reason, text in SAID.items() if reason.kind not in OF_MOVES])
def test_words_of_a_document_become_the_reason_that_made_them(text: str) -> None:
    assert SAID[parse_reason(text)] == text


@pytest.mark.parametrize("text", ["", "stretch of", "stretch of 88 mm between index and big finger", "Open strings"])
def test_words_that_the_program_would_not_write_are_kept(text: str) -> None:
    assert parse_reason(text) == Reason("written", words=text)


def test_reasons_of_drawn_shapes_survive_a_document() -> None:
    rng = np.random.default_rng(3)
    for row in rng.integers(-1, 9, (60, 6)).tolist():
        shape = Shape(tuple(None if fret < 0 else fret for fret in row))
        for held in find_fingerings(shape, Fretboard(), hand=Hand(88.0, thumb=True), limit=2):
            assert tuple(parse_reason(reason_text(reason)) for reason in held.reasons) == held.reasons
