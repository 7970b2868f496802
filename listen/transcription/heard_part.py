"""What was heard of a part before anything is concluded: its strokes, and stretches of strokes that sound alike.

Conventions: seconds from the start of the recording; arrays over pitches have one place for each MIDI number, 0..127.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from listen.audio import StrokeOnset
from listen.evidence import StrumEvidence, TimeSpan
from listen.reading import TuningPoint

Floats = NDArray[np.float64]
N_PITCHES = 128
NOT_HEARD = -9.0  # log-odds of a pitch that the ear does not know


@dataclass(frozen=True, slots=True)
class HeardStroke:
    """One stroke.

    Parameters
    ----------
    onset : StrokeOnset
        Its time counts from the start of the recording.
    profile : ndarray, shape (len(PROFILE_MIDI),)
        Amplitude by semitone.
    lean : float
        Log-odds that it went down, from the order of its strings.
    rises : dict of int to float
        By how many dB each pitch that sounds rises at the stroke; without those that could not be told.
    """

    onset: StrokeOnset
    profile: Floats
    lean: float = 0.0
    rises: dict[int, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Stretch:
    """Strokes one after another that sound alike, heard as one strum.

    Parameters
    ----------
    first, last : int
        Indices of its strokes, both included.
    span : TimeSpan
        From its first stroke to the next stretch, or the end of its sound.
    evidence : StrumEvidence
        Of its clearest stroke.
    log_odds, bass_log_odds : ndarray, shape (128,)
        Of the evidence; a pitch that only rings over counts against.
    ringing : frozenset of int
        MIDI numbers that ring over from the stretch before; in a picked one, of its last note only.
    is_picked : bool
        Whether each stroke raises one or two pitches only: strings picked one after another.
    """

    first: int
    last: int
    span: TimeSpan
    evidence: StrumEvidence
    log_odds: Floats
    bass_log_odds: Floats
    ringing: frozenset[int] = frozenset()
    is_picked: bool = False

    @property
    def sounding(self) -> frozenset[int]:
        """MIDI numbers that were struck."""
        return frozenset(np.flatnonzero(self.log_odds > 0).tolist())


@dataclass(slots=True)
class HeardPart:
    """Everything that was heard, grown block by block.

    Parameters
    ----------
    strokes, stretches : list
    drift : list of TuningPoint
        The tuning offset of each block.
    quiet : list of TimeSpan
        Where nothing sounds.
    begin_s, read_until_s : float
    loudest_db : float
        Of any tenth of a second so far, against full scale.
    n_clipped : int
        Samples that lie in cut-off crests.
    warnings : list of str
    """

    strokes: list[HeardStroke] = field(default_factory=list)
    stretches: list[Stretch] = field(default_factory=list)
    drift: list[TuningPoint] = field(default_factory=list)
    quiet: list[TimeSpan] = field(default_factory=list)
    begin_s: float = 0.0
    read_until_s: float = 0.0
    loudest_db: float = -120.0
    n_clipped: int = 0
    warnings: list[str] = field(default_factory=list)


def spread_over_pitches(evidence: StrumEvidence) -> tuple[Floats, Floats]:
    """Lay log-odds of sounding, and of being the bass, on one place for each MIDI number."""
    log_odds, bass = np.full(N_PITCHES, NOT_HEARD), np.full(N_PITCHES, NOT_HEARD)
    for heard in evidence.pitches:
        log_odds[heard.pitch.midi] = heard.log_odds
        bass[heard.pitch.midi] = heard.bass_log_odds
    return log_odds, bass
