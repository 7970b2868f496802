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
from listen.voicing.forms import are_forms
from listen.voicing.grips import find_grips, find_power_grips
from listen.voicing.shape_table import ShapeTable
from listen.voicing.wanted_tones import list_members

TRAITS = (
    "effort",
    "lacks_fifth",  # the perfect fifth does not sound
    "hollow",  # the same of a chord of three tones
    "lacks_root",
    "lacks_other",  # each other tone that does not sound
    "third_lowest",  # where no bass was asked
    "fifth_lowest",
    "other_lowest",
    "symmetric_lowest",  # another tone than the root, of a chord of equal steps: each of its tones may be the root
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
    "open_above",  # frets of the highest stopped fret over the third, where an open string rings
    "steps",  # frets from each stopped string to its stopped neighbour, summed: how ragged the fingers lie
    "second_low",  # a second between the two lowest tones, which blurs them so far down; where no bass was asked
    "open",  # strings that ring open
    "book",  # nats of the book's grade of the shape as it is held
    "book_part",  # nats more where it is another shape of the book with outer strings left out
    "form",  # a form that every method teaches, with its own bass
    "doubled_third",
    "doubled_tension",  # sevenths, ninths and beyond that sound twice
    "unison",  # pairs of strings that sound the same pitch
    "rich_grip",  # a movable grip of the trade for an extended, altered or diminished chord, which has no plainer form
    "power",  # root, fifth and octave side by side: 1 from one of the two lowest strings, 0.5 from the third
    "power_position",  # lowest stopped fret of a power chord
)
_THICK = 4
_USUAL_START = 2
_NEAR = 4
_OPEN_IS_USUAL_TO = 3

Floats = NDArray[np.float32]


def measure_traits(candidates: ShapeTable, efforts: Floats, chord: Chord, fretboard: Fretboard) -> Floats:
    """Measure every trait of every shape.

    Parameters
    ----------
    candidates : ShapeTable
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
    fifth_under_root = _find_fifth_under_root(degrees) & (chord.bass is None) & (count > _THICK)
    own_bass = (lowest == chord.sounding_bass.pitch_class) | fifth_under_root | (not bears_bass)
    is_power = chord.quality.symbol == "5"
    known = frets if fretboard.tuning.open_strings == STANDARD.open_strings else _lift_basses(frets, degrees)
    whole = grade_shapes(known, fretboard.tuning, partial=False)
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
        "open_above": np.where((frets == 0).any(axis=1), np.maximum(frets.max(axis=1) - _OPEN_IS_USUAL_TO, 0), 0),
        "steps": np.where((frets[:, 1:] > 0) & (frets[:, :-1] > 0), np.abs(np.diff(frets, axis=1)), 0).sum(axis=1),
        "second_low": _find_second_below(candidates) & bears_bass & (chord.bass is None),
        "open": (frets == 0).sum(axis=1),
        "book": np.where(own_bass, whole, 0.0),
        "book_part": np.where(own_bass, grade_shapes(known, fretboard.tuning) - whole, 0.0),
        "form": own_bass & are_forms(_drop_lowest(known, fifth_under_root), fretboard.tuning),
        "doubled_third": np.maximum((degrees == 3).sum(axis=1) - 1, 0),
        "doubled_tension": sum(np.maximum((degrees == each).sum(axis=1) - 1, 0) for each in (6, 7, 9, 11, 13)),
        "unison": _count_unisons(candidates),
        "rich_grip": find_grips(
            np.where(known < 0, np.int8(0), _lay_out_degrees(candidates, chord, turned=_is_symmetric(chord))),
            known,
            chord,
        )
        * _is_rich(chord),
        "power": find_power_grips(candidates, chord),
        **_find_lacks(candidates, chord),
    }
    if len(chord.quality.tones) == 3:
        column["hollow"] = column["lacks_fifth"]
    if chord.bass is None and bears_bass:
        at_bass = np.take_along_axis(degrees, candidates.pitches.argmin(axis=1)[:, None], axis=1)[:, 0]
        inverted, symmetric = lowest != chord.root.pitch_class, _is_symmetric(chord)
        column["symmetric_lowest"] = inverted & symmetric
        column["third_lowest"] = (at_bass == 3) & inverted & (not symmetric)
        column["fifth_lowest"] = (at_bass == 5) & inverted & (not symmetric)
        column["fifth_under_root"] = fifth_under_root & (not symmetric)
        column["other_lowest"] = ~np.isin(at_bass, (1, 3, 5)) & (not symmetric)
    nothing = np.zeros(len(frets), np.float32)
    return np.stack([np.asarray(column.get(name, nothing), np.float32) for name in TRAITS], axis=1)


def lowest_stopped(frets: NDArray[np.int8]) -> NDArray[np.int8]:
    """Return the lowest stopped fret of each shape, 0 where nothing is stopped."""
    lowest = np.where(frets > 0, frets, np.int8(127)).min(axis=1)
    return np.asarray(np.where(lowest < 127, lowest, 0), np.int8)


def _lay_out_degrees(candidates: ShapeTable, chord: Chord, *, turned: bool = False) -> NDArray[np.int8]:
    """Return each string's degree, 0 where it is not played or sounds a foreign bass.

    *Turned*, degrees count from the lowest tone: that of a chord of equal steps may be its root.
    """
    degree_of = np.zeros(12, np.int8)
    for member in reversed(list_members(chord)):
        for tone, note in zip(member.quality.tones, member.notes, strict=True):
            degree_of[note.pitch_class] = tone.degree
    turn = chord.root.pitch_class - candidates.lowest[:, None] if turned else np.int16(0)
    return np.asarray(np.where(candidates.played, degree_of[(candidates.pitches + turn) % 12], 0), np.int8)


def _find_lacks(candidates: ShapeTable, chord: Chord) -> dict[str, NDArray[np.int64]]:
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


def sounding_classes(candidates: ShapeTable) -> NDArray[np.int16]:
    """Return the pitch classes of each shape as bits."""
    bits = np.where(candidates.played, np.int16(1) << (candidates.pitches % 12), np.int16(0))
    return np.asarray(np.bitwise_or.reduce(bits, axis=1), np.int16)


def _count_unisons(candidates: ShapeTable) -> NDArray[np.int64]:
    ordered = np.sort(candidates.pitches, axis=1)
    return np.asarray(((np.diff(ordered, axis=1) == 0) & (ordered[:, 1:] < 999)).sum(axis=1), np.int64)


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


def _is_symmetric(chord: Chord) -> bool:
    """Tell whether every tone of a chord may be its root: an augmented triad, a diminished seventh."""
    steps = set(chord.quality.pitch_classes)
    return any({(step + by) % 12 for step in steps} == steps for by in range(1, 12))


def _find_second_below(candidates: ShapeTable) -> NDArray[np.bool_]:
    """Tell where the two lowest tones are a second apart."""
    ordered = np.sort(candidates.pitches, axis=1)[:, :2]
    apart = ordered[:, -1] - ordered[:, 0]
    return np.asarray((apart > 0) & (apart < 3))


def _drop_lowest(frets: NDArray[np.int8], rows: NDArray[np.bool_]) -> NDArray[np.int8]:
    """Return the shapes without their lowest string in some rows."""
    dropped = frets.copy()
    dropped[rows, (frets[rows] >= 0).argmax(axis=1)] = -1
    return dropped


def _is_rich(chord: Chord) -> bool:
    """Tell whether a chord goes beyond the seventh or has an altered fifth."""
    tones = chord.quality.tones
    return any(tone.degree > 7 or (tone.degree == 5 and tone.alteration) for tone in tones)
