"""MusicXML against outsiders: the W3C's schema; music21 and partitura, which read it back; verovio, which engraves it.

The schema is not part of this project; where it is not at hand (``../shared/standards``), that test is skipped.
"""

from __future__ import annotations

import warnings
import xml.etree.ElementTree as ET
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import music21
import pytest
import verovio

from listen.evidence import TimeSpan
from listen.export.musicxml import render_musicxml
from listen.export.musicxml_harmony import frame_element
from listen.export.rhythm import split_bar, steps_per_quarter, write_steps
from listen.instrument import Fretboard, best_fingering, parse_shape, parse_tuning
from listen.reading import ChordName, Metre, Part, PartRecording, SetupHypothesis, ShapeReading, Shares
from listen.theory import QUALITIES, Chord, ChordQuality, Note, spell_bass
from tests.hand_made_parts import (
    ALL_PARTS,
    Scene,
    compound_part,
    count_pickup_as_one,
    line_part,
    straight_part,
    swing_part,
    unheld_part,
    waltz_part,
)

STANDARDS = Path(__file__).resolve().parents[3] / "shared" / "standards"
EVERY_PART = pytest.mark.parametrize("make", ALL_PARTS.values(), ids=ALL_PARTS.keys())


@cache
def _schema() -> Any:
    import xmlschema

    here = {
        "http://www.w3.org/1999/xlink": str(STANDARDS / "xlink.xsd"),
        "http://www.w3.org/XML/1998/namespace": str(STANDARDS / "xml.xsd"),
    }
    return xmlschema.XMLSchema(str(STANDARDS / "musicxml.xsd"), locations=here, allow="local")


def _read_back(part: Part) -> Any:
    return music21.converter.parseData(render_musicxml(part), format="musicxml")


def _root(part: Part) -> ET.Element:
    return ET.fromstring(render_musicxml(part))  # noqa: S314 - our own output


@pytest.mark.skipif(not (STANDARDS / "musicxml.xsd").is_file(), reason="the W3C schema is not part of the project")
@EVERY_PART
def test_the_file_is_valid_under_the_schema(make: Callable[[], Part]) -> None:
    errors = [f"{error.path}: {error.reason}" for error in _schema().iter_errors(_root(make()))]
    assert errors == []


def _notes(staff: Any) -> list[tuple[int, int | None, int | None]]:
    """Return pitch, string and fret of every note that begins in a staff."""
    found = []
    for element in staff.recurse().notes:
        if isinstance(element, music21.harmony.Harmony | music21.note.Unpitched):
            continue
        notes = [element] if isinstance(element, music21.note.Note) else element.notes
        # music21 keeps the marks of a chord's notes together, in the order of its notes
        strings = [int(mark.number) for mark in element.articulations if type(mark).__name__ == "StringIndication"]
        frets = [int(mark.number) for mark in element.articulations if type(mark).__name__ == "FretIndication"]
        told: list[tuple[int | None, int | None]] = [*zip(strings, frets, strict=True)] or [(None, None)] * len(notes)
        for note, (string, fret) in zip(notes, told, strict=True):
            if note.tie is None or note.tie.type == "start":
                found.append((note.pitch.midi, string, fret))
    return found


@EVERY_PART
def test_music21_reads_back_the_same_notes_on_the_same_strings(make: Callable[[], Part]) -> None:
    part = make()
    n = part.fretboard.n_strings
    written = Counter(
        (note.pitch.midi, None if note.string_index is None else n - note.string_index, note.fret)
        for event in part.events
        for note in event.notes
    )
    staves = _read_back(part).parts
    pitches = Counter(midi for midi, _, _ in _notes(staves[0]))
    assert pitches == Counter(note.pitch.midi for event in part.events for note in event.notes)
    read = Counter(_notes(staves[-1]))
    if len(staves) == 2:
        written = Counter({told: n for told, n in written.items() if told[1] is not None})
    assert read == written


