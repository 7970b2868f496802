"""Notes in, ranked names out.

A name is ranked by what the notes support: tones that sound, tones that are missing, notes that it leaves unexplained,
its bass, and how plain it is (:mod:`listen.harmony.scoring` holds the prices). The prices become probabilities by
p = exp(-SHARPNESS · cost) / Σ over the names kept for the set: what a musician would call a set that is known. Where
the evidence is unsure of the notes, a name's probability is that its tones and its bass are what sounds: the sum over
the sets that it names exactly. C6 and Am7/C are then equally probable, and the plainer of the two comes first; so
does C/D before Cadd9/D, which is as exact where the fifth is missing as well.

Two notes are named as an interval, a root and its fifth as a power chord, a bare fourth as the power chord's
inversion. One note, or octaves of it, has no name.
"""

from __future__ import annotations

from collections.abc import Sequence

from listen.errors import bad_value
from listen.harmony.interval_name import label_dyad
from listen.harmony.name_candidates import NameCandidate, find_kind, find_name_candidates, weigh_candidates
from listen.reading import ChordName
from listen.theory import Chord, Interval, Key, Pitch, spell_as_typed, spell_beside, spell_chord

_ALIKE = 0.01  # probabilities so near to one another are alike
_Identity = tuple[int, int, str, tuple[Interval, ...]]


def rank_names(pitches: Sequence[Pitch], *, key: Key | None = None, limit: int = 6) -> tuple[ChordName, ...]:
    """Rank the names of notes that sound together.

    Parameters
    ----------
    pitches : sequence of Pitch
        In any order; the lowest is the bass; doublings are welcome.
    key : Key, optional
        Spells the names, and prefers those whose root belongs to it.
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
    candidates = find_name_candidates([tuple(pitches)])[0]
    weighed = weigh_candidates(candidates, key)
    ranked = sorted(zip(weighed, candidates, strict=True), key=lambda pair: -pair[0])[:limit]
    best = ranked[0] if ranked else (0.0, None)
    named = 1.0 if best[1] is None or not best[1].name.unexplained else 1.0 / (1.0 + best[0])
    return _to_names([(candidate, named * probability) for probability, candidate in ranked], key)


def rank_names_of_sets(
    weighted: Sequence[tuple[tuple[Pitch, ...], float]], *, key: Key | None = None, limit: int = 6
) -> tuple[ChordName, ...]:
    """Rank names over many possible sets of sounding notes.

    Parameters
    ----------
    weighted : sequence of (tuple of Pitch, float)
        Sets that may be sounding, each with its probability; together at most 1.
    key, limit
        As for :func:`rank_names`.

    Returns
    -------
    tuple of ChordName
        The probability of a name is the sum over the sets that it names exactly: no foreign note, no tone missing that
        may not be left out, and no more tones left out than by any other name, unless it is the plainest: F A B E is
        Fmaj7#11 without its fifth, though Asus2/F leaves nothing out. A set gives its other names their shares. Most
        probable first; those that agree to a hundredth are ranked by plainness, and so are names of one set where the
        one is ahead only by sets in which more of its tones are missing: Cadd9/D may be without its fifth and C/D not,
        which is no reason to call D C E G so. What is missing or unexplained is told for the set in which the name is
        most probable.

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
    sums: dict[_Identity, float] = {}
    alike_missing: dict[tuple[_Identity, tuple[Interval, ...]], float] = {}
    best: dict[_Identity, tuple[float, int, NameCandidate]] = {}
    groups = _gather(weighted)
    found = find_name_candidates([pitches for pitches, _ in groups])
    for place, (candidates, (_, weight)) in enumerate(zip(found, groups, strict=True)):
        for candidate, share in zip(candidates, _share_set(candidates, key), strict=True):
            name, probability = candidate.identity, weight * share
            as_here = (name, candidate.name.missing)
            sums[name] = sums.get(name, 0.0) + probability
            alike_missing[as_here] = alike_missing.get(as_here, 0.0) + probability
            if name not in best or probability > best[name][0]:
                best[name] = (probability, place, candidate)
    left, ranked = sorted(sums, key=lambda name: -sums[name]), list[_Identity]()
    while left and len(ranked) < limit:
        _, place, first = best[left[0]]
        # one of the same set comes near where it has as much of the sets in which the first lacks no more than there
        least, least_there = sums[left[0]] - _ALIKE, alike_missing[left[0], first.name.missing] - _ALIKE
        alike = [name for name in left if sums[name] > (least_there if best[name][1] == place else least)]
        ranked += sorted(alike, key=lambda name: (best[name][2].name.cost, -sums[name]))
        left = [name for name in left if name not in alike]
    return _to_names([(best[name][2], min(1.0, sums[name])) for name in ranked[:limit]], key)


def _share_set(candidates: list[NameCandidate], key: Key | None) -> list[float]:
    """Share out one set that sounds: in full to each name that names it exactly, else as musicians would call it."""
    fewest = min((len(candidate.name.missing) for candidate in candidates if candidate.name.is_exact), default=0)
    shares = weigh_candidates(candidates, key)
    plainest = max(shares, default=0.0)
    return [
        1.0 if candidate.name.is_exact and (share == plainest or len(candidate.name.missing) == fewest) else share
        for candidate, share in zip(candidates, shares, strict=True)
    ]


def _gather(weighted: Sequence[tuple[tuple[Pitch, ...], float]]) -> list[tuple[tuple[Pitch, ...], float]]:
    """Join the sets that have the same names, the most probable of them standing for all."""
    sums: dict[tuple[int, int, bool], float] = {}
    heaviest: dict[tuple[int, int, bool], tuple[float, tuple[Pitch, ...]]] = {}
    for pitches, weight in weighted:
        midi = sorted(pitch.midi for pitch in pitches)
        kind = find_kind(midi)
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


def _to_names(ranked: Sequence[tuple[NameCandidate, float]], key: Key | None) -> tuple[ChordName, ...]:
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


def _to_name(candidate: NameCandidate, probability: float, key: Key | None, *, like: Chord | None) -> ChordName:
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
