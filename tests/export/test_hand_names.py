"""An opened bar over a capo keeps to the names of the hand, and tells what was said from what was heard."""

from __future__ import annotations

import re
from dataclasses import replace

from listen.export import render_bar_fragment, render_chart, render_part_fragment
from listen.instrument import Fretboard, best_fingering, parse_shape
from listen.reading import ChordName, Correction, Part, Settled, ShapeReading, Shares
from listen.request import AskedChange, Step
from listen.request.changes import take_step
from listen.request.guess import judge_guess
from listen.theory import parse_chord
from tests.hand_made_parts import Scene


def _capo_part() -> Part:
    """A G/B of the hand over capo 2, which sounds A/C sharp."""
    scene = Scene(fretboard=Fretboard(capo_fret=2))
    scene.chord("A/C#", "x20003", played_as="G/B")
    scene.strum(1, 0)
    return scene.part(1)


def _open(part: Part) -> str:
    return render_bar_fragment(part, 1, curve=b"", step_s=0.05) or ""


def test_an_opened_bar_over_a_capo_calls_chord_and_notes_as_the_hand_does() -> None:
    html = _open(_capo_part())
    assert 'G/B <span class="quiet">(sounds A/C♯)</span>' in html
    assert re.findall(r"<tr><td><strong>(.*?)</strong>", html) == ["G4", "B3", "G3", "D3", "B2"]
    assert "Notes are called as the hand plays them" in html


def test_a_note_that_is_not_there_is_sent_as_it_is_shown_and_means_the_note_that_sounds() -> None:
    html = _open(_capo_part())
    (sent,) = re.findall(r'data-what="no note" data-value="(.*?)" aria-label="Not there: G4"', html)
    step = take_step(_capo_part(), Step(), AskedChange("no note", sent, chord=0))
    assert [one.value.split()[0] for one in step.corrections] == ["A4"]
    assert step.label.startswith("G4 does not sound")


def test_a_bass_is_told_as_the_hand_calls_it() -> None:
    step = take_step(_capo_part(), Step(), AskedChange("bass", "B", chord=0))
    assert [one.value.split()[0] for one in step.corrections] == ["C#3"]
    assert step.label.startswith("B2 is the bass")


def test_a_right_guess_over_a_capo_is_told_by_the_name_that_is_shown() -> None:
    assert [judge_guess(_capo_part(), 0, guess) for guess in ("A/C#", "G/B")] == [(True, "Yes, G/B (sounds A/C♯).")] * 2


def test_what_was_said_is_told_as_said_and_the_others_as_what_was_heard() -> None:
    """Said and heard were one list of percents, which added up to 200."""
    part = _capo_part()
    names = (ChordName(parse_chord("A"), 1.0, played_as=parse_chord("G")),
             ChordName(parse_chord("A/C#"), 0.98, played_as=parse_chord("G/B")))  # fmt: skip
    spans = tuple(replace(one, names=names) for one in part.spans)
    said = replace(part, spans=spans, settled=Settled((), (Correction("name", "G", 1),)))
    sure = re.findall(r"<strong>(\S+)</strong> <span class=\"quiet\">(.*?);", _open(said))
    assert sure == [("G", "you said so"), ("G/B", "heard: 98 %")]
    assert "you said so" not in _open(replace(part, spans=spans))


def test_a_pinned_shape_that_sounds_other_notes_is_headed_by_its_own_name() -> None:
    """It was headed by the name of what was heard, with what that sounds beside it: G/B x32010 sounds A/C sharp."""
    part = _capo_part()
    shape = parse_shape("x32010", fretboard=part.fretboard)
    pinned = ShapeReading(shape, best_fingering(shape, part.fretboard), 1.0, Shares(0.0, 0.0, 0.0))
    heard = ChordName(parse_chord("A/C#"), 0.9, played_as=parse_chord("G/B"))
    spans = tuple(replace(one, names=(heard,), shapes=(pinned,), pinned=True) for one in part.spans)
    changed = replace(part, spans=spans)
    (line,) = [line for line in render_chart(changed).splitlines() if "x32010" in line]
    assert line.split() == ["C", "x32010", "sounds", "D"]
    assert "<h3>C<small>sounds D</small></h3>" in render_part_fragment(changed).replace("\n", "")
    (line,) = [line for line in render_chart(part).splitlines() if "x20003" in line]
    assert line.split() == ["G/B", "x20003", "sounds", "A/C♯"]
