"""Melodies, bass runs and single notes of a part have strings and frets; what was heard is written by hand."""

from __future__ import annotations

from fractions import Fraction

import music21
import pytest

from listen.errors import BadValueError
from listen.export.musicxml import render_musicxml
from listen.instrument import STANDARD, parse_shape
from listen.reading import Correction, Part, Pin
from listen.transcription import PartSettings, read_part_evidence
from tests.transcription.written_strokes import AM, C, F, G, hear_bars

SCALE = (48, 50, 52, 53, 55, 53, 52, 50)
PLAYED = (*(C,) * 4, *(AM,) * 4, *(F,) * 4, *(G,) * 4, *((midi,) for midi in SCALE), *(C,) * 4)  # line in bars 5, 6
FIRST_POSITION = ["5:3", "4:0", "4:2", "4:3", "3:0", "4:3", "4:2", "4:0"]


def _read(
    *,
    pins: tuple[Pin, ...] = (),
    names: tuple[Correction, ...] = (),
    kept: tuple[Pin | Correction, ...] = (),
    capo_fret: int = 0,
    played: tuple[tuple[int, ...], ...] = PLAYED,
) -> Part:
    settings = PartSettings(tuning=STANDARD, capo_fret=capo_fret, metre=(4, 4), pins=pins, corrections=names, kept=kept)
    raised = tuple(tuple(midi + capo_fret for midi in midis) for midis in played)
    return read_part_evidence(hear_bars(raised), settings=settings)


def _list_line(part: Part) -> list[str]:
    notes = [note for event in part.events if event.kind == "line" for note in event.notes]
    return ["-" if note.string_index is None else f"{6 - note.string_index}:{note.fret}" for note in notes]


@pytest.mark.parametrize("capo_fret", [0, 3])
def test_a_line_between_chords_has_strings_and_frets(capo_fret: int) -> None:
    """It had none: its tablature was empty, and at each note stood that no hand was found."""
    part = _read(capo_fret=capo_fret)
    assert _list_line(part) == FIRST_POSITION
    line = [event for event in part.events if event.kind == "line"]
    assert all(note.end_s <= event.span.end_s for event in line for note in event.notes), "an open string does not ring"


@pytest.mark.parametrize("capo_fret", [0, 3])
def test_music21_finds_the_sounding_pitch_at_each_string_and_fret(capo_fret: int) -> None:
    """Outside check: music21 (Cuthbert and Ariza 2010) as the reader."""
    part = _read(capo_fret=capo_fret)
    score = music21.converter.parseData(render_musicxml(part), format="musicxml")
    found = []
    for note in score.recurse().getElementsByClass(music21.note.Note):
        told = {type(mark).__name__: int(mark.number) for mark in note.articulations if hasattr(mark, "number")}
        if "StringIndication" in told:
            string = part.fretboard.n_strings - told["StringIndication"]
            sounding = STANDARD.open_strings[string].midi + capo_fret + told["FretIndication"]
            assert note.pitch.midi == sounding
            found.append(sounding - capo_fret)
    assert found == list(SCALE)


def test_a_pin_says_where_a_line_lies_from_a_note_to_the_end_of_its_bar() -> None:
    """It was refused: "none is struck in bar 5", though four notes are."""
    pinned = _read(pins=(Pin(parse_shape("8xxxxx"), bar=5),))
    assert _list_line(pinned) == ["6:8", "5:5", "5:7", "5:8", *FIRST_POSITION[4:]]
    later = _read(pins=(Pin(parse_shape("x7xxxx"), bar=5, beat=Fraction(3)),))
    assert _list_line(later)[:4] == ["5:3", "4:0", "5:7", "5:8"]
    assert pinned.spans == _read().spans
    assert pinned.settled.pins[0].text == "5.1=8xxxxx"
    assert not pinned.warnings


def test_a_pin_by_number_reaches_to_the_next_chord_or_the_next_pin() -> None:
    first = next(event.number for event in _read().events if event.kind == "line")
    high = Pin(parse_shape("8xxxxx"), event_number=first)
    assert _list_line(_read(pins=(high,))) == ["6:8", "5:5", "5:7", "5:8", "4:5", "5:8", "5:7", "5:5"]
    both = _read(pins=(high, Pin(parse_shape("xxx0xx"), bar=6)))
    assert _list_line(both) == ["6:8", "5:5", "5:7", "5:8", *FIRST_POSITION[4:]]


def test_a_pin_that_does_not_sound_the_note_is_said() -> None:
    part = _read(pins=(Pin(parse_shape("xxx0xx"), bar=5),))
    assert part.warnings == ("The pinned xxx0xx does not sound C3, the single note there, which lies beside it.",)
    with pytest.raises(BadValueError, match="in two shapes"):
        _read(pins=(Pin(parse_shape("8xxxxx"), bar=5), Pin(parse_shape("x3xxxx"), event_number=17)))


def test_a_pin_that_was_kept_holds_a_line_and_a_name_there_is_told_that_no_chord_is() -> None:
    pin = Pin(parse_shape("8xxxxx"), bar=5)
    assert not _read(pins=(pin,), kept=(pin,)).warnings
    with pytest.raises(BadValueError, match=r"only single notes are struck in bar 5 from beat 1 on"):
        _read(names=(Correction("name", "C", bar=5),))