@EVERY_PART
def test_the_standard_staff_has_the_signs_that_music21_would_write(make: Callable[[], Part]) -> None:
    """Engravers draw the signs that the file names: without them a chord of E major stood with a G natural."""
    staff = _read_back(make()).parts[0]
    staff.remove(list(staff.recurse().getElementsByClass("ChordSymbol")), recurse=True)
    written = [_shown(pitch) for one in staff.recurse().notes for pitch in one.pitches]
    tied: set[str] = set()
    for measure in staff.getElementsByClass("Measure"):
        for pitch in measure.pitches:
            if pitch.accidental is not None:
                pitch.accidental.displayStatus = None
        measure.makeAccidentals(
            useKeySignature=staff.recurse().getElementsByClass("KeySignature").first() or False, tiePitchSet=tied,
            inPlace=True, overrideStatus=True, cautionaryPitchClass=False, cautionaryNotImmediateRepeat=False,
        )  # fmt: skip
        on = [one for one in measure.recurse().notes if one.tie is not None and one.tie.type in ("start", "continue")]
        tied = {pitch.nameWithOctave for one in on for pitch in one.pitches}
    assert written == [_shown(pitch) for one in staff.recurse().notes for pitch in one.pitches]


def _shown(pitch: Any) -> str:
    sign = pitch.accidental
    return f"{pitch.nameWithOctave}{' shown' if sign is not None and sign.displayStatus else ''}"


@EVERY_PART
def test_music21_finds_every_bar_full(make: Callable[[], Part]) -> None:
    part = make()
    measures = [measure for staff in _read_back(part).parts for measure in staff.getElementsByClass("Measure")]
    assert measures
    for measure in measures:
        filled = sum(Fraction(element.duration.quarterLength) for element in measure.notesAndRests
                     if not isinstance(element, music21.harmony.Harmony))  # fmt: skip
        assert filled == Fraction(measure.duration.quarterLength)


@EVERY_PART
def test_music21_reads_back_the_chord_symbols(make: Callable[[], Part]) -> None:
    part = make()
    read = _read_back(part).parts[0].recurse().getElementsByClass("Harmony")
    chords = [symbol for symbol in read if not isinstance(symbol, music21.harmony.NoChord)]
    written = [span.name.chord for span in part.spans if span.name is not None]
    assert [symbol.root().name.replace("-", "b") for symbol in chords] == [str(chord.root) for chord in written]
    assert [symbol.bass().name.replace("-", "b") for symbol in chords] == [str(c.sounding_bass) for c in written]
    assert [set(symbol.pitchClasses) for symbol in chords] == [set(chord.pitch_classes) for chord in written]


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.name)
def test_music21_hears_the_same_tones_in_every_quality(quality: Any) -> None:
    scene = Scene()
    scene.chord("C", "x32010")
    scene.strum(1, 0)
    part = scene.part(1)
    name = ChordName(Chord(Note.parse("E"), quality), 0.9)
    part = replace(part, spans=(replace(part.spans[0], names=(name,)),))
    symbol = _read_back(part).parts[0].recurse().getElementsByClass("Harmony")[0]
    assert symbol.root().name == "E"
    assert set(symbol.pitchClasses) == set(name.chord.pitch_classes)


@pytest.mark.parametrize("quality", QUALITIES, ids=lambda quality: quality.name)
def test_music21_reads_every_quality_over_every_bass(quality: ChordQuality) -> None:
    """An inversion that stacks no thirds (Cadd9/D, C6/A, Csus2/D) made the whole file one that does not open."""
    scene, root = Scene(), Note.parse("E")
    for bar in range(1, 12):
        scene.chord("C", "x32010")
        scene.strum(bar, 0)
    part = scene.part(11)
    basses = [spell_bass(root, quality, root.pitch_class + above) for above in range(1, 12)]
    chords = [Chord(root, quality, bass) for bass in basses]
    named = zip(part.spans, chords, strict=True)
    part = replace(part, spans=tuple(replace(span, names=(ChordName(chord, 0.9),)) for span, chord in named))
    read = _read_back(part).parts[0].recurse().getElementsByClass("Harmony")
    assert [symbol.root().name for symbol in read] == ["E"] * 11
    assert [symbol.bass().name.replace("-", "b") for symbol in read] == [str(bass) for bass in basses]
    assert [set(symbol.pitchClasses) for symbol in read] == [set(chord.pitch_classes) for chord in chords]


