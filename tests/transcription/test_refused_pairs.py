"""Two notes are a chord only where both of them sound."""

from __future__ import annotations

from listen.evidence import PitchEvidence, StrumEvidence, TimeSpan
from listen.reading import StrumReading
from listen.theory import Pitch
from listen.transcription import read_evidence


def _read(**log_odds: float) -> StrumReading:
    heard = {Pitch.parse(name): odds for name, odds in log_odds.items()}
    pitches = tuple(
        PitchEvidence(pitch, heard.get(pitch, -9.0), heard.get(pitch, -9.0)) for pitch in map(Pitch, range(33, 89))
    )
    return read_evidence(StrumEvidence(TimeSpan(0.0, 2.0), pitches))


def test_a_root_and_a_doubtful_fifth_are_said_to_be_doubtful() -> None:
    reading = _read(E2=6.0, B2=-1.3)
    assert reading.names == ()
    assert reading.refused is not None
    assert reading.refused.startswith("Two notes may sound, E2 (")


def test_a_root_and_a_sure_fifth_are_named_though_their_octave_is_doubtful() -> None:
    reading = _read(E2=6.0, B2=5.0, E3=0.3)
    assert reading.refused is None
    assert reading.names[0].text == "E5"
