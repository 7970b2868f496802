"""What a finding of homework measured, and what would make it right: values; documents and reports have the words.

Conventions: whole numbers, as they are said; strings are numbered as players do, 1 is the first.
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.evidence import Direction
from listen.instrument import Finger

MOST_TUNED_DOWN = 2  # semitones that a guitar may be tuned down, and is told to be tuned up: common practice, no source


@dataclass(frozen=True, slots=True)
class PartOfChord:
    """The beats on which another chord sounds, while the rest of the chord's time is as set.

    Parameters
    ----------
    beat : int
        In its bar, from 1.
    goes_on : bool
        Whether these are the beats from this one to the chord's last, or those from the chord's first up to this one.
    """

    beat: int
    goes_on: bool


@dataclass(frozen=True, slots=True)
class OffBeat:
    """By how much a change comes late or early; without a chord that was due, how long a stop is.

    Parameters
    ----------
    ms : int
    is_filled : bool
        Whether it is no stop, since something else is played meanwhile.
    """

    ms: int
    is_filled: bool = False


@dataclass(frozen=True, slots=True)
class OffPitch:
    """How far a string is out of tune against the others.

    Parameters
    ----------
    cents : int
        From 0 up.
    is_sharp : bool
    """

    cents: int
    is_sharp: bool


@dataclass(frozen=True, slots=True)
class UnevenStrokes:
    """How far strokes lie off the student's own pulse, and how far they may.

    Parameters
    ----------
    off_ms, allowed_ms : int
    """

    off_ms: int
    allowed_ms: int


@dataclass(frozen=True, slots=True)
class WayKept:
    """How many strokes go the way that was set.

    Parameters
    ----------
    percent : int
    beat : float or None
        The stroke of the bar that goes the other way most, from 1; None where none stands out.
    only : "down", "up" or None
        The one way that all strokes surely go.
    """

    percent: int
    beat: float | None = None
    only: Direction | None = None


@dataclass(frozen=True, slots=True)
class StrokesLeftOut:
    """Which strokes of the pattern that was set do not sound in most bars.

    Parameters
    ----------
    places : tuple of float
        As they are counted: beats from 1, in a compound metre their thirds (the eighths of 6/8).
    direction : "down", "up" or None
        That of all of them; None where they go both ways.
    n_bars, of_bars : int
        In how many bars each of them is missing at least, of how many that were played through.
    """

    places: tuple[float, ...]
    direction: Direction | None
    n_bars: int
    of_bars: int


@dataclass(frozen=True, slots=True)
class OtherTempo:
    """The tempo that was played and the one that was set.

    Parameters
    ----------
    bpm, set_bpm : int
    """

    bpm: int
    set_bpm: int


@dataclass(frozen=True, slots=True)
class DriftingTempo:
    """The tempo at the beginning and the one at the end; the finding's bar is where the change begins to be heard.

    Parameters
    ----------
    from_bpm, to_bpm : int
    is_at_end : bool
        Whether it is steady up to there and slows down from there to the end.
    """

    from_bpm: int
    to_bpm: int
    is_at_end: bool = False


@dataclass(frozen=True, slots=True)
class TempoFrom:
    """The bar from which a tempo is taken; the finding's is the one for which it was set.

    Parameters
    ----------
    bar : int
    """

    bar: int


@dataclass(frozen=True, slots=True)
class OtherMetre:
    """How many beats the bars had that were played, and how many those that were set.

    Parameters
    ----------
    beats, set_beats : int
    """

    beats: int
    set_beats: int


@dataclass(frozen=True, slots=True)
class OtherSetting:
    """By how much everything sounds higher than set, with the capo that was set.

    Parameters
    ----------
    semitones : int
        Below 0 it is lower; 0 where the guitar lies as it was set, only off A = 440 Hz.
    capo_fret : int
    cents : int
        How much higher still, where a tuning lies between semitones or the guitar off A = 440 Hz; below 0 it is lower.
    """

    semitones: int
    capo_fret: int
    cents: int = 0


@dataclass(frozen=True, slots=True)
class OtherKey:
    """Everything was played in another key, which is none of capo or tuning.

    Parameters
    ----------
    played, wanted : str
        Keys, as the hand plays them: ``C major``.
    semitones : int
        How much higher it sounds than was set; below 0 it is lower.
    is_in_tune : bool
        Whether open strings show that the guitar lies as it was set.
    """

    played: str
    wanted: str
    semitones: int
    is_in_tune: bool = False


@dataclass(frozen=True, slots=True)
class StoppedAt:
    """The last bar that was played is the finding's; so many were set.

    Parameters
    ----------
    last_bar : int
        The number of the last one that was set.
    breaks_off : bool
        Whether the file ends there, since the rest of it is missing: it is not known who stopped.
    """

    last_bar: int
    breaks_off: bool = False


Measure = (
    PartOfChord
    | OffBeat
    | OffPitch
    | UnevenStrokes
    | WayKept
    | StrokesLeftOut
    | OtherTempo
    | DriftingTempo
    | TempoFrom
    | OtherMetre
    | OtherSetting
    | OtherKey
    | StoppedAt
)


@dataclass(frozen=True, slots=True)
class MoveFinger:
    """One finger is off.

    Parameters
    ----------
    string : int
    fret, set_fret : int
        Where the string was stopped, and where it should be; 0 is open.
    finger : Finger
        That of the shape which was set; None or 0 where it cannot be told.
    """

    string: int
    fret: int
    set_fret: int
    finger: Finger


@dataclass(frozen=True, slots=True)
class TurnPeg:
    """A string wants tuning.

    Parameters
    ----------
    string : int
    is_up : bool
    note : str
        What it is tuned to, where it is another string note altogether.
    """

    string: int
    is_up: bool
    note: str = ""


@dataclass(frozen=True, slots=True)
class PressLess:
    """A string is in tune when it is open and sharp where it is stopped: it is pressed too hard or bent.

    Parameters
    ----------
    string : int
    """

    string: int


Hint = MoveFinger | TurnPeg | PressLess
