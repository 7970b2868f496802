"""A string that is tuned to another note than was set."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from listen.assessment import assess
from listen.document import hint_words, parse_chart
from listen.export.finding_sentences import finding_sentence
from listen.reading import Check, OffPitch, TurnPeg
from listen.theory import Pitch
from tests.hand_made_performances import hear_chords

CHART = "tuning: drop D\nmatters: bass\ntempo: 60\nD = 000232\nG = 5x0003\nA = x02220\n| D | G | A | D |"
HIGH = {"D": "A2 D3 A3 D4 F#4", "G": "D3 G3 B3 G4", "A": "A2 E3 A3 C#4 E4"}


def check_basses(basses: str) -> Check:
    """Check the chart, played with these lowest notes; - is that of the chord itself."""
    rows = [f"{'' if bass == '-' else bass} {HIGH[name]}" for name, bass in zip("DGAD", basses.split(), strict=True)]
    return assess(hear_chords([row for row in rows for _ in range(4)]), parse_chart(CHART))


def test_drop_d_forgotten_is_one_finding_of_the_string() -> None:
    check = check_basses("E2 A2 - E2")
    (one,) = check.findings
    assert (one.kind, one.string, one.measure) == ("out of tune", 6, OffPitch(200, is_sharp=True))
    assert one.hint == TurnPeg(6, is_up=False, note="D")
    assert (finding_sentence(one), hint_words(one)) == ("String 6 is a tone sharp.", "Tune string 6 down to D.")
    assert {bar.state for bar in check.bars} == {"right"}


@pytest.mark.parametrize(("basses", "bars"), [("E2 G2 - D2", [1]), ("D2 F2 - D2", [2]), ("E2 G2 - E2", [1, 4])])
def test_a_wrong_bass_where_the_string_is_right_elsewhere_stays_one(basses: str, bars: list[int]) -> None:
    found = check_basses(basses).findings
    assert [(one.kind, one.bar) for one in found] == [("bass", bar) for bar in bars]


def test_all_right_is_nothing() -> None:
    assert check_basses("D2 G2 - D2").findings == ()


OPEN_MIDI = (40, 45, 50, 55, 59, 64)
FRETS = {"C": "x32010", "G": "320003", "Am": "x02210", "F": "133211", "Em": "022000", "D": "xx0232"}


def check_notes(row: str, string: int, semitones: int, demand: str, *, wrong: Sequence[str] = tuple(FRETS)) -> Check:
    """Check chords of which every note matters, one string of some of them so many semitones off."""
    names = row.split()
    played = [
        sorted(
            {
                OPEN_MIDI[at] + int(fret) + (semitones if at == 6 - string and name in wrong else 0)
                for at, fret in enumerate(FRETS[name])
                if fret != "x"
            }
        )
        for name in names
        for _ in range(4)
    ]
    shapes = "\n".join(f"{name} = {FRETS[name]}" for name in dict.fromkeys(names))
    chart = parse_chart(f"matters: {demand}\ntempo: 60\n{shapes}\n| {' | '.join(names)} |")
    return assess(hear_chords([" ".join(Pitch(midi).name for midi in midis) for midis in played]), chart)


@pytest.mark.parametrize("demand", ["notes", "shape"])
@pytest.mark.parametrize(
    ("row", "string", "semitones"),
    [
        ("C G Am F C G Am F", 6, -2),
        ("C G Am F C G Am F", 3, -1),
        ("C G Am F C G Am F", 4, 2),  # G sounds like Em then
        ("C G Em D C G Em D", 2, 1),
        ("C G Em D C G Em D", 1, -2),
    ],
)
def test_a_retuned_string_is_one_finding_where_every_note_matters(
    row: str, string: int, semitones: int, demand: str
) -> None:
    (one,) = check_notes(row, string, semitones, demand).findings
    assert (one.kind, one.string, one.settled) == ("out of tune", string, True)
    assert one.measure == OffPitch(100 * abs(semitones), is_sharp=semitones > 0)
    assert one.hint == TurnPeg(string, is_up=semitones < 0, note="EBGDAE"[string - 1])


@pytest.mark.parametrize("wrong", [("G",), ("C", "Am")])
def test_a_finger_that_is_off_in_some_chords_is_no_tuning(wrong: tuple[str, ...]) -> None:
    found = check_notes("C G Am F C G Am F", 3, -1, "shape", wrong=wrong).findings
    assert {one.kind for one in found} <= {"extra string", "chord"}
    assert len(found) == 2 * len(wrong)


@pytest.mark.parametrize(("row", "string", "semitones"), [("C F C F C F", 6, 2), ("C Em C Em", 4, 1)])
def test_a_finger_that_is_off_at_the_one_fret_that_was_set_on_its_string_is_no_tuning(
    row: str, string: int, semitones: int
) -> None:
    found = check_notes(row, string, semitones, "shape").findings
    assert {one.kind for one in found} == {"extra string"}
    assert {one.string for one in found} == {string}
