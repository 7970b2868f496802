"""Why nothing is where a person told something by its place: one sentence, for the reading and for later words."""

from __future__ import annotations

from collections.abc import Collection

from listen.errors import BadValueError
from listen.reading.bars import Bars
from listen.reading.settled import Correction, Pin


def refuse_told_place(
    what: str,
    told: Pin | Correction,
    *,
    n_events: int,
    struck: Collection[int],
    bars: Bars,
    only_notes: bool = False,
) -> BadValueError:
    """Say why a pin, a name, a note or a word points to nothing.

    Parameters
    ----------
    what : str
        ``"pin"``, ``"name"``, ``"section"``...
    told : Pin or Correction
    n_events : int
    struck : collection of int
        Numbers of the bars in which something is.
    bars : Bars
    only_notes : bool
        Whether single notes are struck there that are held as no chord.
    """
    length, is_word = f"the part has {n_events} event{'' if n_events == 1 else 's'}", what in ("section", "lyrics")
    if bars.metre is None or not struck:
        why = f"{length} in free time, without bars; the full chart shows at which of them chords begin."
    elif told.bar is not None and only_notes:
        where = f"bar {told.bar} from beat {float(told.beat):g} on"
        why = f"only single notes are struck in {where}; give the beat at which a chord is."
    elif told.bar is not None and min(struck) <= told.bar <= max(struck) and bars.has_beat(told.bar, told.beat):
        goes_on = ", where only the chord before can go on" if what == "name" else ""
        where = f"bar {told.bar} from beat {float(told.beat):g} on"
        none = "nothing" if is_word else "none"
        why = f"{none} is struck in {where}{goes_on}; give the beat at which {'something' if is_word else 'it'} is."
    else:
        others = "".join(f", bar {one.bar} of {one.n_beats}" for one in bars.lengths if one.bar == told.bar)
        why = (
            f"{length} in bars {min(struck)} to {max(struck)} of {bars.metre.beats_per_bar} beats{others}; "
            "the full chart shows at which of them chords begin."
        )
    points = f"point{'' if what == 'lyrics' else 's'} to no {'event' if is_word else 'chord'}"
    return BadValueError(f"The {what} {told.text} {points}: {why}")
