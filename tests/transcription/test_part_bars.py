"""Pulse, metre and bars of rows of strokes whose beats are known."""

from __future__ import annotations

from dataclasses import dataclass

import mir_eval
import numpy as np
import pytest
from numpy.typing import NDArray

from listen.reading import BarLength
from listen.transcription.grid import Grid, StrokeFeatures, find_grid
from listen.transcription.part_settings import PartSettings
from listen.transcription.pulse import find_pulses
from listen.transcription.told_bars import tell_bars


@dataclass(frozen=True)
class _Row:
    onsets_s: NDArray[np.float64]
    changes: NDArray[np.bool_]
    lean: NDArray[np.float64]
    bars_s: list[float]


def _play(
    beats: list[float], *, n_bars: int, beats_per_bar: int, bpm: float, drift: float = 0.0, pickup: int = 0
) -> _Row:
    """Play strokes at places in the bar (in beats): a new chord each bar, down on the beat, up off it."""
    rng = np.random.default_rng(0)
    onsets, changes, lean, bars = [], [], [], []
    time_s = 0.5
    for bar in range(n_bars):
        beat_s = 60.0 / bpm * (1.0 + drift * bar / n_bars)
        bars.append(time_s)
        for beat in beats:
            if bar == 0 and pickup and beat < beats_per_bar - pickup:
                continue
            onsets.append(time_s + beat * beat_s + rng.normal(0, 0.006))
            changes.append(beat == 0.0)
            lean.append((1.0 if beat % 1 < 0.1 else -1.0) + rng.normal(0, 1.0))
        time_s += beats_per_bar * beat_s
    return _Row(np.array(onsets), np.array(changes), np.array(lean), bars)


def _count(row: _Row, settings: PartSettings | None = None) -> Grid:
    rng = np.random.default_rng(1)
    loud = np.where(row.changes, 2.0, 0.0) + rng.normal(0, 1.0, len(row.changes))
    bass = np.clip(0.5 + 0.2 * row.lean, 0, 1)
    features = StrokeFeatures(row.onsets_s, loud, bass, row.lean, row.changes)
    grid = find_grid(features, settings=settings or PartSettings())
    assert grid is not None
    return grid


EIGHTHS = [0.0, 1.0, 1.5, 2.5, 3.0, 3.5]


def test_strokes_on_one_and_three_are_counted_by_the_changes_of_chord() -> None:
    """Common practice, no source: a chord for every two slow strokes has bars of two, at twice the tempo."""
    halves = _play([0.0, 2.0], n_bars=16, beats_per_bar=4, bpm=120.0)
    grid = _count(halves)
    assert (grid.metres[0].beats_per_bar, round(grid.metres[0].tempo_bpm, -1)) == (4, 120)
    assert mir_eval.onset.f_measure(np.array(halves.bars_s), np.array(grid.bars_s[:-1]), window=0.1)[0] > 0.95


@pytest.mark.parametrize(("bpm", "beats"), [(60.0, 4), (64.0, 4), (70.0, 4), (76.0, 4), (84.0, 3)])
def test_slow_beats_are_no_halves_where_a_chord_lasts_for_a_bar_of_them(bpm: float, beats: int) -> None:
    metre = _count(_play([float(beat) for beat in range(beats)], n_bars=10, beats_per_bar=beats, bpm=bpm)).metres[0]
    assert (metre.beats_per_bar, round(metre.tempo_bpm)) == (beats, bpm)


@pytest.mark.parametrize("bpm", [72.0, 100.0, 126.0])
def test_four_four_is_counted_at_the_played_tempo(bpm: float) -> None:
    row = _play(EIGHTHS, n_bars=8, beats_per_bar=4, bpm=bpm)
    grid = _count(row)
    assert grid.metres[0].signature == "4/4"
    assert grid.metres[0].tempo_bpm == pytest.approx(bpm, rel=0.02)
    assert grid.bars_s[:8] == pytest.approx(row.bars_s, abs=0.03)
    assert grid.first_bar == 1


@pytest.mark.parametrize("bpm", [84.0, 90.0])
def test_two_bars_of_one_chord_are_no_slow_bar(bpm: float) -> None:
    """Common practice, no source: nobody counts 42 beats a minute where the hand goes down twice in each."""
    metre = _count(_play([0.0, 2.0, 2.5, 4.0, 6.0, 6.5, 7.0], n_bars=7, beats_per_bar=8, bpm=bpm)).metres[0]
    assert metre.signature == "4/4"
    assert metre.tempo_bpm == pytest.approx(bpm, rel=0.03)


