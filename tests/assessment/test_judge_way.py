"""Which way the strumming hand went, from hand-written leans of strokes: said only where it surely is not as set."""

from __future__ import annotations

import pytest

from listen.assessment import assess
from listen.document import parse_chart
from listen.export.finding_sentences import finding_sentence
from listen.reading import Finding, HeardPitch, HeardSound, Performance, PerformedStroke, WayKept
from listen.theory import Pitch

SWAY = "D . D U . U D U"
CHORDS = ("C3 E3 G3 C4 E4", "G2 B2 D3 G3 B3 G4", "A2 E3 A3 C4 E4", "F2 C3 F3 A3 C4 F4")
N_BARS = 8


def judge_hand(pattern: str, leans: dict[float, tuple[float, ...]]) -> Finding | None:
    """What is found of a hand whose strokes lean so: by beat, the leans of bar after bar, from the first again."""
    strokes: list[PerformedStroke] = []
    sounds: list[HeardSound] = []
    for bar in range(N_BARS):
        midis = [Pitch.parse(word).midi for word in CHORDS[bar % 4].split()]
        pitches = tuple(HeardPitch(midi, 5.0, 4.0 if midi == midis[0] else -6.0) for midi in midis)
        for beat, own in sorted(leans.items()):
            time_s = 1.0 + 4 * bar + beat - 1.0
            strokes.append(PerformedStroke(time_s, lean=own[bar % len(own)], sound=len(sounds)))
            sounds.append(HeardSound(time_s, time_s + 0.5, pitches))
    played = Performance(4.0 * N_BARS + 2.0, tuple(strokes), tuple(sounds))
    chart = parse_chart(f"tempo: 60\npattern: {pattern}\n|: C | G | Am | F :| x2")
    return next((one for one in assess(played, chart).findings if one.kind == "way"), None)


def test_the_stroke_that_goes_the_other_way_is_named() -> None:
    way = judge_hand("D . D . D U D .", {1.0: (4.0,), 2.0: (-4.0,), 3.0: (4.0,), 4.0: (-4.0,)})
    assert way is not None
    assert way.measure == WayKept(50, 2.0)
    said = "The strumming hand goes down and up as set in 50 % of the strokes, least on beat 2."
    assert finding_sentence(way) == said


def test_a_hand_that_goes_as_set_is_not_asked_about_where_single_strokes_tell_little() -> None:
    """Leans of a take that was strummed as set (FluidR3): the last two strokes of the bar can hardly be told."""
    leans = {
        1.0: (1.4, 2.0, -0.1, 1.9, 1.6, 0.1, 0.3, 1.3), 2.0: (1.2, 0.8, 1.0, 0.2, 1.8, 0.8, 0.3, 1.4),
        2.5: (-0.7, -1.1, -0.1, -1.7, -1.2, -1.0, -0.7), 3.5: (-1.5, -2.1, -1.1, -0.6, 0.4, -0.5, 0.1, 1.4),
        4.0: (1.4, 2.0, 0.7, 0.6, 1.5, 0.7, -1.0, -1.4), 4.5: (-0.4, -0.5, -1.3, -0.5, 0.5, 0.4, -0.5, 1.8),
    }  # fmt: skip
    assert judge_hand(SWAY, leans) is None


@pytest.mark.parametrize("lean", [-0.9, -0.4, 0.0, 0.4, 0.9])
def test_a_lean_that_is_the_recordings_own_is_none_of_the_hand(lean: float) -> None:
    down, up = (lean + 0.5, lean + 1.2, lean - 0.2), (lean - 0.5, lean - 1.2, lean + 0.2)
    assert judge_hand(SWAY, {1.0: down, 2.0: down, 2.5: up, 3.5: up, 4.0: down, 4.5: up}) is None


def test_strokes_of_which_none_tells_its_way_are_not_asked_about() -> None:
    assert judge_hand(SWAY, dict.fromkeys((1.0, 2.0, 2.5, 3.5, 4.0, 4.5), (1.5,))) is None


def test_a_hand_that_only_goes_down_is_asked_about() -> None:
    way = judge_hand(SWAY, dict.fromkeys((1.0, 2.0, 2.5, 3.5, 4.0, 4.5), (0.5, 1.4, -0.4)))
    assert way is not None
    assert way.measure == WayKept(50, 2.5)
    assert not way.settled


@pytest.mark.parametrize(
    "means", [(2.9, 2.2, 1.7, 3.0, 1.7, 2.4), (3.3, 2.7, 2.4, 2.6, 2.9, 2.3), (-1.6, -0.9, -2.4, -1.4, -1.1, -1.7)]
)
def test_a_hand_that_goes_only_one_way_is_asked_about_where_strokes_are_told_well(means: tuple[float, ...]) -> None:
    beats = (1.0, 2.0, 2.5, 3.5, 4.0, 4.5)
    way = judge_hand(SWAY, {beat: (mean - 1.0, mean + 1.0) for beat, mean in zip(beats, means, strict=True)})
    assert way is not None
    assert isinstance(way.measure, WayKept)
    assert way.measure.percent == 50


@pytest.mark.parametrize(("sign", "way_gone"), [(-1.0, "up"), (1.0, "down")])
def test_a_hand_that_goes_one_way_only_is_called_so_once_and_asked_about(sign: float, way_gone: str) -> None:
    way = judge_hand(SWAY, dict.fromkeys((1.0, 2.0, 2.5, 3.5, 4.0, 4.5), (sign * 2.0, sign * 2.9, sign * 2.5)))
    assert way is not None
    assert not way.settled, "strokes of a recording may lean alike whatever their way"
    assert finding_sentence(way) == f"The strumming hand only goes {way_gone}, as was set in 50 % of the strokes."


def test_a_hand_of_which_one_stroke_may_go_the_other_way_is_not_told_to_go_one_way_only() -> None:
    leans = dict.fromkeys((1.0, 2.0, 2.5, 3.5, 4.0), (-2.0, -2.9, -2.5))
    way = judge_hand(SWAY, {**leans, 4.5: (0.5, -0.5, 0.0)})
    assert way is None or (isinstance(way.measure, WayKept) and way.measure.only is None)


def test_a_hand_that_goes_as_set_is_not_asked_about_where_strokes_are_told_well() -> None:
    down, up = (3.5, 2.5, 3.4), (-3.2, -1.2, -3.5)
    assert judge_hand(SWAY, {1.0: down, 2.0: down, 2.5: up, 3.5: up, 4.0: down, 4.5: up}) is None


def test_a_hand_that_goes_the_other_way_round_is_said() -> None:
    down, up = (0.9, 1.8, 0.0), (-0.9, -1.8, 0.0)
    way = judge_hand(SWAY, {1.0: up, 2.0: up, 2.5: down, 3.5: down, 4.0: up, 4.5: down})
    assert way is not None
    assert way.settled
    assert isinstance(way.measure, WayKept)
    assert way.measure.percent == 0


def test_strokes_beside_those_that_were_set_tell_nothing_of_their_way() -> None:
    """A downstroke and an upstroke were set and played; those beside them, which go the other way, were not."""
    down, up = (3.0, 2.0, 2.6), (-3.0, -2.0, -2.6)
    leans: dict[float, tuple[float, ...]] = {1.0: down, 1.5: up, 2.0: up, 3.0: down, 3.5: up, 4.0: down}
    assert judge_hand("D . . . . U . .", leans) is None
