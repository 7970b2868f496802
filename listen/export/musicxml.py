"""A part as MusicXML 4.0: notes with string and fret, chord symbols with frames, tuning and capo.

The choices that the format leaves open:

* One staff with a treble clef that sounds an octave lower (``clef-octave-change`` −1), so pitches stand in the file as
  they sound; ``transpose`` is not used. A bass has a bass clef of that kind, an instrument in the range of the ukulele
  or the mandolin a plain treble clef.
* ``staff-tuning`` gives the open strings without the capo and ``capo`` its fret; strings count from the first, frets
  and frames from the capo. Chord symbols are sounding names, as the notes are.
* A strum whose way is known is arpeggiated that way: a downstroke from the low strings up (``direction="up"``).
* Rhythm is the part's grid, exactly (:mod:`listen.export.rhythm`); the tempo follows the bars as they were played.

References
----------
W3C Music Notation Community Group, *MusicXML 4.0*, Community Group Final Report, 2021.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Sequence
from pathlib import PurePath

from listen.export.bar import Bar, Change, find_metre
from listen.export.bars import find_bars
from listen.export.chart_remarks import setting_fact
from listen.export.clef import find_clef
from listen.export.held_names import clock_text, find_key
from listen.export.musicxml_harmony import harmony_element
from listen.export.musicxml_note import NoteContext, note_elements
from listen.export.rhythm import FREE_METRE, SWUNG, split_bar, steps_per_quarter, write_steps
from listen.export.score_line import Item, find_items
from listen.reading import Metre, Part
from listen.theory import Key, SpelledPitch

VERSION = "4.0"
DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
GUITAR_PROGRAM = 26  # acoustic guitar (steel) in General MIDI, counted from 1
TEMPO_STEP = 0.015  # a bar whose tempo differs by less from the last one given gets none of its own
_BEAT_TYPES = {1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th"}


def render_musicxml(part: Part) -> bytes:
    """Render a part as an uncompressed MusicXML file.

    Returns
    -------
    bytes
        UTF-8.
    """
    score = ET.Element("score-partwise", version=VERSION)
    if part.source:
        add(score, "movement-title", PurePath(part.source).stem)
    encoding = ET.SubElement(ET.SubElement(score, "identification"), "encoding")
    add(encoding, "software", "listen")
    listed = ET.SubElement(ET.SubElement(score, "part-list"), "score-part", id="P1")
    add(listed, "part-name", "Guitar")
    add(ET.SubElement(listed, "score-instrument", id="P1-I1"), "instrument-name", "Guitar")
    midi = ET.SubElement(listed, "midi-instrument", id="P1-I1")
    add(midi, "midi-channel", "1")
    add(midi, "midi-program", str(GUITAR_PROGRAM))
    _add_measures(ET.SubElement(score, "part", id="P1"), part)
    ET.indent(score, " ")
    body: bytes = ET.tostring(score, encoding="utf-8", xml_declaration=False)
    return DOCTYPE.encode() + body + b"\n"


def add(parent: ET.Element, tag: str, text: str, **attributes: str) -> ET.Element:
    """Add an element with a text."""
    element = ET.SubElement(parent, tag, attributes)
    element.text = _legible(text)
    return element


def _legible(text: str) -> str:
    """Return a text without the characters that XML cannot hold."""
    return "".join(sign if sign.isprintable() else "?" for sign in text)


def _add_measures(element: ET.Element, part: Part) -> None:
    metre, key = find_metre(part) or FREE_METRE, find_key(part.key)
    bars = find_bars(part)
    context = NoteContext(part.fretboard.n_strings, key, metre, find_clef(part.fretboard))
    tempo = 0.0
    shown: tuple[object, object] | None = None
    for index, (bar, items) in enumerate(zip(bars, find_items(bars), strict=True)):
        pickup = bar.is_measured and index == 0 and bar.n_steps < metre.steps_per_bar
        measure = ET.SubElement(element, "measure", number=str(bar.number))
        if pickup:
            measure.set("implicit", "yes")
        if index == 0:
            _add_attributes(measure, part, metre, key)
        now = _quarters_per_minute(bar, metre)
        if not index:
            _add_tempo_mark(measure, part, metre, now)
            tempo = now
        elif bar.is_measured and abs(now / tempo - 1.0) > TEMPO_STEP:
            ET.SubElement(measure, "sound", tempo=f"{now:.2f}")
            tempo = now
        shown = _add_music(measure, bar, items, shown, context=context)
    if not bars:
        measure = ET.SubElement(element, "measure", number="1")
        _add_attributes(measure, part, metre, key)
        note = ET.SubElement(measure, "note")
        ET.SubElement(note, "rest", measure="yes")
        add(note, "duration", str(metre.steps_per_bar))


def _quarters_per_minute(bar: Bar, metre: Metre) -> float:
    quarters = bar.n_steps / steps_per_quarter(metre)
    return 60.0 * quarters / max(bar.end_s - bar.start_s, 1e-3)


def _add_attributes(measure: ET.Element, part: Part, metre: Metre, key: Key | None) -> None:
    attributes = ET.SubElement(measure, "attributes")
    add(attributes, "divisions", str(steps_per_quarter(metre)))
    if key is not None:
        signature = ET.SubElement(attributes, "key")
        add(signature, "fifths", str(key.signature))
        add(signature, "mode", key.mode)
    time = ET.SubElement(attributes, "time")
    if metre is FREE_METRE:
        ET.SubElement(time, "senza-misura")
    else:
        beats, unit = metre.signature.split("/")
        add(time, "beats", beats)
        add(time, "beat-type", unit)
    chosen = find_clef(part.fretboard)
    clef = ET.SubElement(attributes, "clef")
    add(clef, "sign", chosen.sign)
    add(clef, "line", str(chosen.line))
    if chosen.octave_change:
        add(clef, "clef-octave-change", str(chosen.octave_change))
    details = ET.SubElement(attributes, "staff-details")
    for line, pitch in enumerate(part.fretboard.tuning.open_strings, start=1):  # the lowest line is the highest number
        tuning = ET.SubElement(details, "staff-tuning", line=str(line))
        spelled = SpelledPitch.parse(pitch.name)
        add(tuning, "tuning-step", spelled.note.letter)
        if spelled.note.accidental:
            add(tuning, "tuning-alter", str(spelled.note.accidental))
        add(tuning, "tuning-octave", str(spelled.octave))
    if part.fretboard.capo_fret:
        add(details, "capo", str(part.fretboard.capo_fret))


def _add_tempo_mark(measure: ET.Element, part: Part, metre: Metre, quarters: float) -> None:
    direction = ET.SubElement(measure, "direction", placement="above")
    if setting := setting_fact(part):
        add(ET.SubElement(direction, "direction-type"), "words", setting)
    kind = ET.SubElement(direction, "direction-type")
    if metre is FREE_METRE:
        add(kind, "words", "Free time")
    else:
        mark = ET.SubElement(kind, "metronome")
        add(mark, "beat-unit", "quarter" if metre.is_compound else _BEAT_TYPES.get(metre.beat_unit, "quarter"))
        if metre.is_compound:
            ET.SubElement(mark, "beat-unit-dot")
        add(mark, "per-minute", f"{metre.tempo_bpm:.0f}")
    sound = ET.SubElement(direction, "sound", tempo=f"{quarters:.2f}")
    if metre is not FREE_METRE and metre.swing >= SWUNG and not metre.is_compound:
        swing = ET.SubElement(sound, "swing")
        add(swing, "first", "2")
        add(swing, "second", "1")
        add(swing, "swing-type", "eighth")


def _add_music(
    measure: ET.Element,
    bar: Bar,
    items: Sequence[Item],
    shown: tuple[object, object] | None,
    *,
    context: NoteContext,
) -> tuple[object, object] | None:
    """Write a bar's chord symbols and notes; return the chord that was written last."""
    edges = sorted({edge for item in items for edge in (item.start, item.end)})
    written = write_steps(edges, context.metre, n_steps=bar.n_steps, phase=bar.phase)
    spans = [(written[item.start], written[item.end]) for item in items]
    rows = split_bar(spans, context.metre, phase=bar.phase)
    waiting = list(bar.changes)
    if len(items) == 1 and items[0].placed is None:
        for change in waiting:
            shown = _add_change(measure, change, shown, offset=change.step)
        note = ET.SubElement(measure, "note")
        ET.SubElement(note, "rest", measure="yes")
        add(note, "duration", str(bar.n_steps))
        return shown
    for index, (item, pieces) in enumerate(zip(items, rows, strict=True)):
        last = index == len(items) - 1
        while waiting and (waiting[0].step < item.end or last):
            shown = _add_change(measure, waiting[0], shown, offset=max(0, waiting[0].step - item.start))
            waiting.pop(0)
        for element in note_elements(item, pieces, context):
            measure.append(element)
    return shown


def _add_change(
    measure: ET.Element, change: Change, shown: tuple[object, object] | None, *, offset: int
) -> tuple[object, object] | None:
    if change.kind == "unread":
        direction = ET.SubElement(measure, "direction", placement="above")
        add(ET.SubElement(direction, "direction-type"), "words", f"listen {clock_text(change.time_s)}")
        return None
    now: tuple[object, object] = ("none", None)
    if change.span is not None:
        now = (
            change.span.name.chord if change.span.name is not None else None,
            change.span.shape.shape if change.span.shape is not None else None,
        )
    if now == shown:
        return shown
    element = harmony_element(change, offset=offset)
    if element is not None:
        measure.append(element)
    return now
