"""What stands first: a handful of the table in tests/data/first_shapes (common practice, no source).

The whole table is counted by ``python -m tests.benchmarks.first_shapes``.
"""

from __future__ import annotations

import pytest

from listen.instrument import find_instrument
from listen.theory import parse_chord
from listen.voicing import find_shapes
from tests.benchmarks.first_shapes import read_answers

_SAMPLE = ("standard C", "standard Bm", "standard G5", "standard A5", "standard C13", "standard C/G", "standard Cm7b5",
    "standard Dm7b5", "standard E7#5", "drop D D5", "ukulele G", "ukulele C9",
    "baritone ukulele C", "mandolin G", "tenor guitar C", "bass G5",
)  # fmt: skip


def test_the_table_has_as_many_answers_as_it_promises() -> None:
    assert len(read_answers()) >= 150


@pytest.mark.parametrize("asked", _SAMPLE)
def test_what_players_show_first_stands_first(asked: str) -> None:
    question = next(each for each in read_answers() if f"{each.tuning} {each.chord}" == asked)
    found = find_shapes(parse_chord(question.chord), fretboard=find_instrument(question.tuning).fretboard())
    first = found.shapes[0].text
    assert first in question.answers


def test_no_thirteenth_holds_its_third_and_its_natural_eleventh() -> None:
    found = find_shapes(parse_chord("C13"))
    assert not any({4, 5} <= {(midi - 60) % 12 for midi in row if midi < 999} for row in found.pitches.tolist())


def test_a_ninth_on_four_strings_lets_the_root_or_the_fifth_go() -> None:
    found = find_shapes(parse_chord("C9"), fretboard=find_instrument("ukulele").fretboard())
    missing = {tuple(map(str, voicing.missing)) for voicing in found}
    assert {("1",), ("5",)} <= missing


@pytest.mark.parametrize("symbol", ["C13#5", "C13b5", "C13(b9,#11)", "C7b9#11b13"])
@pytest.mark.parametrize("name", ["standard", "ukulele", "seven-string"])
def test_altered_extensions_can_be_held(symbol: str, name: str) -> None:
    assert len(find_shapes(parse_chord(symbol), fretboard=find_instrument(name).fretboard())) > 0
