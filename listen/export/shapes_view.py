"""The places of a chord, arranged to be looked at: as boxes in groups, or as one map of the neck.

One value serves the terminal, the page and the drawing, so that they cannot tell different things.
"""

from __future__ import annotations

from dataclasses import dataclass

from listen.document import reason_text
from listen.export.diagram import Diagram, Labels, shape_to_diagram
from listen.export.words import caution_for, effort_text, fingers_text
from listen.instrument import Fingering, Fretboard, Hand, Shape, find_other_fingering
from listen.theory import Chord


@dataclass(frozen=True, slots=True)
class ShapeCard:
    """One shape as it is shown.

    Parameters
    ----------
    diagram : Diagram
    frets : str
        As players write them.
    effort : str
        In words.
    reasons : tuple of str
    remark : str
        What is special about it in this place; may be empty.
    caution : str or None
        Where the stretch is near the hand's limit.
    other : str
        Another good fingering, as a player writes it; may be empty.
    """

    diagram: Diagram
    frets: str
    effort: str
    reasons: tuple[str, ...]
    remark: str = ""
    caution: str | None = None
    other: str = ""


@dataclass(frozen=True, slots=True)
class ShapeSection:
    """Shapes that belong together.

    Parameters
    ----------
    title : str
        Empty where there is one group only.
    cards : tuple of ShapeCard
    n_more : int
        How many further shapes there are.
    map : Diagram or None
        The shapes laid over the neck, where that is asked in place of a box for each.
    """

    title: str
    cards: tuple[ShapeCard, ...]
    n_more: int = 0
    map: Diagram | None = None


@dataclass(frozen=True, slots=True)
class ShapesView:
    """Everything that ``listen shapes`` shows.

    Parameters
    ----------
    title : str
        The chord, or the notes that were asked for.
    words : str
        Its tones in a sentence.
    fretboard : Fretboard
    groups : tuple of ShapeSection
    map : Diagram or None
        The whole neck.
    remarks : tuple of str
        Sentences above the pictures, e.g. how chords differ.
    is_comparison : bool
        Whether marks say what changed from one chord to the next.
    """

    title: str
    words: str
    fretboard: Fretboard
    groups: tuple[ShapeSection, ...] = ()
    map: Diagram | None = None
    remarks: tuple[str, ...] = ()
    is_comparison: bool = False


def shape_to_card(
    shape: Shape,
    fretboard: Fretboard,
    *,
    fingering: Fingering,
    chord: Chord | None,
    labels: Labels = "finger",
    left_handed: bool = False,
    hand: Hand | None = None,
) -> ShapeCard:
    """Arrange one shape; for a hand, with another good fingering where there is one."""
    other = None if hand is None else find_other_fingering(shape, fretboard, hand=hand)
    title = f"{chord.printed} {shape.text}" if chord is not None else shape.text
    diagram = shape_to_diagram(
        shape, fretboard, fingering=fingering, chord=chord, labels=labels, title=title, left_handed=left_handed
    )
    return ShapeCard(
        diagram,
        shape.text,
        effort_text(fingering.effort),
        tuple(map(reason_text, fingering.reasons)),
        caution=caution_for(fingering),
        other="" if other is None else fingers_text(other),
    )
