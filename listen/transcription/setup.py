"""How the guitar was set up: capo and tuning, as hypotheses with probabilities.

Neither can be heard as such. What speaks for a setup: the chords of the part become shapes that are easy and common;
strings sound like the strings that these shapes use; the lowest note is there at all; and what rings on while the hand
changes is an open string.

A capo that is told moves the shapes, however hard they are then: the tuning is standard, unless a note lies below it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from listen.instrument import STANDARD, Fretboard, Tuning
from listen.reading import SetupHypothesis
from listen.theory import Pitch
from listen.transcription.chord_kinds import ChordKind
from listen.transcription.part_settings import PartSettings
from listen.voicing import FitSettings, weigh_fretboards

MOST_CAPO = 9  # fret; higher ones are rare, and are taken when told
QUICK_MARGIN_NATS = 6.0  # shapes less likely than so against the best do not change the sum
MOST_KINDS = 6  # the chords that sound longest decide
OPEN_CHORD = 2  # open strings of one; fewer sound in closed shapes as well
MOST_ALIKE = 2  # notes of a grip that lies on one neck as well as on another
# Measured on 139 seeded parts of eight bars (soundfont, string model, mixed notes; a fifth of them nothing but barre
# chords, which say little): the capo is right in .91 with these weights, mean -ln p of the truth .31; with the hand's
# own weight and the prior's at .7 it was .87 and .49.
CHORD_WEIGHT, STRING_SHARE, BOOK_SHARE, HAND_SHARE, PRIOR_WEIGHT = 1.2, 0.2, 1.5, 1.5, 1.3
RINGING_NATS, MOST_RINGING = 0.5, 3.0  # for each open string that rings over a change, and for all of them; judged
LEAST_PROBABILITY = 0.02  # of a setup that is shown
TIE_SHARE = 0.85  # so near the best, the setup without capo and retuning is shown first; judged
FAR_OFF_CENTS = 30.0  # an offset beyond it may as well be the next semitone's
PLAIN_PRIOR = 0.62  # share of parts in standard tuning without a capo; judged
CAPO_PRIORS = (0.06, 0.07, 0.05, 0.04, 0.04, 0.015, 0.02, 0.005, 0.005)  # frets 1 to 9; common practice, no source
TUNING_PRIORS: dict[str, tuple[tuple[int, ...], float]] = {
    "half step down": ((-1, -1, -1, -1, -1, -1), 0.06),
    "whole step down": ((-2, -2, -2, -2, -2, -2), 0.02),
    "drop D": ((-2, 0, 0, 0, 0, 0), 0.03),
    "double drop D": ((-2, 0, 0, 0, 0, -2), 0.004),
    "drop C#": ((-3, -1, -1, -1, -1, -1), 0.006),
    "drop C": ((-4, -2, -2, -2, -2, -2), 0.006),
    "DADGAD": ((-2, 0, 0, 0, -2, -2), 0.008),
    "open G": ((-2, -2, 0, 0, 0, -2), 0.008),
    "open D": ((-2, 0, 0, -1, -2, -2), 0.006),
}
"""Semitones against standard tuning, string by string, and how common; common practice, no source."""
_TEXTS = {"half step down": "Tune down ½ step", "whole step down": "Tune down 1 step"}


def rank_setups(
    kinds: Sequence[ChordKind], *, settings: PartSettings, tuning_offset_cents: float
) -> tuple[SetupHypothesis, ...]:
    """Rank the setups that may have given the chords of a part.

    Parameters
    ----------
    kinds : sequence of ChordKind
    settings : PartSettings
        What is told is not inferred. Over a capo that is told without a tuning, others than standard are inferred only
        where a note that is held lies below it.
    tuning_offset_cents : float
        As measured, -50..50 or beyond where it drifted.

    Returns
    -------
    tuple of SetupHypothesis
        Best first, of near equals the one without capo and retuning; probabilities sum to 1 but for those under 2 %.
        Where no chord was heard, the most usual one alone, as probable as it is without listening.
    """
    longest = _find_longest(kinds, settings)
    candidates = list(_find_candidates(settings, longest))
    told = len(candidates) == 1
    if told or not longest:
        board, prior = candidates[0]
        return (_describe(board, tuning_offset_cents, 1.0 if told else prior, (), told=told),)
    fit = replace(
        settings.fit,
        margin_nats=QUICK_MARGIN_NATS,
        string_weight=STRING_SHARE * settings.fit.string_weight,
        book_weight=BOOK_SHARE * settings.fit.book_weight,
        hand_weight=HAND_SHARE * settings.fit.hand_weight,
    )
    weights = _weigh(candidates, longest, fit)
    chances = np.exp(weights - weights.max())
    chances /= chances.sum()
    ranked = sorted(zip(chances.tolist(), candidates, strict=True), key=lambda item: -item[0])
    found: list[SetupHypothesis] = []
    for chance, (board, _) in ranked:
        if found and chance < LEAST_PROBABILITY:
            continue
        found.extend(_split_by_offset(board, tuning_offset_cents, chance, _explain(board, longest)))
    found.sort(key=lambda one: -one.probability)
    plain = next((place for place, one in enumerate(found) if not one.text), 0)
    if found[plain].probability >= TIE_SHARE * found[0].probability:  # of two equals the simpler one is shown first
        found.insert(0, found.pop(plain))
    return tuple(found)


def tell_retuned(setup: SetupHypothesis, settings: PartSettings, kinds: Sequence[ChordKind]) -> str:
    """Say in a sentence why a part is not read in standard tuning, though nothing but a capo was told; else empty."""
    capo, low = settings.capo_fret, _find_below(_find_longest(kinds, settings), settings)
    if capo is None or low is None or setup.fretboard.tuning.open_strings == STANDARD.open_strings:
        return ""
    return (
        f"{low.name} lies below a guitar in standard tuning with capo {capo}, so the tuning is thought to be "
        f"another ({setup.fretboard.tuning.name}): give the tuning, or another capo, if that is wrong."
    )


def _find_longest(kinds: Iterable[ChordKind], settings: PartSettings) -> list[ChordKind]:
    """Find the chords that decide; two notes lie alike on every neck that goes down to them, and say nothing."""
    lowest = STANDARD.open_strings[0].midi + (settings.capo_fret or 0)
    chords = [
        kind
        for kind in kinds
        if kind.evidence.no_chord_reason is None
        and (len(kind.pitches) > MOST_ALIKE or min(kind.pitches, default=lowest) < lowest)
    ]
    return sorted(chords, key=lambda kind: -kind.duration_s)[:MOST_KINDS]


def _find_below(kinds: Iterable[ChordKind], settings: PartSettings) -> Pitch | None:
    """Return the lowest note that is held below standard tuning over a capo that was told without a tuning."""
    if settings.tuning is not None or not settings.capo_fret:  # without a capo, what is easy tells the tuning
        return None
    open_midi = STANDARD.open_strings[0].midi + settings.capo_fret
    below = [midi for kind in kinds for midi in kind.pitches if midi < open_midi]
    return Pitch(min(below)) if below else None


def _find_candidates(settings: PartSettings, kinds: Sequence[ChordKind]) -> Iterable[tuple[Fretboard, float]]:
    """Yield the setups that are possible, with how common they are."""
    tuning, capo = settings.tuning, settings.capo_fret
    for fret in range(MOST_CAPO + 1) if capo is None else [capo]:
        prior = PLAIN_PRIOR if fret == 0 or capo is not None else CAPO_PRIORS[fret - 1]
        yield Fretboard(tuning or STANDARD, settings.n_frets, fret), prior
    if tuning is None and (not capo or _find_below(kinds, settings) is not None):
        for name, (shifts, prior) in TUNING_PRIORS.items():
            pitches = tuple(pitch.shifted(by) for pitch, by in zip(STANDARD.open_strings, shifts, strict=True))
            yield Fretboard(Tuning(name, pitches), settings.n_frets, capo or 0), prior


def _weigh(candidates: list[tuple[Fretboard, float]], kinds: list[ChordKind], fit: FitSettings) -> NDArray[np.float64]:
    """Weigh setups: how common each is, how well it explains the chords, and what rang open."""
    boards = [board for board, _ in candidates]
    rung = np.array([_count_rung(board, kinds) for board in boards])
    head_starts = PRIOR_WEIGHT * np.log([prior for _, prior in candidates]) + np.minimum(
        MOST_RINGING, RINGING_NATS * rung
    )
    evidences = [kind.evidence for kind in kinds]
    sums = weigh_fretboards(evidences, boards, head_starts=(head_starts / CHORD_WEIGHT).tolist(), settings=fit)
    return np.asarray(CHORD_WEIGHT * sums)


def _count_rung(board: Fretboard, kinds: list[ChordKind]) -> int:
    """Count how often an open string rang over a change."""
    opens = set(board.open_pitches)
    return sum(Pitch(midi) in opens for kind in kinds for midi in kind.ringing)


def _explain(board: Fretboard, kinds: list[ChordKind]) -> tuple[str, ...]:
    """Say what speaks for a setup, in a player's words."""
    reasons = []
    opens = set(board.open_pitches)
    rung = _count_rung(board, kinds)
    if rung:
        reasons.append(f"open strings ring on while the hand changes ({rung} times)")
    lowest = min((heard.pitch for kind in kinds for heard in kind.evidence.pitches if heard.log_odds > 0), default=None)
    if lowest is not None and lowest in opens:
        reasons.append(f"the lowest note, {lowest.name}, is an open string")
    n_open = sum(len({Pitch(midi) for midi in kind.pitches} & opens) >= OPEN_CHORD for kind in kinds)
    if 2 * n_open >= len(kinds):
        reasons.append(f"open strings sound in {n_open} of {len(kinds)} chords, two at least")
    if lowest is not None and lowest < STANDARD.open_strings[0]:
        reasons.append(f"{lowest.name} lies below a guitar in standard tuning")
    return tuple(reasons)


