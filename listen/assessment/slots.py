"""What was heard while each chord that was set was due: which sounds, and the odds of every note over all of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from listen.assessment.heard import FITS, SOFTNESS, HeardMatrix
from listen.assessment.placing import Placed
from listen.assessment.target import Score, Slot, Target
from listen.assessment.vocabulary import weigh_vocabulary
from listen.instrument import Fretboard

Floats = NDArray[np.float64]

UPPER_SHARE = 0.5  # of the strokes on a chord, those that say most for a note: an upstroke leaves out the low ones
ENOUGH_S, LEAST_SAY = 0.5, 0.05  # a sound says no more when longer, and never less than so much; judged
LEAST_TONES = 3  # a bass note alone does not tell which of two chords it belongs to
SURE_LOG_ODDS = 2.0  # a pitch above it surely sounds; judged, not measured
RUNG_OVER = -3.0  # the log-odds that a string which only rings on was played
RINGING_DB = 1.5  # a string that is struck rises more; as in transcription's own reading of strings that ring over
RUNG_NATS = 0.9
"""How much less likely a string that sounded before was struck than that it rings on, for each stroke that does not
raise it: of the lowest strings struck by the students of seeds 2000 to 2119, 37 in 100 rise by less than 1.5 dB where
they sounded before, of lower ones that only ring 95. One stroke alone does not take the lowest note away."""
LEFT_OPEN_NATS = 4.0
"""How much less an open string that sounded before, and that the shape leaves out, is likely to be struck than to ring
on. In 131 places of 136 students (seeds 500000 and 2000 of ``python -m tests.benchmarks.homework``) such a string rose
by 1.5 dB or more; in one of them it had been struck. One in 55 is allowed for, since students make more mistakes than
were planted. Rises tell the two apart badly: a stroke shakes a string that it does not strike, and half of the low ones
that only ring rise by 3 dB at one stroke or another."""
CHANGE_NATS = 0.7  # a stroke that fits the chord before, and so much better, still belongs to it


@dataclass(frozen=True, slots=True)
class PlayedSlot:
    """A chord that was set, and the strokes that were played while it was due.

    Parameters
    ----------
    slot : Slot
    target : Target
    start_s : float
        When it was due, by the student's own pulse.
    beat_s : float
    strokes : tuple of int
        All that lie in it, hits too.
    sounds : tuple of int
        Of its strokes with pitch, without those at its beginning that go on with the chord before.
    held_over : tuple of int
        Strokes at its beginning that still sound the chord before.
    before : Target or None
        What was due before in the same run.
    ringing : tuple of int
        MIDI numbers that sounded before and that no stroke in it raises: the more strokes, the less likely struck.
    left_open : tuple of int
        MIDI numbers of open strings that sounded before and that the shape leaves out: they may only ring on.
    held_nats : float
        By how much the strokes at its beginning sound like what was played before rather than like its own chord.
    """

    slot: Slot
    target: Target
    start_s: float
    beat_s: float
    strokes: tuple[int, ...]
    sounds: tuple[int, ...]
    held_over: tuple[int, ...]
    before: Target | None
    ringing: tuple[int, ...] = ()
    left_open: tuple[int, ...] = ()
    held_nats: float = 0.0


def find_played(score: Score, placed: Placed, heard: HeardMatrix, fits: Floats) -> list[PlayedSlot]:
    """Find what was played of each slot in its last visit; slots that were not reached are left out."""
    found: list[PlayedSlot] = []
    strokes = heard.performance.strokes
    for number, slot in enumerate(score.slots):
        if slot.place not in placed.visits:
            continue
        run = placed.run_at(slot.place, slot.start)
        own = placed.strokes_in(slot.place, slot.start, slot.end)
        before = score.slots[number - 1] if number else None
        is_run_on = before is not None and run.beats[0] < slot.start - 1e-6
        earlier = score.targets[before.target] if before is not None and is_run_on else None
        pulse = run.local_pulse(slot.start)
        beat_s = run.beat_s * run.clock.length_at(slot.start) if pulse is None else pulse[1]
        over: list[int] = []
        nats = 0.0
        if earlier is not None and before is not None and before.target != slot.target:
            fits_before = np.maximum(fits[:, before.target], _fit_played(found[-1], heard, fits))
            for stroke in own:
                sound = strokes[stroke].sound
                if sound < 0 or not earlier.is_judged:
                    break
                if fits_before[sound] < max(0.0, fits[sound, slot.target] + CHANGE_NATS):
                    break
                sure = frozenset(np.flatnonzero(heard.odds[sound] > SURE_LOG_ODDS).tolist())
                if len(sure) < LEAST_TONES and sure <= score.targets[slot.target].classes:
                    break
                over.append(stroke)
                nats += float(fits_before[sound] - fits[sound, slot.target]) / SOFTNESS
            if len(over) == len([one for one in own if strokes[one].sound >= 0]):
                over = []  # it never came: a wrong chord, or a change that was not made
        sounds = [strokes[one].sound for one in own if one not in over and strokes[one].sound >= 0]
        target, struck = score.targets[slot.target], tuple(one for one in own if one not in over)
        found.append(
            PlayedSlot(
                slot, target, run.time_at(slot.start), beat_s, tuple(own), tuple(dict.fromkeys(sounds)), tuple(over),
                earlier, _find_ringing(heard, struck),
                _find_left_open(heard, struck, target, score.assignment.fretboard), nats,
            )
        )  # fmt: skip
    return found


def _fit_played(played: PlayedSlot, heard: HeardMatrix, fits: Floats) -> Floats:
    """Return how well each sound fits what was played in a slot instead of its chord; none where that was played."""
    sounds = list(played.sounds)
    if not sounds or not played.target.is_judged or fits[sounds, played.slot.target].mean() > 0.0:
        return np.full(len(fits), -np.inf)
    other = int(weigh_vocabulary(gather_odds(heard, played.sounds)).argmax())
    return np.asarray(FITS + SOFTNESS * (weigh_vocabulary(heard.odds)[:, other] - heard.best))


def _find_ringing(heard: HeardMatrix, own: tuple[int, ...]) -> tuple[int, ...]:
    """Find what only rings on: it sounded before the first stroke, and rises at none where that could be told."""
    before = _sounding_before(heard, own)
    most: dict[int, float] = {}
    for one in own:
        for midi, rise in heard.performance.strokes[one].rises:
            most[midi] = max(most.get(midi, rise), rise)
    return tuple(midi for midi, rise in most.items() if rise < RINGING_DB and midi in before)


def _find_left_open(heard: HeardMatrix, own: tuple[int, ...], target: Target, board: Fretboard) -> tuple[int, ...]:
    """Find open strings that the shape leaves out and that sounded before: a hand that lifts lets them ring."""
    if target.shape is None:
        return ()
    before = _sounding_before(heard, own)
    silent = [index for index, fret in enumerate(target.shape.frets) if fret is None]
    return tuple(midi for index in silent if (midi := board.pitch_at(index, 0).midi + heard.shift) in before)


def _sounding_before(heard: HeardMatrix, own: tuple[int, ...]) -> frozenset[int]:
    """Return the MIDI numbers that sounded before the first of some strokes that has a pitch."""
    strokes = heard.performance.strokes
    first = next((one for one in own if strokes[one].sound >= 0), 0)
    if first == 0 or strokes[first - 1].sound < 0:
        return frozenset()
    return frozenset(np.flatnonzero(heard.pitches[strokes[first - 1].sound] > 0.0).tolist())


def gather_odds(heard: HeardMatrix, sounds: tuple[int, ...]) -> Floats:
    """Return the log-odds of each pitch class over some sounds: the mean of those that say most for it."""
    return _upper_mean(heard.odds[list(sounds)], _weights(heard, sounds))


def gather_pitches(heard: HeardMatrix, played: PlayedSlot) -> tuple[Floats, Floats]:
    """Return the log-odds of each MIDI number over a slot: of the sounds that say most for it, and the median."""
    rows = heard.pitches[list(played.sounds)]
    over = list(played.ringing)
    rows[:, over] = np.minimum(rows[:, over], RUNG_OVER)
    whole = (rows > 0.0).sum(axis=1) >= LEAST_TONES  # a bass struck alone says nothing of the strings above
    middle = np.median(rows[whole] if whole.any() else rows, axis=0)
    return _upper_mean(rows, _weights(heard, played.sounds)), np.asarray(middle)


def gather_sounding(heard: HeardMatrix, played: PlayedSlot) -> Floats:
    """Return the log-odds of each MIDI number of the sounds that say most for it; what only rings on sounds too."""
    return _upper_mean(heard.pitches[list(played.sounds)], _weights(heard, played.sounds))


def bass_chances(heard: HeardMatrix, played: PlayedSlot) -> Floats:
    """Return how likely each MIDI number is the lowest that was struck; shape (n_sounds, 128)."""
    rows = heard.basses[list(played.sounds)]
    rows[:, list(played.left_open)] -= LEFT_OPEN_NATS
    rows[:, list(played.ringing)] -= RUNG_NATS * (len(played.strokes) - len(played.held_over))
    return np.asarray(np.exp(rows - np.logaddexp.reduce(rows, axis=1, keepdims=True)))


def _weights(heard: HeardMatrix, sounds: tuple[int, ...]) -> Floats:
    lengths = [heard.performance.sounds[at].end_s - heard.performance.sounds[at].start_s for at in sounds]
    return np.asarray(np.minimum(np.array(lengths), ENOUGH_S) + LEAST_SAY)


def _upper_mean(rows: Floats, weights: Floats) -> Floats:
    """Return the weighted mean of the upper part of each column."""
    order = np.argsort(-rows, axis=0)
    ranked = np.take_along_axis(rows, order, axis=0)
    say = weights[order]
    before = np.cumsum(say, axis=0) - say
    share = np.clip(UPPER_SHARE * weights.sum() - before, 0.0, say)
    return np.asarray((ranked * share).sum(axis=0) / share.sum(axis=0))
