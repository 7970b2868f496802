"""How a sounding pitch is written: as the chord held spells it, else as the key does, else plainly."""

from __future__ import annotations

from listen.theory import Chord, Key, Note, Pitch, SpelledPitch, spell_pitch


def spell_played(pitch: Pitch, chord: Chord | None, key: Key | None) -> SpelledPitch:
    """Return the written pitch.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> spell_played(Pitch(58), parse_chord("F#7"), None).text, spell_played(Pitch(58), None, Key.parse("F")).text
    ('A#3', 'Bb3')
    """
    if chord is not None:
        for note in (*chord.notes, chord.sounding_bass):
            if note.pitch_class == pitch.pitch_class:
                return SpelledPitch.of(pitch, note)
    return spell_pitch(pitch, key) if key is not None else SpelledPitch.of(pitch, Note.plain(pitch.pitch_class))
