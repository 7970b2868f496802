"""Evidence of a whole part: its strokes, stretches of strokes that sound alike, its tuning, and its silences.

Conventions: those of :mod:`listen.evidence.strum`; arrays over pitches have one place for each MIDI number, 0..127.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from listen.evidence.strum import StrumEvidence, TimeSpan
from listen.log_odds import logistic

Floats = NDArray[np.float64]

N_PITCHES = 128
NOT_HEARD = -9.0  # log-odds of a pitch that the ear does not know
LEAST_CHANCE = 1e-6  # keeps log-odds finite


@dataclass(frozen=True, slots=True)
class TuningPoint:
    """The tuning offset at one moment of a recording, against A4 = 440 Hz.

    Parameters
    ----------
    time_s : float
    offset_cents : float
    """

    time_s: float
    offset_cents: float


@dataclass(frozen=True, slots=True)
class StrokeEvidence:
    """One stroke of the picking hand.

    Parameters
    ----------
    onset_s : float
        When it is felt to begin, just after its first string.
    level_db : float
        Of its first 80 ms, against full scale.
    sustain_db : float
        How far its sound has fallen after a tenth of a second, at most 0.
    is_hit : bool
        Whether it has no pitch: a muted stroke or a knock.
    lean : float
        Log-odds that it went down, from the order of its strings.
    low_share : float
        How much of its sound lies low, up to F♯3, 0..1.
    rises : mapping of int to float
        By how many dB each pitch that sounds rises at the stroke, by MIDI number; without those that could not be told.
    late : float
        Chance that it is none: late strings of the stroke before, or another sound, 0..1.
    """

    onset_s: float
    level_db: float
    sustain_db: float = 0.0
    is_hit: bool = False
    lean: float = 0.0
    low_share: float = 0.0
    rises: Mapping[int, float] = field(default_factory=dict)
    late: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
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
    told : frozenset of int
        MIDI numbers that sound by a person's word alone.
    """

    first: int
    last: int
    span: TimeSpan
    evidence: StrumEvidence
    log_odds: Floats
    bass_log_odds: Floats
    ringing: frozenset[int] = frozenset()
    is_picked: bool = False
    told: frozenset[int] = frozenset()

    @classmethod
    def of(cls, evidence: StrumEvidence, strokes: tuple[int, int], span: TimeSpan) -> Stretch:
        """Lay the evidence of a strum on one place for each MIDI number."""
        log_odds, bass = np.full(N_PITCHES, NOT_HEARD), np.full(N_PITCHES, NOT_HEARD)
        for heard in evidence.pitches:
            log_odds[heard.pitch.midi] = heard.log_odds
            bass[heard.pitch.midi] = heard.bass_log_odds
        return cls(*strokes, span, evidence, log_odds, bass)

    @property
    def sounding(self) -> frozenset[int]:
        """MIDI numbers that were struck."""
        return frozenset(np.flatnonzero(self.log_odds > 0).tolist())

    @property
    def duration_s(self) -> float:
        """How long it sounds."""
        return self.span.end_s - self.span.start_s

    def without(self, midis: frozenset[int]) -> Stretch:
        """Turn pitches that ring over into evidence against themselves; share out what they had as the bass."""
        if not midis:
            return self
        places = sorted(midis)
        log_odds = self.log_odds.copy()
        log_odds[places] = -np.abs(log_odds[places])
        chance = logistic(self.bass_log_odds)
        chance[places] = 0.0
        chance = np.clip(chance / max(float(chance.sum()), 1e-9), LEAST_CHANCE, 1.0 - LEAST_CHANCE)
        bass = np.log(chance / (1.0 - chance))
        return replace(self, log_odds=log_odds, bass_log_odds=bass, ringing=self.ringing | midis)


@dataclass(frozen=True, slots=True, eq=False)
class PartEvidence:
    """Everything that was heard of a part.

    Parameters
    ----------
    span : TimeSpan
        The stretch of the recording that was heard.
    strokes : tuple of StrokeEvidence
    stretches : tuple of Stretch
        In time order; every stroke with pitch lies in one.
    tuning : tuple of TuningPoint
        Where the tuning offset could be told.
    quiet : tuple of TimeSpan
        Where nothing sounds.
    n_clipped : int
        Samples that lie in cut-off crests.
    complete : bool
        False where hearing was stopped before the end.
    breaks_off : bool
        Whether the file's decoder gave up where it ends: more was recorded than is there.
    """

    span: TimeSpan
    strokes: tuple[StrokeEvidence, ...] = ()
    stretches: tuple[Stretch, ...] = ()
    tuning: tuple[TuningPoint, ...] = ()
    quiet: tuple[TimeSpan, ...] = ()
    n_clipped: int = 0
    complete: bool = True
    breaks_off: bool = False

    @property
    def onsets_s(self) -> Floats:
        """When each stroke begins."""
        return np.array([stroke.onset_s for stroke in self.strokes])

    def stopped(self) -> PartEvidence:
        """Return the same, as what was heard until hearing was stopped."""
        return replace(self, complete=False)
