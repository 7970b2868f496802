"""Learn a guitar from strums nobody has placed yet, so that the tenth strum is placed better than the first.

Where each note was held and how stiff each string is depend on each other: expectation maximisation (Dempster et al.
1977). The fit gives every strum its playable shapes with their probabilities, the guitar unknown. In each pass these
are weighed anew by how well the strings known so far predict the notes' stiffness; then each string is estimated anew
from all notes that may have been on it, by how likely they were.

The passes find the nearest optimum, and there is a wrong one: every strum one string over. So they begin from each set
of strings in the tables of :mod:`listen.synthesis` and from their mean, and of the ends the one is taken that explains
the strums best with strings such as there are.

References
----------
A. Dempster, N. Laird, D. Rubin, "Maximum likelihood from incomplete data via the EM algorithm", JRSS B 39(1), 1977.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from listen.evidence import Measured, StrumEvidence
from listen.instrument import SET_SIGMA, STRING_SIGMA, TABLE_SIGMA, Fretboard
from listen.reading import GuitarProfile, StringProfile
from listen.transcription.expected_strings import expect_strings, list_tabled
from listen.transcription.string_stiffness import StringNote, estimate_open_stiffness
from listen.voicing import FitSettings, fit_shapes, weigh_stiffness

N_PASSES = 6  # over strings and stiffness in turn; judged
MOST_STRUMS = 60  # more of them cost time and say what these have said
N_SHAPES = 60  # of each strum: the right one is not always likely before the guitar is known
LEAST_PROBABILITY = 1e-6  # of a shape: nothing is impossible before the guitar is known
LEAST_SHARE = 0.02  # of a note on a string: less cannot move it


@dataclass(frozen=True, slots=True)
class _Way:
    """One way to hold a strum: its log-probability, the guitar unknown, and (string, fret, ln B) of its notes."""

    log_probability: float
    notes: tuple[tuple[int, int, Measured], ...]


def learn_guitar(
    evidences: Sequence[StrumEvidence],
    fretboard: Fretboard,
    *,
    settings: FitSettings | None = None,
) -> GuitarProfile:
    """Learn the strings of the guitar that played some strums.

    Parameters
    ----------
    evidences : sequence of StrumEvidence
        Of one guitar; strums without a chord are left out, and all but :data:`MOST_STRUMS`, taken evenly.
    fretboard : Fretboard
    settings : FitSettings or None
        How shapes are weighed.

    Returns
    -------
    GuitarProfile
        With the usual strings, widely, where there was nothing to learn from.
    """
    settings = settings or FitSettings()
    tuning = fretboard.tuning
    usual = GuitarProfile("this recording", tuning, expect_strings(tuning))
    heard = [one for one in evidences if one.no_chord_reason is None]
    step = max(1, -(-len(heard) // MOST_STRUMS))
    unknown = replace(settings, guitar=None, n_shapes=N_SHAPES)
    strums = [ways for one in heard[::step] if (ways := _find_ways(one, fretboard, unknown))]
    sets = [
        replace(usual, strings=tuple(StringProfile(Measured(log, TABLE_SIGMA)) for log in logs))
        for logs in list_tabled(tuning)
    ]
    best, best_said = usual, -math.inf
    for begin in [usual, *sets] if strums else [usual]:
        learnt = begin
        for _ in range(N_PASSES if strums else 0):
            learnt = _estimate_strings(strums, learnt, usual)
        said = sum(_weigh_ways(ways, learnt)[1] for ways in strums) - _find_oddness(learnt, sets)
        if said > best_said:
            best, best_said = learnt, said
    return replace(best, made_from=f"{len(strums)} strums, by themselves")


def _find_ways(evidence: StrumEvidence, fretboard: Fretboard, settings: FitSettings) -> list[_Way]:
    """Return the shapes of a strum that may have been held, and the notes that each puts on strings."""
    measured = {one.pitch: one.stiffness for one in evidence.pitches if one.stiffness is not None}
    ways = []
    for one in fit_shapes(evidence, fretboard, settings=settings).shapes:
        pitches = one.shape.pitches(fretboard)
        notes = tuple(
            (string, fretboard.capo_fret + fret, measured[pitch])
            for string, (pitch, fret) in enumerate(zip(pitches, one.shape.frets, strict=True))
            # two strings on one pitch blur each other's partials
            if pitch in measured and fret is not None and pitches.count(pitch) == 1
        )
        ways.append(_Way(math.log(max(one.probability, LEAST_PROBABILITY)), notes))
    return ways


def _weigh_ways(ways: list[_Way], guitar: GuitarProfile) -> tuple[list[float], float]:
    """Return the probability of each way of holding a strum on this guitar, and the log of their summed weight."""
    scores = [
        way.log_probability
        + sum(
            weigh_stiffness(stiffness, guitar.predict_stiffness(string, fret)) for string, fret, stiffness in way.notes
        )
        for way in ways
    ]
    highest = max(scores)
    total = highest + math.log(sum(math.exp(score - highest) for score in scores))
    return [math.exp(score - total) for score in scores], total


def _estimate_strings(strums: list[list[_Way]], guitar: GuitarProfile, usual: GuitarProfile) -> GuitarProfile:
    """Estimate every string anew from the notes that may have been on it."""
    shares: dict[tuple[int, int, int, Measured], float] = {}
    for place, ways in enumerate(strums):
        for way, probability in zip(ways, _weigh_ways(ways, guitar)[0], strict=True):
            for string, fret, stiffness in way.notes:
                key = (string, place, fret, stiffness)
                shares[key] = shares.get(key, 0.0) + probability
    strings = []
    for string, before in enumerate(usual.strings):
        notes = [
            StringNote(fret, stiffness, share)
            for (on, _, fret, stiffness), share in shares.items()
            if on == string and share >= LEAST_SHARE
        ]
        if before.stiffness is None or not notes:
            strings.append(before)
            continue
        learnt = estimate_open_stiffness(notes, prior=before.stiffness, growth=guitar.growth)
        strings.append(replace(before, stiffness=learnt, n_notes=round(sum(note.weight for note in notes))))
    return replace(usual, strings=tuple(strings))


def _find_oddness(learnt: GuitarProfile, sets: list[GuitarProfile]) -> float:
    """Return how unlike every known set of strings these are, in nats.

    A set may be stiffer or softer as a whole; against it each string is off by its own measure. That the sixth string
    is stiffer than the fifth holds for all sets, and is what tells a whole hand that was read one string over.
    """
    oddness = []
    for one in sets:
        off = [
            string.stiffness.value - tabled.stiffness.value
            for string, tabled in zip(learnt.strings, one.strings, strict=True)
            if string.stiffness is not None and tabled.stiffness is not None
        ]
        precision = SET_SIGMA**-2 + len(off) * STRING_SIGMA**-2
        common = sum(off) * STRING_SIGMA**-2
        oddness.append(0.5 * (sum(each**2 for each in off) * STRING_SIGMA**-2 - common**2 / precision))
    return min(oddness)
