"""The stiffness of a string from the notes that were heard on it, some of them surely, some perhaps.

Conventions: stiffness is ln B; frets count from the nut. A note is taken down to the open string by the guitar's growth
(ln B grows by about ln 4 over twelve frets, Fletcher 1964).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from listen.evidence import Measured
from listen.instrument import OUTLIER_WIDTH
from listen.reading import GROWTH

LEAST_SIGMA = 0.1  # of one note: how hard a string is pressed, which way it swings
LEAST_STRING_SIGMA = 0.05  # of a string, however many notes: they are errors of one kind
OUTLIER_SHARE = 0.1  # of single notes: a measurement may have followed another note's partials
N_ROUNDS = 8  # of reweighting; judged
MOST_GROWTH_OFF = 0.5  # nepers: a pair further off the usual growth holds a measurement that is an outlier
SURE_SIGMA = 0.3  # of ln B: what is less sure tells no strings apart; judged


@dataclass(frozen=True, slots=True)
class StringNote:
    """One note that was, or may have been, on a string.

    Parameters
    ----------
    fret : int
        From the nut.
    stiffness : Measured
        ln B of the note.
    weight : float
        Probability that it was on this string, 0..1.
    """

    fret: int
    stiffness: Measured
    weight: float = 1.0


def estimate_open_stiffness(notes: Sequence[StringNote], *, prior: Measured, growth: Measured = GROWTH) -> Measured:
    """Estimate ln B of the open string: a mean that leaves out what is an outlier.

    Parameters
    ----------
    notes : sequence of StringNote
    prior : Measured
        What is known without them.
    growth : Measured
        Of ln B over twelve frets.

    Returns
    -------
    Measured

    Examples
    --------
    >>> heard = ((0, -9.0), (6, -8.3), (0, -6.0))
    >>> notes = [StringNote(fret, Measured(ln_b, 0.02)) for fret, ln_b in heard]
    >>> round(estimate_open_stiffness(notes, prior=Measured(-9.5, 1.0)).value, 1)
    -9.0
    """
    if not notes:
        return prior
    values = [note.stiffness.value - growth.value * note.fret / 12.0 for note in notes]
    sigmas = [math.hypot(note.stiffness.sigma, LEAST_SIGMA, growth.sigma * note.fret / 12.0) for note in notes]
    place = _find_mode(values, sigmas, [note.weight for note in notes], prior)
    total = precision = 0.0
    for _ in range(N_ROUNDS):
        precision = prior.sigma**-2
        total = prior.value * precision
        for note, value, sigma in zip(notes, values, sigmas, strict=True):
            weight = note.weight * _is_sound(value - place, sigma) / sigma**2
            total += weight * value
            precision += weight
        place = total / precision
    return Measured(place, max(LEAST_STRING_SIGMA, precision**-0.5))


def estimate_growth(pairs: Sequence[tuple[Measured, Measured]], *, n_frets: int = 12) -> Measured:
    """Estimate by how much ln B grows over twelve frets, from open strings and the same strings stopped.

    Parameters
    ----------
    pairs : sequence of (open, stopped)
        ln B of one string, open and at the fret.
    n_frets : int
        Where the strings were stopped.

    Examples
    --------
    >>> growth = estimate_growth([(Measured(-9.0, 0.01), Measured(-7.7, 0.01))] * 6)
    >>> 1.3 < growth.value < 1.35
    True
    """
    precision = GROWTH.sigma**-2
    total = GROWTH.value * precision
    for low, high in pairs:
        grown = (high.value - low.value) * 12.0 / n_frets
        if max(low.sigma, high.sigma) > SURE_SIGMA or abs(grown - GROWTH.value) > MOST_GROWTH_OFF:
            continue
        weight = (math.hypot(low.sigma, high.sigma, LEAST_SIGMA) * 12.0 / n_frets) ** -2
        total += weight * grown
        precision += weight
    return Measured(total / precision, precision**-0.5)


def _is_sound(distance: float, sigma: float) -> float:
    """Return the probability that a measurement at this distance is of the string and is no outlier."""
    density = (1.0 - OUTLIER_SHARE) * math.exp(-0.5 * (distance / sigma) ** 2) / (sigma * math.sqrt(2.0 * math.pi))
    return density / (density + OUTLIER_SHARE / OUTLIER_WIDTH)


def _find_mode(values: list[float], sigmas: list[float], weights: list[float], prior: Measured) -> float:
    """Return the place, of those of the notes and the prior, that the most notes and the prior agree on."""

    def agree(place: float) -> float:
        said = -0.5 * ((place - prior.value) / prior.sigma) ** 2
        for value, sigma, weight in zip(values, sigmas, weights, strict=True):
            said -= weight * math.log1p(-min(_is_sound(value - place, sigma), 1.0 - 1e-12))
        return said

    return max([prior.value, *values], key=agree)
