"""What is asked of a chord's shapes: a chord with a bass of its own, and filters beside it."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from listen.errors import BadValueError
from listen.instrument import Fretboard, Hand
from listen.request import FilterWords, ShapesRequest, ShapesShown, arrange_shapes, parse_filters, split_progression
from listen.theory import parse_chord

ANY = FilterWords()


def _request(chord: str, words: FilterWords = ANY, *, by: str = "") -> ShapesRequest:
    filters = parse_filters(words, Fretboard())
    return ShapesRequest(parse_chord(chord), (), (), Fretboard(), Hand(), filters, ShapesShown(by))


@pytest.mark.parametrize(("chord", "place", "words"), [("Csus2", 1, "the 2"), ("C6", 3, "the 6"), ("C", 1, "first")])
def test_an_inversion_is_called_the_same_however_it_is_asked_for(chord: str, place: int, words: str) -> None:
    plain = _request(chord)
    assert plain.chord is not None
    over = replace(plain, chord=replace(plain.chord, bass=plain.chord.notes[place]))
    turned = _request(chord, FilterWords(inversion=place))
    heads = [arrange_shapes(one, n_shapes=1).words for one in (turned, over)]
    assert heads[0] == heads[1]
    assert f"; {words}" in heads[0]
    titles = [group.title for group in arrange_shapes(_request(chord, by="inversion"), n_shapes=1).groups]
    assert titles[place].lower().startswith(words)


@pytest.mark.parametrize(
    ("chord", "filters", "said"),
    [
        ("C/G", FilterWords(bass="E"), "bass=E is not possible: it takes the bass of the chord, where that names one."),
        ("C/G", FilterWords(inversion=1), "C/G has G in the bass: leave one of the two out"),
        ("C/Bb", FilterWords(inversion=1), "inversion=1"),
        ("C", FilterWords(bass="B", inversion=1), "--inversion 1 of C has E in the bass, and --bass B another note"),
        ("C", FilterWords(bass="C", rootless=True), "--rootless leaves C out, which is to be the bass of C"),
        ("C", FilterWords(inversion=0, rootless=True), "--rootless leaves C out"),
        ("C", FilterWords(position=30), "position=30 is not possible: it takes a fret of this neck, 0 to 22"),
        ("C", FilterWords(frets="0-99"), "frets=0-99 is not possible: it takes frets of this neck, 0 to 22"),
        ("C", FilterWords(all_tones=True, rootless=True), "--all-tones keeps the root and --rootless leaves it out"),
    ],
)
def test_a_chord_and_filters_that_contradict_it_are_refused(chord: str, filters: FilterWords, said: str) -> None:
    with pytest.raises(BadValueError, match=re.escape(said)):
        _request(chord, filters)


@pytest.mark.parametrize("row", ["C,,G", ", C, G", "C, G,", "C, , Am"])
def test_a_place_between_commas_that_holds_no_chord_is_refused(row: str) -> None:
    with pytest.raises(BadValueError, match="a chord before and after every comma"):
        split_progression(row)


def test_a_filter_may_say_what_the_chord_says() -> None:
    for words in (FilterWords(bass="G"), FilterWords(inversion=2)):
        assert arrange_shapes(_request("C/G", words), n_shapes=1).groups


def test_how_a_sung_name_was_read_stands_beside_its_shapes() -> None:
    read = replace(_request("Do7"), written="Do7")
    assert any("write C7" in remark for remark in arrange_shapes(read, n_shapes=1).remarks)
    assert not any("write" in remark for remark in arrange_shapes(replace(read, written="D°7"), n_shapes=1).remarks)


@pytest.mark.parametrize("by", ["inversion", "string-set"])
def test_groups_of_a_slash_chord_say_that_its_bass_is_left_out_of_account(by: str) -> None:
    view = arrange_shapes(_request("C/E", by=by), n_shapes=1)
    assert "inversion" not in view.words
    assert view.remarks == ("E in the bass is left out of account: these are all inversions.",)
    assert not arrange_shapes(_request("C", by=by), n_shapes=1).remarks
    told = arrange_shapes(_request("C/E", FilterWords(bass="E"), by=by), n_shapes=1)
    assert "first inversion" in told.words
    assert not told.remarks
