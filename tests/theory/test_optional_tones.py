"""Which tones may go: rules of common practice (Levine 1995, from memory), for any list of degrees."""

from __future__ import annotations

import pytest

from listen.theory import parse_chord


@pytest.mark.parametrize(
    ("symbol", "required"),
    [  # a thirteenth is 1 3 b7 13; a dominant eleventh drops its third, a minor one keeps it; what is altered stays
        ("C13", "1 3 b7 13"),
        ("C11", "1 b7 11"),
        ("Cm11", "1 b3 b7 11"),
        ("C13#5", "1 3 #5 b7 13"),
        ("C13b5", "1 3 b5 b7 13"),
        ("C13(b9,#11)", "1 3 b7 b9 #11 13"),
        ("C7b9#11b13", "1 3 b7 b9 #11 b13"),
        ("C9", "1 3 b7 9"),
        ("Csus4", "1 4 5"),
        ("C7sus4", "1 4 b7"),
        ("C5", "1 5"),
    ],
)
def test_what_has_to_sound_follows_from_the_degrees(symbol: str, required: str) -> None:
    assert " ".join(map(str, parse_chord(symbol).quality.required)) == required


def test_a_thirteenth_avoids_the_natural_eleventh_beside_the_major_third_only() -> None:
    assert [str(tone) for tone in parse_chord("C13#5").quality.avoided] == ["11"]
    for symbol in ("Cm13", "C13#11", "C11", "C13sus4"):
        assert parse_chord(symbol).quality.avoided == (), symbol


@pytest.mark.parametrize("symbol", ["C13#5", "C13b5", "C13(b9,#11)", "C7(b9,#11,b13)", "Cm13b5", "Cmaj13#5"])
def test_an_altered_extension_is_written_as_it_is_typed(symbol: str) -> None:
    assert parse_chord(symbol).text == symbol
