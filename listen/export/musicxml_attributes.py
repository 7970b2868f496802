"""What stands at the beginning of a score: divisions, key, time, clefs, and the strings of the tablature."""

from __future__ import annotations

import xml.etree.ElementTree as ET

from listen.export.clef import find_clef
from listen.export.musicxml_note import add_element
from listen.export.rhythm import FREE_METRE, steps_per_quarter
from listen.instrument import Fretboard
from listen.reading import Metre
from listen.theory import Key, SpelledPitch

TAB_STAFF = 2
_TAB_CLEF_LINE = 5


def add_attributes(
    measure: ET.Element, fretboard: Fretboard, metre: Metre, key: Key | None, *, with_tablature: bool
) -> None:
    """Write the attributes of the first measure: a standard staff, and under it a staff a line a string.

    The lines of a tablature are counted from the lowest, which is the highest-numbered string.
    """
    attributes = ET.SubElement(measure, "attributes")
    add_element(attributes, "divisions", str(steps_per_quarter(metre)))
    _add_key(attributes, key)
    if metre is FREE_METRE:
        ET.SubElement(ET.SubElement(attributes, "time", {"print-object": "no"}), "senza-misura")
    else:
        _add_time(attributes, metre.signature)
    if with_tablature:
        add_element(attributes, "staves", str(TAB_STAFF))
    _add_clefs(attributes, fretboard, with_tablature=with_tablature)
    _add_strings(attributes, fretboard, with_tablature=with_tablature)


def add_signatures(measure: ET.Element, *, key: Key | None, time: str | None) -> None:
    """Write the signatures that begin at a measure, of the key and of the time; None for one that stays."""
    attributes = ET.SubElement(measure, "attributes")
    _add_key(attributes, key)
    if time is not None:
        _add_time(attributes, time)


def _add_key(attributes: ET.Element, key: Key | None) -> None:
    if key is not None:
        signature = ET.SubElement(attributes, "key")
        add_element(signature, "fifths", str(key.signature))
        add_element(signature, "mode", key.mode)


def _add_time(attributes: ET.Element, signature: str) -> None:
    time = ET.SubElement(attributes, "time")
    beats, unit = signature.split("/")
    add_element(time, "beats", beats)
    add_element(time, "beat-type", unit)


def _add_clefs(attributes: ET.Element, fretboard: Fretboard, *, with_tablature: bool) -> None:
    chosen = find_clef(fretboard)
    clef = ET.SubElement(attributes, "clef", {"number": "1"} if with_tablature else {})
    add_element(clef, "sign", chosen.sign)
    add_element(clef, "line", str(chosen.line))
    if chosen.octave_change:
        add_element(clef, "clef-octave-change", str(chosen.octave_change))
    if with_tablature:
        tablature = ET.SubElement(attributes, "clef", number=str(TAB_STAFF))
        add_element(tablature, "sign", "TAB")
        add_element(tablature, "line", str(_TAB_CLEF_LINE))


def _add_strings(attributes: ET.Element, fretboard: Fretboard, *, with_tablature: bool) -> None:
    if not with_tablature:
        return
    details = ET.SubElement(attributes, "staff-details", number=str(TAB_STAFF))
    add_element(details, "staff-lines", str(fretboard.n_strings))
    for line, pitch in enumerate(fretboard.tuning.open_strings, start=1):
        tuning = ET.SubElement(details, "staff-tuning", line=str(line))
        spelled = SpelledPitch.parse(pitch.name)
        add_element(tuning, "tuning-step", spelled.note.letter)
        if spelled.note.accidental:
            add_element(tuning, "tuning-alter", str(spelled.note.accidental))
        add_element(tuning, "tuning-octave", str(spelled.octave))
    if fretboard.capo_fret:
        add_element(details, "capo", str(fretboard.capo_fret))
