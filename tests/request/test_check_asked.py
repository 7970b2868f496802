"""What a check was told, as it is typed: a chart in quotes is the chart that the page takes it for."""

from __future__ import annotations

import pytest

from listen.document import parse_chart
from listen.errors import BadValueError, DocumentError
from listen.request import read_set


@pytest.mark.parametrize("typed", ["| C | G |", "|: C | Am . F . :|", "tempo: 96\n| C | G |", "G/B = x20003\n| G/B |"])
def test_a_chart_in_quotes_is_a_chart_and_no_row_of_chords(typed: str) -> None:
    assert read_set(typed) == (parse_chart(typed), "")


@pytest.mark.parametrize(
    "typed",
    [
        "metre: 6/8\n| C | Am |",
        "metre: 12/8\ntitle: to take.wav\n| C |",
        "tempo: 60\npattern: D . U\nmetre: 3/4\n| C |",
    ],
)
def test_a_chart_in_quotes_with_a_fraction_in_it_is_no_name_of_a_file(typed: str) -> None:
    assert read_set(typed) == (parse_chart(typed), "")


def test_a_line_of_the_head_alone_is_told_what_it_lacks() -> None:
    with pytest.raises(DocumentError, match="no bars"):
        read_set("metre: 6/8")


@pytest.mark.parametrize("typed", ["week3.chart", "set/week3", "takes/week 3: C.chart", "C:/set/week3.txt", "a/b.wav"])
def test_a_file_that_is_not_there_is_said_not_to_be(typed: str) -> None:
    with pytest.raises(BadValueError, match="is not there: check the name, or write chords in quotes"):
        read_set(typed)


@pytest.mark.parametrize("typed", ["C | G", "C G", "C,G"])
def test_chords_in_quotes_are_in_free_time(typed: str) -> None:
    chords, _ = read_set(typed)
    assert [bar.changes[0].symbol for bar in chords.bars] == ["C", "G"]
    assert chords.is_free


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("Gg C", r"^SET, line 1, column 1: chord=Gg cannot be read"),
        ("| C | Gg |", r"^SET, line 1, column 7: chord=Gg cannot be read"),
    ],
)
def test_what_is_wrong_in_quotes_is_told_with_its_place(typed: str, said: str) -> None:
    with pytest.raises(DocumentError, match=said):
        read_set(typed)
