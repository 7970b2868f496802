"""Chords in a row: shapes near to one another, by the hand or by the voices."""

from __future__ import annotations

from itertools import pairwise

import pytest

from listen.instrument import Fretboard, Grip, estimate_move
from listen.theory import parse_chord
from listen.voicing import (
    Progression,
    ShapeFilters,
    find_easiest_capo,
    find_progression,
    find_shapes,
    measure_voice_leading,
)


def _find(text: str, **options: object) -> Progression:
    return find_progression([parse_chord(each) for each in text.split()], **options)  # type: ignore[arg-type]


def _travel(found: Progression) -> float:
    pairs = zip(found.voicings[:-1], found.voicings[1:], strict=True)
    return sum(measure_voice_leading(*pair) for pair in pairs)


def test_open_chords_of_a_campfire_stay_open() -> None:
    # common practice, no source
    c, a_minor, f, g = (each.shape.text for each in _find("C Am F G").voicings)
    assert (c, a_minor, g) == ("x32010", "x02210", "320003")
    assert f in ("133211", "xx3211")  # the full barre, or its four upper strings


def test_the_path_of_the_hand_moves_less_than_the_first_shapes_one_by_one() -> None:
    found = _find("E B C#m A")
    firsts = [find_shapes(parse_chord(each))[0] for each in ("E", "B", "C#m", "A")]
    grips = [Grip(each.shape, each.fingering) for each in firsts]
    moves = [estimate_move(old, new, Fretboard(), time_s=1.0).cost for old, new in pairwise(grips)]
    assert sum(move.cost for move in found.moves) <= sum(moves)


def test_voices_travel_less_when_asked_to() -> None:
    assert _travel(_find("Dm7 G7 Cmaj7", by="voices")) < _travel(_find("Dm7 G7 Cmaj7"))


def test_a_string_set_is_kept_through_inversions() -> None:
    found = _find("C F G C", by="voices", filters=ShapeFilters(strings=(4, 3, 2)))
    for voicing in found.voicings:
        assert [fret is not None for fret in voicing.shape.frets] == [False, False, True, True, True, False]
    assert {voicing.inversion for voicing in found.voicings} != {0}


def test_voices_that_go_least_have_fewer_parallel_fifths_than_a_barre_that_slides() -> None:
    music21 = pytest.importorskip("music21")

    def count(found: Progression) -> int:
        voices = [sorted(pitch.midi for pitch in each.pitches if pitch is not None) for each in found.voicings]
        parallel = 0
        for old, new in pairwise(voices):
            for low in range(len(old)):
                for high in range(low + 1, min(len(old), len(new))):
                    notes = [music21.note.Note(midi) for midi in (old[high], new[high], old[low], new[low])]
                    quartet = music21.voiceLeading.VoiceLeadingQuartet(*notes)
                    parallel += quartet.parallelFifth()
        return parallel

    triads = ShapeFilters(strings=(4, 3, 2), all_tones=True)
    sliding = Progression(
        tuple(
            find_shapes(parse_chord(each), filters=ShapeFilters(strings=(4, 3, 2), all_tones=True, inversion=0))[0]
            for each in ("C", "D", "E")
        ),
        (),
    )
    assert count(sliding) == 2
    assert count(_find("C F G C", by="voices", filters=triads)) < 3


def test_a_capo_is_found_that_opens_barre_chords() -> None:
    capo, played = find_easiest_capo([parse_chord(each) for each in ("Bb", "Gm", "Eb", "F")], fretboard=Fretboard())
    assert capo > 0
    assert [chord.text for chord in played] in (["G", "Em", "C", "D"], ["A", "F#m", "D", "E"])


@pytest.mark.parametrize("row", ["D A Bm G", "Dm7 G7 Cmaj7 Am7", "G Em C D7"])
def test_no_capo_is_put_on_for_little(row: str) -> None:
    """Common practice, no source."""
    assert find_easiest_capo([parse_chord(each) for each in row.split()], fretboard=Fretboard())[0] == 0
