"""What can be expected of an instrument's strings before any is heard: how stiff they are, by the tables of sets."""

from __future__ import annotations

import math

from listen.evidence import Measured
from listen.instrument import NOMINAL_MIDI, RETUNING_NEPERS, STRING_TABLES, TABLE_SIGMA, Tuning, find_string_kinds
from listen.reading import StringProfile


def expect_strings(tuning: Tuning) -> tuple[StringProfile, ...]:
    """Return the usual strings of an instrument: the mean of all tables, as surely as they agree.

    Examples
    --------
    >>> from listen.instrument import STANDARD
    >>> [round(math.exp(one.stiffness.value) * 1e5, 1) for one in expect_strings(STANDARD)]
    [7.6, 4.9, 3.8, 7.3, 5.3, 2.2]
    """
    strings = []
    for logs in zip(*list_tabled(tuning), strict=True):
        mean = sum(logs) / len(logs)
        spread = math.sqrt(sum((log - mean) ** 2 for log in logs) / (len(logs) - 1))
        strings.append(StringProfile(Measured(mean, max(TABLE_SIGMA, spread))))
    return tuple(strings)


def list_tabled(tuning: Tuning) -> list[list[float]]:
    """Return ln B of the open strings by each table: B goes with 1/T, and T with the square of the frequency."""
    opens = tuning.open_strings
    return [
        [
            math.log(table.stiffness[kind]) - RETUNING_NEPERS * (pitch.midi - NOMINAL_MIDI[kind])
            for kind, pitch in zip(find_string_kinds(opens), opens, strict=True)
        ]
        for table in STRING_TABLES.values()
    ]
