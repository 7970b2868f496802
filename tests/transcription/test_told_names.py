"""A chord that a person names is held as players hold it, with its own bass lowest."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.errors import BadValueError
from listen.evidence import PartEvidence, TimeSpan
from listen.instrument import STANDARD, Fretboard, parse_shape, parse_tuning
from listen.reading import Correction, Part, Pin
from listen.transcription import PartSettings
from listen.transcription.part import read_part_evidence
from tests.transcription.written_strokes import AM, C, F, G, hear_strokes

DM = (50, 57, 62, 65)
SETTINGS = PartSettings(tuning=STANDARD, capo_fret=0)


@pytest.mark.parametrize(
    ("symbol", "shape"),
    [
        ("G", "320003"),
        ("Am", "x02210"),
        ("D", "xx0232"),
        ("E", "022100"),
        ("F", "133211"),
        ("Cmaj7", "x32000"),
        ("C7", "x32310"),
        ("E7/G#", "420100"),
        ("F#m", "244222"),
    ],
)
def test_a_chord_heard_as_another_gets_the_usual_shape_of_its_name(symbol: str, shape: str) -> None:
    """Usual shapes: common practice, no source."""
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4 + (F,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    told = replace(SETTINGS, corrections=(Correction("name", symbol, 1),))
    span = read_part_evidence(heard, settings=told).spans[0]
    assert span.name is not None
    assert span.name.text == symbol
    assert span.shape is not None
    assert span.shape.shape.text == shape


@pytest.mark.parametrize(("symbol", "shape"), [("Bdim", "x2343x"), ("F", "133211"), ("C9", "x3233x")])
def test_another_chord_than_was_heard_is_not_chosen_by_the_strings_that_it_shares(symbol: str, shape: str) -> None:
    """Bdim told of G was x20x01, since D3 and B2 are in both."""
    stretches, strokes = hear_strokes((G,) * 4 + (C,) * 4 + (AM,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    told = replace(SETTINGS, corrections=(Correction("name", symbol, 1),))
    span = read_part_evidence(heard, settings=told).spans[0]
    assert span.shape is not None
    assert span.shape.shape.text == shape


def test_a_chord_heard_over_another_bass_gets_a_shape_with_its_own_bass_lowest() -> None:
    """Heard as C/E, told to be C: 032010 stayed, and x32010 of the other bars was listed no more."""
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4 + ((40, *C),) * 8)
    heard = PartEvidence(TimeSpan(0.0, 8.5), tuple(strokes), tuple(stretches))
    plain = read_part_evidence(heard, settings=SETTINGS)
    last = plain.spans[-1]
    assert last.name is not None
    assert last.name.text == "C/E"
    told = replace(SETTINGS, corrections=(Correction("name", "C", plain.events[last.first_event].number),))
    held = read_part_evidence(heard, settings=told).spans[-1].shape
    assert held is not None
    assert held.shape.text == "x32010"


@pytest.mark.parametrize(
    ("played", "symbol", "shape", "said"),
    [
        (DM, "Dm/A", "x00231", "Dm/A is written as x00231, which adds what was not heard (A2)."),
        (C, "C/E", "032010", "C/E is written as 032010, which adds what was not heard (E2)."),
        (AM, "Am/C", "x32210", "Am/C is written as x32210, which leaves out what was heard (A2), and adds"),
    ],
)
def test_a_chord_that_is_told_over_another_bass_keeps_what_was_heard_or_says_what_it_leaves_out(
    played: tuple[int, ...], symbol: str, shape: str, said: str
) -> None:
    """Dm/A was xxx231 and C/E was xx2010: D3 and C3, which were heard, were gone without a word."""
    stretches, strokes = hear_strokes((played,) * 4 + (G,) * 4 + (F,) * 4)
    for stretch in stretches[:4]:
        stretch.log_odds[min(played)] = 0.6  # so that shapes without it are read, too
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    span = read_part_evidence(heard, settings=replace(SETTINGS, corrections=(Correction("name", symbol, 1),))).spans[0]
    assert span.shape is not None
    assert span.shape.shape.text == shape
    assert said in span.remark


@pytest.mark.parametrize(
    ("frets", "symbol", "capo_fret", "said"),
    [
        ("x32010", "G", 0, "The pinned x32010 sounds C (C3 E3 G3 C4 E4), but you call it G."),
        ("x32010", "G", 2, "The pinned x32010 sounds D (D3 F#3 A3 D4 F#4), but you call it G (it sounds A)."),
        ("x20003", "G", 0, "The pinned x20003 has B2 in the bass, but you call it G, which has G there."),
        ("320003", "G/B", 0, "The pinned 320003 has G2 in the bass, but you call it G/B, which has B there."),
        (
            "x20003",
            "G",
            2,
            "The pinned x20003 has C#3 in the bass, but you call it G (it sounds A), which has A there.",
        ),
        ("x02010", "Am7", 0, ""),
        ("x20003", "G/B", 0, ""),
        ("x32010", "C", 0, ""),
    ],
)
def test_a_pinned_shape_that_is_not_what_it_is_called_is_said(
    frets: str, symbol: str, capo_fret: int, said: str
) -> None:
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4 + (F,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    told = replace(SETTINGS, capo_fret=capo_fret, corrections=(Correction("name", symbol, 1),))
    span = read_part_evidence(heard, settings=replace(told, pins=(Pin(parse_shape(frets), 1),))).spans[0]
    assert (said in span.remark) if said else ("you call it" not in span.remark)


def test_a_pinned_shape_of_a_ukulele_is_called_by_any_of_its_notes() -> None:
    """What sounds lowest is nobody's bass there: 0232 is G over D, and G to those who play it."""
    stretches, strokes = hear_strokes(((67, 62, 71),) * 4 + ((69, 60, 64),) * 4)
    heard = PartEvidence(TimeSpan(0.0, 5.0), tuple(strokes), tuple(stretches))
    tuning = parse_tuning("ukulele")
    pins = (Pin(parse_shape("0232", fretboard=Fretboard(tuning)), 1),)
    told = PartSettings(tuning=tuning, capo_fret=0, pins=pins, corrections=(Correction("name", "G", 1),))
    span = read_part_evidence(heard, settings=told).spans[0]
    assert span.pinned
    assert "in the bass" not in span.remark


