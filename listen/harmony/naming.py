"""Notes in, ranked names out.

A name is ranked by what the notes support: tones that sound, tones that are missing, notes that it leaves unexplained,
its bass, and how plain it is (:mod:`listen.harmony.scoring` holds the prices). The prices become probabilities by
p = exp(-SHARPNESS · cost) / Σ over the names kept for the set: what a musician would call a set that is known. Where
the evidence is unsure of the notes, a name's probability is that its tones and its bass are what sounds: the sum over
the sets that it names exactly. C6 and Am7/C are then equally probable, and the plainer of the two comes first.

Two notes are named as an interval, a root and its fifth as a power chord, a bare fourth as the power chord's
inversion. One note, or octaves of it, has no name.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from listen.errors import bad_value
from listen.harmony.interval_name import label_dyad
from listen.harmony.relative_name import RelativeName
from listen.harmony.scoring import SHARPNESS, score_sets
from listen.reading import ChordName
from listen.theory import Chord, Interval, Key, Pitch, degrees_to_quality, spell_as_typed, spell_beside, spell_chord

_ALIKE = 0.01  # probabilities so near to one another are alike
_OUTSIDE_KEY = 0.5  # points for a root that is no tone of the key, where one is given
_OTHER_DYAD_READING = 1.5  # points for hearing two notes as a chord without its fifth, against the interval itself
UNNAMED = 8.0  # points: beyond any name
_TRIADS = ("", "m")
_INTERVALS = tuple(
    degrees_to_quality((Interval(1), Interval.parse(degree)))
    for degree in ("b2", "2", "b3", "3", "4", "b5", "5", "b6", "6", "b7", "7")
)
_POWER_CHORD = _INTERVALS[6]


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A name for one set over its own bass, before spelling."""

    bass: int
    name: RelativeName
    dyad: tuple[Pitch, Pitch] | None = None

    @property
    def root(self) -> int:
        return (self.bass + self.name.root) % 12

    @property
    def identity(self) -> tuple[int, int, str, tuple[Interval, ...]]:
        return self.name.root, self.bass, self.name.base.symbol, self.name.changed_to


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
        for octaves, and for notes that no name explains. Where the best name leaves a note over, that the notes have no
        name is as probable as that name.

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
    candidates = _find_candidates([tuple(pitches)], rootless=rootless)[0]
    weighed = _weigh(candidates, key)
    ranked = sorted(zip(weighed, candidates, strict=True), key=lambda pair: -pair[0])[:limit]
    best = ranked[0] if ranked else (0.0, None)
    named = 1.0 if best[1] is None or not best[1].name.unexplained else 1.0 / (1.0 + best[0])
    return _to_names([(candidate, named * probability) for probability, candidate in ranked], key)


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
        The probability of a name is the sum over the sets that it names exactly: no foreign note, no tone missing that
        may not be left out, and no more tones left out than by any other name, unless it is the plainest: F A B E is
        Fmaj7#11 without its fifth, though Asus2/F leaves nothing out. A set gives its other names their shares. Most
        probable first; those that agree to a hundredth are ranked by plainness. What is missing or unexplained is told
        for the set in which the name is most probable.

    Examples
    --------
    >>> low, high = tuple(map(Pitch, (48, 52, 55))), tuple(map(Pitch, (48, 52, 55, 57)))
    >>> [(name.text, round(name.probability, 2)) for name in rank_names_of_sets([(low, 0.7), (high, 0.25)], limit=3)]
    [('C', 0.7), ('C6', 0.25), ('Am7/C', 0.25)]
    """
    _check_limit(limit)
    total = sum(weight for _, weight in weighted)
    if any(weight < 0 for _, weight in weighted) or total > 1 + 1e-6:
        raise bad_value("weights", round(total, 6), allowed="probabilities that sum to at most 1")
    sums: dict[tuple[object, ...], float] = {}
    best: dict[tuple[object, ...], tuple[float, _Candidate]] = {}
    groups = _gather(weighted)
    found = _find_candidates([pitches for pitches, _ in groups], rootless=rootless)
    for candidates, (_, weight) in zip(found, groups, strict=True):
        exact = [candidate for candidate in candidates if candidate.name.is_exact]
        fewest = min((len(candidate.name.missing) for candidate in exact), default=0)
        shares = _weigh(candidates, key)
        plainest = max(shares, default=0.0)
        for candidate, share in zip(candidates, shares, strict=True):
            name = candidate.identity
            is_whole = candidate.name.is_exact and (share == plainest or len(candidate.name.missing) == fewest)
            probability = weight * (1.0 if is_whole else share)
            sums[name] = sums.get(name, 0.0) + probability
            if name not in best or probability > best[name][0]:
                best[name] = (probability, candidate)
    left, ranked = sorted(sums, key=lambda name: -sums[name]), list[tuple[object, ...]]()
    while left and len(ranked) < limit:
        n_alike = sum(sums[name] > sums[left[0]] - _ALIKE for name in left)
        ranked += sorted(left[:n_alike], key=lambda name: (best[name][1].name.cost, -sums[name]))
        left = left[n_alike:]
    return _to_names([(best[name][1], min(1.0, sums[name])) for name in ranked[:limit]], key)


def _gather(weighted: Sequence[tuple[tuple[Pitch, ...], float]]) -> list[tuple[tuple[Pitch, ...], float]]:
    """Join the sets that have the same names, the most probable of them standing for all."""
    sums: dict[tuple[int, int, bool], float] = {}
    heaviest: dict[tuple[int, int, bool], tuple[float, tuple[Pitch, ...]]] = {}
    for pitches, weight in weighted:
        midi = sorted(pitch.midi for pitch in pitches)
        kind = _kind(midi)
        if kind is None:
            continue
        group = (midi[0] % 12, *kind)
        sums[group] = sums.get(group, 0.0) + weight
        if group not in heaviest or weight > heaviest[group][0]:
            heaviest[group] = (weight, pitches)
    return [(heaviest[group][1], total) for group, total in sums.items()]


def _check_limit(limit: int) -> None:
    if limit < 1:
        raise bad_value("limit", limit, allowed="a number of names from 1 up")


def _find_candidates(sets: Sequence[tuple[Pitch, ...]], *, rootless: bool) -> list[list[_Candidate]]:
    """Return the candidates of each set, cheapest first."""
    midis = [sorted(pitch.midi for pitch in pitches) for pitches in sets]
    kinds = [_kind(midi) for midi in midis]
    named = iter(score_sets([kind for kind in kinds if kind is not None], rootless=rootless))
    return [[] if kind is None else _place(midi, next(named)) for midi, kind in zip(midis, kinds, strict=True)]


def measure_plainness(sets: Sequence[Sequence[int]]) -> tuple[float, ...]:
    """Measure how plainly sets of pitches are named: the cost of the plainest name of each, in points.

    Parameters
    ----------
    sets : sequence of sequence of int
        MIDI numbers, low to high.

    Returns
    -------
    tuple of float
        0 for a triad in root position, about 1 for an inversion; :data:`UNNAMED` where a set has no name.

    Examples
    --------
    >>> measure_plainness([(48, 52, 55), (52, 55, 60), (48, 49, 50)])
    (0.0, 0.9, 8.0)
    """
    kinds = [_kind(sorted(midis)) for midis in sets]
    named = iter(score_sets([kind for kind in kinds if kind is not None]))
    return tuple(UNNAMED if kind is None else next((name.cost for name in next(named)), UNNAMED) for kind in kinds)


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
    """Put the names of a kind of set over the bass of the set; two pitch classes are an interval first."""
    bass = midi[0] % 12
    classes = {number % 12 for number in midi}
    return _dyads(midi, names) if len(classes) == 2 else [_Candidate(bass, name) for name in names]


def _dyads(midi: list[int], names: tuple[RelativeName, ...]) -> list[_Candidate]:
    low = Pitch(midi[0])
    high = Pitch(next(number for number in midi if number % 12 != low.pitch_class))
    step = (high.midi - low.midi) % 12
    interval = _Candidate(low.pitch_class, RelativeName(0, _INTERVALS[step - 1], 0.0), dyad=(low, high))
    if step == 7:
        return [_Candidate(low.pitch_class, RelativeName(0, _POWER_CHORD, 0.0))]
    if step == 5:
        power = _Candidate(low.pitch_class, RelativeName(5, _POWER_CHORD, 0.0))
        return [power, _dearer(interval)]
    rest = (_Candidate(low.pitch_class, name) for name in names if name.base.symbol in _TRIADS and not name.unexplained)
    return [interval, *(_dearer(other) for other in rest)]


def _dearer(candidate: _Candidate) -> _Candidate:
    return replace(candidate, name=replace(candidate.name, cost=candidate.name.cost + _OTHER_DYAD_READING))


def _weigh(candidates: list[_Candidate], key: Key | None) -> list[float]:
    """Return the probabilities of the candidates of one set."""
    if not candidates:
        return []
    inside = frozenset(range(12)) if key is None else key.pitch_classes
    costs = [candidate.name.cost + (0.0 if candidate.root in inside else _OUTSIDE_KEY) for candidate in candidates]
    least = min(costs)
    weights = [math.exp(-SHARPNESS * (cost - least)) for cost in costs]
    total = sum(weights)
    return [weight / total for weight in weights]


def _to_names(ranked: Sequence[tuple[_Candidate, float]], key: Key | None) -> tuple[ChordName, ...]:
    """Spell the names, without a key all as the first: C♯5/G♯ is also G♯sus4, not A♭sus4."""
    names: list[ChordName] = []
    for candidate, probability in ranked:
        names.append(_to_name(candidate, probability, key, like=names[0].chord if names and key is None else None))
    return tuple(names)


def _spell_like(chord: Chord, other: Chord) -> Chord:
    """Spell a chord by the notes of another one that has its root: beside C♯5 it is G♯sus4, not A♭sus4.

    Each diminished seventh on the tones of another is called as anywhere else: beside Edim7, with its D♭, C♯dim7.
    """
    notes = (*other.notes, other.sounding_bass)
    if chord.root.pitch_class not in {note.pitch_class for note in notes}:
        return chord
    own = [chord.root] if chord.quality.symbol == other.quality.symbol == "dim7" else []
    return spell_as_typed(chord, [*(note for note in notes if not note.is_rare), *own])


def _to_name(candidate: _Candidate, probability: float, key: Key | None, *, like: Chord | None) -> ChordName:
    name = candidate.name
    chord = spell_chord(candidate.root, name.quality, bass=candidate.bass, key=key)
    if like is not None:
        chord = _spell_like(chord, like)
    label = ""
    if candidate.dyad is not None:
        low, high = candidate.dyad
        label = label_dyad(low, high, low_note=chord.root, high_note=chord.notes[1])
    return ChordName(
        chord,
        probability,
        missing=tuple(str(tone) for tone in name.missing),
        unexplained=tuple(_spell_note((candidate.bass + step) % 12, chord, key) for step in name.unexplained),
        label=label,
    )


def _spell_note(pitch_class: int, chord: Chord, key: Key | None) -> str:
    """Name a note that is no tone of the chord: by the key, else by the sign that the chord's own notes use."""
    if key is not None:
        return str(key.spell(pitch_class))
    return str(spell_beside(pitch_class, chord.notes))
