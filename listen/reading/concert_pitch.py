"""Concert pitch: how far the tuning of a recording lies from A4 = 440 Hz, and where it drifts."""

from __future__ import annotations

from dataclasses import dataclass

from listen.evidence import TuningPoint


@dataclass(frozen=True, slots=True)
class ConcertPitch:
    """The pitch that an instrument was tuned to.

    Parameters
    ----------
    offset_cents : float
        Median over the part, against A4 = 440 Hz.
    drift : tuple of TuningPoint
        The offset over time; empty when it stays put.
    """

    offset_cents: float = 0.0
    drift: tuple[TuningPoint, ...] = ()