def test_where_a_person_says_that_no_chord_sounds_none_is_held() -> None:
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4 + (F,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    plain = read_part_evidence(heard, settings=SETTINGS)
    number = plain.events[plain.spans[1].first_event].number
    told = replace(SETTINGS, corrections=(Correction("name", "N.C.", number),))
    part = read_part_evidence(heard, settings=told)
    assert [span.name.text for span in part.spans if span.name is not None] == ["C", "F"]
    silenced = [event for event in part.events if event.span_index is None]
    assert len(silenced) == 4
    assert {stroke.kind for event in silenced for stroke in event.strokes} == {"muted"}
    assert [event.number for event in part.events] == [event.number for event in plain.events]
    back = replace(SETTINGS, corrections=(Correction("name", "Em", number),))
    assert read_part_evidence(heard, settings=back).spans[1].name.text == "Em"  # type: ignore[union-attr]


def test_a_chord_that_is_none_keeps_its_place_for_pins_and_later_names() -> None:
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4 + (F,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    silent = Correction("name", "N.C.", 5)
    pinned = replace(SETTINGS, pins=(Pin(parse_shape("320033"), event_number=5),), corrections=(silent,))
    names = [span.name.text for span in read_part_evidence(heard, settings=pinned).spans if span.name is not None]
    assert names == ["C", "F"]
    back = replace(SETTINGS, corrections=(silent, Correction("name", "Em", 6)))
    names = [span.name.text for span in read_part_evidence(heard, settings=back).spans if span.name is not None]
    assert names == ["C", "Em", "F"]
    with pytest.raises(BadValueError, match=r"name=99=N\.C\. is not possible"):
        read_part_evidence(heard, settings=replace(SETTINGS, corrections=(Correction("name", "N.C.", 99),)))


@pytest.mark.parametrize(("symbol", "shape"), [("G", "0232"), ("F", "2010"), ("C", "0003")])
def test_on_a_ukulele_a_named_chord_is_held_as_its_players_hold_it(symbol: str, shape: str) -> None:
    """Usual shapes: common practice, no source. The lowest note is nobody's bass there."""
    stretches, strokes = hear_strokes(((69, 60, 64),) * 4 + ((67, 62, 71),) * 4)
    heard = PartEvidence(TimeSpan(0.0, 5.0), tuple(strokes), tuple(stretches))
    told = PartSettings(tuning=parse_tuning("ukulele"), corrections=(Correction("name", symbol, 1),))
    span = read_part_evidence(heard, settings=told).spans[0]
    assert span.shape is not None
    assert span.shape.shape.text == shape


def _list_written(part: Part) -> list[set[tuple[int, ...]]]:
    """List the frets of the strokes of each chord, low string first, a string that is not struck as -1."""
    rows: list[set[tuple[int, ...]]] = [set() for _ in part.spans]
    for event in part.events:
        for stroke in event.strokes:
            frets = [-1] * 6
            for note in stroke.notes:
                if note.string_index is not None and note.fret is not None:
                    frets[note.string_index] = note.fret
            if event.span_index is not None:
                rows[event.span_index].add(tuple(frets))
    return rows


@pytest.mark.parametrize(
    ("symbol", "shape", "frets", "said"),
    [
        (
            "F#",
            "244322",
            (2, 4, 4, 3, 2, 2),
            (
                "F# is written as 244322, which leaves out what was heard (C3 E3 G3 C4 E4), "
                "and adds what was not heard (F#2 C#3 F#3 A#3 C#4 F#4)."
            ),
        ),
        ("Am", "x02210", (-1, 0, 2, 2, 1, 0), "Am is written as x02210, which leaves out"),
        ("C", "x32010", (-1, 3, 2, 0, 1, 0), ""),
    ],
)
def test_strums_of_a_chord_that_is_named_otherwise_are_written_as_its_shape(
    symbol: str, shape: str, frets: tuple[int, ...], said: str
) -> None:
    """The chart said F# over an empty bar of tablature: what was heard is not on its shape."""
    stretches, strokes = hear_strokes((C,) * 4 + (G,) * 4 + (F,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    part = read_part_evidence(heard, settings=replace(SETTINGS, corrections=(Correction("name", symbol, 1),)))
    span = part.spans[0]
    assert span.shape is not None
    assert span.shape.shape.text == shape
    assert _list_written(part) == [{frets}, {(3, 2, 0, 0, 0, 3)}, {(1, 3, 3, 2, 1, 1)}]
    assert span.remark.startswith(said) if said else not span.remark


def test_strums_that_are_named_as_the_chord_beside_them_are_written_as_its_shape() -> None:
    """The chord beside keeps its shapes, and what was heard before it has few notes on them."""
    stretches, strokes = hear_strokes((F,) * 4 + (C,) * 4 + (G,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    plain = read_part_evidence(heard, settings=SETTINGS)
    bar = plain.spans[1].position
    assert bar is not None
    told = replace(SETTINGS, corrections=(Correction("name", "G", bar=bar.bar),))
    part = read_part_evidence(heard, settings=told)
    assert [span.name.text for span in part.spans if span.name is not None] == ["F", "G"]
    assert _list_written(part)[1] == {(3, 2, 0, 0, 0, 3)}


def test_strums_that_are_named_as_the_chord_before_them_are_written_as_its_shape() -> None:
    stretches, strokes = hear_strokes((F,) * 4 + (C,) * 4 + (G,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    bar = read_part_evidence(heard, settings=SETTINGS).spans[1].position
    assert bar is not None
    told = replace(SETTINGS, corrections=(Correction("name", "F", bar=bar.bar),))
    part = read_part_evidence(heard, settings=told)
    assert [span.name.text for span in part.spans if span.name is not None] == ["F", "G"]
    assert _list_written(part)[0] == {(1, 3, 3, 2, 1, 1)}


def _pick_bars(bars: tuple[tuple[int, ...], ...]) -> PartEvidence:
    """Hear strings that are picked one after another."""
    stretches, strokes = hear_strokes(tuple((midi,) for midis in bars for midi in midis))
    picked = tuple(replace(one, is_picked=True) for one in stretches)
    return PartEvidence(TimeSpan(0.0, 0.5 * len(picked) + 0.5), tuple(strokes), picked)


PICKED_G = (43, 50, 59, 67)


def test_a_picked_chord_that_is_named_is_held_whole_and_strings_that_fingers_skip_are_no_contradiction() -> None:
    """The second string and E3 are skipped: x32210 is heard, and told to be C it was x3x010 and left A3 out."""
    heard = _pick_bars(((45, 52, 57, 60), PICKED_G, (48, 57, 60, 64), PICKED_G))
    told = replace(SETTINGS, corrections=(Correction("name", "C", 3),))
    span = next(span for span in read_part_evidence(heard, settings=told).spans if span.first_event == 2)
    assert span.shape is not None
    assert span.shape.shape.text == "x32010"
    assert "adds" not in span.remark


def test_a_pinned_shape_is_preferred_where_its_chord_comes_back() -> None:
    heard = hear_strokes((AM,) * 4 + (C,) * 4 + (AM,) * 4 + (G,) * 4)
    part = PartEvidence(TimeSpan(0.0, 8.5), tuple(heard[1]), tuple(heard[0]))
    free = read_part_evidence(part, settings=SETTINGS)
    high = parse_shape("577555")
    pinned = read_part_evidence(part, settings=replace(SETTINGS, pins=(Pin(high, 1),)))
    shapes = [[span.shape.shape for span in one.spans if span.shape] for one in (free, pinned)]
    assert shapes[0][2] != high
    assert shapes[1][2] == high
