"""What is heard after the last bar, and what only rings on into a change, from hand-written strokes."""

from __future__ import annotations

from dataclasses import replace

from listen.assessment import assess
from listen.document import parse_chart
from listen.reading import HeardPitch, HeardSound, Performance, PerformedStroke
from tests.hand_made_performances import perform, strum

CHART = "tempo: 100\n| C | G | Am | F | C | G | F | C |"
ROW = ("C", "G", "Am", "F", "C", "G", "F", "C")


def knock(played: Performance, midi: int) -> Performance:
    """Add one sound, seconds after the last stroke."""
    at_s = played.strokes[-1].time_s + 3.5
    sound = HeardSound(at_s, at_s + 0.5, (HeardPitch(midi, 4.0, 4.0),), ())
    stroke = PerformedStroke(at_s, sound=len(played.sounds))
    return replace(
        played, duration_s=at_s + 1.0, strokes=(*played.strokes, stroke), sounds=(*played.sounds, sound)
    )  # fmt: skip


def test_a_sound_after_the_end_that_fits_nowhere_is_no_new_start() -> None:
    check = assess(knock(perform(strum(ROW)), 73), parse_chart(CHART))  # C#5 as a phone is put away
    assert check.findings == ()
    assert {bar.state for bar in check.bars} == {"right"}


def test_who_plays_the_last_bars_again_after_the_end_begins_again() -> None:
    strokes = strum((*ROW, "F", "C"), {9: 2.0})
    found = assess(perform(strokes), parse_chart(CHART)).findings
    assert [(one.kind, one.bar) for one in found] == [("restart", 7)]


def soften(played: Performance, stroke: int, midi: int, log_odds: float) -> Performance:
    """Let one pitch ring on in a stroke, heard with some log-odds."""
    sounds = list(played.sounds)
    sound = sounds[played.strokes[stroke].sound]
    pitches = sorted((*sound.pitches, HeardPitch(midi, log_odds, -6.0)), key=lambda one: one.midi)
    sounds[played.strokes[stroke].sound] = replace(sound, pitches=tuple(pitches))
    return replace(played, sounds=tuple(sounds))


def test_a_string_that_rings_on_into_the_first_stroke_of_a_change_makes_it_no_late_one() -> None:
    """C on which the A of Am7 rings sounds like Am7; one such stroke hardly tells that the hand was late."""
    played = perform(strum(("C", "F", "C", "G"), pattern=range(4)))
    am7 = range(4, 8)
    for stroke in am7:  # F with nothing else would be another chord: bar 2 is Am7
        sounds = list(played.sounds)
        pitches = tuple(HeardPitch(midi, 5.0, 4.0 if midi == 45 else -6.0) for midi in (45, 52, 55, 60, 64))
        sounds[stroke] = replace(sounds[stroke], pitches=pitches)
        played = replace(played, sounds=tuple(sounds))
    ringing = soften(played, 8, 45, 3.0)
    check = assess(ringing, parse_chart("tempo: 100\n| C | Am7 | C | G |"))
    assert [one.kind for one in check.findings if one.kind == "late"] == []
