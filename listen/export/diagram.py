"""Diagrams: what a picture of the neck holds, before anyone draws it.

The design, and why it is so:

* One picture, cut to two sizes. A *neck diagram* is the neck lying before the player: strings run left to right as they
  do on the lap, the nut at the left, the first string at the top and the lowest-sounding side nearest to the player,
  which is also how tablature is read. A *chord box* is a window cut out of that very picture. A player who has
  learnt one has learnt the other, and never turns a picture in the head.
* To scale. Along the neck every wire stands where the 12-tone rule puts it, so a stretch that looks wide is wide. Only
  the strings lie further apart than on the instrument, so that a mark can be read.
* Form before colour. A tone is round, the root is square, a tone that differs from a compared chord is a diamond, one
  that was dropped is an empty ring. Everything is told in black and white; colour is an extra.
* The words come along. Every diagram carries a description that says the same without a picture.

Conventions: string indices follow the tuning (highest-numbered string first); frets count from the capo; labels are
plain letters (``b3``, ``F#``), and who draws them chooses the printed signs.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace
from typing import Literal

from listen.export.describe import describe_map, describe_shape
from listen.export.labels import degree_of, note_of
from listen.export.words import string_words
from listen.instrument import Barre, Fingering, Fretboard, Shape
from listen.theory import Chord, Pitch

Labels = Literal["finger", "degree", "note"]
Form = Literal[
    "tone", "root", "bass", "changed", "gone",
    "sounded", "sounded root", "held", "held root", "elsewhere", "elsewhere root",
]  # fmt: skip
"""``sounded`` struck, ``held`` under the hand and not struck, ``elsewhere`` another place of a note that sounds;
``bass`` where a bass may lie that is not the root."""
ELSEWHERE: tuple[Form, ...] = ("elsewhere", "elsewhere root")
MIN_BOX_FRETS = 4  # what four fingers cover when each has its own fret
INLAY_FRETS = (3, 5, 7, 9, 12, 15, 17, 19, 21, 24)  # common practice, no source


@dataclass(frozen=True, slots=True)
class PlaceMark:
    """One place on the neck that is shown.

    Parameters
    ----------
    string_index : int
    fret : int
        0 is the open string.
    label : str
        Finger, degree or note; may be empty.
    form : Form
    """

    string_index: int
    fret: int
    label: str
    form: Form = "tone"


@dataclass(frozen=True, slots=True)
class Diagram:
    """A window of a neck with marks on it.

    Parameters
    ----------
    fretboard : Fretboard
    first_fret, last_fret : int
        The frets shown, both included; the nut (or capo) is drawn when the first is 1.
    marks : tuple of Mark
    barres : tuple of Barre
    unplayed : tuple of int
        String indices that are not played.
    title : str
    description : str
        The same in words.
    left_handed : bool
    places : bool
        Whether a drawing says of each mark which string and fret it is, so that a page can sound it.
    """

    fretboard: Fretboard
    first_fret: int
    last_fret: int
    marks: tuple[PlaceMark, ...]
    barres: tuple[Barre, ...] = ()
    unplayed: tuple[int, ...] = ()
    title: str = ""
    description: str = ""
    left_handed: bool = False
    places: bool = False


def find_window(frets: Iterable[int | None], *, top_fret: int, n_frets: int = MIN_BOX_FRETS) -> tuple[int, int]:
    """Return the first and last fret of the smallest window that shows all fretted notes.

    Examples
    --------
    >>> find_window((None, 3, 2, 0, 1, 0), top_fret=22), find_window((None, 7, 6, 6, None, None), top_fret=22)
    ((1, 4), (6, 9))
    """
    stopped = [fret for fret in frets if fret]
    if not stopped or max(stopped) <= n_frets:
        return 1, min(n_frets, top_fret)
    first, last = min(stopped), max(stopped)
    last = min(max(last, first + n_frets - 1), top_fret)
    return max(1, min(first, last - n_frets + 1)), last


def shape_to_diagram(
    shape: Shape,
    fretboard: Fretboard,
    *,
    fingering: Fingering | None = None,
    chord: Chord | None = None,
    labels: Labels = "finger",
    title: str = "",
    left_handed: bool = False,
) -> Diagram:
    """Cut the chord box of a shape out of its neck.

    Parameters
    ----------
    shape : Shape
    fretboard : Fretboard
    fingering : Fingering or None
        Gives the finger numbers and barres.
    chord : Chord or None
        Decides which mark is the root, and the names of degrees and notes.
    labels : "finger", "degree" or "note"
        What stands in the marks. Degrees need a chord and fingers a fingering; without them notes are shown.
    title : str
    left_handed : bool
    """
    marks = []
    for index, (fret, pitch) in enumerate(zip(shape.frets, shape.pitches(fretboard), strict=True)):
        if fret is None or pitch is None:
            continue
        finger = None if fingering is None else fingering.fingers[index]
        if labels == "finger" and fingering is not None:
            label = "" if finger in (0, None) else str(finger)
        elif labels == "degree" and chord is not None:
            label = degree_of(pitch, chord)
        else:
            label = note_of(pitch, chord)
        marks.append(PlaceMark(index, fret, label, _form(pitch, chord)))
    first, last = find_window(shape.frets, top_fret=fretboard.top_fret)
    return Diagram(
        fretboard=fretboard,
        first_fret=first,
        last_fret=last,
        marks=tuple(marks),
        barres=() if fingering is None else fingering.barres,
        unplayed=tuple(index for index, fret in enumerate(shape.frets) if fret is None),
        title=title,
        description=describe_shape(shape, fretboard, fingering=fingering, chord=chord),
        left_handed=left_handed,
    )


def empty_marks(diagram: Diagram, silent: Collection[int]) -> Diagram:
    """Draw the marks of strings that are held and did not sound as empty rings, and say so.

    Examples
    --------
    >>> held = shape_to_diagram(Shape((None, 3, 2, 0, 1, 0)), Fretboard())
    >>> [mark.form for mark in empty_marks(held, (2,)).marks][:2]
    ['tone', 'gone']
    """
    if not silent:
        return diagram
    marks = tuple(replace(mark, form="gone") if mark.string_index in silent else mark for mark in diagram.marks)
    told = f"{string_words(silent, diagram.fretboard.n_strings)} did not sound."
    return replace(diagram, marks=marks, description=f"{diagram.description} {told[:1].upper()}{told[1:]}".strip())


def chord_to_diagram(
    chord: Chord,
    fretboard: Fretboard,
    *,
    labels: Labels = "degree",
    frets: tuple[int, int] | None = None,
    strings: Collection[int] | None = None,
    title: str = "",
    left_handed: bool = False,
) -> Diagram:
    """Map every tone of a chord on the neck.

    Parameters
    ----------
    chord : Chord
    fretboard : Fretboard
    labels : "degree" or "note"
    frets : (int, int) or None
        The part of the neck to show, counted from the capo; the whole neck when None.
    strings : collection of int or None
        The numbers of the strings that are mapped, 1 the first; all when None.
    title : str
    left_handed : bool
    """
    first, last = frets or (1, fretboard.top_fret)
    first, last = max(1, first), min(max(last, 1), fretboard.top_fret)
    shown = range(0 if first == 1 else first, last + 1)
    marks = []
    n_strings = fretboard.n_strings
    mapped = [index for index in range(n_strings) if strings is None or n_strings - index in strings]
    for index in mapped:
        for fret in shown:
            pitch = fretboard.pitch_at(index, fret)
            if pitch.pitch_class in chord.pitch_classes:
                label = note_of(pitch, chord) if labels == "note" else degree_of(pitch, chord)
                form: Form = "bass" if may_bear_bass(index, pitch, chord, fretboard) else _form(pitch, chord)
                marks.append(PlaceMark(index, fret, label, form))
    return Diagram(
        fretboard=fretboard,
        first_fret=first,
        last_fret=last,
        marks=tuple(marks),
        unplayed=tuple(index for index in range(n_strings) if index not in mapped),
        title=title,
        description=describe_map(chord, fretboard, frets=(shown.start, last), strings=mapped),
        left_handed=left_handed,
    )


def overlay_shapes(diagram: Diagram, shapes: Collection[Shape]) -> Diagram:
    """Draw the tones that some shapes hold as they are, and the others dotted: the shapes laid over their neck.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> neck = chord_to_diagram(parse_chord("C"), Fretboard())
    >>> laid = overlay_shapes(neck, [Shape((None, 3, 2, 0, 1, 0))])
    >>> sum(mark.form not in ELSEWHERE for mark in laid.marks), len(laid.marks) == len(neck.marks)
    (5, True)
    """
    held = {(index, fret) for shape in shapes for index, fret in enumerate(shape.frets) if fret is not None}
    marks = tuple(mark if (mark.string_index, mark.fret) in held else put_elsewhere(mark) for mark in diagram.marks)
    told = f"Laid over it: {', '.join(shape.text for shape in shapes)}." if shapes else ""
    return replace(diagram, marks=marks, description=f"{diagram.description} {told}".strip())


def put_elsewhere(mark: PlaceMark) -> PlaceMark:
    """Return a mark as that of another place of a note that sounds."""
    return replace(mark, form="elsewhere root" if mark.form == "root" else "elsewhere")


def may_bear_bass(string_index: int, pitch: Pitch, chord: Chord, fretboard: Fretboard) -> bool:
    """Tell whether a bass that is not the root may lie there: the other tones have a string each above it."""
    is_bass = chord.bass is not None and pitch.pitch_class == chord.sounding_bass.pitch_class != chord.root.pitch_class
    n_others = len(chord.pitch_classes) - 1
    return is_bass and fretboard.tuning.bears_bass and string_index + n_others < fretboard.n_strings


def relabel_marks(diagram: Diagram, chord: Chord, *, labels: Labels) -> Diagram:
    """Write degrees or notes into the marks that say something."""
    name = note_of if labels == "note" else degree_of
    pitches = [diagram.fretboard.pitch_at(mark.string_index, mark.fret) for mark in diagram.marks]
    marks = tuple(
        replace(mark, label=name(pitch, chord)) if mark.label else mark
        for mark, pitch in zip(diagram.marks, pitches, strict=True)
    )
    return replace(diagram, marks=marks)


def _form(pitch: Pitch, chord: Chord | None) -> Form:
    return "root" if chord is not None and pitch.pitch_class == chord.root.pitch_class else "tone"
