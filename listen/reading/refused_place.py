"""Why nothing is where a person told something by its place: one sentence, for the reading and for later words."""

from __future__ import annotations

from collections.abc import Collection

from listen.errors import BadValueError
from listen.reading.metre import Metre
from listen.reading.settled import Correction, Pin
from listen.reading.told_stroke import is_in_bar


def refuse_told_place(
    what: str, told: Pin | Correction, *, n_events: int, bars: Collection[int], metre: Metre | None
) -> BadValueError:
    """Say why a pin, a name, a note or a word points to nothing.

    Parameters
    ----------
    what : str
        ``"pin"``, ``"name"``, ``"section"``...
    told : Pin or Correction
    n_events : int
    bars : collection of int
        Those in which something is struck.
    metre : Metre or None
        None in free time.
    """
    length, is_word = f"the part has {n_events} event{'' if n_events == 1 else 's'}", what in ("section", "lyrics")
    if metre is None or not bars:
        why = f"{length} in free time, without bars; --full shows at which of them chords begin."
    elif told.bar is not None and min(bars) <= told.bar <= max(bars) and is_in_bar(told.beat, metre):
        goes_on = ", where only the chord before can go on" if what == "name" else ""
        where = f"bar {told.bar} from beat {float(told.beat):g} on"
        struck = "nothing" if is_word else "none"
        why = f"{struck} is struck in {where}{goes_on}; give the beat at which {'something' if is_word else 'it'} is."
    else:
        why = (
            f"{length} in bars {min(bars)} to {max(bars)} of {metre.beats_per_bar} beats; --full shows at "
            "which of them chords begin."
        )
    points = f"point{'' if what == 'lyrics' else 's'} to no {'event' if is_word else 'chord'}"
    return BadValueError(f"The {what} {told.text} {points}: {why}")
