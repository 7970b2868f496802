"""Changes of chords that begin where something was told by bar and beat: they stay in that place."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from listen.errors import BadValueError
from listen.evidence import PartEvidence, TimeSpan
from listen.export import render_bar_fragment, render_chart
from listen.instrument import STANDARD, parse_shape
from listen.reading import Correction, Part, Pin
from listen.request import AskedChange
from listen.request.changes import take_step
from listen.request.history import History, Step, document_to_history, history_to_document
from listen.request.told_events import is_held_on
from listen.transcription import PartSettings
from listen.transcription.part import read_part_evidence
from tests.transcription.written_strokes import AM, G_OVER_B, C, D, G, hear_bars

SUS = (50, 57, 62, 67)
RUN_OF_C = (*(C,) * 12, *(G,) * 4) * 2


def _hear_stop(played: tuple[tuple[int, ...], ...]) -> PartEvidence:
    """Leave bar 2 out, half a second to the beat, and hear silence in place of it."""
    return replace(hear_bars(played, lost=(4, 5, 6, 7)), quiet=(TimeSpan(3.02, 5.0),))


RUNS = (*(C,) * 12, *(G,) * 4, *(D,) * 8, *(G,) * 8)


def _read_stop(step: Step, kept: tuple[Correction, ...] = (), heard: PartEvidence | None = None) -> Part:
    settings = PartSettings(
        tuning=STANDARD, capo_fret=0, metre=(4, 4), pins=step.pins, corrections=step.corrections, kept=kept
    )
    return read_part_evidence(heard or _hear_stop(RUNS), settings=settings)


def _read(played: tuple[tuple[int, ...], ...], step: Step) -> Part:
    settings = PartSettings(tuning=STANDARD, capo_fret=0, metre=(4, 4), pins=step.pins, corrections=step.corrections)
    return read_part_evidence(hear_bars(played), settings=settings)


def _texts(part: Part) -> list[str]:
    return [f"{span.position.text} {span.name.text}" for span in part.spans if span.position and span.name]


def _change(played: tuple[tuple[int, ...], ...], before: Step, change: AskedChange) -> tuple[Step, list[str]]:
    step = take_step(_read(played, before), before, change)
    return step, _texts(_read(played, step))[:3]


def test_a_chord_that_was_told_a_place_is_renamed_in_it() -> None:
    told = Step("", (), (Correction("name", "Am", bar=2),))
    step, found = _change(RUN_OF_C, told, AskedChange("name", "F", chord=1))
    assert [one.text for one in step.corrections] == ["2.1=F"]
    assert found == ["1.1 C", "2.1 F", "3.1 C"]
    _, found = _change(RUN_OF_C, told, AskedChange("name", "F", chord=2))
    assert found == ["1.1 C", "2.1 Am", "3.1 F"]
    pinned = Step("", (Pin(parse_shape("x35553"), bar=2),))
    step, found = _change(RUN_OF_C, pinned, AskedChange("name", "F", chord=1))
    assert found == ["1.1 C", "2.1 F", "3.1 C"]
    assert take_step(_read(RUN_OF_C, pinned), pinned, AskedChange("heard shape", chord=1)).pins == ()


def test_what_is_changed_in_one_bar_of_a_chord_stays_in_it() -> None:
    step, found = _change(RUN_OF_C, Step(""), AskedChange("name", "F", chord=0, bar=2))
    assert (step.label, found) == ("F in bar 2", ["1.1 C", "2.1 F", "3.1 C"])
    step, _ = _change(RUN_OF_C, Step(""), AskedChange("shape", "x35553", chord=0, bar=3))
    assert [span.pinned for span in _read(RUN_OF_C, step).spans[:2]] == [False, True]
    step, found = _change(RUN_OF_C, Step(""), AskedChange("name", "F", chord=0, bar=2, everywhere=True))
    assert (step.label, found[0]) == ("F everywhere", "1.1 F")


def test_where_no_chord_sounds_no_shape_stays_pinned_and_none_is_silent() -> None:
    pinned = Step("", (Pin(parse_shape("x35553"), bar=2),))
    step, _ = _change(RUN_OF_C, pinned, AskedChange("name", "N.C.", chord=1))
    assert (step.pins, [one.text for one in step.corrections]) == ((), ["2.1=N.C."])
    with pytest.raises(BadValueError, match="at least one string that sounds"):
        _change(RUN_OF_C, pinned, AskedChange("shape", "xxxxxx", chord=1))


def test_a_shape_is_pinned_at_the_place_that_was_told() -> None:
    told = Step("", (), (Correction("name", "Am", bar=2),))
    step, _ = _change(RUN_OF_C, told, AskedChange("shape", "577555", chord=1))
    assert [pin.text for pin in step.pins] == ["2.1=577555"]
    assert [span.pinned for span in _read(RUN_OF_C, step).spans[:3]] == [False, True, False]


def test_a_chord_that_goes_on_over_a_place_that_was_told_is_changed_as_one() -> None:
    played = (D, SUS, SUS, SUS, *(D,) * 4, *(G,) * 4, D, D, SUS, SUS, *(D,) * 4, *(G,) * 4)
    moved = Step(
        "", (), (Correction("name", "D", bar=1, beat=Fraction(2)), Correction("name", "Dsus4", bar=1, beat=Fraction(3)))
    )
    assert _texts(_read(played, moved))[:3] == ["1.1 D", "1.3 Dsus4", "2.1 D"]
    step, found = _change(played, moved, AskedChange("name", "Dm", chord=0))
    assert found == ["1.1 Dm", "1.3 Dsus4", "2.1 D"]
    step = take_step(_read(played, step), step, AskedChange("shape", "x57765", chord=0))
    spans = _read(played, step).spans
    assert [(span.pinned, span.position and span.position.text) for span in spans[:2]] == [
        (True, "1.1"),
        (False, "1.3"),
    ]


def test_no_chord_that_was_told_in_the_same_bar_stays_none() -> None:
    told = Step("", (), (Correction("name", "N.C.", bar=2), Correction("name", "Am", bar=2, beat=Fraction(3))))
    step, found = _change(RUN_OF_C, told, AskedChange("name", "F", chord=1))
    assert [one.text for one in step.corrections] == ["2.1=N.C.", "2.3=F"]
    assert found == ["1.1 C", "2.3 F", "3.1 C"]
    step, _ = _change(RUN_OF_C, told, AskedChange("shape", "577555", chord=1))
    assert [pin.text for pin in step.pins] == ["2.3=577555"]
    assert [span.pinned for span in _read(RUN_OF_C, step).spans[:3]] == [False, True, False]


def test_a_chord_that_begins_ahead_of_its_bar_is_renamed_where_it_was_told() -> None:
    played = (*(C,) * 15, *(AM,) * 17, *(G_OVER_B,) * 16, *(C,) * 16)
    told = Step("", (), (Correction("name", "F", bar=3),))
    part = read_part_evidence(
        hear_bars(played, lost=(16,)),
        settings=PartSettings(tuning=STANDARD, capo_fret=0, metre=(4, 4), corrections=told.corrections),
    )
    assert _texts(part)[:3] == ["1.1 C", "2.4½ F", "4.1 Am"]
    assert [one.text for one in take_step(part, told, AskedChange("name", "D", chord=1)).corrections] == ["3.1=D"]
    step = take_step(part, told, AskedChange("name", "Em", chord=0))
    assert [one.text for one in step.corrections] == ["3.1=F", "1=Em"]


def test_no_chord_that_was_told_for_a_beat_stands_in_its_bar() -> None:
    chart = render_chart(_read(RUN_OF_C, Step("", (), (Correction("name", "N.C.", bar=2, beat=Fraction(4)),))))
    assert "C · · N.C." in chart


def test_what_was_told_by_bar_and_beat_is_in_the_history() -> None:
    history = History((Step("", (), (Correction("name", "D", bar=1, beat=Fraction(5, 2)),)),))
    assert document_to_history(history_to_document(history), name="settled.json") == history


def test_a_stop_that_is_none_is_taken_back_in_its_bar_and_follows_the_name_of_its_chord() -> None:
    part = _read_stop(Step())
    html = render_bar_fragment(part, 2, curve=b"", step_s=0.05) or ""
    assert "No chord from beat 1 on." in html
    assert 'data-what="held on" data-value="1"' in html
    step = take_step(part, Step(), AskedChange("held on", "1", bar=2))
    assert (step.label, [one.text for one in step.corrections]) == ("C held on in bar 2", ["2.1=C"])
    held = _read_stop(step)
    assert "N.C." in render_chart(part)
    assert "N.C." not in render_chart(held)
    assert 'data-what="held on"' not in (render_bar_fragment(held, 2, curve=b"", step_s=0.05) or "")
    renamed = take_step(held, step, AskedChange("name", "Am", chord=0))
    assert [one.text for one in renamed.corrections] == ["2.1=Am", "1=Am"]
    assert "Am             | %" in render_chart(_read_stop(renamed))


def test_no_chord_that_was_told_of_a_bar_is_taken_back_in_it_too() -> None:
    told = Step("", (), (Correction("name", "N.C.", bar=2),))
    step = take_step(_read_stop(told), told, AskedChange("held on", "1", bar=2))
    assert [one.text for one in step.corrections] == ["2.1=C"]
    with pytest.raises(BadValueError, match="a bar that comes after a chord with a name"):
        take_step(_read_stop(told), told, AskedChange("held on", "1", bar=1))
    for beat in ("x", "1/0", "1e99999", "1_0", "-1", "١"):
        with pytest.raises(BadValueError, match=f"beat={beat} is not possible"):
            take_step(_read_stop(told), told, AskedChange("held on", beat, bar=2))


def test_a_chord_that_is_held_on_stays_so_when_it_is_read_otherwise() -> None:
    told = (Correction("name", "C", bar=2), Correction("name", "D", bar=2))
    held = _read_stop(Step("", (), told[:1]))
    assert [is_held_on(held, one) for one in told] == [True, True]
    assert not is_held_on(held, Correction("name", "C", bar=1))
    assert not is_held_on(held, Correction("name", "N.C.", bar=2))


def test_a_chord_that_is_struck_after_a_stop_stays_when_the_stop_is_taken_back() -> None:
    heard = replace(hear_bars(RUNS, lost=(12, 13)), quiet=(TimeSpan(7.02, 8.0),))  # bar 4 begins with a stop
    part = _read_stop(Step(), heard=heard)
    html = render_bar_fragment(part, 4, curve=b"", step_s=0.05) or ""
    assert "No chord from beat 1 to beat 3." in html
    step = take_step(part, Step(), AskedChange("held on", "1", bar=4))
    held = _read_stop(step, heard=heard)
    assert _texts(held)[:3] == ["1.1 C", "4.3 G", "5.1 D"]
    assert "N.C." not in render_chart(held)
    assert is_held_on(held, step.corrections[0])
    step = take_step(held, step, AskedChange("name", "Em", chord=1))
    assert [one.text for one in step.corrections][:1] == ["4.1=C"], "the word is the one of the chord before"
    held = _read_stop(step, heard=heard)
    assert _texts(held)[:3] == ["1.1 C", "4.3 Em", "5.1 D"]
    step = take_step(held, step, AskedChange("name", "Am", chord=0))
    assert _texts(_read_stop(step, heard=heard))[:3] == ["1.1 Am", "4.3 Em", "5.1 D"]
    assert "N.C." not in render_chart(_read_stop(step, heard=heard))