def _split_by_offset(
    board: Fretboard, offset_cents: float, chance: float, reasons: tuple[str, ...]
) -> list[SetupHypothesis]:
    """Give a setup, and beside it the same one tuned to the next semitone when the offset is far from both."""
    main = _describe(board, offset_cents, chance, reasons)
    if abs(offset_cents) <= FAR_OFF_CENTS or board.capo_fret:
        return [main]
    step = 1 if offset_cents < 0 else -1  # 40 cents sharp is 60 flat of a guitar a half step higher
    shifted = tuple(pitch.shifted(-step) for pitch in board.tuning.open_strings)
    names = {STANDARD.open_strings: "standard"} | {
        tuple(p.shifted(by) for p, by in zip(STANDARD.open_strings, shifts, strict=True)): name
        for name, (shifts, _) in TUNING_PRIORS.items()
    }
    if shifted not in names:
        return [main]
    other = replace(board, tuning=Tuning(names[shifted], shifted))
    share = 0.5 * (1.0 - abs(offset_cents) / 100.0)
    cents = offset_cents + 100.0 * step
    note = (f"the recording lies {abs(cents):.0f} cents {'flat' if cents < 0 else 'sharp'} of it",)
    return [replace(main, probability=chance * (1 - share)), _describe(other, cents, chance * share, (*reasons, *note))]


def _describe(
    board: Fretboard, offset_cents: float, probability: float, reasons: tuple[str, ...], *, told: bool = False
) -> SetupHypothesis:
    parts = []
    if board.tuning.open_strings != STANDARD.open_strings:
        parts.append(_TEXTS.get(board.tuning.name, board.tuning.name[:1].upper() + board.tuning.name[1:]))
    if board.capo_fret:
        parts.append(f"Capo {board.capo_fret}")
    return SetupHypothesis(board, offset_cents, probability, ", ".join(parts), reasons, told)
