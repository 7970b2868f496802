"""Words for pictures: what a diagram shows, for a screen reader, a braille line or the telephone."""

from __future__ import annotations

from collections.abc import Sequence

from listen.export.labels import degree_of, pitch_text, printed
from listen.export.words import chord_words
from listen.instrument import STANDARD, Fingering, Fretboard, Shape, Tuning
from listen.theory import Chord

_ORDINALS = ("root position", "first inversion", "second inversion", "third inversion")
_INVERSIONS = {1: 0, 3: 1, 5: 2, 7: 3}  # by the degree in the bass
_FINGERS = {1: "index", 2: "middle", 3: "ring", 4: "little", "T": "thumb"}


def describe_inversion(chord: Chord, tuning: Tuning = STANDARD) -> str:
    """Return the inversion in words: ``"first inversion"``, or which foreign note is in the bass.

    Nothing on a re-entrant tuning, where no string is the bass.

    The chord tone in the bass decides the name: the third first, the fifth second, the seventh third; above that, and
    for chords whose second tone is no third, the degree itself is said.
    """
    if tuning.is_reentrant:
        return ""
    number, place = find_inversion(chord), chord.inversion
    if number is not None:
        return _ORDINALS[number]
    if place is not None:
        return f"the {printed(str(chord.quality.tones[place]))} in the bass"
    return f"{chord.sounding_bass.printed} in the bass, a note from outside the chord"


def find_inversion(chord: Chord) -> int | None:
    """Return which inversion it is called: 0 root position, 1 to 3 with the third, fifth or seventh in the bass.

    None where another tone or a foreign note is in the bass: such an inversion has no number that readers agree on.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> [find_inversion(parse_chord(text)) for text in ("C/G", "Csus4/G", "Cadd9/D", "C/D")]
    [2, 2, None, None]
    """
    place = chord.inversion
    return None if place is None else _INVERSIONS.get(chord.quality.tones[place].degree)


def describe_chord(chord: Chord, tuning: Tuning) -> str:
    """Return a chord in words with its inversion, where the tuning has a bass.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> describe_chord(parse_chord("C/E"), STANDARD)
    'C major, first inversion'
    """
    return ", ".join(filter(None, (chord_words(chord), describe_inversion(chord, tuning))))


def describe_shape(
    shape: Shape, fretboard: Fretboard, *, fingering: Fingering | None = None, chord: Chord | None = None
) -> str:
    """Say a shape string by string, from the highest-numbered string to the first.

    Examples
    --------
    >>> describe_shape(Shape((None, None, 0, 2, 3, 2)), Fretboard())[:77]
    'String 6 not played; string 5 not played; string 4 open, D3; string 3 fret 2,'
    """
    n = len(shape.frets)
    parts = []
    for index, (fret, pitch) in enumerate(zip(shape.frets, shape.pitches(fretboard), strict=True)):
        name = f"string {n - index}"
        if fret is None or pitch is None:
            parts.append(f"{name} not played")
            continue
        finger = None if fingering is None else _FINGERS.get(fingering.fingers[index] or 0)
        place = "open" if fret == 0 else f"fret {fret}"
        if fret and finger:
            place += f" with the {finger}{'' if finger == 'thumb' else ' finger'}"
        root = ", the root" if chord is not None and pitch.pitch_class == chord.root.pitch_class else ""
        parts.append(f"{name} {place}, {printed(pitch_text(pitch, chord))}{root}")
    text = "; ".join(parts)
    capo = f" Frets count from the capo at fret {fretboard.capo_fret}." if fretboard.capo_fret else ""
    return f"{text[:1].upper()}{text[1:]}.{capo}"


def describe_map(chord: Chord, fretboard: Fretboard, *, frets: tuple[int, int], strings: Sequence[int]) -> str:
    """Say where a chord's tones lie, string by string."""
    n = fretboard.n_strings
    lines = []
    for index in strings:
        places = []
        for fret in range(frets[0], frets[1] + 1):
            pitch = fretboard.pitch_at(index, fret)
            if pitch.pitch_class in chord.pitch_classes:
                places.append(f"{'open' if fret == 0 else fret} is {printed(degree_of(pitch, chord))}")
        lines.append(f"string {n - index}: {', '.join(places) or 'none'}")
    return f"Tones of {chord.printed} by fret; {'; '.join(lines)}."
