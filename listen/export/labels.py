"""Labels: the short texts that stand in and beside pictures.

Conventions: labels are made in plain letters (``b3``, ``F#4``); :func:`printed` turns them into the trade's signs.
"""

from __future__ import annotations

import re

from listen.theory import Chord, Interval, Note, Pitch, spell_beside

_PLAIN_DEGREES = ("1", "b2", "2", "b3", "3", "4", "b5", "5", "b6", "6", "b7", "7")


def printed(text: str) -> str:
    """Return plain letters with the printed signs: ``b3`` becomes ``♭3`` and ``F#`` becomes ``F♯``.

    Examples
    --------
    >>> printed("b3"), printed("Bb"), printed("F#"), printed("bb7")
    ('♭3', 'B♭', 'F♯', '♭♭7')
    """
    head = text[:1] if text[:1] in "ABCDEFG" else ""
    return head + text[len(head) :].replace("#", "♯").replace("b", "♭")


_TYPED_NOTE = re.compile(r"(?<![A-Za-z])([A-G])(##|#|bb|b)(?=$|[^a-z]|m|add|alt|aug|dim|sus)")


def print_notes_in(words: str) -> str:
    """Return a sentence with the notes and chords in it in printed signs.

    Examples
    --------
    >>> print_notes_in("About x32010: it sounds Eb, and adds what was not heard (Bb2 F#3); you call it Absus4/Db.")
    'About x32010: it sounds E♭, and adds what was not heard (B♭2 F♯3); you call it A♭sus4/D♭.'
    """
    return _TYPED_NOTE.sub(lambda found: found[1] + printed(found[2]), words)


def list_tones(chord: Chord) -> tuple[Interval, ...]:
    """Return a chord's tones; those of a family (``7alt``) before what its other members have instead of them."""
    others = (tone for member in chord.quality.members for tone in member.tones)
    return tuple(dict.fromkeys((*chord.quality.tones, *others)))


def degree_of(pitch: Pitch, chord: Chord) -> str:
    """Return the degree that a pitch is in a chord, ``"b3"``; a foreign tone is counted on the major scale.

    Examples
    --------
    >>> from listen.theory import ChordQuality, Interval
    >>> major = ChordQuality("major", "", "maj", tuple(Interval.parse(d) for d in ("1", "3", "5")))
    >>> chord = Chord(Note.parse("G"), major)
    >>> degree_of(Pitch.parse("B3"), chord), degree_of(Pitch.parse("A3"), chord)
    ('3', '2')
    """
    above = (pitch.pitch_class - chord.root.pitch_class) % 12
    tone = next((tone for tone in list_tones(chord) if tone.pitch_class == above), None)
    return _PLAIN_DEGREES[above] if tone is None else str(tone)


def note_of(pitch: Pitch, chord: Chord | None) -> str:
    """Return the note name without octave, spelled as the chord spells it; a foreign note with the chord's signs."""
    if chord is not None:
        for note in (*map(chord.root.above, list_tones(chord)), chord.sounding_bass):
            if note.pitch_class == pitch.pitch_class:
                return str(note)
        return str(spell_beside(pitch.pitch_class, chord.notes))
    return str(Note.plain(pitch.pitch_class))


def pitch_text(pitch: Pitch, chord: Chord | None) -> str:
    """Return the note name with its octave, spelled as the chord spells it; C flat 4 is the key of B3.

    Examples
    --------
    >>> pitch_text(Pitch.parse("Bb3"), None)
    'Bb3'
    """
    note = Note.parse(note_of(pitch, chord))
    return f"{note}{(pitch.midi - note.accidental) // 12 - 1}"
