"""How the guitar lies to what was set: capo and tuning, or another key on a guitar as it was set.

Everything lower or higher than set can be a guitar that is tuned down or has another capo, or the song in another key.
The two sound the same notes at other pitches: those of the shapes that were set, moved with the guitar, or those of
open shapes of the chords that sound. Nobody is told to tune up by more than a tone: strings break.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.heard import HeardMatrix
from listen.assessment.judge_chords import Doubted
from listen.assessment.judge_tuning import judge_tuning
from listen.assessment.slots import PlayedSlot, gather_sounding
from listen.assessment.target import Score, find_usual_shape
from listen.instrument import Fretboard, Shape
from listen.reading import MOST_TUNED_DOWN, Finding, OtherKey, OtherSetting, Tolerances
from listen.theory import KEYS, rank_keys, transpose_chord

HIGHEST_CAPO = 9
LEAST_BETWEEN = 20  # cents between semitones that are said; a guitar tuned by ear lies as far off; judged
LEAST_NATS = 3.0
"""By how much, in the mean over chords, the pitches of one way have to be surer than those of the others. Of 54 guitars
tuned down (``hear_scene``, seeds 0 to 119) none has more than 0.0 for open shapes, nor has one of 22 heard with another
capo or tuned down; a person's take of C G Am F, held against six charts in other keys, has 6.0 to 11.2, and takes mixed
from recorded notes in a key a tone higher 5.7 and 6.8."""
GUITAR_SIGMA_CENTS = 3.0  # of the whole guitar's offset, as of one string that is measured often; judged
SAYS_AT_MOST = 6.0  # nats that one pitch says; judged


@dataclass(frozen=True, slots=True)
class GuitarPlace:
    """How the guitar lies to what was set.

    Parameters
    ----------
    heard : HeardMatrix
        Moved by what everything lies off.
    is_other_key : bool
    is_at_pitch : bool
        Whether what was heard are open shapes of a guitar that lies as it was set.
    """

    heard: HeardMatrix
    is_other_key: bool = False
    is_at_pitch: bool = False


def find_guitar_place(played: Sequence[PlayedSlot], heard: HeardMatrix, board: Fretboard) -> GuitarPlace:
    """Tell a guitar that is tuned down or has another capo from another key, and from a capo far up."""
    shift = heard.shift
    if not shift:
        return GuitarPlace(heard)
    opened, down, up = [], [], []
    for one in played:
        shape, own = one.target.shape, _find_own_shape(one, shift, board)
        if not one.sounds or shape is None or own is None:
            continue
        odds = np.clip(gather_sounding(heard, one), -SAYS_AT_MOST, SAYS_AT_MOST)
        as_set, above, here = (_sounded(board, *way) for way in ((shape, shift), (shape, shift + 12), (own, 0)))
        up.append(min(_favour(odds, above, as_set), _favour(odds, above, here)))
        down.append(_favour(odds, as_set, here))
        if 0 in own.frets:
            opened.append(-down[-1])
    if up and shift + board.capo_fret < 0 and shift + 12 <= HIGHEST_CAPO and float(np.mean(up)) >= LEAST_NATS:
        return GuitarPlace(heard.moved(shift + 12))
    is_at_pitch = bool(opened) and float(np.mean(opened)) >= LEAST_NATS
    return GuitarPlace(heard, is_at_pitch or shift + board.capo_fret < -MOST_TUNED_DOWN, is_at_pitch)


def judge_guitar(
    right: Sequence[PlayedSlot], place: GuitarPlace, board: Fretboard, tolerances: Tolerances
) -> list[Doubted]:
    """Judge each string; in another key by the shapes that were held there, where those can be told."""
    if not place.is_other_key:
        return judge_tuning(right, place.heard, board, tolerances)
    if not place.is_at_pitch:
        return []
    held = [
        replace(one, target=replace(one.target, shape=_find_own_shape(one, place.heard.shift, board))) for one in right
    ]
    return judge_tuning(held, replace(place.heard, shift=0), board, tolerances)


def judge_pitch(place: GuitarPlace, score: Score, time_s: float, tolerances: Tolerances) -> Doubted:
    """Judge how far the whole guitar lies off A = 440 Hz, where it lies as it was set."""
    off = place.heard.performance.tuning_offset_cents
    doubt = Grounds("out of tune", (abs(off) - tolerances.guitar_cents) / GUITAR_SIGMA_CENTS)
    measure = OtherSetting(0, score.assignment.capo_fret, round(off))
    finding = Finding("setting", score.bar_number(0), 1.0, time_s, probability=calibrate(doubt), measure=measure)
    return Doubted(finding, doubt)


def judge_setting(place: GuitarPlace, gained: float, score: Score, time_s: float, *, is_in_tune: bool) -> Doubted:
    """Judge that everything lies off what was set, as one finding."""
    shift, doubt = place.heard.shift, Grounds("setting", gained, 1)
    capo_fret = score.assignment.capo_fret
    off = round(place.heard.performance.tuning_offset_cents)
    is_tuning = capo_fret + shift < 0 or capo_fret == 0
    cents = off if is_tuning and abs(off) >= LEAST_BETWEEN else 0
    measure: OtherSetting | OtherKey = OtherSetting(shift, capo_fret, cents)
    if place.is_other_key:
        measure = OtherKey(*_name_keys(score, shift), shift, is_in_tune=place.is_at_pitch and is_in_tune)
    finding = Finding("setting", score.bar_number(0), 1.0, time_s, probability=calibrate(doubt), measure=measure)
    return Doubted(finding, doubt)


def _name_keys(score: Score, shift: int) -> tuple[str, str]:
    """Return the key that was played and the one that was set, as the hand plays them."""
    chords = [
        (chord, slot.end - slot.start)
        for slot in score.slots
        if (chord := score.targets[slot.target].played) is not None
    ]
    tones = [0.0] * 12  # where shapes are set and no names
    for slot in score.slots:
        for tone, _ in score.targets[slot.target].tones:
            tones[(tone - score.targets[slot.target].neck_shift) % 12] += slot.end - slot.start
    wanted = (rank_keys(chords=chords) if chords else rank_keys(tones))[0].key
    tonic = (wanted.tonic.pitch_class + shift) % 12
    played = next(key for key in KEYS if key.mode == wanted.mode and key.tonic.pitch_class == tonic)
    return played.text, wanted.text


def _find_own_shape(one: PlayedSlot, shift: int, board: Fretboard) -> Shape | None:
    """Return the usual shape of the chord that sounds, on the guitar as it was set."""
    chord = one.target.chord
    return None if chord is None else find_usual_shape(transpose_chord(chord, shift % 12), board, ())


def _sounded(board: Fretboard, shape: Shape, shift: int) -> frozenset[int]:
    return frozenset(pitch.midi + shift for pitch in shape.pitches(board) if pitch is not None)


def _favour(odds: NDArray[np.float64], these: frozenset[int], those: frozenset[int]) -> float:
    """Return by how many nats the pitches that only these have are surer than those that only those have."""
    return float(odds[list(these - those)].sum() - odds[list(those - these)].sum())
