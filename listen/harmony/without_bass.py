"""Names that the lowest note does not decide: rootless readings, and names on a stringing that has no bass.

A *rootless* reading is a chord of four tones and more whose root is left to somebody else: its third and its seventh
(or sixth) sound, nothing foreign does, and of its other tones only those that may be left out are missing. It is
written over its absent root, ``C9`` for E G B♭ D, whatever sounds lowest (common practice of keyboard and guitar
voicings; Levine, *The Jazz Theory Book*, 1995, from memory).

On a re-entrant stringing the lowest pitch is an accident of the strings, so a name there has no inversion.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from listen.harmony.naming import rank_names
from listen.harmony.plainness import NAMEABLE, PLAINNESS
from listen.harmony.scoring import SHARPNESS, score_sets
from listen.instrument import Tuning
from listen.reading import ChordName
from listen.theory import ChordQuality, Interval, Key, Pitch, spell_chord

_NO_FIFTH = 0.1  # points: beside an absent root an absent fifth is nothing unusual
_NO_OTHER = 0.4  # points for a tone but the fifth that does not sound; judged
_WORTH_SAYING = 2.0  # points over the plainest
_FEWEST_CLASSES = 3
_GUIDES = (3, 6, 7)


def rank_rootless(pitches: Sequence[Pitch], *, limit: int = 3) -> tuple[ChordName, ...]:
    """Rank the chords that notes stand for when somebody else plays the root.

    Returns
    -------
    tuple of ChordName
        The plainest first; the root is the first of what is missing. Empty where no chord of four tones fits.

    Examples
    --------
    >>> for notes in ("E3 G3 Bb3 D4", "E3 Bb3 D4 A4"):
    ...     print([name.text for name in rank_rootless([Pitch.parse(note) for note in notes.split()], limit=2)])
    ['C9', 'F#7(#5,b9)']
    ['C13', 'Gm6/9']
    """
    heard = {pitch.pitch_class for pitch in pitches}
    if len(heard) < _FEWEST_CLASSES:
        return ()
    found = []
    for root in sorted(set(range(12)) - heard):
        for quality in NAMEABLE:
            missing = _find_missing({(each - root) % 12 for each in heard}, quality)
            if missing is not None:
                dear = sum(_NO_FIFTH if tone.degree == 5 else _NO_OTHER for tone in missing)
                found.append((PLAINNESS[quality.symbol] + dear, root, quality, missing))
    found.sort(key=lambda item: (item[0], item[1]))
    near = [item for item in found if item[0] <= found[0][0] + _WORTH_SAYING][:limit]
    weights = [math.exp(-SHARPNESS * (item[0] - near[0][0])) for item in near]
    return tuple(
        ChordName(
            spell_chord(root, quality, bass=root),
            weight / sum(weights),
            missing=("1", *map(str, missing)),
        )
        for weight, (_, root, quality, missing) in zip(weights, near, strict=True)
    )


def rank_names_of_sets_without_bass(
    weighted: Sequence[tuple[tuple[Pitch, ...], float]], *, key: Key | None = None, limit: int = 6
) -> tuple[ChordName, ...]:
    """Rank names over many possible sets of sounding notes of which none is the bass.

    Parameters and returns are those of :func:`~listen.harmony.naming.rank_names_of_sets`.

    Examples
    --------
    >>> sets = [(tuple(map(Pitch.parse, notes.split())), 0.5) for notes in ("G4 D4 G4 B4", "D4 G4 B4")]
    >>> [(name.text, name.probability) for name in rank_names_of_sets_without_bass(sets)]
    [('G', 1.0)]
    """
    sums: dict[str, float] = {}
    best: dict[str, ChordName] = {}
    for pitches, weight in weighted:
        names = rank_names_without_bass(pitches, key=key)
        fewest = min((len(name.missing) for name in names), default=0)
        plainest = max((name.probability for name in names), default=0.0)
        for name in names:
            as_exact_as_any = name.probability == plainest or len(name.missing) == fewest
            share = weight * (1.0 if not name.unexplained and as_exact_as_any else name.probability)
            sums[name.text] = min(1.0, sums.get(name.text, 0.0) + share)
            if name.text not in best or share > best[name.text].probability:
                best[name.text] = replace(name, probability=share)
    ranked = sorted(best, key=lambda text: -round(sums[text], 2))[:limit]
    return tuple(replace(best[text], probability=sums[text]) for text in ranked)


def _find_missing(heard: set[int], quality: ChordQuality) -> tuple[Interval, ...] | None:
    """Return the tones besides the root that do not sound; None where the notes do not stand for the quality."""
    tones = [tone for tone in quality.tones if tone not in quality.avoided]
    guides = [tone for tone in tones if tone.degree in _GUIDES]
    if len(tones) < _FEWEST_CLASSES + 1 or len(guides) < 2 or not heard <= {tone.pitch_class for tone in tones}:
        return None
    missing = tuple(tone for tone in tones if tone.pitch_class not in heard and tone.degree != 1)
    if any(tone in guides or tone not in quality.optional for tone in missing):
        return None
    return missing


def rank_names_without_bass(
    pitches: Sequence[Pitch], *, key: Key | None = None, limit: int = 6
) -> tuple[ChordName, ...]:
    """Rank the names of notes of which none is the bass.

    Notes that no chord names whole, and fewer than three tones, keep the names that they have over the lowest.

    Examples
    --------
    >>> [name.text for name in rank_names_without_bass([Pitch.parse(note) for note in "G4 D4 G4 B4".split()])]
    ['G']
    """
    classes = sorted({pitch.pitch_class for pitch in pitches})
    if len(classes) < _FEWEST_CLASSES:
        return rank_names(pitches, key=key, limit=limit)
    kinds = [(sum(1 << (each - bass) % 12 for each in classes), False) for bass in classes]
    found = [
        (name.cost, bass, name)
        for bass, names in zip(classes, score_sets(kinds), strict=True)
        for name in names
        if name.root == 0 and not name.unexplained
    ]
    if not found:
        return rank_names(pitches, key=key, limit=limit)
    found.sort(key=lambda item: item[:2])
    near = [item for item in found if item[0] <= found[0][0] + _WORTH_SAYING][:limit]
    weights = [math.exp(-SHARPNESS * (cost - near[0][0])) for cost, _, _ in near]
    return tuple(
        ChordName(
            spell_chord(bass, name.quality, bass=bass, key=key),
            weight / sum(weights),
            missing=tuple(map(str, name.missing)),
        )
        for weight, (_, bass, name) in zip(weights, near, strict=True)
    )


def rank_names_on(
    tuning: Tuning, pitches: Sequence[Pitch], *, key: Key | None = None, limit: int = 6
) -> tuple[ChordName, ...]:
    """Rank the names of notes on strings that are tuned so: over the lowest note, where that is a bass.

    Examples
    --------
    >>> from listen.instrument import STANDARD, find_instrument
    >>> notes = [Pitch.parse(note) for note in "E4 G4 C5".split()]
    >>> [rank_names_on(tuning, notes)[0].text for tuning in (STANDARD, find_instrument("ukulele").tuning)]
    ['C/E', 'C']
    """
    rank = rank_names_without_bass if tuning.is_reentrant else rank_names
    return rank(pitches, key=key, limit=limit)
