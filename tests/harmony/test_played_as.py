"""The form that the hand sees."""

from __future__ import annotations

import pytest

from listen.harmony import name_played, rank_names
from listen.instrument import STANDARD, Fretboard, Tuning, parse_shape
from listen.theory import Pitch

DOWN = {
    "half step down": Tuning("half step down", tuple(Pitch(pitch.midi - 1) for pitch in STANDARD.open_strings)),
    "whole step down": Tuning("whole step down", tuple(Pitch(pitch.midi - 2) for pitch in STANDARD.open_strings)),
}
DROP_D = Tuning("drop D", (Pitch(38), *STANDARD.open_strings[1:]))


def _named(shape: str, fretboard: Fretboard) -> tuple[str, str | None]:
    pitches = [pitch for pitch in parse_shape(shape).pitches(fretboard) if pitch is not None]
    (name, *_) = name_played(rank_names(pitches), fretboard)
    return name.text, None if name.played_as is None else name.played_as.text


@pytest.mark.parametrize(
    ("shape", "capo", "sounding", "form"),
    [
        ("320003", 3, "Bb", "G"), ("x20003", 3, "Bb/D", "G/B"), ("x02210", 2, "Bm", "Am"), ("x32010", 0, "C", None),
        ("x32010", 12, "C", None), ("xx0232", 4, "F#", "D"), ("022000", 1, "Fm", "Em"),
    ],
)  # fmt: skip
def test_capo_lets_the_hand_see_its_form(shape: str, capo: int, sounding: str, form: str | None) -> None:
    """Capo 3 sounds B♭, played as G: common practice, no source."""
    assert _named(shape, Fretboard(capo_fret=capo)) == (sounding, form)


@pytest.mark.parametrize(("tuning", "sounding"), [("half step down", "F#"), ("whole step down", "F")])
def test_tuning_shifted_as_a_whole_keeps_the_form(tuning: str, sounding: str) -> None:
    assert _named("320003", Fretboard(tuning=DOWN[tuning])) == (sounding, "G")


def test_capo_undoes_a_tuning_that_is_lower_by_as_much() -> None:
    assert _named("320003", Fretboard(tuning=DOWN["whole step down"], capo_fret=2)) == ("G", None)


def test_drop_tuning_has_forms_of_its_own() -> None:
    assert _named("000xxx", Fretboard(tuning=DROP_D)) == ("D5", None)
    assert _named("000xxx", Fretboard(tuning=DROP_D, capo_fret=2)) == ("E5", "D5")
