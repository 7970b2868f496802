"""Progressions: a shape for each of several chords, all decided together.

Conventions: what a shape costs by itself is how much later it would be shown (:mod:`listen.voicing.taste`, against the
best of its chord); what it costs to come to it is, by the *hand*, the effort of the move
(:mod:`listen.instrument.move`), or, by the *voices*, how far the notes go in semitones, each to the note of its own
height, with something for a voice that comes or goes. The cheapest sum is found over all chords (Viterbi).

References
----------
S. I. Sayegh, "Fingering for string instruments with the optimum path paradigm", Computer Music Journal 13(3), 1989.
D. Tymoczko, A Geometry of Music, 2011: the size of a voice leading as the sum of its voices' distances.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from listen.instrument import USUAL_HAND, Fretboard, Grip, Hand, Move, estimate_move, estimate_move_costs
from listen.theory import Chord, transpose_chord
from listen.voicing.filters import ShapeFilters
from listen.voicing.search import find_shapes
from listen.voicing.voicings import Voicing

PathBy = Literal["hand", "voices"]

SHAPES_A_CHORD = 60  # best of each chord; a path over more never chose one beyond in twenty progressions tried
TIME_S = 1.0  # between two chords
OWN_SHARE: dict[PathBy, float] = {
    "hand": 0.6,
    "voices": 0.3,
}  # of a shape's own cost beside that of coming to it (judged, not measured)
VOICE_COMES = 4.0  # semitones that a voice counts for which comes or goes

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Progression:
    """Shapes of a row of chords.

    Parameters
    ----------
    voicings : tuple of Voicing
        One for each chord.
    moves : tuple of Move
        From each shape to the next, one fewer.
    """

    voicings: tuple[Voicing, ...]
    moves: tuple[Move, ...]


def find_progression(
    chords: Sequence[Chord],
    *,
    fretboard: Fretboard | None = None,
    hand: Hand = USUAL_HAND,
    filters: ShapeFilters | None = None,
    by: PathBy = "hand",
) -> Progression:
    """Find the shapes of a row of chords that lie nearest to one another.

    Raises
    ------
    NothingLeftError
        The hand can hold no shape of one of the chords.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> found = find_progression([parse_chord(each) for each in ("C", "Am")])
    >>> [voicing.shape.text for voicing in found.voicings]
    ['x32010', 'x02210']
    """
    neck = fretboard or Fretboard()
    layers, owns = [], []
    for chord in chords:
        found = find_shapes(chord, fretboard=neck, hand=hand, filters=filters)[:SHAPES_A_CHORD]
        layers.append(list(found))
        owns.append(OWN_SHARE[by] * (found.costs - found.costs[0]).astype(np.float64))
    steps = [
        _weigh_moves(before, after, neck) if by == "hand" else _weigh_voices(before, after)
        for before, after in pairwise(layers)
    ]
    chosen = [layer[place] for layer, place in zip(layers, _find_cheapest(owns, steps), strict=True)]
    moves = [estimate_move(_grip(before), _grip(after), neck, time_s=TIME_S) for before, after in pairwise(chosen)]
    return Progression(tuple(chosen), tuple(moves))


def measure_voice_leading(before: Voicing, after: Voicing) -> float:
    """Measure how far the voices go, in semitones.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> one, other = (find_shapes(parse_chord(each))[0] for each in ("E", "Em"))
    >>> measure_voice_leading(one, other)
    1.0
    """
    olds, news = _heights(before), _heights(after)
    n_kept = min(len(olds), len(news))
    extra = VOICE_COMES * abs(len(olds) - len(news))
    if n_kept == 0:
        return extra
    longer, shorter = (olds, news) if len(olds) >= len(news) else (news, olds)
    starts = range(len(longer) - n_kept + 1)
    spans = [sum(abs(a - b) for a, b in zip(longer[at:], shorter, strict=False)) for at in starts]
    return extra + float(min(spans))


def _heights(voicing: Voicing) -> list[int]:
    return sorted(pitch.midi for pitch in voicing.pitches if pitch is not None)


def _grip(voicing: Voicing) -> Grip:
    return Grip(voicing.shape, voicing.fingering)


def _weigh_moves(befores: Sequence[Voicing], afters: Sequence[Voicing], fretboard: Fretboard) -> Floats:
    return estimate_move_costs(
        [_grip(each) for each in befores], [_grip(each) for each in afters], fretboard, time_s=TIME_S
    )


def _weigh_voices(befores: Sequence[Voicing], afters: Sequence[Voicing]) -> Floats:
    return np.array([[measure_voice_leading(before, after) for after in afters] for before in befores])


def _find_cheapest(owns: Sequence[Floats], steps: Sequence[Floats]) -> list[int]:
    """Find the cheapest row of choices (Viterbi)."""
    total, came = owns[0], []
    for own, step in zip(owns[1:], steps, strict=True):
        options = total[:, None] + step
        came.append(options.argmin(axis=0))
        total = own + options.min(axis=0)
    places = [int(total.argmin())]
    for back in reversed(came):
        places.append(int(back[places[-1]]))
    return places[::-1]


HIGHEST_CAPO = 7  # frets: beyond, a neck is short of room and the sound of a guitar (common practice, no source)
CAPO_IS_WORTH, EACH_FRET_IS_WORTH = 0.25, 0.1
"""Points of effort a chord that a capo has to spare, at all and for each fret: C G Am F is worth one at the fifth fret,
D A Bm G with its one barre none at the seventh (judged)."""


def find_easiest_capo(
    chords: Sequence[Chord], *, fretboard: Fretboard, hand: Hand = USUAL_HAND
) -> tuple[int, tuple[Chord, ...]]:
    """Find the capo with which a row of chords is easiest to hold, and the chords that the hand then plays.

    The first shape of each chord is what counts; a capo is put on where it spares more than it is a bother.

    Examples
    --------
    >>> from listen.theory import parse_chord
    >>> capo, played = find_easiest_capo([parse_chord(each) for each in ("Bb", "Eb", "F")], fretboard=Fretboard())
    >>> capo, [chord.text for chord in played]
    (1, ['A', 'D', 'E'])
    """
    best: tuple[float, int, tuple[Chord, ...]] | None = None
    known: dict[Chord, float] = {}
    for capo in range(HIGHEST_CAPO + 1):
        played = tuple(transpose_chord(chord, -capo) for chord in chords)
        for chord in played:
            if chord not in known:
                known[chord] = float(find_shapes(chord, fretboard=fretboard, hand=hand).efforts[0])
        bother = (CAPO_IS_WORTH + EACH_FRET_IS_WORTH * capo) * len(chords) if capo else 0.0
        effort = round(sum(known[chord] for chord in played) + bother, 3)
        if best is None or effort < best[0]:
            best = (effort, capo, played)
    assert best is not None  # noqa: S101  (the range is not empty)
    return best[1], best[2]
