"""Which strings are out of tune against the rest of the guitar, and whether by the peg or by the hand.

A string that is sharp only where it is stopped is pressed too hard or bent, and so far off as it is there; one that is
out when open too wants tuning.
A note is laid to a string by the shape that was set, or the usual one; notes that two strings of it share are left
out, and so are chords that were played wrong.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.heard import HeardMatrix
from listen.assessment.judge_chords import Doubted
from listen.assessment.slots import PlayedSlot
from listen.instrument import Fretboard
from listen.reading import Finding, OffPitch, PressLess, Tolerances, TurnPeg

LEAST_MEASURED, LEAST_OPEN = 3, 2
SIGMA_CENTS = 2.5  # of a string's median, with many measurements: real fretting differs by so much from note to note
SINGLE_CENTS = 6.0  # of one measurement
LEAST_SHARE = 0.125
"""Of the sounds that a string is due in, those in which it has to be measured: where another string sounds an octave
below it, it is measured in few of them, by partials that are half the other's. Of 22 strings that were out of tune
(seeds 2000 and 810000) each was measured in 15 % or more; of seven that were not, and yet lie 20 cents or more off, all
in less than 12 %."""
LEAST_STRINGS = 4
FEWEST_PARTIALS = 2.0  # a pitch measured from fewer is not laid to a string; judged


@dataclass(frozen=True, slots=True)
class _Measured:
    string: int
    fret: int
    cents: float
    weight: float
    time_s: float
    bar: int
    beat: float


def judge_tuning(
    played: Sequence[PlayedSlot], heard: HeardMatrix, board: Fretboard, tolerances: Tolerances
) -> list[Doubted]:
    """Judge each string."""
    measured, due = _collect(played, heard, board)
    strings = sorted({one.string for one in measured})
    medians = {}
    for string in strings:
        own = [one for one in measured if one.string == string]
        if len(own) >= LEAST_MEASURED:
            medians[string] = _median(own)
    if len(medians) < LEAST_STRINGS:
        return []
    centre = float(np.median(list(medians.values())))
    found = []
    for string, median in medians.items():
        own = [one for one in measured if one.string == string]
        if len(own) < LEAST_SHARE * (due[string, False] + due[string, True]):
            continue
        stopped = [one for one in own if one.fret > 0]
        enough = len(stopped) >= max(LEAST_MEASURED, LEAST_SHARE * due[string, True])
        if enough and _is_bent(own, stopped, centre, tolerances):
            found.append(_judge_string(PressLess(string), stopped, _median(stopped) - centre, centre, tolerances))
        else:
            peg = TurnPeg(string, is_up=median < centre)
            found.append(_judge_string(peg, own, median - centre, centre, tolerances))
    return found


def _is_bent(own: Sequence[_Measured], stopped: Sequence[_Measured], centre: float, tolerances: Tolerances) -> bool:
    """Whether a string is in tune where it is open, and sharp where it is stopped."""
    opened = [one for one in own if one.fret == 0]
    is_in_tune = len(opened) >= LEAST_OPEN and abs(_median(opened) - centre) <= tolerances.cents / 2.0
    return is_in_tune and _median(stopped) - centre > tolerances.cents


def is_tuning_told(doubts: Sequence[Doubted]) -> bool:
    """Whether so many strings were judged that the guitar may be called in tune."""
    return sum(one.finding.kind == "out of tune" for one in doubts) >= LEAST_STRINGS


def _judge_string(
    hint: TurnPeg | PressLess, own: Sequence[_Measured], cents: float, centre: float, tolerances: Tolerances
) -> Doubted:
    """Judge how far a string lies off, by what was measured of it: all of it, or where it is stopped."""
    n = len({round(one.time_s, 2) for one in own})
    sigma = float(np.hypot(SIGMA_CENTS, SINGLE_CENTS / np.sqrt(n)))
    spread = 1.4826 * float(np.median([abs(one.cents - centre - cents) for one in own]))
    sigma = float(np.hypot(sigma, spread / np.sqrt(n)))
    doubt = Grounds("out of tune", (abs(cents) - tolerances.cents) / sigma, n)
    worst = max(own, key=lambda one: (round(abs(one.cents - centre), 1), -one.time_s))
    finding = Finding(
        "out of tune", worst.bar, worst.beat, worst.time_s, probability=calibrate(doubt), string=hint.string, hint=hint,
        measure=OffPitch(round(abs(cents)), is_sharp=cents > 0),
    )  # fmt: skip
    return Doubted(finding, doubt)


def _collect(
    played: Sequence[PlayedSlot], heard: HeardMatrix, board: Fretboard
) -> tuple[list[_Measured], Counter[tuple[int, bool]]]:
    """Return what was measured, and in how many sounds each string is due by itself, open and stopped."""
    measured, due = [], Counter[tuple[int, bool]]()
    for one in played:
        if one.target.shape is None:
            continue
        places: dict[int, list[tuple[int, int]]] = {}
        for index, fret in enumerate(one.target.shape.frets):
            if fret is not None:
                midi = board.pitch_at(index, fret).midi + heard.shift
                places.setdefault(midi, []).append((board.n_strings - index, fret))
        alone = [(own[0][0], own[0][1] > 0) for own in places.values() if len(own) == 1]
        for sound in one.sounds:
            due.update(alone)
            for note in heard.performance.sounds[sound].cents:
                own = places.get(note.midi, [])
                if len(own) == 1 and note.weight >= FEWEST_PARTIALS:
                    (string, fret) = own[0]
                    start_s = heard.performance.sounds[sound].start_s
                    measured.append(
                        _Measured(string, fret, note.cents, note.weight, start_s, one.slot.bar, one.slot.beat)
                    )
    return measured, due


def _median(own: Sequence[_Measured]) -> float:
    """Return the median, each measurement weighed by its partials."""
    cents = np.array([one.cents for one in own])
    weights = np.sqrt(np.array([one.weight for one in own]))
    order = np.argsort(cents)
    passed = np.cumsum(weights[order]) - 0.5 * weights[order]
    return float(np.interp(0.5 * weights.sum(), passed, cents[order]))
