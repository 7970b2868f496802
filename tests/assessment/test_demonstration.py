"""Times are held against those of a demonstration, not against the beats that its chart writes."""

from __future__ import annotations

from dataclasses import replace

from listen.assessment import follow_demonstration
from listen.reading import (
    BarOutcome,
    Check,
    DriftingTempo,
    EveryBarRight,
    Finding,
    OffBeat,
    OtherSetting,
    StrokesLeftOut,
    Tolerances,
    UnevenStrokes,
)

BARS = tuple(BarOutcome(bar, "finding" if bar == 2 else "right", "C") for bar in (1, 2, 3))
EARLY = Finding("early", 2, 1.0, 4.0, "G", probability=0.95, measure=OffBeat(351))
UNEVEN = Finding("uneven", 1, 1.0, 0.5, probability=0.63, settled=False, measure=UnevenStrokes(65, 60))
SHOWN = Check("", "demo.flac", bars=BARS, findings=(UNEVEN, EARLY), tempo_bpm=91.0)


def test_a_demonstration_has_no_fault_against_itself() -> None:
    told = follow_demonstration(SHOWN, SHOWN, Tolerances())
    assert told.findings == ()
    assert told.praise[0] == EveryBarRight(3)


def test_what_the_demonstration_does_not_do_stays() -> None:
    chord = Finding("chord", 2, 1.0, 4.0, "G", "Em", 0.95)
    later = replace(EARLY, kind="late")
    worse = replace(UNEVEN, measure=UnevenStrokes(90, 60))
    played = replace(SHOWN, findings=(worse, chord, EARLY, replace(EARLY, bar=3), later))
    told = follow_demonstration(played, SHOWN, Tolerances())
    assert told.findings == (worse, chord, replace(EARLY, bar=3), later)
    assert told.bars == BARS
    settled = replace(SHOWN, findings=(replace(EARLY, verdict="wrong"),))
    assert follow_demonstration(settled, SHOWN, Tolerances()) == settled


def test_a_tempo_that_drifts_as_shown_is_no_fault_unless_it_changes_more_or_the_other_way() -> None:
    shown = replace(SHOWN, findings=(Finding("tempo", 3, 1.0, 8.0, measure=DriftingTempo(96, 120)),))
    for from_bpm, to_bpm, stays in ((96, 112, False), (80, 100, False), (96, 130, True), (120, 96, True)):
        own = replace(shown, findings=(Finding("tempo", 2, 1.0, 4.0, measure=DriftingTempo(from_bpm, to_bpm)),))
        assert bool(follow_demonstration(own, shown, Tolerances()).findings) == stays


def test_strokes_that_the_demonstration_leaves_out_too_are_no_fault() -> None:
    two = Finding("pattern", 1, 1.0, 0.5, measure=StrokesLeftOut((2.0, 2.5), None, 7, 7))
    three = replace(two, measure=StrokesLeftOut((2.0, 2.5, 3.5), None, 7, 7))
    fewer, more = (replace(SHOWN, findings=(one,)) for one in (two, three))
    assert follow_demonstration(fewer, more, Tolerances()).findings == ()
    assert follow_demonstration(more, fewer, Tolerances()).findings == (three,)


def test_a_guitar_as_far_off_pitch_as_the_one_that_was_shown_is_no_fault() -> None:
    shown = replace(SHOWN, findings=(Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(0, 0, -44)),))
    for semitones, cents, stays in ((0, -48, False), (0, 46, True), (-1, -44, True)):
        own = replace(shown, findings=(Finding("setting", 1, 1.0, 0.6, measure=OtherSetting(semitones, 0, cents)),))
        assert bool(follow_demonstration(own, shown, Tolerances()).findings) == stays


def test_a_demonstration_a_semitone_lower_excuses_no_guitar_that_is_not() -> None:
    own = replace(SHOWN, findings=(Finding("setting", 1, 1.0, 0.6, measure=OtherSetting(0, 0, -44)),))
    for semitones in (-1, 1):
        lower = Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(semitones, 0, -44))
        assert follow_demonstration(own, replace(SHOWN, findings=(lower,)), Tolerances()) == own
