"""Which kind of string each string of an instrument is, so that what was heard can be laid on it.

The ear tells kinds of string apart by their physics (:data:`listen.evidence.STRING_KINDS`, the six of a standard
guitar set, heavy to light). A tuning moves pitches but leaves the string what it is: in drop D the lowest string is
still the sixth. Instruments strung with other sets (bass, mandolin, ukulele) get no opinion rather than a wrong one.
"""

from __future__ import annotations

from listen.evidence import STRING_KINDS
from listen.instrument import STANDARD, Tuning

MAX_RETUNING_SEMITONES = 6  # beyond it players change the strings: the kind is no longer the standard set's


def find_string_kinds(tuning: Tuning) -> tuple[int | None, ...]:
    """Return, for each string, the index of its kind in :data:`STRING_KINDS`, or None where nothing is known.

    Examples
    --------
    >>> find_string_kinds(STANDARD)
    (0, 1, 2, 3, 4, 5)
    """
    n_extra = tuning.n_strings - len(STRING_KINDS)
    if n_extra < 0:
        return (None,) * tuning.n_strings
    kinds: list[int | None] = [*([0] * n_extra), *range(len(STRING_KINDS))]
    upper = tuning.open_strings[n_extra:]
    for place, (pitch, standard) in enumerate(zip(upper, STANDARD.open_strings, strict=True)):
        if abs(pitch.midi - standard.midi) > MAX_RETUNING_SEMITONES:
            kinds[n_extra + place] = None
    return tuple(kinds)
