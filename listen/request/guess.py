"""Guess first: what is right about a chord that somebody says to hear."""

from __future__ import annotations

from listen.errors import bad_value
from listen.export import HeldNames, printed
from listen.harmony import measure_shift
from listen.reading import Part
from listen.theory import parse_chord, transpose_chord


def judge_guess(part: Part, chord: int, guess: str) -> tuple[bool, str]:
    """Compare a guess with the name that a chord of a part has.

    A guess is taken as the chart shows names: over a capo as played, and as it sounds.

    Returns
    -------
    is_right : bool
    words : str
        What is right about it, without giving the rest away.

    Raises
    ------
    BadValueError
        There is no such chord, it has no name, or the guess cannot be read.
    """
    if not 0 <= chord < len(part.spans):
        raise bad_value("chord", chord, allowed=f"a chord of this part, 0 to {len(part.spans) - 1}")
    name = part.spans[chord].name
    if name is None:
        return False, "This one has no name: its notes are what there is to hear."
    guessed = parse_chord(guess)
    meant = [guessed, transpose_chord(guessed, measure_shift(part.fretboard) % 12)]
    best = max(
        meant,
        key=lambda one: (
            one.pitch_classes == name.chord.pitch_classes,
            one.root.pitch_class == name.chord.root.pitch_class,
        ),
    )
    same_root = best.root.pitch_class == name.chord.root.pitch_class
    same_tones = set(best.pitch_classes) == set(name.chord.pitch_classes)
    same_bass = best.sounding_bass.pitch_class == name.chord.sounding_bass.pitch_class
    if same_tones and same_bass:
        called = HeldNames(part)
        also = "" if same_root else f" It is written {called.of_name(name)} here; the notes are the same."
        sounds = called.also_sounds(name)
        return True, f"Yes, {f'{called.of_name(name)} ({sounds})' if sounds else printed(guess.strip())}.{also}"
    if same_tones:
        return False, "The chord is right; another note of it is in the bass."
    if same_root:
        bass = " The bass is right, too." if same_bass else ""
        return False, f"The root is right; its other tones are not all.{bass}"
    common = len(set(best.pitch_classes) & set(name.chord.pitch_classes))
    if same_bass:
        return False, "The bass is right; the chord over it is another."
    return (
        False,
        f"Not yet: {common or 'none'} of its tones {'is' if common == 1 else 'are'} right. Hear its bass alone.",
    )
