"""Both hands of a player: what is held, what rings, and what becomes of a move that was planned.

The truth of a stroke is the moment at which its first string is struck, not the one that was planned. A quiet brush
between strokes is no stroke.

Conventions: seconds; strings from 0, the heaviest.
"""

from __future__ import annotations

import numpy as np

from listen.instrument import NOMINAL_MIDI
from listen.training.stroke_habits import SLOWEST_SPREAD_S, PlayerHabits
from listen.training.stroke_patterns import Form, PatternSlot, StrokeMove
from listen.training.stroke_performance import BankNote, Burst, PlayedStroke

# every share, range and level of this file was judged, not measured
RING_S = 3.0
SHARE_OF_GAP = 0.8  # a stroke is over before the next one
WAIT_TIMES, WAIT_SPREAD_S = (2.0, 8.0), (0.04, 0.16)  # longer than another step; of such a stroke, at least
N_OF_WAY = 3  # strings from which on a stroke has a direction
STILLED_BEFORE_S = 0.004  # the pick touches a string before it plucks it
CHANGE_SHARE, SQUEAK_SHARE, CHOKED_SHARE = 0.6, 0.15, 0.1
CLICK_SHARE = 0.6  # of chops; the others are heard as notes that die at once
CHOP_NOTE_DB, CHOP_NOTE_SOFTER_DB = -3.0, 6.0
LIFTED_SHARE = 0.08  # of strokes up: the other hand has let go already
DULLER_SHARE, DULLER = 0.7, 0.6
LEAST_GAP_OF_BRUSH_S, BRUSH_SOFTER_DB = 0.22, 10.0
PLAYED_SINGLY = (StrokeMove.BASS, StrokeMove.PICK, StrokeMove.PINCH)
PLAYED_UP = (StrokeMove.UP, StrokeMove.BRUSH_UP)
PLAYED_DOWN = (StrokeMove.DOWN, StrokeMove.BRUSH_DOWN)


