"""A guitar's profile as text: one line a string."""

from __future__ import annotations

import math

from listen.reading import GuitarProfile, StringProfile

_HEAD = ("string", "open", "stiffness B", "tuned", "loudness", "rings")
_UNKNOWN = "–"


def render_guitar_text(profile: GuitarProfile) -> list[str]:
    """Render what was learnt of a guitar.

    Parameters
    ----------
    profile : GuitarProfile

    Returns
    -------
    list of str
        Lines without ends.

    Examples
    --------
    >>> from listen.evidence import Measured
    >>> from listen.instrument import Tuning
    >>> from listen.theory import Pitch
    >>> one = StringProfile(Measured(-9.0, 0.1), decay_s=Measured(4.0, 1.0), level_db=0.0, tuning_cents=-2.0)
    >>> for line in render_guitar_text(GuitarProfile("monochord", Tuning("one E", (Pitch.parse("E2"),)), (one,))):
    ...     print(line)
    monochord  one E tuning, +0 cents from A4 = 440 Hz
    string  open  stiffness B      tuned     loudness  rings
    1       E2    1.23e-4 ± 10 %   -2 cents  0 dB      4.0 s
    """
    offset = f"{round(profile.tuning_offset_cents):+d} cents from A4 = 440 Hz"
    rows = [_HEAD]
    n_strings = profile.tuning.n_strings
    for place, (pitch, one) in enumerate(zip(profile.tuning.open_strings, profile.strings, strict=True)):
        rows.append((str(n_strings - place), pitch.name, *_describe(one)))
    widths = [max(len(row[column]) for row in rows) for column in range(len(_HEAD))]
    widths[2] = max(widths[2], len("1.00e-4 ± 100 %"))
    lines = ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]
    made_from = [f"learnt from {profile.made_from}"] if profile.made_from else []
    return [f"{profile.name}  {profile.tuning.name} tuning, {offset}", *made_from, *lines]


def _describe(one: StringProfile) -> tuple[str, str, str, str]:
    stiffness = _UNKNOWN
    if one.stiffness is not None:
        mantissa, exponent = f"{math.exp(one.stiffness.value):.2e}".split("e")
        stiffness = f"{mantissa}e{int(exponent)} ± {100 * one.stiffness.sigma:.0f} %"
    return (
        stiffness,
        _UNKNOWN if one.tuning_cents is None else f"{round(one.tuning_cents):+d} cents",
        _UNKNOWN if one.level_db is None else f"{round(one.level_db)} dB",
        _UNKNOWN if one.decay_s is None else f"{one.decay_s.value:.1f} s",
    )
