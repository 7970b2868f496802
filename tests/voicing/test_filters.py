"""Filters in the trade's terms."""

from __future__ import annotations

import pytest

from listen.errors import BadValueError
from listen.instrument import find_instrument
from listen.theory import Note, parse_chord
from listen.voicing import ShapeFilters, Voicings, find_shapes


def find(name: str, **asked: object) -> Voicings:
    return find_shapes(parse_chord(name), filters=ShapeFilters(**asked))  # type: ignore[arg-type]


def texts(found: Voicings) -> set[str]:
    return {shape.text for shape in found.shapes}


def test_the_four_drop_2_inversions_of_a_major_seventh_lie_on_the_top_four_strings() -> None:
    # Common practice, from memory: Cmaj7 on strings 4-3-2-1, as jazz guitar methods print it.
    found = texts(find("Cmaj7", voices="drop-2", strings=(4, 3, 2, 1), no_open=True, all_tones=True))
    assert {"xx5557", "xx9988", "x-x-10-12-12-12", "xx2413"} <= found


@pytest.mark.parametrize(
    ("voices", "strings"),
    [  # the string sets that the trade teaches for each; common practice, from memory
        ("drop-2", (6, 5, 4, 3)),
        ("drop-2", (5, 4, 3, 2)),
        ("drop-2", (4, 3, 2, 1)),
        ("drop-3", (6, 4, 3, 2)),
        ("drop-3", (5, 3, 2, 1)),
    ],
)
@pytest.mark.parametrize("name", ["Cmaj7", "C7", "Cm7", "Cm7b5"])
def test_each_taught_string_set_holds_all_four_inversions(name: str, voices: str, strings: tuple[int, ...]) -> None:
    found = find(name, voices=voices, strings=strings, all_tones=True)
    assert {voicing.inversion for voicing in found} == {0, 1, 2, 3}


def test_known_drop_3_shapes_are_found() -> None:
    found = texts(find("Cmaj7", voices="drop-3", all_tones=True))
    assert {"8x998x", "x3x453"} <= found  # root position on the sixth and on the fifth string, from memory


def test_close_triads_on_the_top_three_strings_have_the_inversions_that_methods_show() -> None:
    found = find("C", voices="close", strings=(3, 2, 1))
    inversion = {voicing.shape.text: voicing.inversion for voicing in found}
    assert inversion["xxx553"] == 0
    assert inversion["xxx988"] == 1
    assert inversion["xxx010"] == 2  # from memory


def test_a_spread_triad_covers_more_than_an_octave_with_each_tone_once() -> None:
    found = find("C", voices="spread")
    for row in found.pitches[:200].tolist():
        heard = sorted(midi for midi in row if midi < 999)
        assert heard[-1] - heard[0] > 12
        assert len({midi % 12 for midi in heard}) == len(heard) == 3


def test_a_shell_is_root_third_and_seventh_with_the_root_lowest() -> None:
    found = find("C7", voices="shell")
    assert {"x323xx", "8x89xx"} <= texts(found)
    for voicing in found[:100]:
        degrees = [str(each) for each in voicing.degrees if each is not None]
        assert sorted(degrees) == ["1", "3", "b7"]
        assert voicing.inversion == 0
    with pytest.raises(BadValueError, match="third and a seventh"):
        find("C", voices="shell")


def test_root_position_is_a_filter_like_any_other() -> None:
    assert {voicing.inversion for voicing in find("C", inversion=0)} == {0}
    assert {voicing.inversion for voicing in find("C")} == {0, 1, 2}


def test_bass_and_inversion_say_what_sounds_lowest() -> None:
    assert {voicing.inversion for voicing in find("C", bass=Note("E"))[:30]} == {1}
    assert {voicing.inversion for voicing in find("C7", inversion=3)[:30]} == {3}
    assert texts(find("C", bass=Note("D"))) == texts(find("C/D"))
    assert texts(find("C/D", inversion=0)) == texts(find("C", inversion=0))
    with pytest.raises(BadValueError, match="0 to 2"):
        find("C", inversion=5)


def test_strings_frets_and_mutes_are_kept() -> None:
    for shape in find("Am", frets=(5, 9), no_open=True, neighbouring=True, n_strings=4).shapes:
        played = [index for index, fret in enumerate(shape.frets) if fret is not None]
        assert len(played) == 4
        assert played[-1] - played[0] == 3
        assert all(fret is None or 5 <= fret <= 9 for fret in shape.frets)
    assert texts(find("Am", no_inner_mutes=True)) == texts(find("Am", neighbouring=True))


def test_open_strings_are_free_of_the_fret_range() -> None:
    assert any(
        0 in shape.frets and max(fret or 0 for fret in shape.frets) >= 7 for shape in find("E", frets=(7, 9)).shapes
    )


def test_the_top_note_is_the_highest_pitch() -> None:
    for row in find("C", top=Note("E")).pitches[:100].tolist():
        assert max(midi for midi in row if midi < 999) % 12 == 4
    neck = find_instrument("ukulele").fretboard()  # its highest pitch may be on the fourth string
    found = find_shapes(parse_chord("C"), fretboard=neck, filters=ShapeFilters(top=Note("G")))
    assert all(max(midi for midi in row if midi < 999) % 12 == 7 for row in found.pitches.tolist())


def test_a_doubled_third_is_asked_for_or_avoided() -> None:
    with_third = find("C", doubled_third=True)
    without = find("C", doubled_third=False)
    assert "x32010" in texts(with_third)
    assert "x3555x" in texts(without)
    assert len(with_third) + len(without) == len(find("C"))


def test_all_tones_leaves_nothing_out() -> None:
    assert any(voicing.missing for voicing in find("C9")[:40])
    assert all(not voicing.missing for voicing in find("C9", all_tones=True)[:40])


def test_a_rootless_reading_holds_every_other_required_tone() -> None:
    found = find("G9", rootless=True)
    assert "x2323x" in texts(found)  # x2323x is G9/B without its root
    for row in found.pitches[:100].tolist():
        assert all(midi % 12 != 7 for midi in row if midi < 999)


def test_filters_that_exclude_everything_are_named() -> None:
    with pytest.raises(BadValueError, match=r"top leaves no playable shape of C"):
        find("C", top=Note.parse("F#"))
    for alone in ({"n_strings": 6}, {"frets": (1, 2)}, {"no_open": True}):
        assert len(find("C", **alone))
    with pytest.raises(BadValueError, match=r"n strings, frets and no open leave no playable"):
        find("C", n_strings=6, frets=(1, 2), no_open=True)


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({"strings": (9,)}, "string numbers from 1 to 6"),
        ({"strings": ()}, "string numbers from 1 to 6"),
        ({"frets": (9, 5)}, "a lower and a higher fret"),
        ({"n_strings": 12}, "n strings"),
    ],
)
def test_a_filter_that_cannot_be_is_refused(asked: dict[str, object], sentence: str) -> None:
    with pytest.raises(BadValueError, match=sentence):
        find("C", **asked)
