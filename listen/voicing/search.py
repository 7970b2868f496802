"""Search: every playable shape of a chord on the whole neck.

Conventions: a shape holds only tones of the chord, all that its name requires, and the wanted bass lowest (any tone of
the chord when none is asked); a foreign bass sounds once, lowest. The result is complete and free of duplicates for the
hand it is made for, and ranked in a total order: by cost (the effort, plus :data:`MISSING_TONE` and the other constants
below, less something for shapes in common use: :mod:`listen.voicing.book`), then lower on the neck, then by frets from
the bass side.

How: for each position of the lowest stopped fret, strings are added one by one from the bass side. A small automaton
(:mod:`listen.voicing.contacts`) counts the fingers that the stopped frets need at least, and a partial shape that needs
a fifth, or can no longer hold every required tone, is dropped at once. What is left is measured exactly, all together.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import overload

import numpy as np
from numpy.typing import NDArray

from listen.instrument import USUAL_HAND, Fingering, Fretboard, Hand, Shape, best_fingering, measure_efforts
from listen.theory import Chord, Interval, Pitch
from listen.voicing.book import grade_shapes
from listen.voicing.contacts import Automaton, load_automaton, reach_in_frets
from listen.voicing.filters import Candidates, ShapeFilters, filter_shapes, refuse_empty, shell_classes

MISSING_TONE = 0.8  # each tone that is left out: about a finger and a half
INVERSION = 2.5  # another tone than the root in the bass, where no bass was asked
SILENT_STRING = 1.1  # each string that is not played: a full chord is worth more than a finger
SILENT_BELOW = 0.25  # save the first two below the bass: many plain forms begin on the fifth or fourth string
UP_THE_NECK = 0.2  # each fret of the position: of equals, the lower is what players try first
OPEN_BELOW = 0.15  # each fret by which an open string rings below a position over the third fret: an unusual sound
IN_THE_BOOK = 0.5  # taken off for each nat of the book's grade: of equals, what players hold and teach comes first
_BITS = 6  # of a string's fret in a shape's number

Frets = NDArray[np.int8]


@dataclass(frozen=True, slots=True)
class Voicing:
    """One shape of a chord.

    Parameters
    ----------
    shape : Shape
    fingering : Fingering
    pitches : tuple of Pitch or None
        What each string sounds, in string order.
    degrees : tuple of Interval or None
        Each string's degree of the chord; None where it is not played, or for a foreign bass.
    missing : tuple of Interval
        Tones of the chord that do not sound.
    inversion : int or None
        0 root lowest, 1 third, and so on; None for a foreign bass.
    cost : float
        What it is ranked by.
    """

    shape: Shape
    fingering: Fingering
    pitches: tuple[Pitch | None, ...]
    degrees: tuple[Interval | None, ...]
    missing: tuple[Interval, ...]
    inversion: int | None
    cost: float


class Voicings(Sequence[Voicing]):
    """Every shape that was found, ranked; each is worked out when it is looked at.

    Parameters
    ----------
    frets : ndarray, shape (n, n_strings), int8
        In ranked order; -1 not played.
    efforts, costs : ndarray, shape (n,), float32
    chord : Chord
    fretboard : Fretboard
    hand : Hand
    """

    def __init__(
        self,
        frets: Frets,
        efforts: NDArray[np.float32],
        costs: NDArray[np.float32],
        chord: Chord,
        fretboard: Fretboard,
        hand: Hand,
    ) -> None:
        self.frets, self.efforts, self.costs = frets, efforts, costs
        self.chord, self.fretboard, self.hand = chord, fretboard, hand

    def __len__(self) -> int:
        return len(self.frets)

    @overload
    def __getitem__(self, index: int) -> Voicing: ...
    @overload
    def __getitem__(self, index: slice) -> Voicings: ...
    def __getitem__(self, index: int | slice) -> Voicing | Voicings:
        if isinstance(index, slice):
            return self.take(np.arange(len(self))[index])
        row = self.frets[index]
        shape = Shape(tuple(None if fret < 0 else int(fret) for fret in row))
        pitches = shape.pitches(self.fretboard)
        heard = {pitch.pitch_class for pitch in pitches if pitch is not None}
        member = min(
            _list_members(self.chord),
            key=lambda each: (len(heard - each.pitch_classes), len(each.pitch_classes - heard)),
        )
        tones = list(zip(member.quality.tones, member.notes, strict=True))
        degree_of = {note.pitch_class: tone for tone, note in reversed(tones)}
        lowest = min(pitch for pitch in pitches if pitch is not None).pitch_class
        places = [place for place, (_, note) in enumerate(tones) if note.pitch_class == lowest]
        return Voicing(
            shape,
            best_fingering(shape, self.fretboard, hand=self.hand),
            pitches,
            tuple(None if pitch is None else degree_of.get(pitch.pitch_class) for pitch in pitches),
            tuple(tone for tone, note in tones if note.pitch_class not in heard),
            places[0] if places else None,
            round(float(self.costs[index]), 3),
        )

    def __iter__(self) -> Iterator[Voicing]:
        return (self[index] for index in range(len(self)))

    @cached_property
    def shapes(self) -> tuple[Shape, ...]:
        """The bare shapes, ranked."""
        return tuple(Shape(tuple(None if fret < 0 else fret for fret in row)) for row in self.frets.tolist())

    @property
    def pitches(self) -> NDArray[np.int16]:
        """What each string sounds as MIDI numbers; 999 where it is not played."""
        return Candidates.lay_out(self.frets, _open_midi(self.fretboard)).pitches

    def take(self, rows: NDArray[np.int64] | NDArray[np.bool_]) -> Voicings:
        """Return some of the shapes, in the order given."""
        return Voicings(self.frets[rows], self.efforts[rows], self.costs[rows], self.chord, self.fretboard, self.hand)


def find_shapes(
    chord: Chord,
    *,
    fretboard: Fretboard | None = None,
    hand: Hand = USUAL_HAND,
    filters: ShapeFilters | None = None,
) -> Voicings:
    """Find every playable shape of a chord.

    Parameters
    ----------
    chord : Chord
        Its bass must sound lowest where it has one; otherwise any tone may.
    fretboard : Fretboard, optional
        A guitar in standard tuning when not given.
    hand : Hand
    filters : ShapeFilters, optional

    Raises
    ------
    NothingLeftError
        The filters exclude everything (it says which does), or the hand can hold none.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> found = find_shapes(parse_chord("C"))
    >>> found[0].shape.text, found[0].missing, len(found) > 1000
    ('x32010', (), True)
    """
    neck, wanted = fretboard or Fretboard(), filters or ShapeFilters()
    if wanted.bass is not None or wanted.inversion is not None:
        chord = Chord(chord.root, chord.quality, wanted.bass)
    frets = _enumerate(chord, neck, hand=hand, filters=wanted)
    measured = measure_efforts(frets, neck, hand=hand)
    frets, efforts = frets[measured.playable], measured.effort[measured.playable]
    candidates = Candidates.lay_out(frets, _open_midi(neck))
    if chord.bass is not None:
        lowest = candidates.lowest % 12 == chord.bass.pitch_class
        frets, efforts = frets[lowest], efforts[lowest]
        candidates = Candidates(frets, candidates.pitches[lowest])
    if not len(frets):
        refuse_empty({}, what=chord.text)
    kept = filter_shapes(candidates, chord, wanted, what=chord.text)
    frets, efforts = frets[kept], efforts[kept]
    candidates = Candidates(frets, candidates.pitches[kept])
    costs = efforts + _completeness(candidates, chord, filters=wanted)
    costs -= _commonness(candidates, chord, neck)
    order = _rank(frets, costs)
    return Voicings(frets[order], efforts[order], costs[order], chord, neck, hand)


def _completeness(candidates: Candidates, chord: Chord, *, filters: ShapeFilters) -> NDArray[np.float32]:
    """Return what is added to the effort: what the shape lacks, and how far it lies from what is tried first."""
    heard = _sounding_classes(candidates)
    below = candidates.played.argmax(axis=1)
    below = np.minimum(below, 2)
    silent = (~candidates.played).sum(axis=1) - below
    cost: NDArray[np.float32] = (np.float32(SILENT_STRING) * silent + np.float32(SILENT_BELOW) * below).astype(
        np.float32
    )
    missing = np.full(len(heard), len(chord.notes))
    for member in _list_members(chord):
        lacking = [(heard >> pitch_class & 1) == 0 for pitch_class in {note.pitch_class for note in member.notes}]
        missing = np.minimum(missing, np.sum(lacking, axis=0))
    cost += np.float32(MISSING_TONE) * missing.astype(np.float32)
    if chord.bass is None and filters.inversion is None:
        cost += np.float32(INVERSION) * (candidates.lowest % 12 != chord.root.pitch_class)
    position = _position(candidates.frets).astype(np.float32)
    cost += np.float32(UP_THE_NECK) * position
    has_open = (candidates.frets == 0).any(axis=1)
    cost += np.float32(OPEN_BELOW) * np.where(has_open, np.maximum(position - 3, 0), np.float32(0.0))
    return np.asarray(cost, np.float32)


def _commonness(candidates: Candidates, chord: Chord, fretboard: Fretboard) -> NDArray[np.float32]:
    """Return what is taken off for shapes in common use, where the chord's own bass is lowest.

    The book does not say whose shape it is; with another bass a common shape is commonly another chord.
    """
    own_bass = candidates.lowest % 12 == chord.sounding_bass.pitch_class
    grades = grade_shapes(candidates.frets, fretboard.tuning).astype(np.float32)
    return np.asarray(np.float32(IN_THE_BOOK) * np.where(own_bass, grades, np.float32(0.0)), np.float32)


def _sounding_classes(candidates: Candidates) -> NDArray[np.int16]:
    """Return the pitch classes of each shape as bits."""
    bits = np.where(candidates.played, np.int16(1) << (candidates.pitches % 12), np.int16(0))
    return np.asarray(np.bitwise_or.reduce(bits, axis=1), np.int16)


def _rank(frets: Frets, costs: NDArray[np.float32]) -> NDArray[np.int64]:
    """Return the documented order: cost, position, frets from the bass side."""
    number = np.zeros(len(frets), np.int64)
    for string in range(frets.shape[1]):
        number = (number << _BITS) | (frets[:, string] + 1)
    grade = np.round(costs * np.float32(1000)).astype(np.int64) * 64 + _position(frets)
    return np.lexsort((number, grade))


def _position(frets: Frets) -> NDArray[np.int8]:
    """Return the lowest stopped fret of each shape, 0 where nothing is stopped."""
    lowest = np.where(frets > 0, frets, np.int8(127)).min(axis=1)
    return np.asarray(np.where(lowest < 127, lowest, 0), np.int8)


def _open_midi(fretboard: Fretboard) -> NDArray[np.int16]:
    return np.array([pitch.midi for pitch in fretboard.open_pitches], np.int16)


def _enumerate(chord: Chord, fretboard: Fretboard, *, hand: Hand, filters: ShapeFilters) -> Frets:
    """List the shapes that hold the right tones and need no fifth finger, each once."""
    found = [_enumerate_quality(member, fretboard, hand=hand, filters=filters) for member in _list_members(chord)]
    if len(found) == 1:
        return found[0]
    return np.unique(np.concatenate(found), axis=0)


def _list_members(chord: Chord) -> list[Chord]:
    """Return the chords that a family such as ``7alt`` stands for; the chord itself when it is no family."""
    return [Chord(chord.root, quality, chord.bass) for quality in chord.quality.members or (chord.quality,)]


def _enumerate_quality(chord: Chord, fretboard: Fretboard, *, hand: Hand, filters: ShapeFilters) -> Frets:
    bit_of, required = _number_tones(chord, filters)
    width = reach_in_frets(fretboard, hand)
    steps = load_automaton(int(width.max(initial=0)) + 1, 5 if hand.thumb else 4)
    states = _start(fretboard, steps)
    for string in range(fretboard.n_strings):
        states = _add_string(states, string, bit_of, fretboard, width=width, steps=steps)
        left = fretboard.n_strings - 1 - string
        lacking = _POPCOUNT[required & ~states.tones]
        states = states.take(lacking <= left)
    complete = (
        ((required & ~states.tones) == 0) & (states.touched(steps) | (states.position == 0)) & (states.tones != 0)
    )
    frets: Frets = states.unpack(fretboard.n_strings)[complete]
    if chord.bass is not None and chord.inversion is None:
        bass = Candidates.lay_out(frets, _open_midi(fretboard)).sounds(chord.bass.pitch_class)
        frets = frets[bass.sum(axis=1) == 1]
    return frets


def _number_tones(chord: Chord, filters: ShapeFilters) -> tuple[dict[int, int], int]:
    """Give every pitch class that may sound a bit, and say which have to."""
    classes = {note.pitch_class: index for index, note in enumerate(chord.notes)}
    bits = {pitch_class: 1 << index for pitch_class, index in classes.items()}
    shell = shell_classes(chord) if filters.voices == "shell" else None
    needed = [chord.root.above(tone).pitch_class for tone in chord.quality.required]
    if shell is not None:
        needed, bits = list(shell), {pitch_class: bits[pitch_class] for pitch_class in shell}
    if filters.rootless:
        bits.pop(chord.root.pitch_class)
        needed = [pitch_class for pitch_class in needed if pitch_class != chord.root.pitch_class]
    required = 0
    for pitch_class in needed:
        required |= bits[pitch_class]
    if chord.bass is not None and chord.bass.pitch_class not in bits:
        bits[chord.bass.pitch_class] = 1 << len(chord.notes)
        required |= bits[chord.bass.pitch_class]
    return bits, required


_POPCOUNT = np.array([number.bit_count() for number in range(1 << 13)], np.int8)


@dataclass(frozen=True, slots=True)
class _States:
    """Partial shapes: one row each.

    ``number`` packs the frets (0 not played, fret + 1 otherwise) in :data:`_BITS` bits a string, ``position`` is the
    lowest stopped fret that was set out from (0: no stopped string), ``automaton`` its state, ``tones`` the bits that
    sound.
    """

    number: NDArray[np.int64]
    position: NDArray[np.int8]
    automaton: NDArray[np.int32]
    tones: NDArray[np.int16]

    def take(self, rows: NDArray[np.bool_]) -> _States:
        return _States(self.number[rows], self.position[rows], self.automaton[rows], self.tones[rows])

    def touched(self, steps: Automaton) -> NDArray[np.bool_]:
        """Whether a string is stopped at the position itself."""
        return steps.touched[self.automaton]

    def unpack(self, n_strings: int) -> Frets:
        columns = [(self.number >> (_BITS * string) & ((1 << _BITS) - 1)) - 1 for string in range(n_strings)]
        return np.stack(columns, axis=1).astype(np.int8)


def _start(fretboard: Fretboard, steps: Automaton) -> _States:
    n = fretboard.top_fret + 1
    return _States(
        np.zeros(n, np.int64), np.arange(n, dtype=np.int8), np.full(n, steps.start, np.int32), np.zeros(n, np.int16)
    )


def _add_string(
    states: _States,
    string: int,
    bit_of: dict[int, int],
    fretboard: Fretboard,
    *,
    width: NDArray[np.int64],
    steps: Automaton,
) -> _States:
    """Extend every partial shape by what the next string may do."""
    open_class = fretboard.pitch_at(string, 0).pitch_class
    tones = np.array([bit_of.get((open_class + fret) % 12, 0) for fret in range(fretboard.top_fret + 1)], np.int16)
    parts = [_States(states.number, states.position, steps.skip[states.automaton], states.tones)]
    if tones[0]:
        number = states.number | (1 << _BITS * string)
        parts.append(_States(number, states.position, steps.ring[states.automaton], states.tones | tones[0]))
    padded = np.concatenate([tones, np.zeros(int(width.max(initial=0)) + 1, np.int16)])
    for offset in range(int(width.max(initial=0)) + 1):
        fret = states.position + np.int8(offset)
        sounds = padded[fret]
        after = steps.stop[offset][states.automaton]
        rows = np.flatnonzero((sounds != 0) & (after >= 0) & (states.position > 0) & (offset <= width[states.position]))
        if rows.size:
            number = states.number[rows] | ((fret[rows].astype(np.int64) + 1) << _BITS * string)
            parts.append(_States(number, states.position[rows], after[rows], states.tones[rows] | sounds[rows]))
    return _States(*(np.concatenate([getattr(part, name) for part in parts]) for name in _States.__slots__))
