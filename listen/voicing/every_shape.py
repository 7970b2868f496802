"""Every shape: all ways to put the wanted tones on the strings that need no fifth finger, each once.

For each position of the lowest stopped fret, strings are added one by one from the bass side. A small automaton
(:mod:`listen.voicing.contacts`) counts the fingers that the stopped frets need at least, and a partial shape that needs
a fifth, or can no longer hold every needed tone, is dropped at once.

The list is complete up to :data:`MOST_STATES` partial shapes, which no chord on six strings reaches (a wide hand with
its thumb over the neck comes to 84,000 with C11). Beyond, on eight strings of a long neck, the half that looks plainest
is kept: few fingers, few silent strings inside, few tones still lacking, low on the neck.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.instrument import Fretboard, Hand
from listen.voicing.contacts import Automaton, load_automaton, reach_in_frets
from listen.voicing.wanted_tones import WantedTones

MOST_STATES = 100_000
THINNED_TO = 40_000
_FINGER, _SILENT_INSIDE, _LACKING, _FRET = 1.0, 1.0, 0.6, 0.2  # what makes a partial shape less plain (judged)
_BITS = 6  # of a string's fret in a shape's number
_POPCOUNT = np.array([number.bit_count() for number in range(1 << 13)], np.int8)

Frets = NDArray[np.int8]


def list_shapes(wanted: WantedTones, fretboard: Fretboard, *, hand: Hand) -> Frets:
    """List the shapes of some tones.

    Returns
    -------
    ndarray, shape (n, n_strings), int8
        Highest-numbered string first; -1 not played.
    """
    width = reach_in_frets(fretboard, hand)
    steps = load_automaton(int(width.max(initial=0)) + 1, 5 if hand.thumb else 4)
    states = _start(fretboard, steps)
    for string in range(fretboard.n_strings):
        states = _add_string(states, string, wanted.bit_of, fretboard, width=width, steps=steps)
        left = fretboard.n_strings - 1 - string
        lacking = np.min([_POPCOUNT[needed & ~states.tones] for needed in wanted.needed], axis=0)
        states = states.take(lacking <= left)
        if states.number.size > MOST_STATES:
            states = _thin(states, lacking[lacking <= left], steps, n_done=string + 1)
    told = np.zeros(states.tones.size, bool)
    for needed in wanted.needed:
        told |= (needed & ~states.tones) == 0
    complete = told & (states.touched(steps) | (states.position == 0)) & (states.tones != 0)
    found: NDArray[np.int8] = states.unpack(fretboard.n_strings)[complete]
    return found


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


def _thin(states: _States, lacking: NDArray[np.int8], steps: Automaton, *, n_done: int) -> _States:
    """Keep the plainest of too many partial shapes."""
    inside, pending = np.zeros(lacking.size, np.int8), np.zeros(lacking.size, np.int8)
    begun = np.zeros(lacking.size, bool)
    for string in range(n_done):
        sounds = (states.number >> (_BITS * string) & ((1 << _BITS) - 1)) > 0
        inside += np.where(sounds, pending, np.int8(0))
        begun |= sounds
        pending = np.where(sounds | ~begun, np.int8(0), pending + np.int8(1))
    cost = np.float32(_FINGER) * steps.fingers[states.automaton] + np.float32(_SILENT_INSIDE) * (inside + pending)
    cost += np.float32(_LACKING) * lacking + np.float32(_FRET) * states.position
    kept = np.zeros(lacking.size, bool)
    kept[np.argpartition(cost, THINNED_TO)[:THINNED_TO]] = True
    return states.take(kept)


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
