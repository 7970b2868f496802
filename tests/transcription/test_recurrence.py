"""Bars that come round: what is heard in one round says what to expect in the next, and no more.

Which shapes players hold is common practice (no source): x02210 is A minor, x20003 is G over B.
"""

from __future__ import annotations

import numpy as np

from listen.transcription.recurrence import weigh_recurrence
from tests.transcription.written_strokes import AM, EM, G_OVER_B, OPEN_E, C, D, F, G, hold_chords

Bar = tuple[tuple[int, ...], ...]


def _play(*chords: tuple[int, ...]) -> list[Bar]:
    return [(midis,) * 4 for midis in chords]


def _decode(*rounds: list[Bar]) -> list[frozenset[int]]:
    """Decode a chord a bar."""
    held = hold_chords(tuple(stroke for bars in rounds for bar in bars for stroke in bar))
    assert all(len(chord.stretches) == 4 for chord in held)
    return [chord.pitches for chord in held]


def test_a_string_missed_in_one_round_is_held_as_in_the_others() -> None:
    song, missed = _play(G, D, AM, C), _play(G, D, AM[1:], C)
    assert _decode(song, song, missed, song)[10] == frozenset(AM)


def test_the_same_string_missed_without_rounds_says_what_it_sounds() -> None:
    row = _play(AM, C, AM, EM, AM, C, AM[1:], EM, D, C, AM, F, D, F, AM, G)
    assert _decode(row)[6] == frozenset(AM[1:])


def test_a_meant_bass_that_comes_round_is_held_where_a_thumb_misses_it() -> None:
    song, missed = _play(C, G_OVER_B, AM, G), _play(C, G_OVER_B[1:], AM, G)
    assert _decode(song, song, missed, song)[9] == frozenset(G_OVER_B)


def test_a_round_that_ends_otherwise_is_heard() -> None:
    song = _play(G, D, AM, C)
    over_e = (OPEN_E, *C)
    assert _decode(song, song, song, _play(G, D, EM, over_e))[14:] == [frozenset(EM), frozenset(over_e)]


def test_what_is_heard_in_other_rounds_is_worth_as_much_as_bars_may_differ() -> None:
    # 16 bars of four chords, a stroke each; the third state is heard as well as the second wherever that is held
    path = np.tile([0, 1], 8)
    held = [(48, 52, 55), (43, 47, 50), (40, 47, 52)]
    costs = np.where(np.arange(3) == path[:, None], 0.0, 20.0)
    costs[path == 1, 2] = 0.0
    expected = weigh_recurrence(costs, path, held, alone=np.zeros(3), bars=np.arange(16), steps=np.zeros(16, np.int64))
    odd, even = expected[1], expected[2]
    np.testing.assert_allclose(odd, -np.log(np.array([0.0, 0.5, 0.5]) * 3 * 0.93 + 0.07), atol=1e-4)
    np.testing.assert_allclose(even, -np.log(np.array([1.0, 0.0, 0.0]) * 3 * 0.93 + 0.07), atol=1e-4)


def test_one_bar_that_rules_a_chord_out_does_not_rule_it_out_in_the_others() -> None:
    path = np.tile([0, 1], 8)
    held = [(48, 52, 55), (43, 47, 50), (40, 47, 52)]
    costs = np.where(np.arange(3) == path[:, None], 0.0, 6.0)
    costs[7, 1] = 100.0
    expected = weigh_recurrence(costs, path, held, alone=np.zeros(3), bars=np.arange(16), steps=np.zeros(16, np.int64))
    assert expected[1].argmin() == expected[15].argmin() == 1


def test_bars_without_a_context_expect_nothing() -> None:
    path = np.array([0, 1, 0])
    held = [(48, 52, 55), (43, 47, 50)]
    costs = np.where(np.arange(2) == path[:, None], 0.0, 20.0)
    expected = weigh_recurrence(costs, path, held, alone=np.zeros(2), bars=np.arange(3), steps=np.zeros(3, np.int64))
    np.testing.assert_array_equal(expected, np.zeros((3, 2)))