def test_six_even_strokes_are_felt_in_two_and_a_waltz_that_rests_after_one_in_three() -> None:
    """Common practice, no source. The hand goes down and up in turn, and reaches as low either way."""
    rng = np.random.default_rng(1)
    for strokes, signature, bpm in (([0, 1, 2, 3, 4, 5], "6/8", 70), ([0, 2, 3, 4, 5], "3/4", 105)):
        row = _play([0.5 * stroke for stroke in strokes], n_bars=10, beats_per_bar=3, bpm=105.0)
        loud, bass = rng.normal(0, 1.0, len(row.lean)), rng.normal(0.5, 0.1, len(row.lean))
        grid = find_grid(StrokeFeatures(row.onsets_s, loud, bass, row.lean, row.changes), settings=PartSettings())
        assert grid is not None
        assert grid.metres[0].signature == signature
        assert grid.metres[0].tempo_bpm == pytest.approx(bpm, rel=0.02)


def test_a_few_syllables_between_the_strokes_make_no_triplets() -> None:
    row = _play([0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5], n_bars=9, beats_per_bar=4, bpm=108.0)
    said = np.array([5, 22, 41, 58])
    onsets_s = np.insert(row.onsets_s, said, row.onsets_s[said - 1] + np.array([1, 2, 1, 2]) / 3.0 * 30.0 / 108.0)
    lean, changes = np.insert(row.lean, said, 0.0), np.insert(row.changes, said, False)
    metre = _count(_Row(onsets_s, changes, lean, row.bars_s)).metres[0]
    assert (metre.signature, round(metre.tempo_bpm)) == ("4/4", 108)


def test_misheard_changes_do_not_hide_six_eighths() -> None:
    """Of twelve parts, a tenth of whose strokes are wrongly taken for changes, most are counted by their bass."""
    right = 0
    for seed in range(12):
        rng = np.random.default_rng(seed)
        place = np.arange(96) % 6
        onsets_s = 0.5 + np.arange(96) * 20.0 / 66.0 + rng.normal(0, 0.006, 96)
        bass = np.where(place % 3 == 0, 0.95, 0.5) + rng.normal(0, 0.2, 96)
        is_change = (place == 0) | (rng.random(96) < 0.1)
        loud, lean = np.where(place == 0, 2.0, 0.0), np.where(place % 3 > 0, 0.5, 0.0)
        grid = find_grid(StrokeFeatures(onsets_s, loud, bass, lean, is_change), settings=PartSettings())
        right += grid is not None and grid.metres[0].signature == "6/8"
    assert right >= 7


def test_a_waltz_is_counted_in_three() -> None:
    row = _play([0.0, 1.0, 2.0, 2.5], n_bars=10, beats_per_bar=3, bpm=110)
    assert _count(row).metres[0].signature == "3/4"


@pytest.mark.parametrize(
    ("signature", "stroke_bpm", "in_chord"),
    [("6/8", 198.0, 6), ("3/4", 120.0, 3), ("3/4", 120.0, 6), ("3/4", 130.0, 6)],
)
def test_a_bass_and_two_brushes_are_a_waltz_or_six_eighths(signature: str, stroke_bpm: float, in_chord: int) -> None:
    """Common practice, no source: nobody counts 40 to 43 beats a minute where bass and two brushes take each."""
    rng = np.random.default_rng(0)
    onsets_s = 0.5 + np.arange(60) * 60.0 / stroke_bpm + rng.normal(0, 0.006, 60)
    place = np.arange(60) % in_chord
    bass = np.where(place % 3 == 0, 0.95, 0.2) + rng.normal(0, 0.05, 60)
    lean = np.where(place % 3 > 0, 2.0, 0.0)
    features = StrokeFeatures(onsets_s, np.where(place == 0, 2.0, 0.0), bass, lean, place == 0)
    grid = find_grid(features, settings=PartSettings())
    assert grid is not None
    assert grid.metres[0].signature == signature


def test_what_follows_the_beat_alone_is_late_strings_and_no_triplet() -> None:
    late = [0.0, 1.0, 4 / 3, 2.0, 3.0, 10 / 3]
    assert _count(_play(late, n_bars=8, beats_per_bar=4, bpm=76)).metres[0].signature == "4/4"


