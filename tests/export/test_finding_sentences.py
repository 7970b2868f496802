"""What a student reads of each kind of finding, once and several times, word for word."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.export.check_words import find_matters, find_questions, question_sentence, summary_text
from listen.export.finding_sentences import finding_sentence, findings_sentence
from listen.reading import (
    FINDING_KINDS,
    BarOutcome,
    Check,
    DriftingTempo,
    Finding,
    FindingKind,
    OffBeat,
    OffPitch,
    OtherKey,
    OtherMetre,
    OtherSetting,
    OtherTempo,
    StoppedAt,
    StrokesLeftOut,
    UnevenStrokes,
    WayKept,
)


def at(kind: FindingKind, *bars: int, beat: float = 1.0, **told: object) -> list[Finding]:
    """The same finding in each of some bars."""
    return [replace(Finding(kind, bar, beat, 4.0 * bar), **told) for bar in bars]  # type: ignore[arg-type]


ELSE = " Everything else is judged as if it were so."
SAID = (
    (at("chord", 5, expected="G/B", heard="G"), "Bar 5 should be G/B; it sounds like G."),
    (at("chord", 6, beat=3.0, expected="Bb", heard="G"), "Bar 6, beat 3 should be B♭; it sounds like G."),
    (at("chord", 3, 9, expected="Bm", heard="D"), "Bars 3 and 9 should be Bm; they sound like D."),
    (at("chord", 6, 14, beat=3.0, expected="A", heard="G"), "In bars 6 and 14, beat 3 should be A; it sounds like G."),
    (at("chord", 6, beat=3.0, expected="A", heard="G") + at("chord", 9, expected="A", heard="D"),
     "Bars 6 (beat 3) and 9 should be A; they sound like G or D."),
    (at("bass", 6, expected="B", heard="G"), "In bar 6 the lowest note should be B; it is G."),
    (at("bass", 1, 5, 8, expected="D", heard="E"), "In bars 1, 5 and 8 the lowest note should be D; it is E."),
    (at("silent string", 1, expected="F2", string=6), "In bar 1 string 6 does not sound (F2)."),
    (at("silent string", 1, 5, 8, expected="F2", string=6), "In bars 1, 5 and 8 string 6 does not sound (F2)."),
    (at("silent string", 2, expected="Eb"), "In bar 2 E♭ does not sound."),
    (at("extra string", 3, heard="A2", string=5), "In bar 3 string 5 should not sound (A2)."),
    (at("extra string", 3, 4, expected="B2", heard="A2", string=5),
     "In bars 3 and 4 string 5 sounds A2; it should be B2."),
    (at("extra string", 3, heard="E2"), "In bar 3 a string sounds that should not (E2)."),
    (at("out of tune", 4, string=2, measure=OffPitch(24, is_sharp=False)), "String 2 is 24 cents flat."),
    (at("late", 7, beat=3.0, expected="Am", measure=OffBeat(300)),
     "In bar 7, beat 3 the change to Am comes 300 ms late."),
    (at("late", 7, 9, expected="Am", measure=OffBeat(300)),
     "The change to Am comes late in bars 7 and 9, by up to 300 ms."),
    (at("late", 3, measure=OffBeat(900)), "Before bar 3 there is a stop of 900 ms."),
    (at("late", 3, 7, measure=OffBeat(900)), "Before bars 3 and 7 there are stops of up to 900 ms."),
    (at("late", 3, measure=OffBeat(5263)), "Before bar 3 there is a stop of 5.3 s."),
    (at("late", 3, 7, measure=OffBeat(2040)), "Before bars 3 and 7 there are stops of up to 2 s."),
    (at("late", 8, beat=3.0, measure=OffBeat(900)), "Before bar 8, beat 3 there is a stop of 900 ms."),
    (at("late", 2, measure=OffBeat(5263, is_filled=True)), "Before bar 2 something else is played, for 5.3 s."),
    (at("late", 2, 5, measure=OffBeat(900, is_filled=True)),
     "Before bars 2 and 5 something else is played, for up to 900 ms."),
    (at("late", 7, expected="Am", measure=OffBeat(1250)), "In bar 7 the change to Am comes 1.2 s late."),
    (at("early", 2, expected="G", measure=OffBeat(140)), "In bar 2 the change to G comes 140 ms early."),
    (at("uneven", 1, measure=UnevenStrokes(45, 30)),
     "The strokes are uneven: 45 ms off, where up to 30 ms is even enough."),
    (at("way", 1, measure=WayKept(50, 2.5)),
     "The strumming hand goes down and up as set in 50 % of the strokes, least on the & of 2."),
    (at("pattern", 1, measure=StrokesLeftOut((2.5, 3.5, 4.5), "up", 15, 16)),
     "The upstrokes on the & of 2, 3 and 4 are left out in 15 of 16 bars."),
    (at("pattern", 1, measure=StrokesLeftOut((2.0, 2.5, 4.0), None, 16, 16)),
     "The strokes on 2 and 4 and on the & of 2 are left out in 16 of 16 bars."),
    (at("pattern", 1, measure=StrokesLeftOut((3.0,), "down", 7, 8)), "The downstroke on 3 is left out in 7 of 8 bars."),
    (at("restart", 3, 8), "Begun again at bars 3 and 8."),
    (at("repeated", 2, 2), "Bar 2 is played again, 2 times."),
    (at("left out", 5, 6, 9), "Bars 5, 6 and 9 are left out."),
    (at("stopped", 9, measure=StoppedAt(16)), "Stopped after bar 9 of 16."),
    (at("stopped", 9, measure=StoppedAt(16, breaks_off=True)),
     "The recording breaks off after bar 9 of 16: the file is damaged."),
    (at("setting", 1, measure=OtherSetting(-1, 3)),
     f"It sounds as with the capo at fret 2; the capo was set at fret 3.{ELSE}"),
    (at("setting", 1, measure=OtherSetting(-3, 3)),
     f"It sounds as without a capo; the capo was set at fret 3.{ELSE}"),
    (at("setting", 1, measure=OtherSetting(5, 0)),
     f"It sounds as with a capo at fret 5; no capo was set.{ELSE}"),
    (at("setting", 1, measure=OtherSetting(0, 2, -38)), f"It sounds 38 cents lower than was set.{ELSE}"),
    (at("setting", 1, measure=OtherSetting(-2, 0)), f"It sounds 2 semitones lower than was set.{ELSE}"),
    (at("setting", 1, measure=OtherKey("C major", "F minor", 5)),
     "Played in C, set in F minor: everything is 5 semitones higher."),
    (at("metre", 1, measure=OtherMetre(4, 3)), "Bars are played with 4 beats; they should have 3."),
    (at("tempo", 1, measure=OtherTempo(52, 104)), "It is played at 52 beats a minute; 104 were set."),
    (at("teacher", 5, expected="Bm"), "Bar 5 (Bm) is wrong, says your teacher."),
    (at("teacher", 5, 7, expected="Bm"), "Bars 5 and 7 (Bm) are wrong, says your teacher."),
)  # fmt: skip


@pytest.mark.parametrize(("own", "sentence"), SAID, ids=[sentence for _, sentence in SAID])
def test_a_student_reads_a_sentence_that_names_every_bar(own: list[Finding], sentence: str) -> None:
    assert findings_sentence(own) == sentence
    assert [one.sentence for one in find_matters(Check("Anna", "", findings=tuple(own)))] == [sentence]


def test_every_kind_has_its_sentence() -> None:
    assert {own[0].kind for own, _ in SAID} == set(FINDING_KINDS)
    assert all(finding_sentence(Finding(kind, 2, 1.0, 4.0)) for kind in FINDING_KINDS)  # as an old document may hold it


def test_strings_that_are_silent_together_are_one_matter() -> None:
    """A small F (xx3211) where 133211 was set: strings 6 and 5 are left out, bar after bar, for one reason."""
    own = [
        one
        for bar in (1, 5, 8)
        for one in at("silent string", bar, expected="C3", string=5) + at("silent string", bar, expected="F2", string=6)
    ]
    small = Check("Ben", "", findings=tuple(own))
    matters = find_matters(small)
    assert [one.sentence for one in matters] == ["In bars 1, 5 and 8 strings 6 and 5 do not sound (F2 and C3)."]
    assert [one.bar for one in matters[0].places] == [1, 5, 8]
    assert summary_text(small) == "bar 1: strings 6 and 5 silent ×3"


def test_a_hand_that_chokes_two_strings_in_every_bar_is_one_matter_and_one_question() -> None:
    notes = {1: ("E3", "E4"), 2: ("D3", "G4"), 3: ("E3", "E4"), 4: ("F3", "F4"), 5: ("E3", "E4"), 6: ("D3", "G4")}
    own = [
        one
        for bar, (fourth, first) in notes.items()
        for one in (
            *at("silent string", bar, expected=fourth, string=4),
            *at("silent string", bar, expected=first, string=1, settled=bar not in {2, 6}, probability=0.8),
        )
    ]
    bars = tuple(BarOutcome(bar, "finding", "C", float(bar), bar + 1.0) for bar in notes)
    choked = Check("Ben", "", bars=bars, findings=tuple(own))
    assert [one.sentence for one in find_matters(choked)] == [
        "String 4 does not sound in bars 1 to 6; string 1 does not sound in bars 1 and 3 to 5."
    ]
    assert [question_sentence(one) for one in find_questions(choked)] == [
        "Listen at 0:08 and 0:24: In bars 2 and 6 string 1 does not sound (G4)? (80 % sure)"
    ]
    few = [one for one in own if one.bar in {1, 2}]  # in two bars of six it is no hand that chokes them throughout
    assert len(find_matters(Check("Ben", "", bars=bars, findings=tuple(few)))) == 2


def test_the_metre_and_the_tempo_are_two_matters() -> None:
    own = [*at("metre", 1, measure=OtherMetre(4, 3)), *at("tempo", 1, measure=OtherTempo(60, 96))]
    assert {matter.sentence for matter in find_matters(Check("Anna", "", findings=tuple(own)))} == {
        "Bars are played with 4 beats; they should have 3.", "It is played at 60 beats a minute; 96 were set.",
    }  # fmt: skip


def test_two_stretches_that_drift_are_two_matters() -> None:
    own = [*at("tempo", 5, measure=DriftingTempo(96, 120)), *at("tempo", 13, measure=DriftingTempo(120, 100))]
    assert {matter.sentence for matter in find_matters(Check("Anna", "", findings=tuple(own)))} == {
        "From bar 5 on it gets faster, from 96 to 120 beats a minute.",
        "From bar 13 on it gets slower, from 120 to 100 beats a minute.",
    }  # fmt: skip


def test_a_question_asks_one_thing() -> None:
    asked = at("setting", 1, measure=OtherSetting(-1, 3), probability=0.7, settled=False)[0]
    said = "Listen at 0:04: It sounds as with the capo at fret 2; the capo was set at fret 3? (70 % sure)"
    assert question_sentence([asked]) == said
