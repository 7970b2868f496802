"""What is known, or wished, before a part is read."""

from __future__ import annotations

from dataclasses import dataclass, field

from listen.instrument import Tuning
from listen.reading import Correction, Pin
from listen.theory import Key
from listen.voicing import FitSettings


@dataclass(frozen=True, slots=True)
class PartSettings:
    """What is known before listening to a part; what is None is inferred.

    Parameters
    ----------
    tuning : Tuning or None
    capo_fret : int or None
    n_frets : int
    fit : FitSettings
        How ear, hand and book are weighed.
    key : Key or None
    metre : (int, int) or None
        The signature: ``(3, 4)``.
    tempo_bpm : float or None
        Beats a minute.
    bar_one_s : float or None
        Where bar 1 begins, in seconds from the start of the recording.
    bar_lines_s : tuple of float
        Where other bars begin.
    pins : tuple of Pin
    corrections : tuple of Correction
        Kept in the part as they are.
    kept : tuple of (Pin or Correction)
        Those among them that were settled in an earlier reading: where one points to no chord now, a warning says so,
        and the part can be read all the same.
    """

    tuning: Tuning | None = None
    capo_fret: int | None = None
    n_frets: int = 22
    fit: FitSettings = field(default_factory=FitSettings)
    key: Key | None = None
    metre: tuple[int, int] | None = None
    tempo_bpm: float | None = None
    bar_one_s: float | None = None
    bar_lines_s: tuple[float, ...] = ()
    pins: tuple[Pin, ...] = ()
    corrections: tuple[Correction, ...] = ()
    kept: tuple[Pin | Correction, ...] = ()
