"""A hand that plays on three strings; triads and their inversions there are common practice, no source.

xxx553 is C, xxx988 is C over E, xxx565 is F over C, xxx787 is G over D.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from listen.evidence import Stretch
from listen.reading import GridPosition, Metre
from listen.transcription.chord_decoding import find_chord_starts, lay_in_bars
from listen.transcription.grid import Grid
from listen.transcription.held_chords import HeldChord
from listen.transcription.stroke_odds import StrokeOdds, measure_stroke_odds
from listen.transcription.three_strings import plays_on_three
from tests.transcription.written_strokes import AM, D, G, hear_strokes, hold_chords

C, C_OVER_E, C_OVER_G = (60, 64, 67), (64, 67, 72), (67, 72, 76)
F_OVER_C, F = (60, 65, 69), (65, 69, 72)
G_OVER_B, G_OVER_D = (59, 62, 67), (62, 67, 71)


def _measure(*sounding: tuple[int, ...], picked: tuple[int, ...] = ()) -> StrokeOdds:
    stretches, strokes = hear_strokes(sounding)
    odds = measure_stroke_odds(
        stretches, strokes, stressed=np.zeros(len(sounding), bool), bars=np.arange(len(sounding)) // 4
    )
    odds.picked[list(picked)] = True
    return odds


def _strokes(place: int) -> tuple[Stretch, ...]:
    """Return the strokes of the chord at a place, two to each."""
    return tuple(replace(one, first=2 * place, last=2 * place + 1) for one in hear_strokes((C,))[0])


def test_who_strikes_three_strings_all_the_time_holds_no_fourth_below_them() -> None:
    """Here C over E was C whose root no stroke had struck, and F over C was xx3565."""
    in_turn = (C, C_OVER_E, F_OVER_C, F, G_OVER_B, G_OVER_D, C, C_OVER_G) * 2
    held = [chord.pitches for chord in hold_chords(tuple(midis for midis in in_turn for _ in range(2)))]
    assert held == [frozenset(midis) for midis in in_turn]


def test_a_change_at_half_a_bar_costs_less_than_at_other_beats_and_more_than_at_a_bar_line() -> None:
    stretches, _ = hear_strokes((C,) * 4)
    at = [GridPosition(1, step) for step in (0, 12, 24, 36)]
    grid = Grid((Metre(4, 4, 2, 60.0),), 1, (0.0, 4.0), (0.0, 1.0, 2.0, 3.0), tuple(at), np.zeros(4), ())
    bar_line, second, half, fourth = lay_in_bars([HeldChord(tuple(stretches), frozenset(C))], grid).change_costs
    assert bar_line < half < second == fourth


def test_a_whole_chord_that_ends_triads_is_held_whole() -> None:
    held = hold_chords((*[C] * 4, *[F_OVER_C] * 4, *[C_OVER_E] * 4, *[G_OVER_D] * 4, G))
    assert held[-1].pitches == frozenset(G)


def test_a_hand_that_brushes_three_strings_after_a_bass_plays_on_more() -> None:
    strum_after_bass = ((AM[0],), AM[2:], (AM[1],), AM[2:]) * 4
    assert not plays_on_three(_measure(*strum_after_bass, picked=tuple(range(0, 16, 2))))
    assert plays_on_three(_measure(*[C_OVER_E] * 8, *[F_OVER_C] * 8))
    assert not plays_on_three(_measure(*[G] * 4, *[D[1:]] * 8))
    assert not plays_on_three(_measure(*[C] * 4))  # too few to tell


def test_another_inversion_of_a_chord_begins_no_bar() -> None:
    """Two inversions of each chord in turn, C, C/E, F/C, F: the bars began with the second of each."""
    chords = [HeldChord(_strokes(place), frozenset(midis)) for place, midis in enumerate((C, C_OVER_E, F_OVER_C, F))]
    assert find_chord_starts(chords, [True] * 4) == {0, 4}
    over_g = HeldChord(_strokes(0), frozenset(AM)), HeldChord(_strokes(1), frozenset((43, *AM)))
    assert find_chord_starts(over_g, [True] * 2) == {0, 2}
