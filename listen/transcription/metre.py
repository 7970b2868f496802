"""What a way to count is written as: signature, tempo, swing and pickup, with half and double tempo beside it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from listen.reading import Metre
from listen.transcription.countings import Counting

Floats = NDArray[np.float64]

SWUNG_THIRD_SHARE = 0.15
"""Of strokes off the beat in a three-step beat, those on its second step: fewer, and it is a swung two."""
LEAST_THIRDS = 0.05  # of all strokes: fewer are chance (judged)
LEAST_LAST = 0.5  # last thirds for each middle one: fewer, and what follows a beat so soon is its late strings (judged)
LEAST_SWING, MOST_SWING = 0.56, 0.72
"""Places of the off-beat that are swung: below it is even, above it a dotted rhythm; judged."""


def countings_to_metres(
    countings: tuple[Counting, ...], late: Floats, step_s: float, *, signature: tuple[int, int] | None = None
) -> tuple[Metre, ...]:
    """Write countings as metres with probabilities, half and double tempo among them.

    Parameters
    ----------
    countings : tuple of Counting
        Best first.
    late : ndarray, shape (n_strokes,)
        By how much each stroke comes after its step, in steps: for the swing.
    step_s : float
    signature : (int, int) or None
        Where it is known: decides whether three steps a beat are compound or a swung two.

    Returns
    -------
    tuple of Metre
        One for each counting, in their order; then half and double tempo of the first.
    """
    if not countings:
        return ()
    scores = np.array([one.score for one in countings])
    chances = np.exp(scores - scores.max())
    chances /= chances.sum()
    metres = [
        _to_metre(one, late, step_s, float(chance), signature)
        for one, chance in zip(countings, chances.tolist(), strict=True)
    ]
    first = metres[0]
    share = first.probability / 3.0
    halved = Metre(first.beats_per_bar, first.beat_unit, first.division, first.tempo_bpm / 2.0, probability=share / 2.0)
    doubled = Metre(
        first.beats_per_bar, first.beat_unit, first.division, first.tempo_bpm * 2.0, probability=share / 2.0
    )
    known = {round(metre.tempo_bpm) for metre in metres}
    metres.extend(extra for extra in (halved, doubled) if round(extra.tempo_bpm) not in known)
    return tuple(metres)


def measure_lateness(late: Floats, counting: Counting) -> float:
    """Measure by how much strokes on the beat come after their steps, in steps: even steps halve the swing."""
    on = counting.steps % counting.bar.per_beat == 0
    return float(np.median(late[on])) if on.any() else 0.0


def _to_metre(
    counting: Counting, late: Floats, step_s: float, probability: float, signature: tuple[int, int] | None
) -> Metre:
    per_beat, beats = counting.bar.per_beat, counting.bar.beats
    inside = counting.steps % per_beat
    swing, compound = 0.5, False
    if per_beat == 3:
        n_middle, n_last = int((inside == 1).sum()), int((inside == 2).sum())
        is_struck = n_middle > SWUNG_THIRD_SHARE * (inside != 0).sum() and n_middle >= LEAST_THIRDS * len(inside)
        is_struck = is_struck and n_last >= LEAST_LAST * n_middle
        compound = is_struck or beats == 2  # a swung two is rare
        if signature is not None:
            compound = signature[1] == 8
        swing = 0.5 if compound else 2.0 / 3.0
    elif per_beat == 2 and (inside == 1).any():
        place = (1.0 + float(np.median(late[inside == 1])) - measure_lateness(late, counting)) / per_beat
        swing = place if LEAST_SWING < place < MOST_SWING else 0.5
    first = (-int(counting.steps[0])) % counting.bar.n_steps
    pickup = first * 12 // per_beat
    return Metre(
        beats, 8 if compound else 4, 3 if compound else 2, 60.0 / (step_s * counting.beat_steps), swing, pickup,
        probability,
    )  # fmt: skip
