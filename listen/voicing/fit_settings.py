"""How much each side counts when shapes are weighed."""

from __future__ import annotations

from dataclasses import dataclass, field

from listen.instrument import Hand
from listen.reading import GuitarProfile
from listen.voicing.strokes import StrokePrices


@dataclass(frozen=True, slots=True)
class FitSettings:
    """How much each side counts.

    Parameters
    ----------
    hand : Hand
        Whose hand it is.
    book_weight : float
        1 takes the book's grades as they stand, 0 leaves the book closed.
    string_weight : float
        Nats for each nat by which the ear prefers another kind of string for the pitch. The notes share one spectrum,
        so their strings are not independent and count less than their face value.
    hand_weight : float
        Nats for each point of effort.
    bass_weight : float
        Nats for each nat that the ear gives a pitch as the lowest.
    margin_nats : float
        How far under the best a shape may lie and still be weighed.
    n_shapes : int
        How many shapes are returned.
    guitar : GuitarProfile or None
        The guitar that was played, where it is known.
    guitar_weight : float
        Nats for each nat by which the stiffness of a note speaks for another string of that guitar. Of 0.7, 1.2 and
        1.5 the middle one placed most notes of drawn guitars and of a recorded nylon one together.
    string_sets : tuple of GuitarProfile
        The sets of strings that a guitar which is not known may have; none of them is weighed where this is empty.
    sets_weight : float
        Nats for each nat by which the stiffness of all notes together speaks for another way of holding them.
    strokes : StrokePrices or None
        What it costs that a held shape sounds only in part; None where every shape sounds as it is held.
    """

    hand: Hand = field(default_factory=Hand)
    book_weight: float = 0.75
    string_weight: float = 0.35
    hand_weight: float = 0.35
    bass_weight: float = 0.3
    margin_nats: float = 9.0
    n_shapes: int = 8
    guitar: GuitarProfile | None = None
    guitar_weight: float = 1.2
    string_sets: tuple[GuitarProfile, ...] = ()
    sets_weight: float = 1.5
    strokes: StrokePrices | None = None
