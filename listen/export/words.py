"""Words for numbers: how sure, how hard, how far off, in a player's language.

Conventions: percentages are whole and never claim 100 or 0; a minus is the printed one, which
:meth:`~listen.export.style.TextStyle.plain` turns into a hyphen where only plain letters can be shown.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence

from listen.instrument import Fingering, Fretboard, is_strain
from listen.reading import ChordName, ShapeReading
from listen.theory import Chord, Interval, Note

_ORDINALS = (
    *("first", "second", "third", "fourth", "fifth", "sixth"),
    *("seventh", "eighth", "ninth", "tenth", "eleventh", "twelfth"),
)
STRAIN_CAUTION = (
    "A wide stretch for this hand: warm up, keep it short, and stop when it hurts; "
    "if pain stays, see a teacher or a clinician."
)
LEAST_NAME = 0.01  # a reading below one per cent is not worth a line
EFFORT_WORDS = (
    (1.5, "very easy"),
    (3.0, "easy"),
    (5.0, "some work"),
    (7.5, "hard"),
)  # upper bounds; about 10 is the end


def sure_text(probability: float) -> str:
    """Return a probability in percent.

    Examples
    --------
    >>> sure_text(0.714), sure_text(0.9999), sure_text(0.001)
    ('71 %', 'over 99 %', 'under 1 %')
    """
    percent = round(100 * probability)
    return "over 99 %" if percent >= 100 else "under 1 %" if percent <= 0 else f"{percent} %"


def fingers_text(fingering: Fingering) -> str:
    """Write a fingering as players do, the lowest string first: ``3-2-0-0-0-4``.

    Examples
    --------
    >>> from listen.instrument import best_fingering, parse_shape
    >>> fingers_text(best_fingering(parse_shape("x32010"), Fretboard()))
    'x-3-2-0-1-0'
    """
    return "-".join("x" if finger is None else str(finger) for finger in fingering.fingers)


def effort_text(effort: float) -> str:
    """Return an effort in words.

    Examples
    --------
    >>> effort_text(0.5), effort_text(9.0)
    ('very easy', 'very hard')
    """
    return next((word for bound, word in EFFORT_WORDS if effort < bound), "very hard")


def caution_for(fingering: Fingering) -> str | None:
    """Return the caution to show beside a fingering near the hand's limit, or None.

    Examples
    --------
    >>> from listen.instrument import best_fingering, parse_shape
    >>> caution_for(best_fingering(parse_shape("x32010"), Fretboard())) is None
    True
    """
    return STRAIN_CAUTION if is_strain(fingering) else None


def cents_text(cents: float) -> str:
    """Return a deviation in cents.

    Examples
    --------
    >>> cents_text(-12.4), cents_text(0.2), cents_text(1.0)
    ('12 cents flat', 'in tune', '1 cent sharp')
    """
    size = round(abs(cents))
    if size == 0:
        return "in tune"
    return f"{size} cent{'' if size == 1 else 's'} {'flat' if cents < 0 else 'sharp'}"


def signed_text(value: float) -> str:
    """Return a number with one decimal and its sign.

    Examples
    --------
    >>> signed_text(2.14), signed_text(-0.4), signed_text(-0.01)
    ('+2.1', '−0.4', '0.0')
    """
    rounded = round(value, 1)
    return f"+{rounded}" if rounded > 0 else f"−{abs(rounded)}" if rounded < 0 else "0.0"


def list_text(parts: list[str] | tuple[str, ...]) -> str:
    """Join words as a sentence does.

    Examples
    --------
    >>> list_text(["E", "G", "B"]), list_text(["E"])
    ('E, G and B', 'E')
    """
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""


def string_words(strings: Collection[int], n_strings: int, *, kind: str = "") -> str:
    """Name strings of an instrument, given as places from the highest-numbered one; ``kind`` stands before them.

    Examples
    --------
    >>> string_words((2,), 6), string_words((0, 1), 6)
    ('the fourth string', 'the sixth and fifth strings')
    """
    numbers = [_ORDINALS[n_strings - string - 1] for string in sorted(strings)]
    return f"the {kind}{list_text(numbers)} string{'' if len(numbers) == 1 else 's'}"


def stroke_words(reading: ShapeReading, n_strings: int) -> str:
    """Say what of a held shape did not sound and what sounded beside it; empty where it sounded as it was held.

    Examples
    --------
    >>> from listen.instrument import Fretboard, Shape, best_fingering
    >>> from listen.reading import Shares
    >>> shape = Shape((None, 3, 2, 0, 1, 0))
    >>> fingering = best_fingering(shape, Fretboard())
    >>> stroke_words(ShapeReading(shape, fingering, 0.9, Shares(0, 0, 0), silent=(2,), brushed=(0,)), 6)
    'the fourth string did not sound; the open sixth string sounded along'
    """
    parts = []
    if reading.silent:
        parts.append(f"{string_words(reading.silent, n_strings)} did not sound")
    if reading.brushed:
        parts.append(f"{string_words(reading.brushed, n_strings, kind='open ')} sounded along")
    return "; ".join(parts)


def box_legend(fretboard: Fretboard, *, labels: str = "finger", with_silent: bool = False) -> str:
    """Say how a chord box is read; with what is held and did not sound where that occurs."""
    inside = {"finger": "", "degree": " by degree", "note": " by name"}[labels]
    silent = ", { } held, did not sound" if with_silent else ""
    capo = f" Frets count from the capo at fret {fretboard.capo_fret}." if fretboard.capo_fret else ""
    return f"First string on top; [ ] root, ( ) other tone{inside}{silent}; o open, × not played.{capo}"


def chord_words(chord: Chord) -> str:
    """Return a chord's name in words: root and quality."""
    return f"{chord.root.printed} {chord.quality.name}"


