"""Notes that a person says to hear: evidence put right, and the rest decoded around it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from listen.errors import BadValueError
from listen.evidence import PartEvidence, PitchEvidence, Stretch, StrumEvidence, TimeSpan
from listen.instrument import STANDARD, parse_shape
from listen.reading import Corrected, Correction, Part, Pin
from listen.request import conclude_part, hear_recording
from listen.theory import Pitch
from listen.transcription import PartSettings, read_part_evidence
from listen.transcription.told_notes import replace_told, tell_notes, tell_unheld
from tests.transcription.written_strokes import AM, C, D, G, hear_bars

STRUM = Path(__file__).parents[2] / "audio_fixtures" / "open_g_over_b.flac"


def _heard(start_s: float) -> Stretch:
    pitches = tuple(PitchEvidence(Pitch(midi), 3.0, -1.0) for midi in (40, 47, 52))
    span = TimeSpan(start_s, start_s + 1.0)
    return Stretch.of(StrumEvidence(span, pitches, no_chord_reason="Noise."), (0, 0), span)


def _tell(what: Corrected, value: str) -> tuple[Stretch, Stretch]:
    heard = PartEvidence(TimeSpan(0.0, 3.0), stretches=(_heard(0.5), _heard(1.5)))
    first, second = tell_notes(heard, [Correction(what, value)]).stretches
    return first, second


def test_what_is_said_holds_where_it_was_said_and_nowhere_else() -> None:
    first, second = _tell("no note", "E2 0.500-1.400")
    assert first.sounding == {47, 52}
    assert second.sounding == {40, 47, 52}
    assert first.evidence.no_chord_reason is None
    assert second.evidence.no_chord_reason == "Noise."


def test_a_note_may_be_added_that_the_ear_does_not_know() -> None:
    first, _ = _tell("note", "G7 0.5-1.4")
    assert first.sounding == {40, 47, 52, 103}
    assert [one.pitch.midi for one in first.evidence.pitches] == [40, 47, 52, 103]


def test_below_the_bass_nothing_sounds() -> None:
    first, _ = _tell("bass", "B2 0.5-1.4")
    assert first.sounding == {47, 52}
    assert first.bass_log_odds[47] > 5.0
    assert first.bass_log_odds[52] < -5.0


def test_a_bass_may_be_added_that_the_ear_does_not_know() -> None:
    first, _ = _tell("bass", "D2 0.5-1.4")
    assert first.sounding == {38, 40, 47, 52}
    assert first.bass_log_odds[38] > 5.0
    assert first.bass_log_odds[40] < -5.0


@pytest.mark.parametrize("value", ["G3", "G3 1.0", "H3 1-2", "G3 1-2-3", "G3 x-2"])
def test_a_note_without_its_stretch_is_refused(value: str) -> None:
    with pytest.raises(BadValueError, match="from when to when"):
        _tell("note", value)


def test_a_chord_is_named_and_held_anew_around_a_note_that_is_taken_out() -> None:
    heard = hear_recording(STRUM)
    assert hear_recording(STRUM).evidence.span == heard.evidence.span  # from what was kept
    before = conclude_part(heard, PartSettings())
    assert _bass(before) == "B2"  # the fixture is G over B; its truth is in the manifest
    span = before.spans[0].span
    told = Correction("no note", f"B2 {span.start_s:.3f}-{span.end_s:.3f}")
    after = conclude_part(heard, PartSettings(corrections=(told,)))
    assert _bass(after) != "B2"
    assert all(note.pitch.name != "B2" for note in after.spans[0].notes)
    shape = after.spans[0].shape
    assert shape is not None
    assert Pitch.parse("B2") not in shape.shape.pitches(after.fretboard)
    assert after.settled.corrections == (told,)


VERSE = hear_bars(tuple(chord for chord in (AM, D, G, C) * 2 for _ in range(4)))


def _read_verse(*corrections: Correction) -> Part:
    settings = PartSettings(tuning=STANDARD, capo_fret=0, corrections=corrections)
    return read_part_evidence(VERSE, settings=settings)


def _told_in_bar(bar: int, what: Corrected, note: str) -> tuple[Part, Part]:
    """Read the verse without and with a word on a note in one bar."""
    before = _read_verse()
    span = before.spans[bar - 1].span
    return before, _read_verse(Correction(what, f"{note} {span.start_s:.3f}-{span.end_s:.3f}"))


@pytest.mark.parametrize("what", ["note", "bass"])
@pytest.mark.parametrize(
    ("bar", "note", "name", "shape"),
    [
        (1, "E2", "Am/E", "002210"),
        (2, "A2", "D/A", "x00232"),
        (2, "G2", "D/G", "3x0232"),
        (6, "A2", "D/A", "x00232"),
        (4, "E2", "C/E", "032010"),
        (4, "G2", "C/G", "332010"),
    ],
)
def test_a_low_string_that_a_person_hears_is_held_and_no_other_bar_changes(
    what: Corrected, bar: int, note: str, name: str, shape: str
) -> None:
    """A fifth below the root counts as brushed else: "The bass is E2" under Am changed nothing."""
    before, after = _told_in_bar(bar, what, note)
    told = after.spans[bar - 1]
    assert told.bass is not None
    assert told.bass.pitch.name == note
    assert (told.name and told.name.text, told.shape and told.shape.shape.text) == (name, shape)
    names = [[span.name and span.name.text for span in part.spans] for part in (before, after)]
    assert names[1] == [*names[0][: bar - 1], name, *names[0][bar:]]
    assert after.warnings == before.warnings


_UNHELD: tuple[tuple[Corrected, str], ...] = (
    ("bass", "E2"), ("note", "F3"), ("no note", "A2"), ("bass", "A2"), ("note", "E3"), ("no note", "E2"),
)  # fmt: skip


def test_a_note_that_could_not_be_held_is_said() -> None:
    span = _read_verse().spans[0]
    when = f"{span.span.start_s:.3f}-{span.span.end_s:.3f}"
    said = [tell_unheld([Correction(what, f"{note} {when}")], [span]) for what, note in _UNHELD]
    assert [len(one) for one in said] == [1, 1, 1, 0, 0, 0]
    assert said[0] == ("You told that E2 is the bass at 0:01.0, but no chord was found with that.",)
    assert tell_unheld([Correction("bass", "E2 90.000-92.000")], [span]) == ()


def test_a_bass_takes_the_place_of_the_one_told_before_and_so_does_a_word_on_the_same_note() -> None:
    kept = (Correction("title", "Evening"), Correction("bass", "E2 1.000-3.000"), Correction("note", "G3 1.000-3.000"))
    told = replace_told(kept, Correction("bass", "A2 1.020-2.900"))
    assert [one.value for one in told] == ["Evening", "G3 1.000-3.000", "A2 1.020-2.900"]
    told = replace_told(kept, Correction("no note", "G3 1.000-3.020"))
    assert [(one.what, one.value) for one in told[1:]] == [("bass", "E2 1.000-3.000"), ("no note", "G3 1.000-3.020")]
    assert replace_told(kept, Correction("bass", "A2 3.000-5.000"))[:-1] == kept


def test_what_was_told_for_longer_holds_on_beside_what_is_told_now() -> None:
    told = replace_told((Correction("bass", "E2 1.000-5.000"),), Correction("bass", "A2 3.000-4.000"))
    assert [one.value for one in told] == ["E2 1.000-3.000", "E2 4.000-5.000", "A2 3.000-4.000"]
    told = replace_told(told, Correction("bass", "G2 1.000-5.100"))
    assert [one.value for one in told] == ["G2 1.000-5.100"]


def test_strokes_that_were_heard_together_part_where_what_is_told_begins_and_ends() -> None:
    """In a part of more than five minutes like strokes are heard once: nothing was told of a bar among them."""
    heard = hear_bars((C,) * 16, joined=16)
    onsets_s = heard.onsets_s
    told = Correction("bass", f"G2 {onsets_s[4]:.3f}-{onsets_s[8]:.3f}")
    right = tell_notes(heard, [told])
    assert [(one.first, one.last, min(one.sounding)) for one in right.stretches] == [
        (0, 3, 48), (4, 7, 43), (8, 15, 48)
    ]  # fmt: skip
    assert [one.span.start_s for one in right.stretches] == [onsets_s[place] for place in (0, 4, 8)]


def test_a_note_told_within_a_chord_that_does_not_begin_there_is_held_or_said() -> None:
    span = _read_verse().spans[0]
    middle_s = (span.span.start_s + span.span.end_s) / 2
    told = Correction("bass", f"E2 {middle_s:.3f}-{span.span.end_s:.3f}")
    assert len(tell_unheld([told], [span])) == 1


@pytest.mark.parametrize(
    ("note", "struck"),
    [
        ("G3", [(45, 52, 55, 60, 64), (60, 64)]),
        ("E2", [(40, 45, 52, 57, 60, 64), (60, 64)]),
    ],
)
def test_a_stroke_that_did_not_reach_a_string_does_not_sound_what_is_told_of_it(
    note: str, struck: list[tuple[int, ...]]
) -> None:
    """G3 told of A minor made one upstroke of C4 and E4 a stroke of G3 alone."""
    heard = hear_bars((AM,) * 16 + (G,) * 16)
    reached = (AM, (60, 64))
    strokes = tuple(
        replace(one, rises={midi: 12.0 if midi in reached[place % 2] else -12.0 for midi in AM}) if place < 16 else one
        for place, one in enumerate(heard.strokes)
    )
    told = Correction("note", f"{note} 0.9-{strokes[16].onset_s:.3f}")
    settings = PartSettings(tuning=STANDARD, capo_fret=0, corrections=(told,))
    part = read_part_evidence(replace(heard, strokes=strokes), settings=settings)
    own = [stroke for event in part.events if event.span_index == 0 for stroke in event.strokes]
    assert len(own) == 16
    for place, stroke in enumerate(own):
        assert tuple(one.pitch.midi for one in stroke.notes) == struck[place % 2]


def _bass(part: Part) -> str:
    bass = part.spans[0].bass
    return "" if bass is None else bass.pitch.name


@pytest.mark.parametrize(
    ("told", "frets", "said"),
    [
        ((), "320003", ""),
        ((), "x20003", "The pinned x20003 sounds G/B, and leaves out what was heard (G2)."),
        (
            (), "320033",
            "The pinned 320033 sounds G, and leaves out what was heard (B3), and adds what was not heard (D4).",
        ),
        ((("note", "D4"),), "320033", ""),
        ((("note", "D4"),), "320003", "The pinned 320003 sounds G, and leaves out what you said sounds (D4)."),
        ((("no note", "B2"),), "320003", "The pinned 320003 sounds G, and adds what you said does not sound (B2)."),
        ((("bass", "B2"),), "320003", "The pinned 320003 sounds G, and adds what you said does not sound (G2)."),
        (
            (("note", "D4"),), "x20003",
            "The pinned x20003 sounds G/B, and leaves out what was heard (G2) and what you said sounds (D4).",
        ),
    ],
)  # fmt: skip
def test_a_pinned_shape_is_held_against_what_was_heard_and_apart_from_it_against_what_was_told(
    told: tuple[tuple[Corrected, str], ...], frets: str, said: str
) -> None:
    """D4 that a person told was called heard, and G/B was set against G/B."""
    heard = hear_bars((C,) * 8 + (G,) * 8)
    corrections = tuple(Correction(what, f"{note} 4.9-9.1") for what, note in told)
    pins = (Pin(parse_shape(frets), event_number=9),)
    settings = PartSettings(tuning=STANDARD, capo_fret=0, pins=pins, corrections=corrections)
    assert read_part_evidence(heard, settings=settings).spans[-1].remark == said
