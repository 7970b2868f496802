"""No chord is told where nothing is struck: what rings there ends, a rest is written, the others stay."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from listen.document import parse_part, part_to_document
from listen.evidence import PartEvidence, TimeSpan
from listen.export import render_chart
from listen.instrument import STANDARD
from listen.reading import Correction, Part
from listen.transcription import PartSettings
from listen.transcription.part import read_part_evidence
from tests.transcription.written_strokes import C, G, hear_bars

BARS = (*(C,) * 12, *(G,) * 4)  # bars 1 to 3 are C, bar 4 is G; then once more


def _read(*places: str, heard: PartEvidence) -> Part:
    told = tuple(
        Correction("name", "N.C.", bar=int(place.partition(".")[0]), beat=Fraction(place.partition(".")[2]))
        for place in places
    )
    settings = PartSettings(tuning=STANDARD, capo_fret=0, metre=(4, 4), corrections=told)
    return read_part_evidence(heard, settings=settings)


def _row(part: Part) -> str:
    rows = [line.partition("|")[2] for line in render_chart(part).splitlines() if line[:4].strip() in {"1", "5"}]
    return " ".join("|".join(rows).replace("|", " | ").split())


def _silences(part: Part) -> list[tuple[float, float]]:
    return [
        (round(event.span.start_s, 2), round(event.span.end_s, 2)) for event in part.events if event.kind == "silence"
    ]


@pytest.mark.parametrize(
    ("place", "lost", "expected"),
    [
        ("2.3", (6, 7), "C | C · N.C. · | C | G"),
        ("2.1", (4, 5, 6, 7), "C | N.C. | C | G"),
        ("2.4", (7,), "C | C · · N.C. | C | G"),  # shorter than half a bar, but a person said so
        ("4.3", (14, 15), "C | % | % | G · N.C. ·"),
        ("2.3.5", (7,), "C | C · &N.C. · | C | G"),
    ],
)
def test_no_chord_told_where_nothing_is_struck_is_written_there(
    place: str, lost: tuple[int, ...], expected: str
) -> None:
    heard = hear_bars(BARS * 2, lost=lost)
    plain, part = _read(heard=heard), _read(place, heard=heard)
    assert _row(part).startswith(expected)
    assert [event.number for event in part.events if event.kind != "silence"] == [one.number for one in plain.events]
    (start_s, _) = _silences(part)[0]
    for span in part.spans:
        assert span.span.end_s <= start_s + 0.01 or span.span.start_s > start_s
    again = parse_part(part_to_document(part), name="part.json")
    assert [(event.number, event.kind) for event in again.events] == [(one.number, one.kind) for one in part.events]


def test_damped_strokes_hold_no_chord_where_a_person_said_so() -> None:
    heard = hear_bars(BARS * 2)
    hits = replace(
        heard,
        strokes=tuple(replace(one, is_hit=at in range(4, 8)) for at, one in enumerate(heard.strokes)),
        stretches=tuple(one for one in heard.stretches if one.first not in range(4, 8)),
    )
    assert "N.C." not in _row(_read(heard=hits))
    part = _read("2.1", heard=hits)
    assert _row(part).startswith("C | N.C. | C | G")
    assert _silences(part) == []


def test_a_damped_stroke_ahead_of_its_beat_begins_the_rest_that_was_told_there() -> None:
    heard = hear_bars(BARS * 2)
    hits = replace(
        heard,
        strokes=tuple(
            replace(one, is_hit=at in range(4, 8), onset_s=one.onset_s - 0.04 * (at == 4))
            for at, one in enumerate(heard.strokes)
        ),
        stretches=tuple(one for one in heard.stretches if one.first not in range(4, 8)),
    )
    part = _read("2.1", heard=hits)
    assert part.events[4].position is not None
    assert part.events[4].span.start_s < part.bars.lines_s[1]
    assert part.events[4].span_index is None


def test_a_name_by_event_goes_on_behind_a_rest_and_a_bar_that_was_told_otherwise() -> None:
    told = (
        Correction("name", "F", 1),
        Correction("name", "N.C.", bar=1, beat=Fraction(3)),
        Correction("name", "Am", bar=3, beat=Fraction(1)),
    )
    settings = PartSettings(tuning=STANDARD, capo_fret=0, metre=(4, 4), corrections=told)
    part = read_part_evidence(hear_bars((*(C,) * 20, *(G,) * 4), lost=(2, 3)), settings=settings)
    assert _row(part) == "F · N.C. · | F | Am | F | | F | G |"


def test_a_rest_that_was_heard_too_late_begins_where_it_is_told() -> None:
    heard = hear_bars(BARS * 2, lost=(4, 5, 6, 7))
    line_s = _read(heard=heard).bars.lines_s
    quiet = replace(heard, quiet=(TimeSpan(line_s[1] + 0.8, line_s[2]),))
    assert _row(_read(heard=quiet)).startswith("C | C · N.C. · | C | G")
    assert _row(_read("2.1", heard=quiet)).startswith("C | N.C. | C | G")
    early = replace(heard, quiet=(TimeSpan(line_s[1] + 0.02, line_s[2]),))
    assert _row(_read("2.3", heard=early)) == _row(_read(heard=early)), "it holds there already"
