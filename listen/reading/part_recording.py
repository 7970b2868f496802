"""The recording that a part was heard from, and how much of it was read."""

from __future__ import annotations

from dataclasses import dataclass

from listen.evidence import TimeSpan

NEAR_END_S = 0.5  # hearing ends with the last sample, which a container may say differently


@dataclass(frozen=True, slots=True)
class PartRecording:
    """What a part was heard from.

    Parameters
    ----------
    span : TimeSpan
        The stretch that was read; shorter than asked when ``complete`` is false.
    duration_s : float
        Of the whole recording.
    file : str
        Its name.
    channel : str
        ``"mix"``, ``"left"``, ``"right"`` or ``"side"``.
    complete : bool
        False when reading was stopped before the end.
    """

    span: TimeSpan
    duration_s: float
    file: str = ""
    channel: str = "mix"
    complete: bool = True

    @property
    def reaches_end(self) -> bool:
        """Whether the stretch that was read goes on to the end of the recording."""
        return self.span.end_s >= self.duration_s - NEAR_END_S
