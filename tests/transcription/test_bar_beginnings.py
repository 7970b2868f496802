"""Chords whose first stroke comes after the bar line, in parts whose evidence is written by hand."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from listen.evidence import PartEvidence, TimeSpan
from listen.export.bar_text import bar_content
from listen.export.bars import lay_bars
from listen.export.held_names import HeldNames
from listen.instrument import STANDARD, parse_shape
from listen.reading import Part, Pin
from listen.transcription import PartSettings
from listen.transcription.part import read_part_evidence
from tests.transcription.written_strokes import AM, C, F, G, hear_bars, hear_strokes

BEAT_S = 0.5
LOST_FROM_G = 8  # the first beat of bar 3


def _read(
    *,
    quiet: tuple[TimeSpan, ...] = (),
    pins: tuple[Pin, ...] = (),
    lost: tuple[float, ...] = (LOST_FROM_G,),
    a_beat: int = 1,
    chords: tuple[tuple[int, ...], ...] = (C, AM, G) * 2,
) -> Part:
    """Read bars of so many strokes a beat, C, A minor, G twice or others, without the strokes that are lost."""
    held = [chord for chord in chords for _ in range(4 * a_beat)]
    played = [(place / a_beat, chord) for place, chord in enumerate(held) if place / a_beat not in lost]
    stretches, strokes = hear_strokes(tuple(midis for _, midis in played))
    ends = [*(place for place, _ in played[1:]), played[-1][0] + 1.0]
    for number, ((place, _), end) in enumerate(zip(played, ends, strict=True)):
        span = TimeSpan(1.0 + BEAT_S * place, 1.0 + BEAT_S * end)
        low_share = 1.0 if place % 4 == 0 else 0.5
        stretches[number] = replace(stretches[number], span=span)
        strokes[number] = replace(strokes[number], onset_s=span.start_s, low_share=low_share)
    heard_part = PartEvidence(TimeSpan(0.0, 14.0), tuple(strokes), tuple(stretches), quiet=quiet)
    return read_part_evidence(heard_part, settings=PartSettings(tuning=STANDARD, capo_fret=0, pins=pins))


def test_a_chord_whose_first_beat_was_not_heard_begins_with_the_bar() -> None:
    part = _read()
    before, moved = part.spans[1:3]
    assert moved.name is not None
    assert moved.name.text == "G"
    assert moved.span.start_s == before.span.end_s == pytest.approx(1.0 + BEAT_S * LOST_FROM_G, abs=0.05)
    assert moved.position is not None
    assert (moved.position.bar, moved.position.step) == (3, 0)
    assert moved.marks == ()
    event = part.events[moved.first_event]
    assert event.span.start_s == pytest.approx(1.0 + BEAT_S * (LOST_FROM_G + 1), abs=0.05), "no stroke is made up"


def test_what_begins_with_the_bar_is_not_pushed_though_its_first_stroke_lies_off_the_beat() -> None:
    moved = _read(lost=(LOST_FROM_G, LOST_FROM_G + 1), a_beat=2).spans[2]
    assert moved.position is not None
    assert (moved.position.step, moved.marks) == (0, ())


def test_a_chord_that_begins_late_in_the_bar_stays_there() -> None:
    moved = _read(lost=(8, 9, 10)).spans[2]
    assert moved.span.start_s == pytest.approx(1.0 + BEAT_S * (LOST_FROM_G + 3), abs=0.05)


def test_a_chord_after_a_rest_begins_with_its_stroke() -> None:
    rest = TimeSpan(1.0 + BEAT_S * 7.2, 1.0 + BEAT_S * 9)
    moved = _read(quiet=(rest,)).spans[2]
    assert moved.span.start_s == pytest.approx(1.0 + BEAT_S * (LOST_FROM_G + 1), abs=0.05)


@pytest.mark.parametrize("beat", [1, 2])
def test_a_pin_holds_the_chord_from_the_bar_line_that_it_begins_at(beat: int) -> None:
    pin = Pin(parse_shape("355433"), bar=3, beat=Fraction(beat))
    assert [span.pinned for span in _read(pins=(pin,)).spans[:4]] == [False, False, True, False]


def test_a_chord_that_ends_on_the_next_beat_is_not_pushed_onto_it() -> None:
    """A minor half a beat before the bar line at which G begins: it is not lost under it."""
    part = _read(lost=tuple(4.0 + 0.5 * place for place in range(7)), a_beat=2)
    assert [span.marks for span in part.spans[:3]] == [(), (), ()]
    assert bar_content(lay_bars(part).written[1], HeldNames(part)) == ((0, "C"), (42, "Am"))


def test_a_part_begins_with_no_change_that_comes_early() -> None:
    """C off the beat before bar 1 goes on through it: it is written in its pickup."""
    part = _read(chords=(C, C, AM, G, C, AM), lost=tuple(0.5 * place for place in range(7)), a_beat=2)
    assert part.bars.first_bar == 0
    assert part.spans[0].marks == ()
    assert bar_content(lay_bars(part).written[0], HeldNames(part)) == ((0, "C"),)


@pytest.mark.parametrize(
    ("first", "lost", "marks"),
    [(23, (), ("pushed",)), (23, (24,), ("pushed",)), (27, (), ()), (27, (28,), ("pushed",))],
)
def test_a_chord_comes_early_over_a_bar_line_or_where_its_beat_is_not_struck(
    first: int, lost: tuple[int, ...], marks: tuple[str, ...]
) -> None:
    """In eighths: G from the last of bar 3 on, or from the fourth of bar 4 on."""
    played = [chord for chord in (C, AM, F, G) * 2 for _ in range(8)]
    played[23:first] = [F] * (first - 23)
    played[first:32] = [G] * (32 - first)
    settings = PartSettings(capo_fret=0, metre=(4, 4), tempo_bpm=120.0, bar_one_s=1.0)
    early = read_part_evidence(hear_bars(tuple(played), lost=lost), settings=settings).spans[3]
    assert early.position is not None
    assert early.position.step % 12 == 6
    assert early.marks == marks


def test_a_chord_that_is_struck_again_after_a_stop_is_no_new_one_that_tells_a_bar_line() -> None:
    """Chops on two and four at 75 beats a minute, damped after a third of a second; each chord for two bars."""
    played = [chord for chord in (C, G, AM, F) for _ in range(4)]
    onsets_s = [1.0 + 0.8 * (4 * bar + beat) for bar in range(8) for beat in (1, 3)]
    ends_s = [*onsets_s[1:], onsets_s[-1] + 0.8]
    stretches, strokes = hear_strokes(tuple(played))
    spans = [TimeSpan(*span) for span in zip(onsets_s, ends_s, strict=True)]
    heard = PartEvidence(
        TimeSpan(0.0, ends_s[-1]),
        tuple(replace(one, onset_s=span.start_s) for one, span in zip(strokes, spans, strict=True)),
        tuple(replace(one, span=span) for one, span in zip(stretches, spans, strict=True)),
        quiet=tuple(TimeSpan(span.start_s + 0.3, span.end_s) for span in spans),
    )
    metre = read_part_evidence(heard).bars.metre
    assert metre is not None
    assert metre.tempo_bpm == pytest.approx(75.0, abs=0.5)
