"""How well an instrument explains a strum, whatever the shape: for telling capos and tunings apart.

A capo does not change what sounds; it changes which shapes give it. So the weight of a strum under a setting is the sum
of the weights of all its shapes there: where open strings and common forms fit the sound, the sum is high.
"""

from __future__ import annotations

import numpy as np

from listen.evidence import StrumEvidence
from listen.instrument import Fretboard
from listen.log_odds import log_sum_exp
from listen.voicing.candidates import find_candidates
from listen.voicing.fit_settings import FitSettings
from listen.voicing.hypotheses import weigh_shapes


def weigh_fretboard(evidence: StrumEvidence, fretboard: Fretboard, *, settings: FitSettings | None = None) -> float:
    """Return the log of the summed weight of every playable shape for a strum.

    Parameters
    ----------
    evidence : StrumEvidence
    fretboard : Fretboard
    settings : FitSettings or None

    Returns
    -------
    float
        Comparable between settings for the same evidence; -inf where no shape gives any of it.
    """
    settings = settings or FitSettings()
    candidates = find_candidates(evidence)
    if not candidates.pitches:
        return 0.0
    weighed = weigh_shapes(evidence, candidates, fretboard, settings=settings)
    total = weighed.notes + weighed.string_losses + weighed.hand + weighed.book
    if len(total) == 0:
        return -np.inf
    return float(log_sum_exp(total))