@pytest.mark.parametrize(
    ("text", "inversion"),
    [("G", None), ("G/B", 1), ("C/G", 2), ("Dm7/A", 2), ("C7/Bb", 3), ("Csus4/G", 2), ("C5/G", 2)],
)
def test_inversions_are_counted_as_music21_counts_them(text: str, inversion: int | None) -> None:
    scene = Scene()
    scene.chord(text, "x32010")
    scene.strum(1, 0)
    part = scene.part(1)
    told = _root(part).findtext(".//harmony/inversion")
    assert told == (None if inversion is None else str(inversion))
    (read,) = _read_back(part).parts[0].recurse().getElementsByClass("Harmony")
    alone = music21.harmony.ChordSymbol(text.replace("Bb", "B-"))
    assert read.inversion() == alone.inversion() == (inversion or 0)


def _frame(frets: str) -> ET.Element:
    shape = parse_shape(frets)
    return frame_element(ShapeReading(shape, best_fingering(shape, Fretboard()), 1.0, Shares(0, 0, 0)))


def test_a_frame_marks_barre_fingers_and_unplayed_strings() -> None:
    frame = _frame("x35553")
    assert frame.get("unplayed") == "x"
    notes = {note.findtext("string"): note for note in frame.findall("frame-note")}
    assert list(notes) == ["5", "4", "3", "2", "1"]
    assert [notes[string].findtext("fret") for string in "54321"] == ["3", "5", "5", "5", "3"]
    barre = {string: note.find("barre") for string, note in notes.items()}
    first, last = barre["5"], barre["1"]
    assert first is not None
    assert last is not None
    assert (first.get("type"), last.get("type")) == ("start", "stop")
    assert notes["5"].findtext("fingering") == "1"


def test_a_frame_high_on_the_neck_says_where_it_begins() -> None:
    assert _frame("x-10-12-12-11-x").findtext("first-fret") == "10"
    assert _frame("x32010").find("first-fret") is None
    assert _frame("320003").get("unplayed") is None


def test_the_octave_is_told_by_the_clef_and_nowhere_else() -> None:
    for make in ALL_PARTS.values():
        root = _root(make())
        assert root.findtext(".//clef/clef-octave-change") == "-1"
        assert root.find(".//transpose") is None


@pytest.mark.parametrize(
    ("tuning", "sign", "change", "middle"),
    [("ukulele", "G", None, "B4"), ("bass", "F", "-1", "D2"), ("drop C", "G", "-1", "B3")],
)
def test_other_instruments_have_their_own_clef(tuning: str, sign: str, change: str | None, middle: str) -> None:
    board = Fretboard(parse_tuning(tuning))
    scene = Scene(fretboard=board)
    scene.chord("C", "x" * (board.n_strings - 1) + "0")
    scene.hit(1, 0)
    root = _root(scene.part(1))
    assert (root.findtext(".//clef/sign"), root.findtext(".//clef/clef-octave-change")) == (sign, change)
    unpitched = root.find(".//unpitched")
    assert unpitched is not None
    assert f"{unpitched.findtext('display-step')}{unpitched.findtext('display-octave')}" == middle


def test_tuning_and_capo_are_written_apart() -> None:
    details = _root(waltz_part()).find(".//staff-details")
    assert details is not None
    assert details.findtext("capo") == "3"
    tunings = details.findall("staff-tuning")
    lines = [(t.get("line"), t.findtext("tuning-step"), t.findtext("tuning-octave")) for t in tunings]
    assert lines[0] == ("1", "E", "2")
    assert lines[-1] == ("6", "E", "4")
    down = _root(compound_part()).find(".//staff-details/staff-tuning")
    assert down is not None
    assert (down.findtext("tuning-step"), down.findtext("tuning-alter")) == ("E", "-1")


def test_a_downstroke_is_arpeggiated_from_the_low_strings_up() -> None:
    notes = _root(straight_part()).findall(".//note")
    first, third = notes[0], [note for note in notes if note.find("chord") is None][2]
    for note, direction in ((first, "up"), (third, "down")):
        element = note.find("notations/arpeggiate")
        assert element is not None
        assert element.get("direction") == direction


def test_music21_reads_which_way_a_damped_stroke_went() -> None:
    scene = Scene()
    scene.chord("Em", "022000")
    for step, way in ((0, "down"), (12, "up"), (24, "up"), (36, "down")):
        scene.hit(1, step, "up" if way == "up" else "down")
    read = _read_back(scene.part(1)).parts[0].recurse().notes
    assert [type(bow).__name__ for note in read for bow in note.articulations if "Bow" in type(bow).__name__] == [
        "DownBow", "UpBow", "UpBow", "DownBow",
    ]  # fmt: skip


