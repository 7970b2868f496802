"""Sets of pitches that a hand may hold; strings and their tuning are common practice, no source."""

from __future__ import annotations

from listen.instrument import parse_tuning
from listen.transcription.held_sets import _add_basses


def test_a_string_does_not_sound_a_bass_and_the_note_that_a_chord_has_on_it() -> None:
    """The open D under 5x0000 in DADGAD, whose G2 lies on the same string, was one chord of eight bars of D and G."""
    opens = [pitch.midi for pitch in parse_tuning("DADGAD").open_strings]
    sets: dict[tuple[int, ...], float] = {(43, 50, 55, 57, 62): 0.0}
    _add_basses(sets, {38, 45}, opens)
    assert set(sets) == {(43, 50, 55, 57, 62), (38, 50, 55, 57, 62), (45, 50, 55, 57, 62)}
