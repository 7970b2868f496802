"""What was heard of a student's playing, stroke by stroke: what a judgement is made from.

Conventions: seconds from the start of the recording; log-odds are natural; cents against the tempered pitch, the
recording's own offset taken out.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class HeardPitch:
    """How strongly a pitch was heard in a stroke.

    Parameters
    ----------
    midi : int
    log_odds : float
        That it sounds.
    bass_log_odds : float
        That it is the lowest that sounds.
    """

    midi: int
    log_odds: float
    bass_log_odds: float


@dataclass(frozen=True, slots=True)
class HeardCents:
    """How far a note was out of tune, once.

    Parameters
    ----------
    midi : int
    cents : float
    weight : float
        How many partials of its own say so.
    """

    midi: int
    cents: float
    weight: float


@dataclass(frozen=True, slots=True)
class PerformedStroke:
    """One stroke.

    Parameters
    ----------
    time_s : float
    level_db : float
        Against full scale.
    lean : float
        Log-odds that it went down.
    is_hit : bool
        Without pitch: a damped stroke or a knock.
    sound : int
        Index into :attr:`Performance.sounds`; -1 for a hit.
    rises : tuple of (int, float)
        By how many dB each pitch rises at it, by MIDI number, where that could be told.
    """

    time_s: float
    level_db: float = -20.0
    lean: float = 0.0
    is_hit: bool = False
    sound: int = -1
    rises: tuple[tuple[int, float], ...] = ()


@dataclass(frozen=True, slots=True)
class HeardSound:
    """What sounds from one stroke, or from a few alike, to the next.

    Parameters
    ----------
    start_s, end_s : float
    pitches : tuple of HeardPitch
        Those that may sound, low to high.
    cents : tuple of HeardCents
        Where it was measured.
    """

    start_s: float
    end_s: float
    pitches: tuple[HeardPitch, ...]
    cents: tuple[HeardCents, ...] = ()


@dataclass(frozen=True, slots=True)
class Performance:
    """A recording of a student's playing.

    Parameters
    ----------
    duration_s : float
    strokes : tuple of PerformedStroke
    sounds : tuple of HeardSound
    tuning_offset_cents : float
        Against A = 440 Hz.
    warnings : tuple of str
        What may have hurt the hearing, as sentences.
    complete : bool
        False where listening was stopped before the end.
    breaks_off : bool
        Whether it ends because the rest of the file is missing.
    """

    duration_s: float
    strokes: tuple[PerformedStroke, ...] = ()
    sounds: tuple[HeardSound, ...] = ()
    tuning_offset_cents: float = 0.0
    warnings: tuple[str, ...] = ()
    complete: bool = True
    breaks_off: bool = False
