"""Which of two names a sounding chord takes: D♭ or C♯, and what its bass is called.

Without a key the root is spelled so that the chord's tones need the fewest accidentals, a double accidental counting
as three, and E♯, B♯, C♭, F♭ as two; where that is even, by the plain names (C♯ E♭ F♯ A♭ B♭). So D♭ major but C♯ minor,
A♭7 but G♯ minor (common practice of printed charts, no source). With a key the root takes the name it has there.
"""

from __future__ import annotations

from collections.abc import Collection
from functools import lru_cache

from listen.theory.chord import Chord, ChordQuality
from listen.theory.interval import Interval
from listen.theory.key import Key
from listen.theory.spelling import PLAIN_INTERVALS, Note

_ROOTS = tuple(
    tuple(
        note for letter in "CDEFGAB" for shift in (-1, 0, 1) if (note := Note(letter, shift)).pitch_class == pitch_class
    )
    for pitch_class in range(12)
)


def _awkwardness(root: Note, quality: ChordQuality) -> int:
    """Count the accidentals that a chord's tones need."""
    notes = [root.above(tone) for tone in quality.tones]
    return sum((0, 2 if note.is_rare else 1, 3, 9)[abs(note.accidental)] for note in notes)


@lru_cache(maxsize=4096)
def spell_root(pitch_class: int, quality: ChordQuality) -> Note:
    """Return the usual name of a chord's root where no key decides.

    Examples
    --------
    >>> from listen.theory.qualities import find_quality
    >>> [str(spell_root(1, find_quality(symbol))) for symbol in ("major", "m", "7", "5")]
    ['Db', 'C#', 'C#', 'C#']
    """
    plain = Note.plain(pitch_class)
    candidates = [root for root in _ROOTS[pitch_class % 12] if not root.is_rare]
    return min(candidates, key=lambda root: (_awkwardness(root, quality), root != plain))


def spell_bass(root: Note, quality: ChordQuality, pitch_class: int) -> Note:
    """Return the name of a bass: the chord's own tone where it is one, else by its degree over the root.

    A flat fifth that would be F♭ or the like is called plainly beside a major third: nobody writes Bb7b5/Fb.

    Examples
    --------
    >>> from listen.theory.qualities import find_quality
    >>> str(spell_bass(Note("E"), find_quality("major"), 8)), str(spell_bass(Note("C"), find_quality("major"), 10))
    ('G#', 'Bb')
    """
    is_altered = Interval(3) in quality.tones
    for tone in quality.tones:
        note = root.above(tone)
        is_plainer_otherwise = is_altered and tone.degree == 5 and tone.alteration < 0 and note.is_rare
        if note.pitch_class == pitch_class % 12 and not is_plainer_otherwise:
            return note
    note = root.above(PLAIN_INTERVALS[(pitch_class - root.pitch_class) % 12])
    return Note.plain(pitch_class) if note.is_rare else note


def spell_as_typed(chord: Chord, typed: Collection[Note]) -> Chord:
    """Spell a chord as somebody typed its notes: G♭ B♭ D♭ is G♭, F♯ A♯ C♯ is F♯, and a bass that was typed E is E.

    Examples
    --------
    >>> from listen.theory.symbol import parse_chord
    >>> spell_as_typed(parse_chord("F#/A#"), [Note.parse(each) for each in ("Gb", "Bb", "Db")]).text
    'Gb/Bb'
    """
    named = {note.pitch_class: note for note in typed}
    signs = {(note.accidental > 0) - (note.accidental < 0) for note in typed} - {0}
    root = named.get(chord.root.pitch_class)
    if root is None:  # nobody typed it: it takes their kind of sign
        alike = [
            each for each in _ROOTS[chord.root.pitch_class] if {(each.accidental > 0) - (each.accidental < 0)} == signs
        ]
        root = next((each for each in alike if not each.is_rare), chord.root)
    bass = None if chord.bass is None else named.get(chord.bass.pitch_class, chord.bass)
    return Chord(root, chord.quality, bass)


def spell_chord(root: int, quality: ChordQuality, *, bass: int | None = None, key: Key | None = None) -> Chord:
    """Spell a chord that is known by its sounding pitch classes.

    Parameters
    ----------
    root : int
        Pitch class, 0..11.
    quality : ChordQuality
    bass : int or None
        Pitch class of the bass; None or the root's for root position.
    key : Key or None
        Where given, the root takes the name it has in this key.

    Examples
    --------
    >>> from listen.theory.qualities import find_quality
    >>> spell_chord(6, find_quality("7"), bass=10).text, spell_chord(6, find_quality("major"), key=Key.parse("Db")).text
    ('F#7/A#', 'Gb')
    """
    spelled = spell_root(root % 12, quality) if key is None else key.spell_root(root, quality)
    if bass is None or (bass - root) % 12 == 0:
        return Chord(spelled, quality)
    return Chord(spelled, quality, spell_bass(spelled, quality, bass))


def transpose_chord(chord: Chord, semitones: int) -> Chord:
    """Move a chord up by semitones and spell it sensibly where it lands.

    Examples
    --------
    >>> from listen.theory.symbol import parse_chord
    >>> transpose_chord(parse_chord("Bb/D"), -3).text
    'G/B'
    """
    bass = None if chord.bass is None else chord.bass.pitch_class + semitones
    return spell_chord(chord.root.pitch_class + semitones, chord.quality, bass=bass)
