"""Traits: what players look at when they choose a shape of a chord, counted for many shapes at once.

Conventions: one column a trait, in the order of :data:`TRAITS`; counts and fret numbers as they are, 0 where a trait is
absent. A tone that the name's rules never let sound (:attr:`ChordQuality.avoided`) is not missed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fretboard
from listen.theory import Chord, Interval
from listen.voicing.book import grade_shapes
from listen.voicing.filters import Candidates
from listen.voicing.wanted_tones import list_members

TRAITS = (
    "effort",
    "lacks_fifth",  # the perfect fifth does not sound
    "lacks_root",
    "lacks_other",  # each other tone that does not sound
    "third_lowest",  # where no bass was asked
    "fifth_lowest",
    "other_lowest",
    "silent_below",  # strings left out on the bass side
    "silent_inside",
    "silent_above",
    "thin",  # strings fewer than four
    "position",  # lowest stopped fret
    "open_below",  # frets of the position over the third, where an open string rings
    "book",  # nats of the book's grade
    "doubled_third",
    "doubled_tension",  # sevenths, ninths and beyond that sound twice
    "unison",  # pairs of strings that sound the same pitch
    "clash",  # a natural eleventh with the major third
    "grip",  # a movable grip of the trade for chords of four tones and more
    "power",  # root, fifth and octave side by side
)
_THICK = 4
_OPEN_IS_USUAL_TO = 3
_GRIPS = (  # strings and degrees: root, seventh, third and one more; root, third, seventh and one more (common practice)
    ((0, 2, 3, 4), (1, 7, 3, None)),
    ((1, 2, 3, 4), (1, 3, 7, None)),
    ((1, 2, 3, 4), (1, 5, 7, 3)),
)
_STANDS_FOR = {6: 7, 2: 3, 4: 3}  # a sixth takes the seventh's place in a grip, a suspension the third's

Floats = NDArray[np.float32]


def measure_traits(candidates: Candidates, efforts: Floats, chord: Chord, fretboard: Fretboard) -> Floats:
    """Measure every trait of every shape.

    Parameters
    ----------
    candidates : Candidates
    efforts : ndarray, shape (n,)
    chord : Chord
        Its bass counts as asked where it has one.
    fretboard : Fretboard

    Returns
    -------
    ndarray, shape (n, n_traits), float32
    """
    frets, played = candidates.frets, candidates.played
    n_strings = frets.shape[1]
    first, last = played.argmax(axis=1), n_strings - 1 - played[:, ::-1].argmax(axis=1)
    count = played.sum(axis=1)
    position = lowest_stopped(frets)
    lowest = candidates.lowest % 12
    bears_bass = fretboard.tuning.bears_bass
    own_bass = (lowest == chord.sounding_bass.pitch_class) | (not bears_bass)
    degrees = _lay_out_degrees(candidates, chord)
    column = {
        "effort": efforts,
        "silent_below": first,
        "silent_inside": last - first + 1 - count,
        "silent_above": n_strings - 1 - last,
        "thin": np.maximum(0, min(_THICK, n_strings) - count),
        "position": position,
        "open_below": np.where((frets == 0).any(axis=1), np.maximum(position - _OPEN_IS_USUAL_TO, 0), 0),
        "book": np.where(own_bass, grade_shapes(frets, fretboard.tuning), 0.0),
        "doubled_third": np.maximum((degrees == 3).sum(axis=1) - 1, 0),
        "doubled_tension": sum(np.maximum((degrees == each).sum(axis=1) - 1, 0) for each in (6, 7, 9, 11, 13)),
        "unison": _count_unisons(candidates),
        "clash": _find_clash(candidates, chord),
        "grip": _find_grip(degrees, chord),
        "power": _find_power(candidates, chord),
        **_find_lacks(candidates, chord),
    }
    if chord.bass is None and bears_bass:
        at_bass = np.take_along_axis(degrees, candidates.pitches.argmin(axis=1)[:, None], axis=1)[:, 0]
        column["third_lowest"] = (at_bass == 3) & (lowest != chord.root.pitch_class)
        column["fifth_lowest"] = (at_bass == 5) & (lowest != chord.root.pitch_class)
        column["other_lowest"] = ~np.isin(at_bass, (1, 3, 5))
    nothing = np.zeros(len(frets), np.float32)
    return np.stack([np.asarray(column.get(name, nothing), np.float32) for name in TRAITS], axis=1)


def lowest_stopped(frets: NDArray[np.int8]) -> NDArray[np.int8]:
    """Return the lowest stopped fret of each shape, 0 where nothing is stopped."""
    lowest = np.where(frets > 0, frets, np.int8(127)).min(axis=1)
    return np.asarray(np.where(lowest < 127, lowest, 0), np.int8)


def _lay_out_degrees(candidates: Candidates, chord: Chord) -> NDArray[np.int8]:
    """Return each string's degree, 0 where it is not played or sounds a foreign bass."""
    degree_of = np.zeros(12, np.int8)
    for member in reversed(list_members(chord)):
        for tone, note in zip(member.quality.tones, member.notes, strict=True):
            degree_of[note.pitch_class] = tone.degree
    return np.asarray(np.where(candidates.played, degree_of[candidates.pitches % 12], 0), np.int8)


