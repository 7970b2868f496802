"""Traits: what players look at when they choose a shape of a chord, counted for many shapes at once.

Conventions: one column a trait, in the order of :data:`TRAITS`; counts and fret numbers as they are, 0 where a trait is
absent. A tone that the name's rules never let sound (:attr:`ChordQuality.avoided`) is not missed.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.instrument import STANDARD, Fretboard
from listen.theory import Chord, Interval
from listen.voicing.book import grade_shapes
from listen.voicing.filters import Candidates
from listen.voicing.forms import are_forms
from listen.voicing.wanted_tones import list_members

TRAITS = (
    "effort",
    "lacks_fifth",  # the perfect fifth does not sound
    "lacks_root",
    "lacks_other",  # each other tone that does not sound
    "third_lowest",  # where no bass was asked
    "fifth_lowest",
    "other_lowest",
    "fifth_under_root",  # taken back where the next string sounds the root: the same grip with one string more
    "silent_below",  # strings left out on the bass side
    "starts_high",  # of these, those beyond the second
    "slash_below",  # strings left out on the bass side of a chord whose bass was asked
    "silent_inside",
    "silent_above",
    "thin",  # strings fewer than four
    "position",  # lowest stopped fret, half as much beyond the fourth
    "rich_position",  # the same again for an extended, altered or diminished chord
    "open_below",  # frets of the position over the third, where an open string rings
    "book",  # nats of the book's grade
    "form",  # a form that every method teaches, with its own bass
    "doubled_third",
    "doubled_tension",  # sevenths, ninths and beyond that sound twice
    "unison",  # pairs of strings that sound the same pitch
    "clash",  # a natural eleventh with the major third
    "grip",  # a movable grip of the trade for a plain sixth or seventh
    "rich_grip",  # the same for an extended, altered or diminished chord, which has no plainer form
    "power",  # root, fifth and octave side by side: 1 from one of the two lowest strings, 0.5 from the third
    "power_position",  # lowest stopped fret of a power chord
)
_THICK = 4
_USUAL_START = 2
_NEAR = 4
_OPEN_IS_USUAL_TO = 3
_GRIPS = (  # strings, degrees, how much it counts; common practice, no source: None is any other tone
    ((0, 2, 3, 4), (1, 7, 3, None), 1.0),
    ((1, 2, 3, 4), (1, 3, 7, None), 1.0),
    ((1, 2, 3, 4), (1, 5, 7, 3), 1.0),
    ((2, 3, 4, 5), (1, 5, 7, 3), 0.8),
)
_STANDS_FOR = {6: 7, 2: 3, 4: 3, 11: 3}  # a sixth stands where the seventh would, a fourth where the third would

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
    position = lowest_stopped(frets).astype(np.float32)
    height = np.minimum(position, _NEAR) + (position - np.minimum(position, _NEAR)) / 2
    lowest = candidates.lowest % 12
    bears_bass = fretboard.tuning.bears_bass
    degrees = _lay_out_degrees(candidates, chord)
    fifth_under_root = _find_fifth_under_root(degrees) & (chord.bass is None)
    own_bass = (lowest == chord.sounding_bass.pitch_class) | fifth_under_root | (not bears_bass)
    is_power = chord.quality.symbol == "5"
    known = frets if fretboard.tuning.open_strings == STANDARD.open_strings else _lift_basses(frets, degrees)
    column = {
        "effort": efforts,
        "silent_below": first * (not is_power),
        "slash_below": first * (chord.bass is not None),
        "starts_high": np.maximum(0, first - _USUAL_START) * (not is_power),
        "silent_inside": last - first + 1 - count,
        "silent_above": (n_strings - 1 - last) * (not is_power),
        "thin": np.maximum(0, min(_THICK, n_strings - bears_bass) - count) * (not is_power),
        "position": height * (not is_power),
        "rich_position": height * _is_rich(chord),
        "power_position": position * is_power,
        "open_below": np.where((frets == 0).any(axis=1), np.maximum(position - _OPEN_IS_USUAL_TO, 0), 0),
        "book": np.where(own_bass, grade_shapes(known, fretboard.tuning), 0.0),
        "form": own_bass & ~fifth_under_root & are_forms(known, fretboard.tuning),
        "doubled_third": np.maximum((degrees == 3).sum(axis=1) - 1, 0),
        "doubled_tension": sum(np.maximum((degrees == each).sum(axis=1) - 1, 0) for each in (6, 7, 9, 11, 13)),
        "unison": _count_unisons(candidates),
        "clash": _find_clash(candidates, chord),
        "rich_grip" if _is_rich(chord) else "grip": _find_grip(
            np.where(known < 0, np.int8(0), degrees), chord, movable=(known != 0).all(axis=1) | (not _is_rich(chord))
        ),
        "power": _find_power(candidates, chord),
        **_find_lacks(candidates, chord),
    }
    if chord.bass is None and bears_bass:
        at_bass = np.take_along_axis(degrees, candidates.pitches.argmin(axis=1)[:, None], axis=1)[:, 0]
        column["third_lowest"] = (at_bass == 3) & (lowest != chord.root.pitch_class)
        column["fifth_lowest"] = (at_bass == 5) & (lowest != chord.root.pitch_class)
        column["fifth_under_root"] = fifth_under_root
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


def _find_fifth_under_root(degrees: NDArray[np.int8]) -> NDArray[np.bool_]:
    """Tell where a fifth lies on the string below the root's, and nothing below it."""
    first = np.minimum((degrees > 0).argmax(axis=1), degrees.shape[1] - 2)
    rows = np.arange(len(degrees))
    return np.asarray((degrees[rows, first] == 5) & (degrees[rows, first + 1] == 1))


