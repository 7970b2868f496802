"""The sets of strings that a guitar nobody has measured may have, and the fit of a strum on such a guitar."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

from listen.evidence import Measured, StrumEvidence
from listen.instrument import STANDARD, STRING_TABLES, TABLE_SIGMA, Fretboard
from listen.reading import GuitarProfile, StringProfile
from listen.voicing import Fit, FitSettings, StrokePrices, fit_shapes

MOST_KEPT = 64  # of fits: as many as a part has kinds of chords
PICKED_PRICES = StrokePrices(further=0.9, high=0.9, inner=0.9, open_inner=0.0, usual=0.0)
"""Of strings that a picked pattern leaves out: two of five (judged); the chord is known, so it may be a rare one."""
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


def fit_held(evidence: StrumEvidence, fretboard: Fretboard, *, settings: FitSettings, is_picked: bool = False) -> Fit:
    """Weigh the shapes that the hand may have held, of which the stroke may have sounded some strings only.

    Parameters
    ----------
    evidence : StrumEvidence
        Of one stroke, or of a chord.
    fretboard : Fretboard
    settings : FitSettings
        The usual prices of strokes are added where it names none.
    is_picked : bool
        Whether strings were picked one after another: a pattern leaves out what it likes.

    Returns
    -------
    Fit
        Its shapes are held ones, with the strings that did not sound.
    """
    usual = PICKED_PRICES if is_picked else StrokePrices()
    return fit_strum(evidence, fretboard, settings=replace(settings, strokes=settings.strokes or usual))
