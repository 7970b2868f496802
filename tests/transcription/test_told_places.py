"""Names and shapes that a person told by bar and beat hold there, and bars that are told nothing keep what they had."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from listen.document import parse_part, part_to_document
from listen.errors import BadValueError
from listen.evidence import PartEvidence
from listen.instrument import STANDARD, parse_shape
from listen.reading import ChordSpan, Correction, GridPosition, Part, Pin
from listen.transcription import PartSettings
from listen.transcription.part import read_part_evidence
from tests.transcription.written_strokes import AM, G_OVER_B, C, D, G, hear_bars

FOUR_BARS = (*(C,) * 12, *(G,) * 4)  # bars 1 to 3 are C, bar 4 is G; then once more
SUS = (50, 57, 62, 67)


def _name(place: str, symbol: str) -> Correction:
    bar, _, beat = place.partition(".")
    return Correction("name", symbol, bar=int(bar), beat=Fraction(beat))


def _read(
    corrections: tuple[Correction, ...] = (),
    *,
    pins: tuple[Pin, ...] = (),
    heard: PartEvidence | None = None,
    is_whole: bool = True,
) -> Part:
    settings = PartSettings(tuning=STANDARD, capo_fret=0, metre=(4, 4), pins=pins, corrections=corrections)
    return read_part_evidence(
        hear_bars(FOUR_BARS * 2) if heard is None else heard, settings=settings, is_whole=is_whole
    )


def _text(span: ChordSpan) -> str:
    assert span.position is not None
    name = "" if span.name is None else span.name.text
    return f"{span.position.bar}.{float(span.position.beat):g} {name}"


def _texts(part: Part) -> list[str]:
    return [_text(span) for span in part.spans]


HEARD = ["1.1 C", "4.1 G", "5.1 C", "8.1 G"]


def test_a_name_told_for_a_bar_is_in_that_bar_and_in_no_other() -> None:
    assert _texts(_read()) == HEARD
    told = _read((_name("2.1", "Cadd9"),))
    assert _texts(told) == ["1.1 C", "2.1 Cadd9", "3.1 C", *HEARD[1:]]
    shapes = [span.shape.shape.text for span in told.spans[:3] if span.shape is not None]
    assert shapes == ["x32010", "x32030", "x32010"]
    assert [event.number for event in told.events] == [event.number for event in _read().events]
    ends = [span.span.end_s for span in told.spans[:3]]
    assert ends == [span.span.start_s for span in told.spans[1:4]]


@pytest.mark.parametrize(
    ("place", "found"),
    [
        ("2.3", ["1.1 C", "2.3 Cadd9", "3.1 C", *HEARD[1:]]),
        ("4.3", ["1.1 C", "4.1 G", "4.3 Cadd9", *HEARD[2:]]),
        ("8.1", [*HEARD[:3], "8.1 Cadd9"]),
        ("3.2", ["1.1 C", "3.2 Cadd9", *HEARD[1:]]),
    ],
)
def test_a_name_told_for_a_beat_holds_from_it_to_the_next_change_or_the_end_of_the_bar(
    place: str, found: list[str]
) -> None:
    assert _texts(_read((_name(place, "Cadd9"),))) == found


def test_two_places_of_one_chord_hold_two_names_and_no_chord() -> None:
    assert _texts(_read((_name("2.1", "Am"), _name("2.3", "F")))) == ["1.1 C", "2.1 Am", "2.3 F", "3.1 C", *HEARD[1:]]
    silent = _read((_name("2.1", "N.C."), _name("1.1", "C")))
    assert _texts(silent) == ["1.1 C", "3.1 C", *HEARD[1:]]
    assert [event.span_index for event in silent.events[:12]] == [0] * 4 + [None] * 4 + [1] * 4


def test_a_change_that_was_heard_on_the_wrong_beat_is_moved_by_the_names_of_both_beats() -> None:
    played = (D, SUS, SUS, SUS, *(D,) * 4, *(G,) * 4, D, D, SUS, SUS, *(D,) * 4, *(G,) * 4)
    assert _texts(_read(heard=hear_bars(played)))[:3] == ["1.1 D", "1.2 Dsus4", "2.1 D"]
    told = _read((_name("1.2", "D"), _name("1.3", "Dsus4")), heard=hear_bars(played))
    assert _texts(told)[:3] == ["1.1 D", "1.3 Dsus4", "2.1 D"]
    assert [span.shape.shape.text for span in told.spans[:2] if span.shape is not None] == ["xx0232", "xx0233"]
    earlier = _read((_name("4.2", "Dsus4"),), heard=hear_bars(played))
    assert _texts(earlier)[4:6] == ["4.1 D", "4.2 Dsus4"]
    assert _texts(earlier)[6] == "5.1 D"


def test_a_pin_holds_its_bar_and_says_so() -> None:
    pin = Pin(parse_shape("x35553"), bar=2)
    part = _read(pins=(pin,))
    assert [(_text(span), span.pinned) for span in part.spans[:3]] == [
        ("1.1 C", False), ("2.1 C", True), ("3.1 C", False),
    ]  # fmt: skip
    wrong = _read(pins=(Pin(parse_shape("x32033"), bar=2),)).spans
    assert [bool(span.remark) for span in wrong[:3]] == [False, True, False]
    two = (Pin(parse_shape("x35553"), bar=2, beat=Fraction(2)), Pin(parse_shape("x32010"), bar=2, beat=Fraction(3)))
    assert [_text(span) for span in _read(pins=two).spans if span.pinned] == ["2.2 C", "2.3 C"]


def test_a_name_by_event_goes_on_behind_a_bar_that_was_told_otherwise() -> None:
    by_event, by_bar = Correction("name", "F", 1), _name("2.1", "Am")
    assert _texts(_read((by_event, by_bar)))[:3] == ["1.1 F", "2.1 Am", "3.1 F"]
    assert _texts(_read((by_event, _name("1.1", "Am"))))[:2] == ["1.1 Am", "2.1 F"]
    assert _texts(_read((by_bar, Correction("name", "F", 5))))[:3] == ["1.1 C", "2.1 F", "3.1 C"]
    assert _texts(_read((by_bar, Correction("name", "F", 9))))[:3] == ["1.1 C", "2.1 Am", "3.1 F"]
    assert _texts(_read((Correction("name", "N.C.", 1), _name("1.1", "C"))))[0] == "1.1 C"
    pinned = _read((by_bar,), pins=(Pin(parse_shape("x35553"), event_number=1),))
    assert [span.pinned for span in pinned.spans[:3]] == [True, False, True]


def test_a_place_before_the_first_stroke_of_a_bar_means_that_stroke() -> None:
    part = _read((_name("2.1", "Am"),), heard=hear_bars(FOUR_BARS * 2, lost=(4,)))
    assert _texts(part)[:3] == ["1.1 C", "2.1 Am", "3.1 C"]
    assert part.events[part.spans[1].first_event].position.text == "2.2"  # type: ignore[union-attr]


def test_a_chord_struck_ahead_of_its_beat_is_the_one_of_that_beat() -> None:
    """Am comes an eighth before bar 3, and nothing is struck on its first beat."""
    played = [*(C,) * 16, *(AM,) * 16, *(G_OVER_B,) * 16, *(C,) * 16]
    played[15] = AM
    part = _read((_name("3.1", "F"),), heard=hear_bars(tuple(played), lost=(16,)))
    assert _texts(part)[:3] == ["1.1 C", "2.4.5 F", "4.1 Am"]


def test_strokes_that_were_heard_as_one_are_told_apart() -> None:
    assert _texts(_read((_name("2.3", "Am"),), heard=hear_bars(FOUR_BARS * 2, joined=4))) == [
        "1.1 C",
        "2.3 Am",
        "3.1 C",
        *HEARD[1:],
    ]


@pytest.mark.parametrize(
    ("place", "lost", "said"),
    [
        ("99.1", (), "in bars 1 to 8 of 4 beats"),
        ("0.1", (), "in bars 1 to 8 of 4 beats"),
        ("1.9", (), "in bars 1 to 8 of 4 beats"),
        ("2.3", (6, 7), "none is struck in bar 2 from beat 3 on"),
    ],
)
def test_a_place_at_which_no_chord_is_struck_is_one_sentence(place: str, lost: tuple[int, ...], said: str) -> None:
    with pytest.raises(BadValueError, match=rf"The name {place}=D points to no chord: .*{said}"):
        _read((_name(place, "D"),), heard=hear_bars(FOUR_BARS * 2, lost=lost))


def test_two_names_for_one_stroke_may_not_be_told() -> None:
    with pytest.raises(BadValueError, match=r"The names 2\.1=Am and 2\.2=F are for the same chord"):
        _read((_name("2.1", "Am"), _name("2.2", "F")), heard=hear_bars(FOUR_BARS * 2, lost=(4,)))


def test_what_lies_beyond_what_was_read_is_kept() -> None:
    told = (_name("99.1", "D"),)
    part = _read(told, is_whole=False)
    assert (_texts(part), part.settled.corrections) == (HEARD, told)
    assert part.warnings == ("The name 99.1=D lies beyond what was read: it is kept, and holds when the rest is read.",)


def test_a_pin_where_a_chord_only_rings_on_holds_that_chord() -> None:
    part = _read(
        pins=(Pin(parse_shape("x35553"), bar=2, beat=Fraction(3)),), heard=hear_bars(FOUR_BARS * 2, lost=(6, 7))
    )
    assert [_text(span) for span in part.spans if span.pinned] == ["2.2 C"]


def test_words_by_number_hold_the_same_chord_whatever_else_is_told() -> None:
    """A bar that is picked is one event: a place in its middle parts it, and the events behind keep their numbers."""
    in_c, in_g = (48, 52, 55, 60, 55, 52, 55, 60), (43, 50, 55, 59, 55, 50, 55, 59)
    picked = hear_bars(tuple((midi,) for midi in (in_c * 3 + in_g) * 2))
    heard = replace(picked, stretches=tuple(replace(one, is_picked=True) for one in picked.stretches))
    assert [event.number for event in _read(heard=heard).events] == [1, 2, 3, 4, 5, 6, 7, 8]
    by_number, at_place = Correction("name", "F", 4), _name("2.3", "Am")
    told = _read((by_number, at_place), heard=heard)
    assert _texts(told)[:4] == ["1.1 C", "2.3 Am", "3.1 C", "4.1 F"]
    numbers = [event.number for event in told.events]
    assert [*numbers[:2], *numbers[3:]] == [1, 2, 3, 4, 5, 6, 7, 8]
    assert [told.events[span.first_event].number for span in told.spans[:4]] == [1, numbers[2], 3, 4]
    parted = Correction("name", "Dm", numbers[2])
    both = _read((_name("1.3", "G"), at_place, parted), heard=heard)
    assert _texts(both)[:4] == ["1.1 C", "1.3 G", "2.1 C", "2.3 Dm"]
    pin = Pin(parse_shape("355433"), event_number=4)
    pinned = _read((at_place,), pins=(pin,), heard=heard)
    assert [_text(span) for span in pinned.spans if span.pinned] == ["4.1 G"]
    assert parse_part(part_to_document(told), name="part.json").events[2].number == numbers[2]


def test_a_place_means_the_chord_that_sounds_there_and_not_one_struck_before_it() -> None:
    """G comes an eighth before bar 4, nothing is struck on its first beat, and the rest of the bar is Am."""
    played = tuple(G if at % 32 == 23 else AM if at % 32 > 23 else C for at in range(64))
    heard = hear_bars(played, lost=tuple(at for at in range(64) if at % 8 in (1, 3, 5) or at % 32 == 24))
    assert _texts(_read(heard=heard))[:3] == ["1.1 C", "3.4.5 G", "4.1 Am"]
    assert _texts(_read((_name("4.1", "Em"),), heard=heard))[:3] == ["1.1 C", "3.4.5 G", "4.1 Em"]
    pinned = _read(pins=(Pin(parse_shape("577555"), bar=4),), heard=heard)
    assert [_text(span) for span in pinned.spans if span.pinned] == ["4.1 Am"]


def test_a_bar_that_was_told_cuts_no_chord_that_begins_ahead_of_the_next_one() -> None:
    played = [*(C,) * 16, *(AM,) * 16, *(G_OVER_B,) * 16, *(C,) * 16]
    played[15] = AM
    part = _read((_name("2.1", "G"), _name("3.1", "F")), heard=hear_bars(tuple(played), lost=(16,)))
    assert _texts(part)[:4] == ["1.1 C", "2.1 G", "2.4.5 F", "4.1 Am"]


def test_a_pin_in_a_bar_in_which_nothing_is_struck_holds_the_chord_that_rings_there() -> None:
    heard = hear_bars(FOUR_BARS * 2, lost=(4, 5, 6, 7))
    part = _read(pins=(Pin(parse_shape("x35553"), bar=2),), heard=heard)
    assert [(_text(span), span.pinned) for span in part.spans[:2]] == [("1.1 C", False), ("1.4 C", True)]
    with pytest.raises(BadValueError, match=r"The name 2\.1=D points to no chord"):
        _read((_name("2.1", "D"),), heard=heard)


def test_what_was_kept_from_an_earlier_reading_and_points_to_no_chord_is_said() -> None:
    pin, name = Pin(parse_shape("x35553"), bar=99), _name("2.1", "D")
    settings = PartSettings(tuning=STANDARD, capo_fret=0, metre=(4, 4), pins=(pin,), corrections=(name,))
    heard = hear_bars(FOUR_BARS * 2, lost=(4, 5, 6, 7))
    part = read_part_evidence(heard, settings=replace(settings, kept=(pin, name)))
    assert (_texts(part), part.settled.pins, part.settled.corrections) == (HEARD, (pin,), (name,))
    assert part.warnings == (
        "The pin 99.1=x35553 that was kept points to no chord of this reading: it stays, and holds nothing.",
        "The name 2.1=D that was kept points to no chord of this reading: it stays, and holds nothing.",
    )
    with pytest.raises(BadValueError, match=r"The pin 99\.1=x35553 points to no chord"):
        read_part_evidence(heard, settings=replace(settings, kept=(name,)))


@pytest.mark.parametrize("pins", [(), (Pin(parse_shape("320001"), bar=2, beat=Fraction("4.5")),)])
def test_a_short_stroke_that_is_named_or_pinned_is_a_chord_and_not_brushed_in_passing(pins: tuple[Pin, ...]) -> None:
    """A G7 told for the last eighth before the change vanished from the chart without a word."""
    bars = (*(C,) * 15, (55, 59, 67), *(G,) * 16)
    told = _read(() if pins else (_name("2.4.5", "G7"),), pins=pins, heard=hear_bars(bars * 2))
    spans = [span for span in told.spans if span.position == GridPosition(2, 42)]
    assert [span.marks for span in spans] == [()]
