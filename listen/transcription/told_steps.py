"""Where a person told that bars begin, as steps of the pulse; and what stays as it was read beside that."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from listen.errors import bad_value
from listen.reading import Correction, clock_text
from listen.transcription.countings import Counting
from listen.transcription.part_settings import PartSettings
from listen.transcription.pulse import Pulse

Steps = list[tuple[int, ...]]  # for each tempo, those that are told to begin a bar
GRACE_S = 0.1  # before the first stroke: nobody tells a time more exactly


def check_bar_lines(settings: PartSettings, begins_s: float) -> None:
    """Refuse bar lines that are told before the first stroke, unless they were kept from an earlier reading.

    Raises
    ------
    BadValueError
        Bars are counted from the first stroke on: what lies before it is no bar.
    """
    early = [time_s for time_s in settings.bar_lines_s if time_s < begins_s - GRACE_S]
    if early and not any(one.what == "bar line" for one in settings.kept if isinstance(one, Correction)):
        raise bad_value(
            "bar-line",
            clock_text(early[0], 2),
            allowed=f"a time from the first stroke on, at {clock_text(begins_s, 2)}",
            remedy="Where bar 1 begins before it, tell bar-one.",
        )


def count_told_bars(
    count: Callable[[Steps], list[tuple[Counting, ...]]], settings: PartSettings, pulses: tuple[Pulse, ...]
) -> list[tuple[Counting, ...]]:
    """Count bars that begin where it is told.

    Parameters
    ----------
    count : callable
        Counts all tempos, given the steps of each that are told to begin a bar.
    settings : PartSettings
    pulses : tuple of Pulse

    Returns
    -------
    list of tuple of Counting
        As they are counted. Where bar lines are told besides bar one, the bars of a tempo before the first of them
        stay as they were read without.
    """
    one = _find_steps(() if settings.bar_one_s is None else (settings.bar_one_s,), pulses)
    countings = count(one)
    begins_s = pulses[0].step_times_s[0] - GRACE_S
    lines_s = tuple(time_s for time_s in settings.bar_lines_s if time_s >= begins_s)
    if not countings or not lines_s:
        return countings
    return count([
        (*(begins or _keep_beginning(ranked[0], told)), *told)
        for begins, ranked, told in zip(one, countings, _find_steps(lines_s, pulses), strict=True)
    ])  # fmt: skip


def _find_steps(times_s: tuple[float, ...], pulses: tuple[Pulse, ...]) -> Steps:
    """Find, for each tempo, the steps at which bars are told to begin."""
    told: Steps = [()] * len(pulses)
    for time_s in times_s:
        begins = np.array([pulse.step_times_s[0] for pulse in pulses])
        number = max(0, int(np.searchsorted(begins, time_s + GRACE_S, side="right")) - 1)
        pulse = pulses[number]
        reach = int(abs(time_s - pulse.step_times_s[0]) / pulse.step_s) + len(pulse.step_times_s) + 2
        steps = np.arange(-reach, reach)
        told[number] = (*told[number], int(steps[np.abs(pulse.time_of(steps) - time_s).argmin()]))
    return told


def _keep_beginning(read: Counting, told: tuple[int, ...]) -> tuple[int, ...]:
    """Return the first bar line that was read in a tempo, as a step: it stays where it is before all that are told."""
    first = round(-int(read.steps[0]) % read.bar.n_steps * min(1.0, read.beat_steps))
    return (first,) if told and first < min(told) else ()