def named_classes(name: ChordName) -> frozenset[int]:
    """Return the pitch classes that a name was given to: its chord's, without what is missing, with what is left over.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> f6 = ChordName(parse_chord("F6"), 0.1, missing=("5",))
    >>> named_classes(f6) == named_classes(ChordName(parse_chord("Dm/F"), 0.9))
    True
    """
    root = name.chord.root
    missing = {root.above(Interval.parse(degree)).pitch_class for degree in name.missing}
    left_over = {Note.parse(note).pitch_class for note in name.unexplained}
    return frozenset(name.chord.pitch_classes - missing | left_over)


def sound_the_same(name: ChordName, other: ChordName) -> bool:
    """Tell whether two names are names of the same notes over the same bass."""
    is_same_bass = name.chord.sounding_bass.pitch_class == other.chord.sounding_bass.pitch_class
    return is_same_bass and named_classes(name) == named_classes(other)


def sure_of_names(names: Sequence[ChordName], called: Callable[[ChordName], str]) -> list[str]:
    """Say how sure each name is: in percent once for each set of notes, and of which name the others are another.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> names = [ChordName(parse_chord(text), chance) for text, chance in (("Em7", 0.86), ("G6/E", 0.86), ("G", 0.14))]
    >>> sure_of_names(names, lambda name: name.printed)
    ['86 %', 'the same notes as Em7', '14 %']
    """
    told: list[str] = []
    for at, name in enumerate(names):
        first = next((one for one in names[:at] if sound_the_same(one, name)), None)
        told.append(sure_text(name.probability) if first is None else f"the same notes as {called(first)}")
    return told


def name_remarks(name: ChordName) -> str:
    """Return what speaks against a name: which tones do not sound, which notes it does not explain; may be empty."""
    from listen.export.labels import printed

    remarks = []
    if name.missing:
        remarks.append(f"without its {list_text([printed(degree) for degree in name.missing])}")
    if name.unexplained:
        notes = list_text([printed(note) for note in name.unexplained])
        remarks.append(f"{notes} {'is' if len(name.unexplained) == 1 else 'are'} left over")
    return ", ".join(remarks)