def test_twelve_eighths_are_told_from_swung_fours() -> None:
    full = _play([k / 3 for k in range(12) if k not in (1, 7)], n_bars=8, beats_per_bar=4, bpm=70)
    assert _count(full).metres[0].signature == "12/8"
    swung = _play([0.0, 2 / 3, 1.0, 5 / 3, 2.0, 8 / 3, 3.0, 11 / 3], n_bars=8, beats_per_bar=4, bpm=104)
    metre = _count(swung).metres[0]
    assert metre.signature == "4/4"
    assert metre.swing == pytest.approx(2 / 3, abs=0.03)


@pytest.mark.parametrize("place", [0.58, 0.6, 0.62, 0.66])
def test_a_swung_hand_is_counted_in_four_wherever_its_offbeat_lies(place: float) -> None:
    sway = _play([0.0, 1.0, 1 + place, 2 + place, 3.0, 3 + place], n_bars=8, beats_per_bar=4, bpm=150)
    metre = _count(sway).metres[0]
    assert metre.signature == "4/4"
    assert metre.tempo_bpm == pytest.approx(150.0, rel=0.02)
    assert metre.swing == pytest.approx(place, abs=0.05)


def test_a_pickup_lies_before_bar_one() -> None:
    row = _play(EIGHTHS, n_bars=8, beats_per_bar=4, bpm=96, pickup=1)
    grid = _count(row)
    assert grid.first_bar == 0
    assert grid.metres[0].pickup_steps == 12
    for metre in grid.metres[:3]:  # half and double its tempo among them: the pickup is as long
        assert metre.pickup_steps / 12 * 60 / metre.tempo_bpm == pytest.approx(60 / 96, rel=0.02)
    assert grid.bars_s[1] == pytest.approx(row.bars_s[1], abs=0.03)
    assert grid.positions[0].text == "0.4"


def test_a_slowing_player_is_followed() -> None:
    row = _play(EIGHTHS, n_bars=16, beats_per_bar=4, bpm=110, drift=0.15)
    assert _count(row).bars_s[:16] == pytest.approx(row.bars_s, abs=0.05)


def test_half_and_double_tempo_are_both_offered() -> None:
    row = _play(EIGHTHS, n_bars=8, beats_per_bar=4, bpm=100)
    offered = {round(metre.tempo_bpm / 10) for metre in _count(row).metres}
    assert {5, 10, 20} <= offered


def test_what_is_told_settles_the_count() -> None:
    row = _play([0.0, 1.0, 2.0, 3.0], n_bars=8, beats_per_bar=4, bpm=120)
    three = _count(row, PartSettings(metre=(3, 4)))
    assert three.metres[0].signature == "3/4"
    slow = _count(row, PartSettings(tempo_bpm=60.0))
    assert slow.metres[0].tempo_bpm == pytest.approx(60.0, rel=0.02)
    moved = _count(row, PartSettings(metre=(4, 4), tempo_bpm=120.0, bar_one_s=row.bars_s[2] + 0.52))
    one = moved.bars_s[1 - moved.first_bar]
    assert one == pytest.approx(row.bars_s[2] + 0.5, abs=0.03)
    assert moved.first_bar == -2


def test_another_bar_line_that_is_told_moves_the_bars_from_there_on() -> None:
    """A beat is dropped after four bars of strokes that are all alike: only the player knows."""
    row = _play([0.0, 1.0, 2.0, 3.0], n_bars=9, beats_per_bar=4, bpm=120)
    alike = _Row(row.onsets_s, np.zeros_like(row.changes), np.full(len(row.lean), 0.5), row.bars_s)
    told = PartSettings(metre=(4, 4), tempo_bpm=120.0, bar_one_s=row.bars_s[0], bar_lines_s=(row.onsets_s[19],))
    grid = _count(alike, told)
    lines = np.array(grid.bars_s)
    assert np.abs(lines - row.onsets_s[0]).min() < 0.05
    assert all(np.abs(lines - row.onsets_s[place]).min() < 0.05 for place in (19, 23, 27, 31, 35))
    assert tell_bars(grid, told, n_strokes=len(row.onsets_s)) == ()
    assert grid.lengths == (BarLength(5, 3),)
    assert np.abs(np.array(_count(alike, PartSettings(metre=(4, 4))).bars_s) - row.onsets_s[35]).min() > 0.3


def test_a_bar_line_that_is_told_between_two_strokes_is_refused_in_a_sentence() -> None:
    row = _play(EIGHTHS, n_bars=8, beats_per_bar=4, bpm=100)
    settings = PartSettings(bar_lines_s=(row.bars_s[3] + 0.17,))
    (said,) = tell_bars(_count(row), settings, n_strokes=len(row.onsets_s))
    assert said.startswith("You told that a bar begins at 0:07.9, but the nearest bar line lies 0.2 s away")