def test_a_chord_held_over_the_bar_line_is_tied() -> None:
    measures = _root(compound_part()).findall(".//measure")
    last_of_third = measures[2].findall("note")[-1]
    first_of_fourth = measures[3].findall("note")[0]
    assert [tie.get("type") for tie in last_of_third.findall("tie")] == ["start"]
    assert [tie.get("type") for tie in first_of_fourth.findall("tie")] == ["stop"]
    assert first_of_fourth.find("notations/arpeggiate") is None


def test_picked_notes_that_ring_on_are_let_ring_and_strummed_ones_are_not() -> None:
    picked = [
        note for note in _root(compound_part()).iter("note") if note.find(".//tied[@type='let-ring']") is not None
    ]
    assert picked
    assert all(note.find(".//arpeggiate") is None for note in picked)
    assert _root(straight_part()).find(".//tied[@type='let-ring']") is None


def test_swung_offbeats_are_written_as_eighths_and_a_full_triplet_as_a_triplet() -> None:
    root = _root(swing_part())
    assert root.find(".//sound/swing") is not None
    notes = [note for note in root.findall(".//measure[@number='1']/note") if note.find("chord") is None]
    notes = [note for note in notes if note.findtext("staff") == "1"]
    types = [(note.findtext("type"), note.find("time-modification") is not None) for note in notes]
    assert types[:4] == [("eighth", False)] * 4
    assert types[4:7] == [("eighth", True)] * 3
    brackets = [t.get("type") for note in notes for t in note.findall("notations/tuplet")]
    assert brackets == ["start", "stop"]


def test_a_swung_beat_of_three_is_a_triplet_wherever_its_offbeat_was_put() -> None:
    metre = Metre(4, 4, 3, 120.0, swing=0.66)
    assert write_steps([0, 4, 6, 12, 18, 24, 32], metre, n_steps=48)[6] == 8
    assert [write_steps([0, 12, 18, 24, 32], metre, n_steps=48)[step] for step in (18, 32)] == [18, 30]
    assert write_steps([0, 8], Metre(4, 4, 3, 120.0), n_steps=48)[8] == 8, "without swing nothing moves"


def test_marks_of_the_left_hand_go_from_note_to_note() -> None:
    notes = _root(line_part()).findall(".//measure[@number='1']/note")
    assert notes[1].find("notations/technical/hammer-on[@type='start']") is not None
    assert notes[2].find("notations/technical/hammer-on[@type='stop']") is not None
    assert notes[4].find("notations/technical/harmonic/natural") is not None


def test_what_could_not_be_read_is_an_empty_bar_that_says_where_to_listen() -> None:
    measure = _root(line_part()).find(".//measure[@number='3']")
    assert measure is not None
    assert all(note.find("rest") is not None for note in measure.findall("note"))
    assert [note.get("print-object") for note in measure.findall("note")] == [None, "no"], "one rest for a reader"
    assert measure.findtext("direction/direction-type/words") == "listen 0:05"


def test_the_tempo_follows_the_bars() -> None:
    part = straight_part()
    bars = (*part.bars.lines_s[:4], *(at + 0.5 * n for n, at in enumerate(part.bars.lines_s[4:])))
    tempi = [
        float(s.get("tempo", "0")) for s in _root(replace(part, bars=replace(part.bars, lines_s=bars))).iter("sound")
    ]
    assert tempi == [96.0, 80.0]


def test_a_part_with_nothing_in_it_is_still_a_file() -> None:
    empty = Part(PartRecording(TimeSpan(0, 1), 1.0), Fretboard())
    assert _root(empty).find(".//rest") is not None


