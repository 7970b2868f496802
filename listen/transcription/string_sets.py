"""The sets of strings that a guitar nobody has measured may have, and the fit of a strum on such a guitar."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

from listen.evidence import Measured, StrumEvidence
from listen.instrument import STANDARD, Fretboard
from listen.reading import GuitarProfile, StringProfile
from listen.synthesis import STRING_TABLES
from listen.voicing import Fit, FitSettings, fit_shapes

MOST_KEPT = 64  # of fits: as many as a part has kinds of chords
TABLE_SIGMA = 0.5  # of ln B of a string against its table
STRING_SETS = tuple(
    GuitarProfile(kind, STANDARD, tuple(StringProfile(Measured(math.log(b), TABLE_SIGMA)) for b in table.stiffness))
    for kind, table in STRING_TABLES.items()
)


@lru_cache(maxsize=MOST_KEPT)
def fit_strum(evidence: StrumEvidence, fretboard: Fretboard, *, settings: FitSettings) -> Fit:
    """Weigh every playable shape against the evidence, on whatever strings it was where the guitar is not known.

    The last fits are kept: whoever corrects one chord of a part waits for that one only.

    Parameters
    ----------
    evidence : StrumEvidence
    fretboard : Fretboard
    settings : FitSettings
        The usual sets of strings are added where it names neither a guitar nor sets.

    Returns
    -------
    Fit
    """
    return fit_shapes(evidence, fretboard, settings=replace(settings, string_sets=settings.string_sets or STRING_SETS))
