"""Where a strum was held, by the stiffness of its notes together, on a guitar that nobody has measured.

How stiff a guitar's strings are is not known beforehand, but they come as a set: whatever the set, the sixth string is
stiffer than the fifth, and one that is stiffer than usual is so throughout. So the notes of one strum bear witness
together. A way of holding them is weighed by how well some set explains all of their stiffnesses at once; which set it
is, and by how much it is stiffer as a whole, is summed over.

Conventions: stiffness is ln B; weights are natural logarithms against measurements that say nothing.

References
----------
J. Hjerrild, M. Christensen, "Estimation of guitar string, fret and plucking position using parametric pitch
estimation", ICASSP 2019 (the same with strings that are known).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np
import numpy.typing as npt

from listen.evidence import Measured, StrumEvidence
from listen.instrument import (
    OUTLIER_WIDTH,
    RETUNING_LIMIT_SEMITONES,
    SET_SIGMA,
    STRING_SIGMA,
    Fretboard,
    outlier_share,
)
from listen.log_odds import log_sum_exp
from listen.reading import GuitarProfile

Floats = npt.NDArray[np.float64]

OFFSETS = np.linspace(-1.0, 1.0, 9)  # of a whole set, in nepers: steps narrower than a string's own spread


def weigh_together(
    frets: npt.NDArray[np.int8], evidence: StrumEvidence, fretboard: Fretboard, string_sets: Sequence[GuitarProfile]
) -> Floats:
    """Weigh shapes by the stiffness of all of their notes together.

    Parameters
    ----------
    frets : ndarray of int, shape (n, n strings)
        From the capo; below 0 where the string is not played.
    evidence : StrumEvidence
    fretboard : Fretboard
    string_sets : sequence of GuitarProfile
        The sets of strings that the guitar may have.

    Returns
    -------
    ndarray, shape (n,)
        All 0 on an instrument with other strings, or with courses of two, which blur each other's partials.
    """
    string_sets = [one for one in string_sets if len(one.strings) == fretboard.n_strings]
    if not string_sets or fretboard.tuning.companions:
        return np.zeros(len(frets))
    measured = {one.pitch.midi: one.stiffness for one in evidence.pitches if one.stiffness is not None}
    midis = np.array(sorted(measured), np.int64)
    opens = np.array([pitch.midi for pitch in fretboard.open_pitches])
    sounding = np.where(frets >= 0, frets + opens, 0)
    places = np.searchsorted(midis, sounding)
    places[~np.isin(sounding, midis)] = len(midis)
    for one, other in combinations(range(frets.shape[1]), 2):  # two strings on one pitch blur each other's partials
        doubled = places[:, one] == places[:, other]
        places[doubled, one] = places[doubled, other] = len(midis)
    table = _tabulate([measured[midi] for midi in midis.tolist()], midis, fretboard, string_sets)
    said = np.zeros((len(table), len(frets)))
    for string in range(frets.shape[1]):
        said += table[:, places[:, string], string]
    offset_odds = -0.5 * (OFFSETS / SET_SIGMA) ** 2
    said += np.tile(offset_odds, len(string_sets))[:, None]
    return np.asarray(log_sum_exp(said, axis=0))


def _tabulate(
    measured: Sequence[Measured],
    midis: npt.NDArray[np.int64],
    fretboard: Fretboard,
    string_sets: Sequence[GuitarProfile],
) -> Floats:
    """Weigh each pitch on each string of each set, shape (sets × offsets, pitches + 1, strings).

    0 where nothing is known of the string, and in the last row, which stands for a string that is not heard.
    """
    opens = fretboard.tuning.open_strings
    table = np.zeros((len(string_sets), len(OFFSETS), len(measured) + 1, len(opens)))
    value = np.array([one.value for one in measured])
    sigma = np.hypot([one.sigma for one in measured], STRING_SIGMA)
    outliers = np.array([outlier_share(one.sigma) for one in measured])
    for index, guitar in enumerate(string_sets):
        for string, (now, then) in enumerate(zip(opens, guitar.tuning.open_strings, strict=True)):
            retuned_by = now.midi - then.midi
            predicted = guitar.predict_stiffness(string, 0, retuned_by=retuned_by)
            if predicted is None or abs(retuned_by) > RETUNING_LIMIT_SEMITONES:
                continue
            stopped = predicted.value + guitar.growth.value * (midis - now.midi) / 12.0
            off = (value - stopped - OFFSETS[:, None]) / sigma
            density = np.exp(-0.5 * off**2) / (sigma * np.sqrt(2.0 * np.pi))
            table[index, :, :-1, string] = np.log((1.0 - outliers) * density * OUTLIER_WIDTH + outliers)
    return table.reshape(-1, *table.shape[2:])
