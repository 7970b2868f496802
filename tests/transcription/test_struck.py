"""Which strings a picked stroke struck, and that it goes no way; what was heard is written by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from listen.reading import GridPosition
from listen.transcription.events import _kind_of
from listen.transcription.grid import Grid
from listen.transcription.struck import StruckStrings, find_struck, tell_directions
from tests.transcription.written_strokes import D, hear_strokes


def _weigh_struck(rises: dict[int, float], odds: dict[int, float]) -> StruckStrings:
    """Find what a picked stroke struck of D, of which some strings sound."""
    (stretch,), (stroke,) = hear_strokes((tuple(odds),))
    stretch.log_odds[list(odds)] = list(odds.values())
    (struck,) = find_struck([replace(stroke, rises=rises)], [list(D)], [replace(stretch, is_picked=True)], None)
    assert struck is not None
    return struck


def test_a_string_that_beats_while_another_is_picked_only_rings_on() -> None:
    """It rises by 3 to 7 dB where what was picked rises by 12 and more, and is heard less surely: as in recordings."""
    struck = _weigh_struck({57: 5.2, 62: 14.0}, {57: 1.2, 62: 4.0})
    assert struck.places == (2,)
    assert _kind_of(struck) == "single"


def test_two_strings_picked_together_are_a_pinch_and_go_no_way() -> None:
    struck = _weigh_struck({50: 14.0, 66: 12.0}, {50: 5.0, 66: 4.5})
    assert struck.places == (0, 3)
    assert _kind_of(struck) == "pinch"
    grid = Grid((), 1, (), (), (GridPosition(1, 0),), np.array([3.0]), ())
    (stroke,) = hear_strokes((D,))[1]
    assert tell_directions([stroke], [struck], grid) == [(None, 0.5)]
    assert tell_directions([stroke], [replace(struck, is_picked=False)], grid)[0][0] == "down"


def test_a_stroke_that_is_taken_for_a_strum_where_near_bars_pick_is_picked_and_a_whole_strum_is_none() -> None:
    """A pinch of the fourth and the first string of D, four bars of it; one is heard as no picked one."""
    pinch = {50: 14.0, 57: 0.5, 66: 12.0}
    for rises, kind in ((pinch, "pinch"), (dict.fromkeys(D, 14.0), "full")):
        stretches, strokes = hear_strokes((tuple(pinch), tuple(rises), tuple(pinch), tuple(pinch), tuple(pinch)))
        for one in stretches:
            one.log_odds[57] = 5.0 if len(one.sounding) == len(D) else 2.0
        heard = [replace(one, is_picked=at != 1) for at, one in enumerate(stretches)]
        played = [replace(one, rises=rises if at == 1 else pinch) for at, one in enumerate(strokes)]
        struck = find_struck(played, [list(D)] * 5, heard, np.zeros(5, np.int64))
        assert [_kind_of(one) for one in struck] == ["pinch", kind, "pinch", "pinch", "pinch"]
