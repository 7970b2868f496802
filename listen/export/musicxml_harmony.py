"""A chord symbol with its frame, as MusicXML's ``harmony``.

An inversion is told where third, fifth or seventh is in the bass. Another tone (Cadd9/D, C6/A, Csus2/D) has no number
that readers agree on, and music21 opens no file in which it has one: ``bass`` says it.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET

from listen.export.bar import Change
from listen.export.describe import find_inversion
from listen.export.diagram import find_window
from listen.export.held_names import find_meant
from listen.export.kind import quality_to_kind
from listen.reading import NO_CHORD, ShapeReading
from listen.theory import Chord, Note


def harmony_element(change: Change, *, offset: int = 0) -> ET.Element | None:
    """Return the ``harmony`` of a change; None where there is neither a name nor a reason for N.C.

    Parameters
    ----------
    change : Change
    offset : int
        Divisions after the place where the element stands.
    """
    harmony = ET.Element("harmony", {"print-frame": "yes"} if change.span is not None and change.span.shape else {})
    if change.span is None:
        root = ET.SubElement(harmony, "root")
        _add(root, "root-step", "C", text="")
        _add(harmony, "kind", "none", text=NO_CHORD)
    elif (name := find_meant(change.span)) is None:
        return None
    else:
        _add_chord(harmony, name.chord)
        if change.span.shape is not None:
            harmony.append(frame_element(change.span.shape))
    if offset:
        _add(harmony, "offset", str(offset))
    return harmony


def _add(parent: ET.Element, tag: str, content: str, **attributes: str) -> None:
    ET.SubElement(parent, tag, attributes).text = content


def _add_note(parent: ET.Element, prefix: str, note: Note) -> None:
    _add(parent, f"{prefix}-step", note.letter)
    if note.accidental:
        _add(parent, f"{prefix}-alter", str(note.accidental))


def _add_chord(harmony: ET.Element, chord: Chord) -> None:
    _add_note(ET.SubElement(harmony, "root"), "root", chord.root)
    kind, degrees = quality_to_kind(chord.quality)
    _add(harmony, "kind", kind, text=chord.quality.symbol)
    if inversion := find_inversion(chord):  # root position is what is meant without a number
        _add(harmony, "inversion", str(inversion))
    if chord.bass is not None:
        _add_note(ET.SubElement(harmony, "bass"), "bass", chord.bass)
    for degree in degrees:
        element = ET.SubElement(harmony, "degree", {"print-object": "no"})  # the kind's text says it all
        _add(element, "degree-value", str(degree.value))
        _add(element, "degree-alter", str(degree.alter))
        _add(element, "degree-type", degree.type)


def frame_element(reading: ShapeReading) -> ET.Element:
    """Return the frame of a shape: strings counted from the first, frets from the capo, unplayed strings marked."""
    shape, fingering = reading.shape, reading.fingering
    n = len(shape.frets)
    first, last = find_window(shape.frets, top_fret=36)
    frame = ET.Element("frame", {"unplayed": "x"} if None in shape.frets else {})
    _add(frame, "frame-strings", str(n))
    _add(frame, "frame-frets", str(last - first + 1))
    if first > 1:
        _add(frame, "first-fret", str(first))
    edges: dict[int, str] = {}
    for barre in fingering.barres:
        held = [index for index in range(barre.first_string, barre.last_string + 1) if shape.frets[index] == barre.fret]
        if len(held) > 1:  # it begins on the lowest-pitched string that it sounds
            edges[held[0]], edges[held[-1]] = "start", "stop"
    for index, fret in enumerate(shape.frets):
        if fret is None:
            continue
        note = ET.SubElement(frame, "frame-note")
        _add(note, "string", str(n - index))
        _add(note, "fret", str(fret))
        finger = fingering.fingers[index]
        if fret and finger:
            _add(note, "fingering", str(finger))
        if index in edges:
            ET.SubElement(note, "barre", type=edges[index])
    return frame
