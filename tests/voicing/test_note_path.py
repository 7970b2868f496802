"""Single notes on the neck: scales as handbooks print them (common practice, no source)."""

from __future__ import annotations

import pytest

from listen.instrument import Fretboard, parse_shape, parse_tuning
from listen.voicing import NoteStep, find_positions, lay_notes, list_note_places

NECK = Fretboard()


def _step(midi: int, held: str | None = None) -> NoteStep:
    return NoteStep(list_note_places(midi, NECK), () if held is None else find_positions(parse_shape(held)))


def _lay(midis: tuple[int, ...], neck: Fretboard = NECK) -> str:
    """Lay notes alone; write each as its string, counted from the first, and fret."""
    steps = [NoteStep(list_note_places(midi, neck)) for midi in midis]
    return " ".join(f"{neck.n_strings - place[0]}:{place[1]}" for place in lay_notes(steps, neck) if place)


C_MAJOR = (48, 50, 52, 53, 55, 57, 59, 60)


@pytest.mark.parametrize(
    ("midis", "printed"),
    [
        (C_MAJOR, "5:3 4:0 4:2 4:3 3:0 3:2 2:0 2:1"),
        (C_MAJOR[::-1], "2:1 2:0 3:2 3:0 4:3 4:2 4:0 5:3"),
        ((43, 45, 47, 48, 50, 52, 54, 55), "6:3 5:0 5:2 5:3 4:0 4:2 4:4 3:0"),  # G major
        ((40, 43, 45, 47, 50, 52, 55, 57, 59, 62, 64, 67), "6:0 6:3 5:0 5:2 4:0 4:2 3:0 3:2 2:0 2:3 1:0 1:3"),
        ((43, 43, 43, 45, 45, 47, 48, 48), "6:3 6:3 6:3 5:0 5:0 5:2 5:3 5:3"),  # what is repeated stays
    ],
    ids=["C major", "C major down", "G major", "E minor pentatonic", "walk to C"],
)
def test_a_scale_lies_in_the_first_position_as_it_is_printed(midis: tuple[int, ...], printed: str) -> None:
    assert _lay(midis) == printed


def test_over_a_capo_and_in_another_tuning_the_same_fingers_play() -> None:
    assert _lay(tuple(midi + 3 for midi in C_MAJOR), Fretboard(capo_fret=3)) == _lay(C_MAJOR)
    assert _lay((38, 40, 41, 43, 45), Fretboard(parse_tuning("drop D"))) == "6:0 6:2 6:3 6:5 5:0"
    ukulele = Fretboard(parse_tuning("ukulele"), n_frets=15)
    assert _lay((60, 62, 64, 65, 67, 69, 71, 72), ukulele) == "3:0 3:2 2:0 2:1 2:3 1:0 1:2 1:3"


def test_between_chords_at_the_fifth_fret_a_scale_is_played_there() -> None:
    """The first box of A minor pentatonic, as every method prints it: 5-8, 5-7, 5-7, 5-7, 5-8, 5-8."""
    chord = NoteStep((), find_positions(parse_shape("577555")))
    box = (45, 48, 50, 52, 55, 57, 60, 62, 64, 67)
    laid = lay_notes([chord, *map(_step, box), chord], NECK)
    assert [place[1] for place in laid if place] == [5, 8, 5, 7, 5, 7, 5, 7, 5, 8]
    assert _lay(box).startswith("5:0 5:3 4:0"), "alone they lie over the open strings"


def test_a_melody_lies_under_the_hand_that_holds_a_chord() -> None:
    over_c = [_step(midi, "x32010") for midi in (62, 65, 67)]
    assert lay_notes(over_c, NECK) == ((4, 3), (5, 1), (5, 3))
    assert lay_notes([_step(65, "577655")], NECK) == ((4, 6),), "and not at the first fret of the first string"


def test_a_high_melody_lies_as_low_as_a_hand_can_stay() -> None:
    high = lay_notes([_step(midi) for midi in (67, 69, 71, 72, 74, 76, 77, 79, 81)], NECK)
    assert max(place[1] for place in high if place) == 17, "A5 on the first string"


def test_a_note_that_no_string_has_has_no_place_and_leaves_the_others_theirs() -> None:
    assert list_note_places(39, NECK) == ()
    assert list_note_places(64 + NECK.top_fret + 1, NECK) == ()
    assert lay_notes([_step(48), _step(38), _step(50)], NECK) == ((1, 3), None, (2, 0))
    assert lay_notes([], NECK) == ()


def test_every_place_sounds_its_note() -> None:
    for neck in (NECK, Fretboard(capo_fret=5), Fretboard(parse_tuning("DADGAD"))):
        for midi in range(36, 90):
            places = list_note_places(midi, neck)
            assert all(neck.pitch_at(*place).midi == midi for place in places)
            assert len(places) == sum(
                midi in range(open_.midi, open_.midi + neck.top_fret + 1) for open_ in neck.open_pitches
            )
