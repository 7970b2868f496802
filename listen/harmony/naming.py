"""Notes in, ranked names out.

A name is ranked by what the notes support: tones that sound, tones that are missing, notes that it leaves unexplained,
its bass, and how plain it is (:mod:`listen.harmony.scoring` holds the prices). The prices become probabilities by
p = exp(-SHARPNESS · cost) / Σ over the names kept for the set. For evidence that is unsure of the notes the same is
summed over many sets, each with its probability.

Two notes are named as an interval, a root and its fifth as a power chord, a bare fourth as the power chord's
inversion. One note, or octaves of it, has no name.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from listen.errors import bad_value
from listen.harmony.interval_name import label_dyad
from listen.harmony.scoring import SHARPNESS, RelativeName, score_sets
from listen.reading import ChordName
from listen.theory import Chord, ChordQuality, Interval, Key, Note, Pitch, degrees_to_quality, spell_chord

_OUTSIDE_KEY = 0.5  # nats for a root that is no tone of the key, where one is given
_OTHER_DYAD_READING = 1.5  # nats for hearing two notes as a chord without its fifth, against the interval itself
_POWER_CHORD_INTERVALS = (5, 7)
_INTERVALS = tuple(
    degrees_to_quality((Interval(1), Interval.parse(degree)))
    for degree in ("b2", "2", "b3", "3", "4", "b5", "5", "b6", "6", "b7", "7")
)
_POWER_CHORD = _INTERVALS[6]


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A name for one set at its own pitch, before spelling."""

    root: int
    quality: ChordQuality
    bass: int
    cost: float
    missing: tuple[Interval, ...] = ()
    unexplained: tuple[int, ...] = ()
    dyad: tuple[Pitch, Pitch] | None = None


def rank_names(
    pitches: Sequence[Pitch], *, key: Key | None = None, rootless: bool = False, limit: int = 6
) -> tuple[ChordName, ...]:
    """Rank the names of notes that sound together.

    Parameters
    ----------
    pitches : sequence of Pitch
        In any order; the lowest is the bass; doublings are welcome.
    key : Key, optional
        Spells the names, and prefers those whose root belongs to it.
    rootless : bool
        Whether names whose root does not sound are given as well; the root is then among ``missing``.
    limit : int
        How many names at most.

    Returns
    -------
    tuple of ChordName
        Most probable first, equal ones by plainness and then by height of the root over the bass. Empty for one note,
        for octaves, and for notes that no name explains.

    Examples
    --------
    >>> def names(text, **options):
    ...     return [name.text for name in rank_names([Pitch.parse(note) for note in text.split()], **options)]
    >>> names("B2 D3 G3 B3 G4", limit=1), names("C3 E3 G3 A3", limit=2), names("A2 C3 E3 G3", limit=2)
    (['G/B'], ['C6', 'Am7/C'], ['Am7', 'C6/A'])
    >>> names("D3 A3 D4", limit=1), names("A2 D3", limit=1), names("C3 E3", limit=1), names("E2 E3")
    (['D5'], ['D5/A'], ['C–E, a major third'], [])
    """
    _check_limit(limit)
    candidates = _candidates_of_sets([tuple(pitches)], rootless=rootless)[0]
    weighed = _weigh(candidates, key)
    ranked = sorted(zip(weighed, candidates, strict=True), key=lambda pair: -pair[0])[:limit]
    return tuple(_to_name(candidate, probability, key) for probability, candidate in ranked)


def rank_names_of_sets(
    weighted: Sequence[tuple[tuple[Pitch, ...], float]],
    *,
    key: Key | None = None,
    rootless: bool = False,
    limit: int = 6,
) -> tuple[ChordName, ...]:
    """Rank names over many possible sets of sounding notes.

    Parameters
    ----------
    weighted : sequence of (tuple of Pitch, float)
        Sets that may be sounding, each with its probability; together at most 1.
    key, rootless, limit
        As for :func:`rank_names`.

    Returns
    -------
    tuple of ChordName
        The probability of a name is its sum over the sets. What is missing or unexplained is told for the set in which
        the name is most probable.

    Examples
    --------
    >>> low, high = tuple(map(Pitch, (48, 52, 55))), tuple(map(Pitch, (48, 52, 55, 57)))
    >>> [(name.text, round(name.probability, 2)) for name in rank_names_of_sets([(low, 0.7), (high, 0.25)], limit=2)]
    [('C', 0.7), ('C6', 0.18)]
    """
    _check_limit(limit)
    total = sum(weight for _, weight in weighted)
    if any(weight < 0 for _, weight in weighted) or total > 1 + 1e-6:
        raise bad_value(
            "weights", round(total, 6), allowed="probabilities of sets that exclude each other, sum at most 1"
        )
    sums: dict[tuple[int, int, str], float] = {}
    best: dict[tuple[int, int, str], tuple[float, _Candidate]] = {}
    found = _candidates_of_sets([pitches for pitches, _ in weighted], rootless=rootless)
    for candidates, (_, weight) in zip(found, weighted, strict=True):
        for candidate, share in zip(candidates, _weigh(candidates, key), strict=True):
            name = (candidate.root, candidate.bass, candidate.quality.symbol)
            sums[name] = sums.get(name, 0.0) + weight * share
            if name not in best or weight * share > best[name][0]:
                best[name] = (weight * share, candidate)
    ranked = sorted(sums, key=lambda name: -sums[name])[:limit]
    return tuple(_to_name(best[name][1], sums[name], key) for name in ranked)


