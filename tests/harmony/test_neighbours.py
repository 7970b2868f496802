"""Chords one finger away."""

from __future__ import annotations

import pytest

from listen.errors import BadValueError
from listen.harmony import find_neighbours, rank_names
from listen.instrument import Fretboard, Shape, find_instrument, parse_shape

NECK = Fretboard()


def _names(shape: str) -> dict[str, str]:
    return {each.shape.text: each.name.text for each in find_neighbours(parse_shape(shape), NECK)}


@pytest.mark.parametrize(
    ("shape", "changed", "name"),
    [
        ("x32010", "x02010", "Am7"), ("x32010", "x32310", "C7"), ("x32010", "032010", "C/E"),
        ("x32010", "x30010", "Cadd9"),
        ("022100", "022000", "Em"), ("022100", "020100", "E7"), ("022100", "022200", "Esus4"),
        ("133211", "133111", "Fm"),
        ("x02210", "x02010", "Am7"), ("133211", "133241", "F7"),
    ],
)  # fmt: skip
def test_everyday_neighbours_are_found(shape: str, changed: str, name: str) -> None:
    """Common practice, no source."""
    assert _names(shape)[changed] == name


def test_moving_a_finger_by_two_frets_is_more_than_one_finger_away() -> None:
    assert "320001" not in _names("320003")


def test_every_neighbour_differs_by_one_string_and_has_a_true_name_of_its_own() -> None:
    for text in ("x32010", "133211", "x02210", "355433", "xx0232", "x-7-6-6-x-x"):
        shape = parse_shape(text)
        neighbours = find_neighbours(shape, NECK)
        names = [neighbour.name.text for neighbour in neighbours]
        assert neighbours
        assert len(set(names)) == len(names)
        own = rank_names([pitch for pitch in shape.pitches(NECK) if pitch is not None])[0].text
        assert own not in names
        for neighbour in neighbours:
            assert sum(left != right for left, right in zip(shape.frets, neighbour.shape.frets, strict=True)) == 1
            pitches = [pitch for pitch in neighbour.shape.pitches(NECK) if pitch is not None]
            assert rank_names(pitches)[0] == neighbour.name
            assert set(neighbour.name.missing) <= {"5"}


def test_strings_under_a_barre_are_not_lifted_alone() -> None:
    found = find_neighbours(parse_shape("133211"), NECK)
    assert found
    for neighbour in found:
        barred = [neighbour.shape.frets[index] for index in (0, 4, 5)]
        assert 0 not in barred


def test_shape_for_another_neck_is_refused() -> None:
    with pytest.raises(BadValueError, match="6 strings"):
        find_neighbours(Shape((0, 0, 0, 3)), NECK)


def test_neighbours_on_a_ukulele_have_no_inversion() -> None:
    found = find_neighbours(Shape((0, 0, 0, 3)), find_instrument("ukulele").fretboard())
    assert "Abmaj7" in [each.name.text for each in found]
    assert not [each.name.text for each in found if each.name.chord.inversion]