def _find_lacks(candidates: Candidates, chord: Chord) -> dict[str, NDArray[np.int64]]:
    """Count the tones that do not sound; of a family, those of the member that lacks fewest."""
    heard = sounding_classes(candidates)
    best: dict[str, NDArray[np.int64]] = {}
    for member in list_members(chord):
        lacks = {name: np.zeros(len(heard), np.int64) for name in ("lacks_fifth", "lacks_root", "lacks_other")}
        may_go = {*member.quality.avoided, *(tone for tone in member.quality.optional if tone.degree == 3)}
        for tone, note in zip(member.quality.tones, member.notes, strict=True):
            if tone in may_go:
                continue
            name = "lacks_fifth" if tone == Interval(5) else "lacks_root" if tone.degree == 1 else "lacks_other"
            lacks[name] += (heard >> note.pitch_class & 1) == 0
        if not best:
            best = lacks
        else:
            fewer = sum(lacks.values()) < sum(best.values())
            best = {name: np.where(fewer, lacks[name], best[name]) for name in best}
    return best


def sounding_classes(candidates: Candidates) -> NDArray[np.int16]:
    """Return the pitch classes of each shape as bits."""
    bits = np.where(candidates.played, np.int16(1) << (candidates.pitches % 12), np.int16(0))
    return np.asarray(np.bitwise_or.reduce(bits, axis=1), np.int16)


def _count_unisons(candidates: Candidates) -> NDArray[np.int64]:
    ordered = np.sort(candidates.pitches, axis=1)
    return np.asarray(((np.diff(ordered, axis=1) == 0) & (ordered[:, 1:] < 999)).sum(axis=1), np.int64)


def _find_clash(candidates: Candidates, chord: Chord) -> NDArray[np.bool_]:
    tones = {tone: note.pitch_class for tone, note in zip(chord.quality.tones, chord.notes, strict=True)}
    third, eleventh = tones.get(Interval(3)), tones.get(Interval(11))
    if third is None or eleventh is None:
        return np.zeros(len(candidates.frets), bool)
    return np.asarray(candidates.sounds(third).any(axis=1) & candidates.sounds(eleventh).any(axis=1))


def _find_grip(degrees: NDArray[np.int8], chord: Chord) -> NDArray[np.bool_]:
    found = np.zeros(len(degrees), bool)
    n_strings = degrees.shape[1]
    has_fourth_tone = any(tone.degree in (6, 7) for tone in chord.quality.tones)
    if n_strings < 6 or not has_fourth_tone or (chord.bass is not None):
        return found
    standing = degrees[:, n_strings - 6 :].copy()
    for degree, place in _STANDS_FOR.items():
        standing[standing == degree] = place
    for strings, wanted in _GRIPS:
        here = np.ones(len(degrees), bool)
        for string in range(6):
            if string not in strings:
                here &= standing[:, string] == 0
            else:
                degree = wanted[strings.index(string)]
                here &= standing[:, string] == degree if degree else standing[:, string] > 1
        found |= here & (degrees[:, : n_strings - 6] == 0).all(axis=1)
    return found


def _find_power(candidates: Candidates, chord: Chord) -> NDArray[np.bool_]:
    """Find root, fifth and octave on three neighbouring strings from the lowest that sounds."""
    played = candidates.played
    if chord.quality.symbol != "5" or played.shape[1] < 3:
        return np.zeros(len(played), bool)
    first = np.minimum(played.argmax(axis=1), played.shape[1] - 3)
    rows = np.arange(len(played))
    low, middle, high = (candidates.pitches[rows, first + step].astype(np.int32) for step in range(3))
    formed = (low % 12 == chord.root.pitch_class) & (middle - low == 7) & (high - low == 12)
    return np.asarray(formed & (played.sum(axis=1) == 3))