class PlayingHands:
    """The hands of one player.

    Parameters
    ----------
    rng : Generator
    habits : PlayerHabits
    forms : tuple of tuple of (int or None)
        The chords of the part; the first is held.
    """

    def __init__(self, rng: np.random.Generator, habits: PlayerHabits, forms: tuple[Form, ...]) -> None:
        self.notes: list[BankNote] = []
        self.bursts: list[Burst] = []
        self.strokes: list[PlayedStroke] = []
        self._rng = rng
        self._habits = habits
        self._forms = forms
        self._ringing: dict[int, BankNote] = {}
        self._choked: int | None = None
        self._hold(forms[0])

    def may_change(self, at_s: float) -> None:
        """Change the chord, or not, at the end of a bar; a finger may come to lie on an inner string."""
        rng = self._rng
        if rng.random() < CHANGE_SHARE:
            new = self._forms[int(rng.integers(len(self._forms)))]
            if new != self._form:
                for string, (old_fret, new_fret) in enumerate(zip(self._form, new, strict=True)):
                    if old_fret != new_fret and not (old_fret == 0 and new_fret is None):
                        self._still(string, at_s - rng.uniform(0.0, 0.07))
                if rng.random() < SQUEAK_SHARE:
                    level_db, decay_s = rng.uniform(-34.0, -16.0), rng.uniform(0.01, 0.05)
                    self.bursts.append(
                        Burst(at_s - rng.uniform(0.02, 0.12), level_db, decay_s, rng.uniform(800.0, 3500.0))
                    )
                self._hold(new)
        chokes = len(self._held) > 3 and rng.random() < CHOKED_SHARE
        self._choked = int(rng.choice(self._held[1:-1])) if chokes else None

    def play(self, slot: PatternSlot, at_s: float, next_s: float) -> bool:
        """Make a move; return whether any string was struck.

        Parameters
        ----------
        slot : PatternSlot
        at_s : float
            When it is meant.
        next_s : float
            When the next move is.
        """
        if slot.move is StrokeMove.CHOP:
            self._chop(at_s)
            return True
        struck = self._strike(slot, at_s, next_s)
        if not struck:
            return False
        down, up = slot.move in PLAYED_DOWN, slot.move in PLAYED_UP
        way = int(down) - int(up) if len(struck) >= N_OF_WAY else 0
        self.strokes.append(PlayedStroke(struck[0].onset_s, way))
        if next_s - at_s > LEAST_GAP_OF_BRUSH_S and self._rng.random() < self._habits.brush_share:
            self._brush(at_s + self._rng.uniform(0.35, 0.65) * (next_s - at_s), downwards=not down)
        return True

    def _hold(self, form: Form) -> None:
        self._form = form
        self._held = [string for string, fret in enumerate(form) if fret is not None]

    def _still(self, string: int, at_s: float) -> None:
        note = self._ringing.pop(string, None)
        if note is not None:
            note.end_s = max(note.onset_s + 0.02, min(note.end_s, at_s))

    def _pitch_of(self, string: int, fret: int) -> float:
        return NOMINAL_MIDI[string] + self._habits.capo + fret + self._habits.detuned[string]

    def _chop(self, at_s: float) -> None:
        """Still all strings, with a click or with notes that die at once."""
        rng = self._rng
        for string in list(self._ringing):
            self._still(string, at_s)
        if rng.random() < CLICK_SHARE:
            self.bursts.append(
                Burst(at_s, rng.uniform(-8.0, 4.0), rng.uniform(0.006, 0.02), rng.uniform(400.0, 1500.0))
            )
        else:
            for place, string in enumerate(rng.permutation(6)[:4].tolist()):
                onset_s = at_s + 0.004 * place
                midi = NOMINAL_MIDI[string] + self._habits.capo + (0 if rng.random() < 0.5 else 7)
                end_s = onset_s + rng.uniform(0.02, 0.06)
                self.notes.append(BankNote(onset_s, end_s, midi, CHOP_NOTE_DB, CHOP_NOTE_SOFTER_DB))
        self.strokes.append(PlayedStroke(at_s, damped=True))

    def _choose_strings(self, slot: PatternSlot) -> list[int]:
        """Return the strings that a move is meant for, in the order in which they are struck."""
        held = self._held
        if slot.move is StrokeMove.DOWN:
            strings = held
        elif slot.move is StrokeMove.BRUSH_DOWN:
            strings = held[-4:]
        elif slot.move is StrokeMove.UP:
            strings = held[-int(self._rng.integers(3, 7)) :][::-1]
        elif slot.move is StrokeMove.BRUSH_UP:
            strings = held[-3:][::-1]
        elif slot.move is StrokeMove.BASS:
            strings = [held[0] if self._rng.random() < 0.6 else held[1]]
        elif slot.move is StrokeMove.PINCH:
            strings = [held[0], held[-1]]
        else:
            strings = [held[min(slot.string, len(held) - 1)]]
        return strings

    def _strike(self, slot: PatternSlot, at_s: float, next_s: float) -> list[BankNote]:
        """Strike strings one after another, but those that are choked or missed; return their notes."""
        rng, habits = self._rng, self._habits
        strings = self._choose_strings(slot)
        level_db = rng.normal(0.0, habits.level_sd_db)
        if slot.move in PLAYED_UP:
            level_db -= habits.up_softer_db * rng.uniform(0.5, 1.0)
        lifted = slot.move in PLAYED_UP and rng.random() < LIFTED_SHARE
        meant_low = slot.move in (StrokeMove.BASS, StrokeMove.PINCH) or (
            slot.move is StrokeMove.PICK and slot.string == 0
        )
        struck = []
        for string, after_s in zip(strings, self._spread(slot, len(strings), next_s - at_s), strict=True):
            outer = string in (self._held[0], self._held[-1])
            missed = len(strings) > 3 and rng.random() < habits.missed[outer]
            if string == self._choked or missed:
                continue
            soft_db = habits.soft_bass_db if string == self._held[0] and not meant_low else 0.0
            note_db = level_db - soft_db - rng.uniform(0.0, 2.0)
            softer_db = max(0.0, -note_db) * DULLER if rng.random() < DULLER_SHARE else 0.0
            fret = 0 if lifted else (self._form[string] or 0)
            onset_s = at_s + after_s
            self._still(string, onset_s - STILLED_BEFORE_S)
            note = BankNote(onset_s, onset_s + RING_S, self._pitch_of(string, fret), note_db, softer_db)
            self._ringing[string] = note
            struck.append(note)
        self.notes.extend(struck)
        return struck

    def _spread(self, slot: PatternSlot, n_strings: int, gap_s: float) -> list[float]:
        """Return when each string is struck after the first: unevenly, and sometimes with a wait on one of them."""
        if slot.move in PLAYED_SINGLY or n_strings < 2:
            return [0.0] * n_strings
        rng = self._rng
        width_s, steps = rng.uniform(*self._habits.spread_s), rng.uniform(0.3, 1.7, n_strings - 1)
        if rng.random() < self._habits.wait_share:
            steps[0 if rng.random() < 0.5 else int(rng.integers(n_strings - 1))] *= rng.uniform(*WAIT_TIMES)
            width_s = max(width_s, rng.uniform(*WAIT_SPREAD_S))
        places = np.cumsum([0.0, *steps])
        width_s = min(width_s, SHARE_OF_GAP * gap_s, SLOWEST_SPREAD_S)
        return [float(place) for place in places / places[-1] * width_s]

    def _brush(self, at_s: float, *, downwards: bool) -> None:
        """Touch one to three strings on the way back, some 25 dB under a stroke."""
        rng = self._rng
        first = int(rng.integers(0, max(1, len(self._held) - 2)))
        strings = self._held[first : first + int(rng.integers(1, 4))]
        for place, string in enumerate(strings if downwards else strings[::-1]):
            if string != self._choked:
                onset_s, midi = at_s + 0.008 * place, self._pitch_of(string, self._form[string] or 0)
                level_db = rng.uniform(-32.0, -17.0)
                self.notes.append(BankNote(onset_s, onset_s + RING_S, midi, level_db, BRUSH_SOFTER_DB))