@pytest.mark.parametrize(
    "metre",
    [Metre(4, 4, 2, 90), Metre(3, 4, 2, 90), Metre(2, 8, 3, 60), Metre(4, 8, 3, 60), Metre(2, 2, 2, 60)],
    ids=lambda metre: metre.signature,
)
def test_every_pair_of_places_in_a_bar_has_exact_values(metre: Metre) -> None:
    """Type, dots and triplet of every piece give its length back (the arithmetic of note values, no source needed)."""
    quarter = steps_per_quarter(metre)
    lengths = {"128th": Fraction(1, 32), "64th": Fraction(1, 16), "32nd": Fraction(1, 8), "16th": Fraction(1, 4),
               "eighth": Fraction(1, 2), "quarter": Fraction(1), "half": Fraction(2), "whole": Fraction(4)}  # fmt: skip
    bar = metre.steps_per_bar
    for start in range(bar):
        for end in range(start + 1, bar + 1):
            edges = sorted({0, start, end, bar})
            spans = list(pairwise(edges))
            for (first, last), row in zip(spans, split_bar(spans, metre), strict=True):
                assert sum(piece.length for piece in row) == last - first
                for piece in row:
                    value = lengths[piece.type] * (Fraction(3, 2) if piece.dots else 1)
                    value *= Fraction(2, 3) if piece.is_triplet else 1
                    assert value * quarter == piece.length, (start, end, piece)


def test_names_in_the_title_are_escaped() -> None:
    part = replace(straight_part(), recording=replace(straight_part().recording, file='<a>&"b"\x00.wav'))
    assert _root(part).findtext("movement-title") == '<a>&"b"?'


def test_control_characters_in_the_setting_leave_the_file_readable() -> None:
    board = Fretboard()
    part = replace(straight_part(), setups=(SetupHypothesis(board, 0.0, 1.0, "Tune\x1b[31m down"),))
    assert "Tune?[31m down" in [words.text for words in _root(part).iter("words")]


def test_a_chord_without_a_name_has_no_symbol() -> None:
    scene = Scene()
    scene.chord("C", "x32010")
    scene.strum(1, 0)
    part = scene.part(1)
    part = replace(part, spans=(replace(part.spans[0], names=()),))
    assert _root(part).find(".//harmony") is None


def test_under_the_staff_stands_a_tablature_of_a_line_a_string_the_lowest_string_lowest() -> None:
    """MusicXML 4.0, element ``staff-tuning``: lines are counted from the lowest."""
    attributes = _root(straight_part()).find(".//attributes")
    assert attributes is not None
    assert attributes.findtext("staves") == "2"
    assert [clef.findtext("sign") for clef in attributes.findall("clef")] == ["G", "TAB"]
    details = attributes.findall("staff-details")
    assert [one.get("number") for one in details] == ["2"], "the standard staff keeps its five lines"
    assert details[0].findtext("staff-lines") == "6"
    for part in (straight_part(), line_part()):
        for note in _root(part).iter("note"):
            if note.findtext("staff") == "1":
                assert note.find(".//string") is None
            elif note.find("pitch") is not None:
                assert note.find(".//fret") is not None
                assert note.findtext("stem") == "none"


def test_notes_that_no_hand_can_hold_have_no_tablature() -> None:
    root = _root(unheld_part())
    assert root.find(".//staves") is None
    assert root.find(".//staff") is None


@EVERY_PART
def test_both_staves_of_a_bar_are_as_long_as_the_bar(make: Callable[[], Part]) -> None:
    for measure in _root(make()).iter("measure"):
        lengths: Counter[str | None] = Counter()
        for note in measure.findall("note"):
            if note.find("chord") is None:
                lengths[note.findtext("staff")] += int(note.findtext("duration", "0"))
        assert len(set(lengths.values())) == 1
        back = measure.findtext("backup/duration")
        assert back is None or int(back) == lengths["1"]


@EVERY_PART
def test_partitura_reads_back_the_same_pitches(make: Callable[[], Part], tmp_path: Path) -> None:
    part = make()
    path = tmp_path / "part.musicxml"
    path.write_bytes(render_musicxml(part))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # partitura's own, and those of lark, on which it stands
        import partitura

        (read,) = partitura.load_musicxml(path).parts
    staves = {
        number: Counter((note.start.t, note.midi_pitch) for note in read.notes if (note.staff or 1) == number)
        for number in (1, 2)
    }
    assert {midi for _, midi in staves[1]} == {note.pitch.midi for event in part.events for note in event.notes}
    assert len(staves[1]) >= sum(len(event.notes) for event in part.events)
    assert staves[2] in (staves[1], Counter()), "the tablature has the same notes at the same times"