def _lift_basses(frets: NDArray[np.int8], degrees: NDArray[np.int8]) -> NDArray[np.int8]:
    """Return the shapes without open root and fifth below them: a lowered bass rings along under a known form."""
    lifted, below = frets.copy(), np.ones(len(frets), bool)
    for string in range(frets.shape[1] - _THICK):
        below &= (frets[:, string] < 0) | ((frets[:, string] == 0) & np.isin(degrees[:, string], (1, 5)))
        more_above = np.isin(degrees[:, string + 1], (1, 5)) & (frets[:, string + 1] == 0)
        lifted[below & (more_above | (degrees[:, string] == 5)), string] = -1
    return lifted


def _is_rich(chord: Chord) -> bool:
    """Tell whether a chord goes beyond the seventh or has an altered fifth."""
    tones = chord.quality.tones
    return any(tone.degree > 7 or (tone.degree == 5 and tone.alteration) for tone in tones)


def _find_grip(degrees: NDArray[np.int8], chord: Chord, *, movable: NDArray[np.bool_]) -> Floats:
    found = np.zeros(len(degrees), np.float32)
    n_strings = degrees.shape[1]
    has_fourth_tone = any(tone.degree in (6, 7) for tone in chord.quality.tones)
    if n_strings < 6 or not has_fourth_tone or (chord.bass is not None):
        return found
    upper = degrees[:, n_strings - 6 :]
    standing = upper.copy()
    for degree, place in _STANDS_FOR.items():
        standing[standing == degree] = place
    standing = np.where((standing == 3) & (upper != 3) & (upper == 3).any(axis=1)[:, None], upper, standing)
    for strings, wanted, share in _GRIPS:
        here = np.ones(len(degrees), bool)
        for string in range(6):
            if string not in strings:
                here &= standing[:, string] == 0
            else:
                asked = wanted[strings.index(string)]
                here &= standing[:, string] == asked if asked else standing[:, string] > 1
        here &= (degrees[:, : n_strings - 6] == 0).all(axis=1) & movable
        found = np.maximum(found, np.float32(share) * here)
    return found


def _find_power(candidates: Candidates, chord: Chord) -> Floats:
    """Find root, fifth and octave on three neighbouring strings from the lowest that sounds."""
    played = candidates.played
    n_strings = played.shape[1]
    if chord.quality.symbol != "5" or n_strings < 4:
        return np.zeros(len(played), np.float32)
    first = np.minimum(played.argmax(axis=1), n_strings - 3)
    rows = np.arange(len(played))
    low, middle, high = (candidates.pitches[rows, first + step].astype(np.int32) for step in range(3))
    formed = (low % 12 == chord.root.pitch_class) & (middle - low == 7) & (high - low == 12)
    formed &= played.sum(axis=1) == 3
    return np.asarray(formed * np.where(first < 2, 1.0, np.where(first == 2, 0.5, 0.0)), np.float32)
