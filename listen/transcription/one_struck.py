"""One string that was struck, told from a chord: what else sounds lies far under it and rings on.

Strings that nobody struck ring along, shaken by the bridge. A hand that strikes two strings does not strike one of them
a tenth as hard as the other, let alone all but one. What is compared is each tone with its octaves, by the level of its
partials.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from listen.evidence import Partial, PitchEvidence
from listen.reading import StrumReading

RINGS_ALONG_DB = 20.0
"""How far under the loudest tone the next one lies where the others ring along, and are heard to ring on. Of 1,000
strums (every row of the benchmarks of strums and of what was held) the most uneven that rings on had 18.5; FluidR3's
palm-muted guitar, high on the neck, has up to 23.5 and does not ring on. Open strings beside a slapped note of FluidR3
have 21 and more. Partials that no other note shares do not tell the two apart: recorded open chords have up to 28."""


@dataclass(frozen=True, slots=True)
class _Tone:
    """A pitch class that sounds.

    Parameters
    ----------
    names : tuple of str
        Its notes, low to high.
    level_db : float
        Of all partials of its loudest note.
    has_own : bool
        Whether some partial is no other note's.
    rings_on : bool
        Whether the fall of some note of it was measured.
    """

    names: tuple[str, ...]
    level_db: float
    has_own: bool
    rings_on: bool


def say_one_struck(reading: StrumReading) -> str | None:
    """Say why a strum in which one tone is far louder than all others is no chord; None where it may be one."""
    heard = {one.pitch: one for one in reading.evidence.pitches}
    classes: dict[int, list[PitchEvidence]] = {}
    for note in reading.notes:
        classes.setdefault(note.pitch.pitch_class, []).append(heard[note.pitch])
    tones = sorted((_measure(notes) for notes in classes.values()), key=lambda tone: -tone.level_db)
    if len(tones) < 2 or not math.isfinite(tones[-1].level_db):
        return None
    struck, others = tones[0], tones[1:]
    under_db = struck.level_db - others[0].level_db
    measured = [tone.rings_on for tone in others if tone.has_own]
    if under_db < RINGS_ALONG_DB or not measured or not all(measured):
        return None
    names, verb = " and ".join(struck.names), "was" if len(struck.names) == 1 else "were"
    return f"Only {names} {verb} struck: what else sounds lies {under_db:.0f} dB under it and rings along."


def _measure(notes: list[PitchEvidence]) -> _Tone:
    return _Tone(
        tuple(one.pitch.name for one in notes),
        max(_sum_db(one.partials) for one in notes),
        any(not partial.shared for one in notes for partial in one.partials),
        any(one.decay_s is not None for one in notes),
    )


def _sum_db(partials: Iterable[Partial]) -> float:
    power = sum(10.0 ** (partial.level_db / 10.0) for partial in partials)
    return 10.0 * math.log10(power) if power > 0.0 else -math.inf
