"""What stretches of strokes say of each pitch, in nats: that it sounds, that it does not, that nobody meant it.

While the hand changes, open strings may be brushed: what passes so says little of the chord that is left.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.evidence import N_PITCHES, Stretch, StrokeEvidence
from listen.log_odds import logistic
from listen.transcription.note_lines import find_runs

Floats = NDArray[np.float64]

RULED_OUT, RULED_IN, RULED_NATS = -11.0, 11.0, 100.0
"""Log-odds that only a person's word has (the ear's end before), and what it costs to hold a chord against it."""
MOST_ABSENT, MOST_PRESENT = 5.0, 8.0  # nats: no pitch of one stroke says more
STRAY, STRAY_PICKED = 0.003, 0.0007  # chance that a pitch outside the chord sounds; that one is picked alone
IN_RUN_NATS = 1.6  # of a pitch outside the chord in a short run: a tune goes where it likes; judged
PASSING_COST, PASSING_OTHER = 3.0, 4.0
"""Nats for a stroke over open strings while the hand changes, and for each pitch that is no open string in it."""
SHORT_S, LEAST_TRUST = 0.4, 0.4  # a stretch that sounds for less is trusted less; judged


@dataclass(frozen=True, slots=True, eq=False)
class StrokeOdds:
    """What stretches of strokes say of each pitch.

    Parameters
    ----------
    present, absent : ndarray, shape (n_stretches, 128)
        What it costs that a pitch sounds, and that it does not.
    down, trust : ndarray, shape (n_stretches,)
        Chance that the hand went down; how much a stretch has to say.
    picked, in_run, stressed : ndarray of bool, shape (n_stretches,)
        Whether strings are picked one after another; whether it is a single note between strums and no bass
        (:mod:`.note_lines`); whether a bar begins with it.
    in_bar : ndarray, shape (n_stretches, 128)
        Chance that each pitch sounds anywhere in the bar.
    n_in_bar : ndarray, shape (n_stretches,)
        How many stretches the bar has.
    ruled_out, ruled_in : ndarray of bool, shape (n_stretches, 128)
        Pitches that a person said do not sound, and those that do.
    stray : ndarray, shape (n_stretches, 128)
        What each pitch costs where it is not held.
    """

    present: Floats
    absent: Floats
    down: Floats
    trust: Floats
    picked: NDArray[np.bool_]
    in_run: NDArray[np.bool_]
    stressed: NDArray[np.bool_]
    in_bar: Floats
    n_in_bar: Floats
    ruled_out: NDArray[np.bool_]
    ruled_in: NDArray[np.bool_]
    stray: Floats

    @property
    def chances(self) -> Floats:
        """Chance of each pitch to sound, shape (n_stretches, 128)."""
        return logistic(self.absent - self.present)

    @property
    def is_picked(self) -> bool:
        """Whether most of the part is strings picked one after another."""
        return 2 * int(self.picked.sum()) > len(self.picked)

    @property
    def opening(self) -> NDArray[np.bool_]:
        """Where a string picked alone is most likely the bass: it begins a bar, or a strum follows it."""
        before_strum = self.picked & np.append(~self.picked[1:], False)
        return np.asarray((self.stressed | before_strum) & ~self.in_run, np.bool_)

    @property
    def ruled(self) -> Floats:
        """What each pitch costs that is held, less what it costs that it is not, by a person's word."""
        return np.asarray(RULED_NATS * (self.ruled_out.astype(float) - self.ruled_in))

    @property
    def first_told(self) -> NDArray[np.bool_]:
        """The stretches from which on a pitch sounds by a person's word, shape (n_stretches, 128)."""
        return np.asarray(self.ruled_in & ~np.vstack([np.zeros_like(self.ruled_in[:1]), self.ruled_in[:-1]]), np.bool_)

    def weigh_passing(self, opens: Sequence[int]) -> Floats:
        """Weigh each stretch as open strings brushed while the hand changes, shape (n_stretches,); no bar's first."""
        others = np.minimum(self.absent, PASSING_OTHER)
        others[:, list(opens)] = 0.0
        return np.where(self.stressed | self.picked, np.inf, self.trust * (PASSING_COST + others.sum(axis=1)))


def measure_stroke_odds(
    stretches: Sequence[Stretch],
    strokes: Sequence[StrokeEvidence],
    *,
    stressed: NDArray[np.bool_],
    bars: NDArray[np.int64],
) -> StrokeOdds:
    """Lay out what stretches say of pitches and of the way of the hand."""
    said = np.array([stretch.log_odds for stretch in stretches]).reshape(-1, N_PITCHES)
    odds = np.clip(said, -MOST_ABSENT, MOST_PRESENT)
    lean = np.array([np.mean([strokes[place].lean for place in range(one.first, one.last + 1)]) for one in stretches])
    _, places, counts = np.unique(bars, return_inverse=True, return_counts=True)
    best = np.full((len(counts), N_PITCHES), -MOST_ABSENT)
    np.maximum.at(best, places, odds)
    present, absent = np.maximum(-odds, 0.0), np.maximum(odds, 0.0)
    picked = np.array([stretch.is_picked for stretch in stretches], bool)
    in_run = find_runs(stretches)
    said_against = np.where(in_run[:, None], np.minimum(absent, IN_RUN_NATS), absent)
    strayed, strayed_picked = (mix_chances(share, present, said_against) for share in (STRAY, STRAY_PICKED))
    return StrokeOdds(
        present=present,
        absent=absent,
        down=logistic(lean),
        trust=measure_trust(stretches),
        picked=picked,
        in_run=in_run,
        stressed=stressed,
        in_bar=logistic(best)[places],
        n_in_bar=counts[places].astype(float),
        ruled_out=said <= RULED_OUT,
        ruled_in=said >= RULED_IN,
        stray=np.where(picked[:, None], strayed_picked, strayed),
    )


def measure_trust(stretches: Sequence[Stretch]) -> Floats:
    """Measure how much each stretch has to say, 0..1: less where it is short, shape (n_stretches,)."""
    return LEAST_TRUST + (1.0 - LEAST_TRUST) * np.minimum([one.duration_s / SHORT_S for one in stretches], 1.0)


def fold_octaves(values: Floats) -> Floats:
    """Return the highest value of each pitch class from C up: shape (n, 128) becomes (n, 12), whole octaves only.

    Examples
    --------
    >>> values = np.zeros((1, N_PITCHES))
    >>> values[0, [40, 64, 67]] = 0.2, 0.9, 0.5  # E2, E4, G4
    >>> fold_octaves(values)[0, [4, 7]].tolist()
    [0.9, 0.5]
    """
    return np.asarray(values[:, : N_PITCHES - N_PITCHES % 12].reshape(len(values), -1, 12).max(axis=1))


def mark_members(sets: Collection[Collection[int]]) -> Floats:
    """Mark which pitches each set has, shape (n_sets, 128)."""
    members = np.zeros((len(sets), N_PITCHES))
    for row, midis in enumerate(sets):
        members[row, list(midis)] = 1.0
    return members


def find_lowest(sets: Collection[tuple[int, ...]]) -> NDArray[np.int64]:
    """Return the MIDI number of the lowest pitch of each set, 0 for none, shape (n_sets,)."""
    return np.array([min(midis, default=0) for midis in sets], np.int64)


def mix_chances(share: float | Floats, yes: Floats, no: Floats) -> Floats:
    """Return the cost where something is so with a chance, and otherwise is not."""
    return np.asarray(-np.log(share * np.exp(-yes) + (1.0 - share) * np.exp(-no)))
