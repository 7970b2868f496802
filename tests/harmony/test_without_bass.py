"""Rootless readings, and names where no string is the bass (common practice, no source)."""

from __future__ import annotations

import pytest

from listen.harmony import rank_names_of_sets_without_bass, rank_names_without_bass, rank_rootless
from listen.theory import Pitch


def _pitches(text: str) -> list[Pitch]:
    return [Pitch.parse(note) for note in text.split()]


@pytest.mark.parametrize(
    ("notes", "name"),
    [  # the left hand of a pianist, the middle strings of a guitarist
        ("E3 G3 Bb3 D4", "C9"),
        ("E3 Bb3 D4 A4", "C13"),
        ("Bb3 D4 E4 A4", "C13"),
        ("F3 A3 C4 E4", "Dm9"),
        ("B3 D4 F4 A4", "G9"),
        ("E3 G3 B3 D4", "Cmaj9"),
        ("E3 G3 Bb3 Db4", "C7b9"),
    ],
)
def test_a_standard_voicing_is_read_without_its_root(notes: str, name: str) -> None:
    names = [each.text for each in rank_rootless(_pitches(notes))]
    assert name in names


def test_the_root_is_told_as_missing() -> None:
    assert rank_rootless(_pitches("E3 G3 Bb3 D4"))[0].missing[0] == "1"


def test_two_notes_have_no_rootless_reading() -> None:
    assert rank_rootless(_pitches("E3 Bb3")) == ()


@pytest.mark.parametrize(
    ("notes", "name"), [("G4 D4 G4 B4", "G"), ("A4 C4 F4 A4", "F"), ("G4 C4 E4 C5", "C"), ("A4 D4 F4 A4", "Dm")]
)
def test_a_reentrant_grip_has_no_inversion(notes: str, name: str) -> None:
    assert rank_names_without_bass(_pitches(notes))[0].text == name


def test_the_plainest_name_without_a_bass_is_not_beaten_by_one_that_leaves_less_out() -> None:
    notes = tuple(_pitches("A4 B4 E4 F4"))
    names = (rank_names_of_sets_without_bass([(notes, 0.95)])[0], rank_names_without_bass(notes)[0])
    assert [name.text for name in names] == ["Fmaj7#11", "Fmaj7#11"]
