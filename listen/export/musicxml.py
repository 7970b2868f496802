"""A part as MusicXML 4.0: notes with string and fret, chord symbols with frames, tuning and capo.

The choices that the format leaves open:

* Two staves of one part: a standard one with rhythm, beams and chord symbols, and a tablature with strings and frets,
  as the standard's own tutorial on tablature has them. Where no note has a string the tablature is left out.
* A treble clef that sounds an octave lower (``clef-octave-change`` −1), so pitches stand in the file as they sound;
  ``transpose`` is not used. A bass has a bass clef of that kind, an instrument in the range of the ukulele or the
  mandolin a plain treble clef.
* ``staff-tuning`` gives the open strings without the capo and ``capo`` its fret; strings count from the first, frets
  and frames from the capo. Chord symbols are sounding names, as the notes are.
* A strum whose way is known is arpeggiated that way: a downstroke from the low strings up (``direction="up"``).
* Rhythm is the part's grid, exactly (:mod:`listen.export.rhythm`); the tempo follows the bars
  as they were played, from the printed one on.

References
----------
W3C Music Notation Community Group, *MusicXML 4.0*, Community Group Final Report, 2021.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Sequence
from pathlib import PurePath

from listen.export.bar import Bar, Change, find_bar_metre
from listen.export.bar_marks import find_begun_keys, find_signatures
from listen.export.bars import fill_first, lay_bars
from listen.export.beams import find_beams
from listen.export.clef import find_clef
from listen.export.head import setting_fact
from listen.export.held_names import find_key
from listen.export.instrument_voice import find_voice
from listen.export.musicxml_attributes import TAB_STAFF, add_attributes, add_signatures
from listen.export.musicxml_harmony import harmony_element
from listen.export.musicxml_note import NoteContext, add_element, add_measure_rest, note_elements
from listen.export.rhythm import FREE_METRE, Piece, split_bar, steps_per_quarter, write_steps
from listen.export.score_line import Item, find_items
from listen.export.tempo_marks import RITARDANDO, find_ritardando, find_shown_metre, find_tempo_marks
from listen.export.told_words import find_given_title, find_words
from listen.reading import Metre, Part, clock_text
from listen.theory import Key

VERSION = "4.0"
DOCTYPE = (
    '<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)
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
    if title := find_given_title(part) or PurePath(part.recording.file).stem:
        add_element(score, "movement-title", title)
    encoding = ET.SubElement(ET.SubElement(score, "identification"), "encoding")
    add_element(encoding, "software", "listen")
    listed = ET.SubElement(ET.SubElement(score, "part-list"), "score-part", id="P1")
    voice = find_voice(part.fretboard)
    add_element(listed, "part-name", voice.name)
    add_element(ET.SubElement(listed, "score-instrument", id="P1-I1"), "instrument-name", voice.name)
    midi = ET.SubElement(listed, "midi-instrument", id="P1-I1")
    add_element(midi, "midi-channel", "1")
    add_element(midi, "midi-program", str(voice.program))
    _add_measures(ET.SubElement(score, "part", id="P1"), part)
    ET.indent(score, " ")
    body: bytes = ET.tostring(score, encoding="utf-8", xml_declaration=False)
    return DOCTYPE.encode() + body + b"\n"


def _add_measures(element: ET.Element, part: Part) -> None:
    played = lay_bars(part).played
    metre, key = find_shown_metre(part, played) or FREE_METRE, find_key(part.key)
    bars = fill_first(played, part)
    staves = _find_staves(part, metre, key)
    marks, slows = find_tempo_marks(played), find_ritardando(played)
    signatures, keys = find_signatures(part, bars), find_begun_keys(part, bars)
    sections, lyrics = find_words(part, "section"), find_words(part, "lyrics")
    tempo = 0.0
    shown: tuple[object, object] | None = None
    for index, (bar, items) in enumerate(zip(bars, find_items(bars), strict=True)):
        implicit = {"implicit": "yes"} if bar.before else {}
        measure = ET.SubElement(element, "measure", {"number": str(bar.number), **implicit})
        if index == 0:
            add_attributes(measure, part.fretboard, find_bar_metre(bar, metre), key, with_tablature=len(staves) > 1)
        else:
            _begin_signatures(measure, find_key(keys.get(index)), signatures.get(index), staves)
        if bar.number in sections:
            direction = ET.SubElement(measure, "direction", placement="above")
            add_element(ET.SubElement(direction, "direction-type"), "rehearsal", sections[bar.number])
        now = _quarters_per_minute(bar, metre)
        if not index or index in marks:
            tempo = _add_tempo_mark(measure, part, metre, now, beats_per_minute=marks.get(index))
        elif bar.is_measured and abs(now / tempo - 1.0) > TEMPO_STEP:
            ET.SubElement(measure, "sound", tempo=f"{now:.2f}")
            tempo = now
        if index == slows:
            direction = ET.SubElement(measure, "direction", placement="above")
            add_element(ET.SubElement(direction, "direction-type"), "words", RITARDANDO)
        shown = _add_bar(measure, bar, items, shown, staves)
        if bar.number in lyrics:
            _add_lyric(measure, lyrics[bar.number])
    if not bars:
        measure = ET.SubElement(element, "measure", number="1")
        add_attributes(measure, part.fretboard, metre, key, with_tablature=False)
        add_measure_rest(measure, metre.steps_per_bar, staves[0])


def _begin_signatures(measure: ET.Element, key: Key | None, time: str | None, staves: Sequence[NoteContext]) -> None:
    """Write the signatures that begin at a measure, if any, and spell in the key from there on."""
    if key is not None or time is not None:
        add_signatures(measure, key=key, time=time)
    if key is not None:
        for context in staves:
            context.key, context.accidentals.fifths = key, key.signature


def _add_lyric(measure: ET.Element, text: str) -> None:
    """Write the words of a bar under its first note; where there is none they are words below the staff."""
    note = next((one for one in measure.iter("note") if one.find("pitch") is not None), None)
    if note is None:
        direction = ET.SubElement(measure, "direction", placement="below")
        add_element(ET.SubElement(direction, "direction-type"), "words", text)
        return
    lyric = ET.SubElement(note, "lyric")
    add_element(lyric, "syllabic", "single")
    add_element(lyric, "text", text)


def _find_staves(part: Part, metre: Metre, key: Key | None) -> list[NoteContext]:
    """Return the standard staff, and the tablature where a note has a string."""
    has_strings = any(note.string_index is not None for event in part.events for note in event.notes)
    numbers: tuple[int | None, ...] = (1, TAB_STAFF) if has_strings else (None,)
    clef = find_clef(part.fretboard)
    return [NoteContext(part.fretboard.n_strings, key, metre, clef, number) for number in numbers]


def _quarters_per_minute(bar: Bar, metre: Metre) -> float:
    quarters = bar.n_steps / steps_per_quarter(metre)
    return 60.0 * quarters / max(bar.end_s - bar.start_s, 1e-3)


def _add_tempo_mark(
    measure: ET.Element, part: Part, metre: Metre, quarters: float, *, beats_per_minute: int | None
) -> float:
    """Write the tempo: at the beginning with the setting of the guitar, or where another tempo begins.

    Returns
    -------
    float
        The quarters a minute that it sounds in: those that are printed, in free time those of the bar.
    """
    direction = ET.SubElement(measure, "direction", placement="above")
    setting = setting_fact(part) if beats_per_minute is None else ""
    if setting:
        add_element(ET.SubElement(direction, "direction-type"), "words", setting)
    kind = ET.SubElement(direction, "direction-type")
    if metre is FREE_METRE:
        add_element(kind, "words", "Free time")
    else:
        mark = ET.SubElement(kind, "metronome")
        add_element(mark, "beat-unit", "quarter" if metre.is_compound else _BEAT_TYPES.get(metre.beat_unit, "quarter"))
        if metre.is_compound:
            ET.SubElement(mark, "beat-unit-dot")
        printed = beats_per_minute or round(metre.tempo_bpm)
        add_element(mark, "per-minute", str(printed))
        quarters = float(printed * metre.quarters_per_beat)
    sound = ET.SubElement(direction, "sound", tempo=f"{quarters:.2f}")
    if beats_per_minute is None and metre.is_swung:
        swing = ET.SubElement(sound, "swing")
        add_element(swing, "first", "2")
        add_element(swing, "second", "1")
        add_element(swing, "swing-type", "eighth")
    return quarters


def _add_bar(
    measure: ET.Element,
    bar: Bar,
    items: Sequence[Item],
    shown: tuple[object, object] | None,
    staves: Sequence[NoteContext],
) -> tuple[object, object] | None:
    """Write a bar, chord symbols on the first staff; return the chord that was written last."""
    metre = find_bar_metre(bar, staves[0].metre)
    edges = sorted({edge for item in items for edge in (item.start, item.end)})
    written = write_steps(edges, metre, n_steps=bar.n_steps, phase=bar.phase)
    spans = [(written[item.start], written[item.end]) for item in items]
    rows = split_bar(spans, metre, phase=bar.phase)
    beams = _beam_rows(items, rows, bar)
    for place, context in enumerate(staves):
        context.accidentals.begin_bar()
        if place:
            add_element(ET.SubElement(measure, "backup"), "duration", str(bar.n_steps))
        waiting = list(bar.changes) if place == 0 else []
        if len(items) == 1 and items[0].placed is None:
            for change in waiting:
                shown = _add_change(measure, change, shown, offset=change.step)
            add_measure_rest(measure, bar.n_steps, context)
            continue
        for index, (item, pieces) in enumerate(zip(items, rows, strict=True)):
            last = index == len(items) - 1
            while waiting and (waiting[0].step < item.end or last):
                shown = _add_change(measure, waiting[0], shown, offset=max(0, waiting[0].step - item.start))
                waiting.pop(0)
            for element in note_elements(item, pieces, context, beams[index]):
                measure.append(element)
    return shown


def _beam_rows(items: Sequence[Item], rows: Sequence[Sequence[Piece]], bar: Bar) -> list[list[tuple[str, ...]]]:
    """Return the beams of every piece of every item."""
    flat = [
        (piece, item.placed is not None and (bool(item.notes) or place == 0))
        for item, pieces in zip(items, rows, strict=True)
        for place, piece in enumerate(pieces)
    ]
    beams = iter(find_beams(flat, phase=bar.phase))
    return [[next(beams) for _ in pieces] for pieces in rows]


def _add_change(
    measure: ET.Element, change: Change, shown: tuple[object, object] | None, *, offset: int
) -> tuple[object, object] | None:
    if change.kind == "unread":
        direction = ET.SubElement(measure, "direction", placement="above")
        add_element(ET.SubElement(direction, "direction-type"), "words", f"listen {clock_text(change.time_s)}")
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