def _check_limit(limit: int) -> None:
    if limit < 1:
        raise bad_value("limit", limit, allowed="a number of names from 1 up")


def _candidates_of_sets(sets: Sequence[tuple[Pitch, ...]], *, rootless: bool) -> list[list[_Candidate]]:
    """Return the candidates of each set, cheapest first."""
    midis = [sorted(pitch.midi for pitch in pitches) for pitches in sets]
    kinds = [_kind(midi) for midi in midis]
    named = score_sets([kind for kind in kinds if kind is not None], rootless=rootless)
    relative = iter(named)
    return [
        [] if kind is None else _place(midi, next(relative)) for midi, kind in zip(midis, kinds, strict=True)
    ]  # fmt: skip


def _kind(midi: list[int]) -> tuple[int, bool] | None:
    """Return the mask over the bass, and whether the bass is doubled above; None below two pitch classes."""
    if not midi:
        return None
    mask, doubled = 1, False
    for number in midi:
        step = (number - midi[0]) % 12
        doubled = doubled or (step == 0 and number != midi[0])
        mask |= 1 << step
    return None if mask == 1 else (mask, doubled)


def _place(midi: list[int], names: tuple[RelativeName, ...]) -> list[_Candidate]:
    """Put the names of a kind of set at the pitch of the set; two pitch classes are an interval first."""
    bass = midi[0] % 12
    candidates = [
        _Candidate(
            (bass + name.root) % 12,
            name.quality,
            bass,
            name.cost,
            name.missing,
            tuple((bass + step) % 12 for step in name.unexplained),
        )
        for name in names
    ]
    classes = {number % 12 for number in midi}
    if len(classes) == 2:
        return _dyads(midi, [candidate for candidate in candidates if not candidate.unexplained])
    return candidates


def _dyads(midi: list[int], others: list[_Candidate]) -> list[_Candidate]:
    low = Pitch(midi[0])
    high = Pitch(next(number for number in midi if number % 12 != low.pitch_class))
    step = (high.midi - low.midi) % 12
    plain = _Candidate(low.pitch_class, _INTERVALS[step - 1], low.pitch_class, 0.0, dyad=(low, high))
    if step in _POWER_CHORD_INTERVALS:
        root = low if step == 7 else high
        power = _Candidate(root.pitch_class, _POWER_CHORD, low.pitch_class, 0.0)
        first = [power] if step == 7 else [power, replace(plain, cost=_OTHER_DYAD_READING)]
    else:
        first = [plain]
    rest = [other for other in others if len(other.quality.tones) == 3 and other.quality.symbol in ("", "m")]
    return [*first, *(replace(other, cost=other.cost + _OTHER_DYAD_READING) for other in rest)]


def _weigh(candidates: list[_Candidate], key: Key | None) -> list[float]:
    """Return the probabilities of the candidates of one set."""
    if not candidates:
        return []
    inside = frozenset(range(12)) if key is None else key.pitch_classes
    costs = [candidate.cost + (0.0 if candidate.root in inside else _OUTSIDE_KEY) for candidate in candidates]
    least = min(costs)
    weights = [math.exp(-SHARPNESS * (cost - least)) for cost in costs]
    total = sum(weights)
    return [weight / total for weight in weights]


def _to_name(candidate: _Candidate, probability: float, key: Key | None) -> ChordName:
    chord = spell_chord(candidate.root, candidate.quality, bass=candidate.bass, key=key)
    label = ""
    if candidate.dyad is not None:
        low, high = candidate.dyad
        label = label_dyad(low, high, low_note=chord.root, high_note=chord.notes[1])
    return ChordName(
        chord,
        probability,
        missing=tuple(str(tone) for tone in candidate.missing),
        unexplained=tuple(_spell_note(step, chord, key) for step in candidate.unexplained),
        label=label,
    )


def _spell_note(pitch_class: int, chord: Chord, key: Key | None) -> str:
    """Name a note that is no tone of the chord: by the key, else by the sign that the chord's own notes use."""
    if key is not None:
        return str(key.spell(pitch_class))
    sign = -1 if sum(note.accidental for note in chord.notes) < 0 else 1
    names = (Note(letter, shift) for shift in (0, sign) for letter in "CDEFGAB")
    return str(next(note for note in names if note.pitch_class == pitch_class))