def _match(reference_s: list[float], estimated_s: tuple[float, ...]) -> float:
    """Score by mir_eval's F-measure within 100 ms, as the recorded takes are (Raffel et al. 2014)."""
    score: float = mir_eval.onset.f_measure(np.array(reference_s), np.array(estimated_s), window=0.1)[0]
    return score


def test_a_player_who_speeds_up_by_a_third_is_followed() -> None:
    row = _play(EIGHTHS, n_bars=14, beats_per_bar=4, bpm=84, drift=-0.3)
    assert _match(row.bars_s, _count(row).bars_s[:-1]) > 0.95


def test_a_hand_that_waits_at_a_change_keeps_its_bars() -> None:
    row = _play(EIGHTHS, n_bars=10, beats_per_bar=4, bpm=100)
    late = np.zeros(len(row.onsets_s))
    for bar in (3, 6, 8):
        late[bar * len(EIGHTHS) :] += 0.22
    bars = [at + late[bar * len(EIGHTHS)] for bar, at in enumerate(row.bars_s)]
    waited = _Row(row.onsets_s + late, row.changes, row.lean, bars)
    assert _match(bars, _count(waited).bars_s[:-1]) > 0.95


def test_another_tempo_after_a_stop_is_counted_by_itself_and_said() -> None:
    first, then = (_play(EIGHTHS, n_bars=6, beats_per_bar=4, bpm=bpm) for bpm in (112, 80))
    shift = first.bars_s[-1] + 5.0
    row = _Row(
        np.concatenate([first.onsets_s, then.onsets_s + shift]),
        np.concatenate([first.changes, then.changes]),
        np.concatenate([first.lean, then.lean]),
        [*first.bars_s, *(at + shift for at in then.bars_s)],
    )
    grid = _count(row)
    assert [bpm for _, bpm in grid.tempos] == pytest.approx([112, 80], rel=0.03)
    assert _match(row.bars_s, grid.bars_s[:-1]) > 0.95
    (said,) = tell_bars(grid, PartSettings(), n_strokes=len(row.onsets_s))
    assert said == "Another tempo begins at 0:16: 80 beats a minute, after 112."


def test_a_slow_hand_goes_down_on_one_beat_and_up_on_the_next() -> None:
    row = _play([0.0, 1.0, 2.0, 3.0], n_bars=8, beats_per_bar=4, bpm=72)
    ways = np.where(np.arange(len(row.onsets_s)) % 2 == 0, 2.0, -2.0)
    grid = _count(_Row(row.onsets_s, row.changes, ways, row.bars_s))
    assert grid.metres[0].tempo_bpm == pytest.approx(72, rel=0.03)
    assert (np.sign(grid.hand_odds) == np.sign(ways)).all()


def test_lost_and_added_strokes_move_no_bar() -> None:
    row = _play(EIGHTHS, n_bars=12, beats_per_bar=4, bpm=104)
    kept = np.arange(len(row.onsets_s)) % 13 != 7
    onsets = np.sort(np.concatenate([row.onsets_s[kept], row.onsets_s[[10, 31, 50]] + 0.19]))
    places = np.searchsorted(row.onsets_s, onsets - 0.01).clip(max=len(row.onsets_s) - 1)
    is_own = np.abs(row.onsets_s[places] - onsets) < 0.001
    played = _Row(onsets, row.changes[places] & is_own, np.where(is_own, row.lean[places], 0.0), row.bars_s)
    assert _match(row.bars_s, _count(played).bars_s[:-1]) > 0.95


def test_a_metre_that_is_told_is_taken_where_no_pulse_would_be_found() -> None:
    loose = np.cumsum(np.random.default_rng(7).gamma(1.2, 0.6, 30))
    assert find_pulses(loose) == ()
    row = _Row(loose, np.zeros(30, bool), np.zeros(30), [])
    assert _count(row, PartSettings(metre=(3, 4))).metres[0].signature == "3/4"


def test_a_true_tempo_that_is_told_is_taken() -> None:
    grid = _count(_play(EIGHTHS, n_bars=8, beats_per_bar=4, bpm=190), PartSettings(tempo_bpm=190.0))
    assert grid.metres[0].tempo_bpm == pytest.approx(190.0, rel=0.03)


def test_what_cannot_be_taken_is_said_in_a_sentence() -> None:
    (said,) = tell_bars(None, PartSettings(metre=(3, 4)), n_strokes=3)
    assert said == "You told the metre 3/4, but there are 3 strokes, and bars need four: free time is written."
