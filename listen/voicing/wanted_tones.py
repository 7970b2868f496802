"""Wanted tones: what a shape of a chord may sound, and what it has to.

Conventions: each pitch class that may sound has a bit; a shape is complete when it holds one of the *needed* sets.
A chord needs the tones that its name requires. On few strings that is more than fits (a ninth has five tones, a ukulele
four strings): then the root may go instead of the fifth, where every string sounds a tone of its own, and of what is
still too much the guide tones (third and seventh, or what stands for them) stay with any of the others.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

from listen.theory import Chord, Interval
from listen.voicing.filters import ShapeFilters
from listen.voicing.voices import shell_classes

_GUIDE_DEGREES = (3, 6, 7)


@dataclass(frozen=True, slots=True)
class WantedTones:
    """What may sound and what has to.

    Parameters
    ----------
    bit_of : dict of int to int
        The bit of each pitch class that may sound.
    needed : tuple of int
        A shape is complete when it holds all bits of any of these.
    """

    bit_of: dict[int, int]
    needed: tuple[int, ...]


def list_members(chord: Chord) -> list[Chord]:
    """Return the chords that a family such as ``7alt`` stands for; the chord itself when it is no family."""
    return [Chord(chord.root, quality, chord.bass) for quality in chord.quality.members or (chord.quality,)]


def find_wanted_tones(
    chord: Chord, filters: ShapeFilters, *, n_strings: int, without_root: bool = False
) -> WantedTones:
    """Give every pitch class that may sound a bit, and say which have to.

    Parameters
    ----------
    chord : Chord
        No family.
    filters : ShapeFilters
        Whether a shell or a rootless voicing is asked.
    n_strings : int
    without_root : bool
        Let the root go even where every needed tone has a string: the hand can hold none with it.
    """
    avoided = {chord.root.above(tone).pitch_class for tone in chord.quality.avoided}
    tones = [note.pitch_class for note in chord.notes if note.pitch_class not in avoided]
    bits = {pitch_class: 1 << index for index, pitch_class in enumerate(tones)}
    required = [tone for tone in chord.quality.required if chord.root.above(tone).pitch_class in bits]
    shell = shell_classes(chord) if filters.voices == "shell" else None
    if shell is not None:
        bits = {pitch_class: bits[pitch_class] for pitch_class in shell}
    needed = [chord.root.above(tone).pitch_class for tone in required] if shell is None else list(shell)
    if filters.rootless:
        bits.pop(chord.root.pitch_class)
        needed = [pitch_class for pitch_class in needed if pitch_class != chord.root.pitch_class]
    masks = [sum(bits[pitch_class] for pitch_class in needed)]
    if not filters.rootless and shell is None and (len(tones) > n_strings or without_root):
        guides = _find_guides(chord, required)
        masks += _list_rootless(chord, bits, needed, guides=guides, n_strings=n_strings)
    if chord.bass is not None and chord.bass.pitch_class not in bits:
        bits[chord.bass.pitch_class] = 1 << len(chord.notes)
        masks = [mask | bits[chord.bass.pitch_class] for mask in masks]
    return WantedTones(bits, tuple(dict.fromkeys(masks)))


def _find_guides(chord: Chord, required: list[Interval]) -> list[int]:
    """Return the pitch classes of third and seventh; where the third may go, an eleventh stands for it."""
    degrees = {tone.degree for tone in required}
    telling = _GUIDE_DEGREES if 3 in degrees else (*_GUIDE_DEGREES, 4, 11)
    return [chord.root.above(tone).pitch_class for tone in required if tone.degree in telling]


def _list_rootless(
    chord: Chord, bits: dict[int, int], needed: list[int], *, guides: list[int], n_strings: int
) -> list[int]:
    """List the sets of tones without the root that tell the chord, a tone for every string."""
    root = chord.root.pitch_class
    others = [pitch_class for pitch_class in needed if pitch_class != root]
    if not 2 <= len(guides) <= n_strings or len(needed) == len(others):
        return []
    if len(others) > n_strings:  # the guide tones, and as many of the others as there are strings for
        rest = [pitch_class for pitch_class in others if pitch_class not in guides]
        room = n_strings - len(guides)
        return [sum(bits[each] for each in (*guides, *chosen)) for chosen in combinations(rest, max(0, room))]
    spare = [pitch_class for pitch_class in bits if pitch_class not in (*others, root)]
    room = min(n_strings - len(others), len(spare))
    return [sum(bits[each] for each in (*others, *chosen)) for chosen in combinations(spare, room)]
