"""Whether the lowest note of a chord and its single notes are those that were set."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.heard import HeardMatrix
from listen.assessment.hints import find_moved_finger
from listen.assessment.lowest import find_likely_bass, find_telling
from listen.assessment.slots import PlayedSlot, bass_chances, gather_odds, gather_pitches, gather_sounding
from listen.assessment.target import Target
from listen.instrument import Fretboard
from listen.reading import Finding, Hint
from listen.theory import Pitch, spell_bass

Floats = NDArray[np.float64]

SOUNDS_LOG_ODDS = 1.0  # a pitch above it is taken for one that sounds, in hints; judged
FAINT_LOG_ODDS = -2.0  # an extra note below is not looked at
OVERTONES, OVERTONE_NATS = {12, 19, 24, 28}, 1.5  # semitones over a note that was set: its partials may be meant
MOVED_FRETS = 4
LESS_SAYS = 0.5
"""How much it adds to the doubt of a string that it is heard less than in the same chord elsewhere. Of 755 notes in the
classes from seeds 2000 to 2049 the least doubtful silent string but one lies at 3.3 with it, the most doubtful that
sounds at -0.2; without it at 0.3 and -1.3."""


@dataclass(frozen=True, slots=True)
class Doubted:
    """A finding before it is settled.

    Parameters
    ----------
    finding : Finding
        With its calibrated probability.
    doubt : Grounds
        What it was calibrated from.
    """

    finding: Finding
    doubt: Grounds


def judge_bass(played: PlayedSlot, heard: HeardMatrix) -> Doubted | None:
    """Judge the lowest note of a chord that is right; None where it does not matter or cannot be told."""
    target = played.target
    if target.bass is None or not target.checks_bass or not played.sounds or judges_pitches(target):
        return None
    chances = bass_chances(heard, played)
    wanted = (target.bass + heard.shift) % 12
    share = np.clip(chances[:, wanted::12].sum(axis=1), 1e-4, 1.0 - 1e-4)
    nats = np.log((1.0 - share) / share)
    ways = find_telling(played, heard, played.sounds, chances)
    lowest = [find_likely_bass(chances[told]) for told in ways]
    if not ways or wanted in lowest:
        return None  # no note is likelier than the one that was set
    doubt = Grounds("bass", min(float(nats[told].mean()) for told in ways), len(played.sounds))
    return Doubted(
        Finding(
            "bass", played.slot.bar, played.slot.beat, find_first_s(played, heard), _class_name(target, target.bass),
            _class_name(target, (lowest[0] - heard.shift) % 12), calibrate(doubt),
        ),
        doubt,
    )  # fmt: skip


def judge_notes(
    played: PlayedSlot, heard: HeardMatrix, board: Fretboard, usual: Mapping[tuple[int, int], float]
) -> list[Doubted]:
    """Judge the single notes of a chord of which exactly these notes, this shape or these strings were set.

    Parameters
    ----------
    played : PlayedSlot
    heard : HeardMatrix
    board : Fretboard
    usual : mapping of (int, int) to float
        See :func:`find_usual_odds`.
    """
    target = played.target
    expectation = target.expectation
    if expectation.demand not in {"notes", "shape"} and not expectation.strings:
        return []
    if not played.sounds or not target.is_judged:
        return []
    most, middle = gather_pitches(heard, played)
    if target.shape is None or not judges_pitches(target):
        return _judge_classes(played, heard, most, board)
    strings: dict[int, int] = {}
    for index, pitch in enumerate(target.shape.pitches(board)):
        if pitch is not None:
            strings.setdefault(pitch.midi + heard.shift, board.n_strings - index)
    silent, extra = [], []
    sounding = gather_sounding(heard, played)
    for midi, string in strings.items():
        less = max(0.0, usual.get((played.slot.target, midi), 0.0) - float(sounding[midi]))
        doubt = Grounds("silent string", LESS_SAYS * less - float(sounding[midi]), len(played.sounds))
        silent.append(_note_finding(played, heard, doubt, string, _pitch_name(target, midi - heard.shift), ""))
    for midi in np.flatnonzero(middle > FAINT_LOG_ODDS).tolist():
        if midi in strings:
            continue
        over = any(midi - wanted in OVERTONES for wanted in strings)
        doubt = Grounds("extra string", float(middle[midi]) - (OVERTONE_NATS if over else 0.0), len(played.sounds))
        likely = _string_of(midi - heard.shift, target, board)
        extra.append(_note_finding(played, heard, doubt, likely, "", _pitch_name(target, midi - heard.shift)))
    return _join_moved(silent, extra, find_moved_finger(target, find_sure_pitches(heard, played), board))


def find_usual_odds(played: Sequence[PlayedSlot], heard: HeardMatrix) -> dict[tuple[int, int], float]:
    """Return how strongly each pitch of each chord is usually heard in this recording.

    A string that another doubles an octave lower is heard weakly even where it sounds; what differs from the same
    chord in other bars says more than what is weak.

    Returns
    -------
    dict of (int, int) to float
        Index of the target and MIDI number, to the median log-odds over all places of that chord.
    """
    rows: dict[int, list[Floats]] = {}
    for one in played:
        if one.sounds and judges_pitches(one.target):
            rows.setdefault(one.slot.target, []).append(gather_sounding(heard, one))
    usual = {target: np.median(own, axis=0) for target, own in rows.items()}
    return {(target, midi): float(odds) for target, own in usual.items() for midi, odds in enumerate(own)}


def _join_moved(silent: list[Doubted], extra: list[Doubted], hint: Hint | None) -> list[Doubted]:
    """Make one finding of a note that is missing and another a few frets beside it: one finger is off.

    Each is joined once: the nearest two first, of those the two that lie on one string, then the surest.
    """
    pairs = [
        (missing, other) for missing in silent for other in extra if min(missing.doubt.value, other.doubt.value) > 0.0
    ]
    for missing, other in sorted(pairs, key=_rank_pair):
        if missing not in silent or other not in extra or _measure_apart(missing, other) > MOVED_FRETS:
            continue
        doubt = Grounds("extra string", max(missing.doubt.value, other.doubt.value), missing.doubt.n)
        found = replace(
            other.finding, expected=missing.finding.expected, string=missing.finding.string,
            probability=calibrate(doubt), hint=hint or "",
        )  # fmt: skip
        silent.remove(missing)
        extra[extra.index(other)] = Doubted(found, doubt)
    return silent + extra


def _rank_pair(pair: tuple[Doubted, Doubted]) -> tuple[int, bool, float]:
    missing, other = pair
    return _measure_apart(missing, other), missing.finding.string != other.finding.string, -other.doubt.value


def _measure_apart(missing: Doubted, other: Doubted) -> int:
    """Return how many semitones the note that is heard lies off the one that is missing."""
    return abs(Pitch.parse(other.finding.heard).midi - Pitch.parse(missing.finding.expected).midi)


def judges_pitches(target: Target) -> bool:
    """Whether every pitch of a shape matters."""
    demand = target.expectation.demand
    return target.shape is not None and (demand == "shape" or (demand == "notes" and target.is_shape_set))


def _judge_classes(played: PlayedSlot, heard: HeardMatrix, most: Floats, board: Fretboard) -> list[Doubted]:
    """Judge by note names, where no shape was set; notes under the strings that were set are extra."""
    target, found = played.target, []
    odds = gather_odds(heard, played.sounds)
    if target.expectation.demand == "notes":
        for tone, _ in target.tones:
            doubt = Grounds("silent string", -float(odds[tone]), len(played.sounds))
            found.append(_note_finding(played, heard, doubt, None, _class_name(target, tone), ""))
    if target.expectation.strings:
        lowest = board.open_pitches[board.n_strings - max(target.expectation.strings)].midi + heard.shift
        below = most[:lowest]
        if below.size and below.max() > -2.0:
            midi = int(below.argmax())
            doubt = Grounds("extra string", float(below.max()), len(played.sounds))
            found.append(_note_finding(played, heard, doubt, None, "", _pitch_name(target, midi - heard.shift)))
    return found


def _note_finding(
    played: PlayedSlot, heard: HeardMatrix, doubt: Grounds, string: int | None, expected: str, note: str
) -> Doubted:
    kind = doubt.kind
    finding = Finding(
        kind, played.slot.bar, played.slot.beat, find_first_s(played, heard), expected, note, calibrate(doubt),
        string=string,
    )  # fmt: skip
    return Doubted(finding, doubt)


def _string_of(midi: int, target: Target, board: Fretboard) -> int | None:
    """Return which string an extra note is most likely on: an open one that should be damped, or its own one off."""
    if target.shape is None:
        return None
    for index, fret in enumerate(target.shape.frets):
        if fret is None and board.pitch_at(index, 0).midi == midi:
            return board.n_strings - index
    near = [
        (abs(midi - pitch.midi), board.n_strings - index)
        for index, pitch in enumerate(target.shape.pitches(board))
        if pitch is not None and board.pitch_at(index, 0).midi <= midi
    ]
    distance, string = min(near, default=(99, 0))
    return string if distance <= 3 else None


def _class_name(target: Target, pitch_class: int) -> str:
    """Return a note's name as the hand plays it."""
    own = (pitch_class - target.neck_shift) % 12
    if target.played is not None:
        return str(spell_bass(target.played.root, target.played.quality, own))
    return Pitch(60 + own).name[:-1]


def _pitch_name(target: Target, midi: int) -> str:
    """Return a pitch's name as the hand plays it."""
    return Pitch(midi - target.neck_shift).name


def find_sure_pitches(heard: HeardMatrix, played: PlayedSlot) -> frozenset[int]:
    """Return the MIDI numbers that surely sound, in the setting that was set."""
    most, _ = gather_pitches(heard, played)
    return frozenset((np.flatnonzero(most > SOUNDS_LOG_ODDS) - heard.shift).tolist())


def find_first_s(played: PlayedSlot, heard: HeardMatrix) -> float:
    """Return when a chord begins to sound, in seconds."""
    first = heard.performance.sounds[played.sounds[0]].start_s
    return max(first, played.start_s - 0.5 * played.beat_s)
