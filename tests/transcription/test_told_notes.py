"""Notes that a person says to hear: evidence put right, and the rest decoded around it."""

from __future__ import annotations

from pathlib import Path

import pytest

from listen.errors import BadValueError
from listen.evidence import PartEvidence, PitchEvidence, Stretch, StrumEvidence, TimeSpan
from listen.reading import Corrected, Correction, Part
from listen.request import conclude_part, hear_recording
from listen.theory import Pitch
from listen.transcription import PartSettings
from listen.transcription.told_notes import tell_notes

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


def _bass(part: Part) -> str:
    bass = part.spans[0].bass
    return "" if bass is None else bass.pitch.name
