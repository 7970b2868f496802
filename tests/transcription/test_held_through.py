"""A stop that was heard and is none is taken back: the chord before is named where nothing is struck, and goes on."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from listen.document import parse_part, part_to_document
from listen.errors import BadValueError
from listen.evidence import PartEvidence, TimeSpan
from listen.export import render_chart
from listen.instrument import STANDARD
from listen.reading import Correction, Part
from listen.transcription import PartSettings
from listen.transcription.part import read_part_evidence
from tests.transcription.written_strokes import C, D, G, hear_bars

BARS = (*(C,) * 12, *(G,) * 4, *(D,) * 8, *(G,) * 8)  # bars 1 to 3 are C, bar 4 is G


def _name(place: str, value: str) -> Correction:
    bar, _, beat = place.partition(".")
    return Correction("name", value, bar=int(bar), beat=Fraction(beat))


def _read(*told: Correction, heard: PartEvidence, kept: tuple[Correction, ...] = ()) -> Part:
    settings = PartSettings(tuning=STANDARD, capo_fret=0, metre=(4, 4), corrections=(*told, *kept), kept=kept)
    return read_part_evidence(heard, settings=settings)


def _row(part: Part) -> str:
    rows = [line.partition("|")[2] for line in render_chart(part).splitlines() if line[:4].strip() in {"1", "5"}]
    return " ".join("|".join(rows).replace("|", " | ").split())


def _stop(first: int, last: int, played: tuple[tuple[int, ...], ...] = BARS) -> PartEvidence:
    """Leave strokes out, half a second each, and hear silence in place of them."""
    heard = hear_bars(played, lost=tuple(range(first, last)))
    return replace(heard, quiet=(TimeSpan(1.02 + 0.5 * first, 1.0 + 0.5 * last),))


@pytest.mark.parametrize(
    ("stop", "place", "before", "after"),
    [
        ((4, 8), "2.1", "C | N.C. | C | G", "C | % | % | G"),
        ((6, 8), "2.3", "C | C · N.C. · | C | G", "C | % | % | G"),
        ((4, 6), "2.1", "C | N.C. · C · | C | G", "C | % | % | G"),  # nothing is struck at 2.1, but in that bar
        ((6, 12), "3.1", "C | C · N.C. · | N.C. | G", "C | % | % | G"),  # it goes on from where it was struck
        ((14, 16), "4.3", "C | % | % | G · N.C. ·", "C | % | % | G"),
        ((4, 12), "2.1", "C | N.C. | % | G", "C | % | N.C. | G"),  # to the end of the bar that was told
    ],
)
def test_a_stop_that_is_none_is_given_back_to_the_chord_before(
    stop: tuple[int, int], place: str, before: str, after: str
) -> None:
    heard = _stop(*stop)
    plain = _read(heard=heard)
    assert _row(plain).startswith(before)
    chord = "G" if place.startswith("4") else "C"
    part = _read(_name(place, chord), heard=heard)
    assert _row(part).startswith(after)
    struck = {event.number: event.kind for event in plain.events if event.strokes}
    assert {event.number: event.kind for event in part.events if event.strokes} == struck, "no stroke is made up"
    assert sum(len(event.strokes) for event in part.events) == len(heard.strokes)
    again = parse_part(part_to_document(part), name="part.json")
    assert (_row(again), again.settled) == (_row(part), part.settled)


def test_what_was_struck_last_rings_on_through_a_stop_that_is_none() -> None:
    heard = _stop(4, 8)
    before, after = _read(heard=heard).events[3], _read(_name("2.1", "C"), heard=heard).events[3]
    assert before.notes[0].end_s < after.notes[0].end_s
    assert after.notes[0].end_s == pytest.approx(5.0)


def test_a_stop_that_was_taken_back_stays_so_when_it_is_heard_anew() -> None:
    kept = (_name("2.1", "C"),)
    part = _read(heard=_stop(4, 8), kept=kept)
    assert (_row(part).startswith("C | % | % | G"), part.settled.corrections, part.warnings) == (True, kept, ())
    louder = _read(heard=replace(_stop(4, 8), quiet=()), kept=kept)  # no stop is heard now
    assert (_row(louder), louder.warnings) == (_row(part), ())
    otherwise = _read(heard=_stop(4, 8), kept=(_name("2.1", "C7"),))
    assert _row(otherwise) == _row(part), "the chord is read a little otherwise, and the stop is none all the same"


def test_only_the_chord_before_goes_on_where_nothing_is_struck() -> None:
    with pytest.raises(BadValueError, match=r"2\.1=Am points to no chord: .*where only the chord before can go on"):
        _read(_name("2.1", "Am"), heard=_stop(4, 8))
    part = _read(_name("1.1", "F"), _name("2.1", "F"), heard=_stop(4, 8))  # it is called as was told
    assert _row(part).startswith("F | % | C | G")


def test_no_rest_that_a_person_told_is_taken_back_beside_it() -> None:
    with pytest.raises(BadValueError, match=r"2\.3=C points to no chord"):
        _read(_name("2.1", "N.C."), _name("2.3", "C"), heard=_stop(4, 8))
    part = _read(_name("2.1", "C"), _name("2.3", "N.C."), heard=_stop(4, 8))
    assert _row(part).startswith("C | C · N.C. · | C | G")


def test_a_name_of_a_chord_that_is_struck_after_a_stop_leaves_it() -> None:
    played = (*(C,) * 6, *(G,) * 10, *BARS[16:])
    part = _read(_name("2.1", "Em"), heard=_stop(4, 6, played))
    assert _row(part).startswith("C | N.C. · Em ·")


@pytest.mark.parametrize(
    ("stop", "told", "before", "after"),
    [
        ((12, 14), ("4.1=C",), "C | % | % | N.C. · G ·", "C | % | % | C · G · | | D"),
        ((10, 13), ("4.1=C",), "C | % | C · N.C. · | N.C. G · ·", "C | % | % | C G · · | | D"),
        ((16, 19), ("5.1=G",), "C | % | % | G | | N.C. · · D", "C | % | % | G | | G · · D | D"),
        ((18, 23), ("6.3=G", "6.1=D"), "C | % | % | G | | D · N.C. · | N.C. · · D", "C | % | % | G | | D | D · · G"),
        ((12, 14), ("1.1=F", "2.1=F", "3.1=F", "4.1=F"), "C | % | % | N.C. · G ·", "F | % | % | F · G · | | D"),
        ((12, 14), ("4.1=Em",), "C | % | % | N.C. · G ·", "C | % | % | N.C. · Em · | | D"),
        ((12, 14), ("4.3=C",), "C | % | % | N.C. · G ·", "C | % | % | N.C. · C · | | D"),
        ((4, 6), ("1.1=F", "2.1=F"), "C | N.C. · C · | C | G", "F | % | C | G"),  # struck again, it is called so, too
    ],
)
def test_another_chord_that_is_struck_after_a_stop_stays_as_it_is(
    stop: tuple[int, int], told: tuple[str, ...], before: str, after: str
) -> None:
    heard = _stop(*stop)
    assert _row(_read(heard=heard)).startswith(before)
    part = _read(*(_name(*one.split("=")) for one in told), heard=heard)
    assert (_row(part).startswith(after), part.warnings) == (True, ()), _row(part)
    assert sum(len(event.strokes) for event in part.events) == len(heard.strokes)


def test_a_chord_after_a_stop_goes_on_over_its_bar_as_one() -> None:
    """What is told before its stroke cuts it neither there nor at the end of that bar."""
    played = (*(C,) * 12, *(G,) * 8, *BARS[20:])
    part = _read(_name("4.1", "C"), heard=_stop(12, 14, played))
    assert [span.position.text for span in part.spans if span.position][:3] == ["1.1", "4.3", "6.1"]