@EVERY_PART
def test_verovio_engraves_frets_on_as_many_lines_as_there_are_strings(make: Callable[[], Part]) -> None:
    part = make()
    toolkit = verovio.toolkit()
    assert toolkit.loadData(render_musicxml(part).decode())
    mei = ET.fromstring(toolkit.getMEI())  # noqa: S314 - made from our own output
    staves = [element for element in mei.iter() if element.tag.endswith("}staffDef")]
    lines = [element.get("lines") for element in staves]
    has_strings = any(note.string_index is not None for event in part.events for note in event.notes)
    assert lines == (["5", str(part.fretboard.n_strings)] if has_strings else ["5"])
    n = part.fretboard.n_strings
    told = Counter(
        (element.get("tab.course"), element.get("tab.fret"))
        for element in mei.iter()
        if element.tag.endswith("}note") and element.get("tab.fret") is not None
    )
    written = {
        (str(n - note.string_index), str(note.fret))
        for event in part.events
        for note in event.notes
        if note.string_index is not None
    }
    assert set(told) == written
    assert toolkit.renderToSVG(1).startswith("<svg")


def test_music21_reads_whole_beams() -> None:
    """Every beam that begins in a bar ends in it, and eighths of one beat are joined (common practice)."""
    staff = _read_back(straight_part()).parts[0]
    for measure in staff.getElementsByClass("Measure"):
        beamed = [element.beams.getTypes() for element in measure.notes if getattr(element, "beams", None)]
        assert sum(types == ["start"] for types in beamed) == sum(types == ["stop"] for types in beamed) > 0
    first = staff.getElementsByClass("Measure")[0].notes
    assert [element.beams.getTypes() for element in first if not isinstance(element, music21.harmony.Harmony)] == [
        [], ["start"], ["stop"], ["start"], ["stop"], ["start"], ["stop"],
    ]  # fmt: skip


def test_an_accent_stands_once_a_chord() -> None:
    root = _root(straight_part())
    n = sum("accent" in stroke.marks for event in straight_part().events for stroke in event.strokes)
    assert len(list(root.iter("accent"))) == n > 0
    assert all(note.find("chord") is None for note in root.iter("note") if note.find(".//accent") is not None)


@pytest.mark.parametrize(
    ("tuning", "name", "program"),
    [("standard", "Guitar", "26"), ("drop D", "Guitar", "26"), ("bass", "Bass", "34"), ("ukulele", "Ukulele", "25"),
     ("baritone ukulele", "Ukulele", "25"), ("G4 C4 E4 A4", "Ukulele", "25"), ("mandolin", "Mandolin", "26"),
     ("E1 A1 D2 G2", "Bass", "34")],
)  # fmt: skip
def test_a_part_has_the_name_and_the_sound_of_its_instrument(tuning: str, name: str, program: str) -> None:
    """General MIDI's sound set: 25 nylon, 26 steel guitar, 34 fingered bass (from memory)."""
    board = Fretboard(parse_tuning(tuning))
    scene = Scene(fretboard=board)
    scene.chord("C", "x" * (board.n_strings - 1) + "0")
    scene.strum(1, 0)
    root = _root(scene.part(1))
    told = [root.findtext(f".//{tag}") for tag in ("part-name", "instrument-name", "midi-program")]
    assert told == [name, name, program]


def test_two_strokes_on_one_place_are_written_no_finer_than_sixteenths() -> None:
    scene = Scene()
    scene.chord("E", "022100")
    for step in (0, 12, 12, 24):
        scene.strum(1, step)
    types = [note.findtext("type") for note in _root(scene.part(1)).iter("note")]
    assert set(types) == {"quarter", "16th", "eighth", "half"}


def test_another_tempo_is_marked_where_it_begins() -> None:
    part = straight_part()
    bars = (*part.bars.lines_s[:5], *(part.bars.lines_s[4] + 2.0 * n for n in range(1, 5)))
    marks = [
        mark.findtext("per-minute")
        for mark in _root(replace(part, bars=replace(part.bars, lines_s=bars))).iter("metronome")
    ]
    assert marks == ["96", "120"]


def test_a_short_bar_that_was_told_to_be_bar_one_is_whole_and_begins_with_a_rest() -> None:
    first, second = _root(count_pickup_as_one(waltz_part())).findall("part/measure")[:2]
    assert (first.get("number"), first.get("implicit"), second.get("number")) == ("1", None, "2")
    notes = [note for note in first.findall("note") if note.findtext("staff") in {None, "1"}]
    assert notes[0].find("rest") is not None
    assert sum(int(note.findtext("duration", "")) for note in notes) == 36  # three quarters
