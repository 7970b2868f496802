"""What a chord does in a key: Roman numerals and Nashville numbers.

Roman numerals: upper case where the third is major (or there is none), lower case where it is minor, ° diminished,
ø half-diminished, + augmented; degrees count on the major scale of the tonic, so the third chord of C minor is ♭III.
Inversions of triads and sevenths carry the figures of thorough bass (6, 64; 65, 43, 42). A chord outside the key that
would resolve down a fifth into one inside it is its dominant: V7/ii. A minor key's own are also the chords of its
melodic scale, the sixth and the seventh raised, so D in A minor is IV, whatever follows; D7 is the dominant of ♭VII.
The chord on its fifth degree is V, with the raised seventh, and its dominant V7/V (Kostka & Payne, *Tonal Harmony*, on
triads in minor and on secondary dominants; from memory; music21 reads IV, viø7 and V7/V as these chords).

Nashville numbers: the degree, ``-`` for minor, then the rest of the symbol, the bass as a degree after a slash
(common practice of session charts, no source). A minor key is numbered from its own tonic.
"""

from __future__ import annotations

from listen.theory.chord import Chord
from listen.theory.interval import Interval
from listen.theory.key import Key
from listen.theory.spelling import Note

_NUMERALS = ("I", "II", "III", "IV", "V", "VI", "VII")
_TRIAD_FIGURES = ("", "6", "64")
_SEVENTH_FIGURES = ("7", "65", "43", "42")
_FIFTH = Interval(5)
_MAJOR_TRIAD = {Interval(1), Interval(3), Interval(5)}
_SUPERSCRIPT = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")


def _degree(note: Note, key: Key, *, numeral: bool) -> str:
    interval = key.degree_of(note)
    sign = str(interval)[: -len(str(interval.degree))].replace("b", "♭").replace("#", "♯")
    return f"{sign}{_NUMERALS[interval.degree - 1] if numeral else interval.degree}"


def chord_to_roman(chord: Chord, key: Key) -> str:
    """Return the Roman numeral of a chord in a key.

    Examples
    --------
    >>> from listen.theory.symbol import parse_chord
    >>> key = Key.parse("C")
    >>> [chord_to_roman(parse_chord(text), key) for text in ("Dm7", "G/B", "G7/F", "Bb", "A7", "Bm7b5", "F#dim7")]
    ['ii7', 'V6', 'V42', '♭VII', 'V7/ii', 'viiø7', 'vii°7/V']
    >>> [chord_to_roman(parse_chord(text), Key.parse("Am")) for text in ("Am", "C", "D", "E7", "B7", "Caug")]
    ['i', '♭III', 'IV', 'V7', 'V7/V', '♭III+']
    """
    target = _find_target(chord, key)
    if target is None:
        return f"{_numeral(chord, key.degree_of(chord.root))}{_extension(chord, key)}"
    own = Interval(7) if _is_diminished(chord) else _FIFTH
    return f"{_numeral(chord, own)}{_extension(chord, key)}/{_target_numeral(target, key)}"


def _third(chord: Chord) -> Interval | None:
    return next((tone for tone in chord.quality.tones if tone.degree == 3), None)


def _is_diminished(chord: Chord) -> bool:
    return {Interval(3, -1), Interval(5, -1)} <= set(chord.quality.tones)


def _numeral(chord: Chord, degree: Interval) -> str:
    sign = str(degree)[: -len(str(degree.degree))].replace("b", "♭").replace("#", "♯")
    numeral = _NUMERALS[degree.degree - 1]
    return sign + (numeral.lower() if _third(chord) == Interval(3, -1) else numeral)


def _extension(chord: Chord, key: Key) -> str:
    """Return what follows the numeral: the kind of fifth, the figures, or the rest of the symbol."""
    tones = set(chord.quality.tones)
    kind = ""
    if _is_diminished(chord):
        kind = "ø" if Interval(7, -1) in tones else "°"
    elif {Interval(3), Interval(5, 1)} <= tones:
        kind = "+"
    figures = _figures(chord)
    if figures is not None:
        major_seventh = "maj" if Interval(7) in tones else ""
        return f"{kind}{major_seventh}{figures}"
    symbol = chord.quality.symbol
    if not symbol.startswith("maj"):
        symbol = symbol.removeprefix("m")
    if symbol.startswith("6"):  # a bare 6 is the figure of the first inversion
        symbol = f"add{symbol}"
    bass = "" if chord.bass is None else f"/{_degree(chord.bass, key, numeral=False)}"
    return f"{symbol.replace('b', '♭').replace('#', '♯')}{bass}"


def _figures(chord: Chord) -> str | None:
    """Return the figures of a triad's or a seventh's inversion; None for another chord."""
    degrees = [tone.degree for tone in chord.quality.tones]
    if chord.inversion is None:
        return None
    if degrees == [1, 3, 5]:
        return _TRIAD_FIGURES[chord.inversion]
    if degrees == [1, 3, 5, 7]:
        return _SEVENTH_FIGURES[chord.inversion]
    return None


def _find_target(chord: Chord, key: Key) -> Note | None:
    """Return the root that a chord outside the key leads to as its dominant or leading-tone chord; None where none."""
    tones = set(chord.quality.tones)
    is_dominant = {Interval(3), Interval(7, -1)} <= tones
    raised = () if key.mode == "major" else (11,) if is_dominant else (9, 11)  # D7 in A minor leads on, D need not
    inside = key.pitch_classes | {(key.tonic.pitch_class + step) % 12 for step in raised}
    if {note.pitch_class for note in chord.notes} <= inside:
        return None
    if _is_diminished(chord) and Interval(5) not in tones:
        target = chord.root.above(Interval(2, -1))
    elif is_dominant or tones == _MAJOR_TRIAD:
        target = chord.root.above(Interval(4))
    else:
        return None
    is_root_inside = _is_diminished(chord) or chord.root.pitch_class in key.pitch_classes
    if not is_root_inside or target.pitch_class not in key.pitch_classes or target.pitch_class == key.tonic.pitch_class:
        return None
    return target


def _target_numeral(target: Note, key: Key) -> str:
    """Return the numeral of the key's own triad on a note; that on the fifth degree is major in minor too."""
    note = key.spell(target.pitch_class)
    is_minor = (note.pitch_class + 3) % 12 in key.pitch_classes and key.degree_of(note) != Interval(5)
    numeral = _degree(note, key, numeral=True)
    return numeral.lower() if is_minor else numeral


def chord_to_nashville(chord: Chord, key: Key) -> str:
    """Return the Nashville number of a chord in a key.

    Examples
    --------
    >>> from listen.theory.symbol import parse_chord
    >>> [chord_to_nashville(parse_chord(text), Key.parse("G")) for text in ("G", "Am7", "D/F#", "F", "Cmaj7", "Bdim")]
    ['1', '2-⁷', '5/7', '♭7', '4maj⁷', '3°']
    """
    symbol = chord.quality.symbol
    if symbol.startswith("m") and not symbol.startswith("maj"):
        symbol = f"-{symbol[1:]}"
    symbol = symbol.replace("dim", "°").replace("aug", "+").replace("b", "♭").replace("#", "♯").translate(_SUPERSCRIPT)
    bass = "" if chord.bass is None else f"/{_degree(chord.bass, key, numeral=False)}"
    return f"{_degree(chord.root, key, numeral=False)}{symbol}{bass}"
