"""Whether a chord was the one that was set by its name, and if not what it was: all its time, or some beats of it."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.heard import HeardMatrix
from listen.assessment.hints import find_moved_finger
from listen.assessment.judge_chords import Doubted, find_first_s, find_sure_pitches
from listen.assessment.lowest import find_likely_bass, find_telling
from listen.assessment.placing import Placed
from listen.assessment.slots import LEAST_TONES, PlayedSlot, bass_chances, gather_odds
from listen.assessment.target import Target
from listen.assessment.vocabulary import list_chords, list_keys, weigh_tones, weigh_vocabulary
from listen.instrument import Fretboard
from listen.reading import Finding, PartOfChord
from listen.theory import Chord, spell_bass, transpose_chord

Floats = NDArray[np.float64]

EXPECTED_NATS = 2.5  # what is set is played in most bars: nats that it has over any other chord of its kind
PART_NATS = 1.0
"""How much less a part of a chord's time says than all of it: one of several parts is looked at, with fewer strokes.
Where the rest is as set, the most doubtful part of 3577 chords says 0.04 nats for another one (240 students of seeds
2000 and 810000, and a person's strumming); of 17 that were another chord for half a bar, mixed from recorded and
sampled notes, the least doubtful says 2.5."""
FEWEST_STROKES = 2  # of a part and of the rest
THROUGH_SHARE = 0.6  # of the strokes of a part
SEVENTH = 7  # degree
ABSENT_LOG_ODDS, ABSENT_NATS = -0.5, 1.0
"""A root or a seventh that is surer than that in no stroke is asked about, whatever else fits: in 765 chords of
the same students no seventh lies below 1.2 where it was played, in 52 without their root or seventh none above -2.1."""
VARIANTS = {"": ("", "5", "add9"), "m": ("m", "5", "m(add9)"), "7": ("7", "9"), "maj7": ("maj7", "maj9"),
            "m7": ("m7", "m9"), "sus4": ("sus4",), "sus2": ("sus2",), "add9": ("add9", "")}  # fmt: skip
"""Which chords pass for one that was set by its name: a third that the ear lost is no mistake, nor an added ninth."""


def judge_chord(played: PlayedSlot, heard: HeardMatrix, board: Fretboard) -> Doubted | None:
    """Judge the name of a chord; None where nothing can be said."""
    target = played.target
    if not target.is_judged or not played.sounds:
        return None
    nats, best = _weigh_others(target, gather_odds(heard, played.sounds))
    if _lacks_needed(target, heard.odds[list(played.sounds)]):
        nats = max(nats, ABSENT_NATS)
    doubt = Grounds("chord", nats, len(played.sounds))
    finding = Finding(
        "chord", played.slot.bar, played.slot.beat, find_first_s(played, heard), target.symbol,
        _heard_name(best, heard, played, played.sounds), calibrate(doubt),
        hint=find_moved_finger(target, find_sure_pitches(heard, played), board) or "",
    )  # fmt: skip
    return Doubted(finding, doubt)


def judge_part(played: PlayedSlot, placed: Placed, heard: HeardMatrix, beats_per_bar: float) -> Doubted | None:
    """Judge whether another chord sounds for half a bar or more of a chord's time, while the rest is as set.

    Parameters
    ----------
    played : PlayedSlot
    placed : Placed
    heard : HeardMatrix
    beats_per_bar : float

    Returns
    -------
    Doubted or None
        The likeliest part; None where no part is looked at.
    """
    target, found = played.target, []
    if not target.is_judged or played.slot.end - played.slot.start <= 0.5 * beats_per_bar:
        return None
    for inside, rest, part in _list_parts(played, placed, heard, 0.5 * beats_per_bar):
        nats, best = _weigh_others(target, gather_odds(heard, inside))
        if _weigh_others(target, gather_odds(heard, rest))[0] < 0.0 and _is_through(target, heard, inside, part):
            found.append((nats - PART_NATS, inside, part, best))
    if not found:
        return None
    nats, inside, part, best = max(found, key=lambda one: one[0])
    doubt = Grounds("chord", nats, len(inside))
    finding = Finding(
        "chord", played.slot.bar, played.slot.beat, heard.performance.sounds[inside[0]].start_s, target.symbol,
        _heard_name(best, heard, played, inside), calibrate(doubt), measure=part,
    )  # fmt: skip
    return Doubted(finding, doubt)


def _list_parts(
    played: PlayedSlot, placed: Placed, heard: HeardMatrix, least: float
) -> Iterator[tuple[tuple[int, ...], tuple[int, ...], PartOfChord]]:
    """List the beginnings and ends of a slot: the sounds in each, those of the rest, and where it lies in its bar."""
    slot, strokes = played.slot, heard.performance.strokes
    own = [one for one in played.strokes if one not in played.held_over and strokes[one].sound >= 0]
    beats = {one: placed.beat_of(one) - slot.start + slot.beat for one in own}
    end = slot.beat + slot.end - slot.start
    for beat in range(int(slot.beat) + 1, int(np.ceil(end))):
        n_before = sum(beats[one] < beat - 1e-6 for one in own)
        if min(n_before, len(own) - n_before) < FEWEST_STROKES:
            continue
        before = tuple(dict.fromkeys(strokes[one].sound for one in own[:n_before]))
        after = tuple(dict.fromkeys(strokes[one].sound for one in own[n_before:]))
        if beat - slot.beat >= least:
            yield before, after, PartOfChord(beat - 1, goes_on=False)
        if end - beat >= least:
            yield after, before, PartOfChord(beat, goes_on=True)


def _is_through(target: Target, heard: HeardMatrix, inside: tuple[int, ...], part: PartOfChord) -> bool:
    """Whether most strokes of a part are another chord, that beside the rest among them; else it is a shorter part."""
    others = [_weigh_others(target, heard.odds[one])[0] > -EXPECTED_NATS for one in inside]
    return others[0 if part.goes_on else -1] and sum(others) >= THROUGH_SHARE * len(others)


def _weigh_others(target: Target, odds: Floats) -> tuple[float, Chord]:
    """Return by how many nats any other chord is likelier than what was set, and the likeliest of the others."""
    weights, passes = weigh_vocabulary(odds), _passing(target)
    right = float(weigh_tones(odds, target.tones)) + EXPECTED_NATS
    right = float(np.logaddexp.reduce([right, *weights[passes]]))
    others = np.where(passes, -np.inf, weights)
    return float(np.logaddexp.reduce(others)) - right, list_chords()[0][int(others.argmax())]


def _lacks_needed(target: Target, odds: Floats) -> bool:
    """Whether the root or a seventh is in no stroke, where every single note is not judged anyway."""
    if target.chord is None or target.expectation.demand in {"notes", "shape"}:
        return False
    if (odds > ABSENT_LOG_ODDS).sum(axis=1).max() < LEAST_TONES:
        return False  # single notes one after another
    root = target.chord.root
    needed = [root.pitch_class]
    needed += [root.above(tone).pitch_class for tone in target.chord.quality.tones if tone.degree == SEVENTH]
    return bool((odds[:, needed].max(axis=0) < ABSENT_LOG_ODDS).any())


@lru_cache(maxsize=512)
def _passing(target: Target) -> NDArray[np.bool_]:
    """Tell which chords of the vocabulary pass for what was set."""
    root = -1
    names: tuple[str, ...] = ("",)
    if target.chord is not None:
        root, symbol = target.chord.root.pitch_class, target.chord.quality.symbol
        strict = target.expectation.demand in {"notes", "shape"}
        names = (symbol,) if strict else VARIANTS.get(symbol, (symbol,))
    return np.array(
        [(own == root and name in names) or classes == target.classes for own, name, classes in list_keys()]
    )


def _heard_name(chord: Chord, heard: HeardMatrix, played: PlayedSlot, sounds: tuple[int, ...]) -> str:
    """Return the name of what was heard, with its bass, as the hand plays it in the setting that was set."""
    chances = bass_chances(heard, played)[[played.sounds.index(one) for one in sounds]]
    ways = find_telling(played, heard, sounds, chances)
    lowest = (find_likely_bass(chances[ways[0]] if ways else chances) - heard.shift) % 12
    if lowest != chord.root.pitch_class and lowest in chord.pitch_classes:
        chord = Chord(chord.root, chord.quality, spell_bass(chord.root, chord.quality, lowest))
    return transpose_chord(chord, -played.target.neck_shift).text
