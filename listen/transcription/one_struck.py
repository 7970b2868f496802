"""One string that was struck, told from a chord: what else sounds lies far under it.

Strings that nobody struck ring along, shaken by the bridge, and a few weak partials beside a loud note may look like a
second string. A hand that strikes two strings does not strike one of them a tenth as hard as the other, let alone all
but one. What is compared is each tone with its octaves, by the level of its partials.
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
have 21 and more."""
OWN_UNDER_DB, LEAST_OWN = 25.0, 3
"""The same by partials that no other note shares, at least so many of each tone: of those strums one has more (31),
beside most lone notes of real and drawn guitars that were taken for chords (27 to 37)."""


@dataclass(frozen=True, slots=True)
class _Tone:
    """A pitch class that sounds.

    Parameters
    ----------
    names : tuple of str
        Its notes, low to high.
    level_db, own_db : float
        Of all partials of its loudest note, and of those that are its own.
    n_own : int
    rings_on : bool
        Whether the fall of some note of it was measured.
    """

    names: tuple[str, ...]
    level_db: float
    own_db: float
    n_own: int
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
    loudest, others = tones[0], tones[1:]
    under_db = loudest.level_db - others[0].level_db
    by_own = sorted(tones, key=lambda tone: -tone.own_db)
    own_under_db = by_own[0].own_db - by_own[1].own_db
    measured = [tone.rings_on for tone in others if tone.n_own]
    if under_db >= RINGS_ALONG_DB and measured and all(measured):
        return _say(loudest, under_db)
    if own_under_db >= OWN_UNDER_DB and all(tone.n_own >= LEAST_OWN for tone in tones):
        return _say(by_own[0], own_under_db)
    return None


def _measure(notes: list[PitchEvidence]) -> _Tone:
    own = [tuple(partial for partial in one.partials if not partial.shared) for one in notes]
    return _Tone(
        tuple(one.pitch.name for one in notes),
        max(_sum_db(one.partials) for one in notes),
        max(map(_sum_db, own)),
        max(map(len, own)),
        any(one.decay_s is not None for one in notes),
    )


def _sum_db(partials: Iterable[Partial]) -> float:
    power = sum(10.0 ** (partial.level_db / 10.0) for partial in partials)
    return 10.0 * math.log10(power) if power > 0.0 else -math.inf


def _say(struck: _Tone, under_db: float) -> str:
    names, verb = " and ".join(struck.names), "was" if len(struck.names) == 1 else "were"
    return f"Only {names} {verb} struck: what else sounds lies {under_db:.0f} dB under it and rings along."
