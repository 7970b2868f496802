"""Finding the key: how well a distribution of pitch classes fits each of the 24 keys.

Two ways to ask how well the pitch classes fit the profile of a key count alike: how they correlate with it (the
algorithm of Krumhansl and Schmuckler), and how likely they are under it (Temperley 2007, chapter 6), which holds each
tone outside the key against it. E, B7, F sharp minor and A sound a D sharp and no D, and are in E; by correlation alone
they are in A. The sum becomes probabilities by a softmax. The profile is the mean of three, each scaled to sum 1: how
well listeners thought that the tones fit a key, and how often they occur in two bodies of music. Chords count with
their tones, the root twice. A first or last chord that is the tonic triad speaks for the key, since parts tend to begin
and end at home, and so does every chord that the key's scale holds whole: F, C, G and A minor are in C (both common
practice, no source). The last chord of a round, which goes on to the first one elsewhere, is no ending.

References
----------
C. Krumhansl, E. Kessler, Tracing the dynamic changes in perceived tonal organization in a spatial representation of
musical keys, Psychological Review 89, 1982. C. Krumhansl, Cognitive Foundations of Musical Pitch, 1990, chapter 4.
D. Temperley, Music and Probability, 2007 (counts of the Kostka-Payne corpus). B. Aarden, Dynamic melodic expectancy,
dissertation, Ohio State University, 2003 (counts of the Essen collection). The numbers are from memory; the tests
compare them with those of music21.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from listen.errors import bad_value
from listen.theory.chord import Chord
from listen.theory.interval import Interval
from listen.theory.key import Key, Mode
from listen.theory.spelling import Note

# From the sources named above; how often, or how well, each tone of the scale fits, tonic first.
PROFILES: dict[str, dict[Mode, tuple[float, ...]]] = {
    "Krumhansl and Kessler 1982": {
        "major": (6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88),
        "minor": (6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17),
    },
    "Temperley 2007": {
        "major": (0.748, 0.060, 0.488, 0.082, 0.670, 0.460, 0.096, 0.715, 0.104, 0.366, 0.057, 0.400),
        "minor": (0.712, 0.084, 0.474, 0.618, 0.049, 0.460, 0.105, 0.747, 0.404, 0.067, 0.133, 0.330),
    },
    "Aarden 2003": {
        "major": (17.7661, 0.1456, 14.9265, 0.1602, 19.8049, 11.3587, 0.2912, 22.062, 0.1456, 8.1549, 0.2330, 4.9512),
        "minor": (18.2648, 0.7376, 14.0499, 16.8599, 0.7025, 14.4362, 0.7025, 18.6161, 4.5662, 1.9319, 7.3762, 1.7562),
    },
}
_SHARPNESS = 10.0  # of both ways, to log-odds; calibration error .045 on 400 chorales (tests/benchmarks/keys.py)
_HOME_CHORD = 0.15  # added where the first, or the last, chord is the tonic triad
_OF_ROUND = 0.5  # of that for the first chord of a round, which may begin anywhere (judged)
_IN_SCALE = 0.08  # added where the scale holds every chord whole; by .15 a D, C, G, D would be in G
SCALES_OF_CHORDS: dict[Mode, frozenset[int]] = {  # with the raised seventh of minor, which its dominant has
    "major": frozenset({0, 2, 4, 5, 7, 9, 11}),
    "minor": frozenset({0, 2, 3, 5, 7, 8, 10, 11}),
}
_MAJOR_TONICS = ("C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
_MINOR_TONICS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
KEYS: tuple[Key, ...] = (
    *(Key(Note.parse(name), "major") for name in _MAJOR_TONICS),
    *(Key(Note.parse(name), "minor") for name in _MINOR_TONICS),
)


def _mean_profile(mode: Mode) -> tuple[float, ...]:
    profiles = [profile[mode] for profile in PROFILES.values()]
    return tuple(sum(profile[step] / sum(profile) for profile in profiles) / len(profiles) for step in range(12))


_MEAN_PROFILES: dict[Mode, tuple[float, ...]] = {"major": _mean_profile("major"), "minor": _mean_profile("minor")}


@dataclass(frozen=True, slots=True)
class KeyReading:
    """A key and how probable it is.

    Parameters
    ----------
    key : Key
    probability : float
    """

    key: Key
    probability: float


def rank_keys(
    weights: Sequence[float] | None = None, *, chords: Sequence[tuple[Chord, float]] = ()
) -> tuple[KeyReading, ...]:
    """Rank the 24 keys.

    Parameters
    ----------
    weights : sequence of float, length 12, optional
        How much of each pitch class sounds, C first; any unit.
    chords : sequence of (Chord, float)
        Chords in time order with how long they last; any unit. They weigh as much as the pitch classes.

    Returns
    -------
    tuple of KeyReading
        All 24, most probable first; equal ones in the order of :data:`KEYS`. The first is spelled with the fewest
        accidentals, the others as it spells their tonics: G♭ major beside E♭ minor.

    Raises
    ------
    BadValueError
        Not twelve weights, a negative one, or nothing at all that sounds.

    Examples
    --------
    >>> from listen.theory.symbol import parse_chord
    >>> (best, *_) = rank_keys(chords=[(parse_chord(name), 1.0) for name in ("Em", "C", "Am", "B7", "Em")])
    >>> best.key.text
    'E minor'
    """
    total = _normalised(weights if weights is not None else [0.0] * 12)
    from_chords = _normalised(_chord_weights(chords))
    sounding = [own + other for own, other in zip(total, from_chords, strict=True)]
    if not any(sounding):
        raise bad_value("weights", "none", allowed="at least one pitch class or chord that sounds")
    scores = [_correlation(sounding, key) + _log_likelihood(sounding, key) + _in_chords(chords, key) for key in KEYS]
    best = max(scores)
    shares = [math.exp(_SHARPNESS * (score - best)) for score in scores]
    readings = [KeyReading(key, share / sum(shares)) for key, share in zip(KEYS, shares, strict=True)]
    readings.sort(key=lambda reading: -reading.probability)
    return tuple(replace(one, key=readings[0].key.spell_key(one.key)) for one in readings)


def _normalised(weights: Sequence[float]) -> list[float]:
    if len(weights) != 12 or not all(math.isfinite(weight) and weight >= 0 for weight in weights):
        raise bad_value("weights", list(weights), allowed="twelve numbers from 0 up, one for each pitch class from C")
    total = sum(weights)
    return [weight / total if total > 0 else 0.0 for weight in weights]


def _chord_weights(chords: Sequence[tuple[Chord, float]]) -> list[float]:
    weights = [0.0] * 12
    for chord, duration in chords:
        for note in (*chord.notes, chord.root):
            weights[note.pitch_class] += duration
    return weights


def _correlation(weights: Sequence[float], key: Key) -> float:
    """Return Pearson's correlation of the weights with a key's profile."""
    profile = _MEAN_PROFILES[key.mode]
    tonic = key.tonic.pitch_class
    rotated = [profile[(pitch_class - tonic) % 12] for pitch_class in range(12)]
    mean_weight, mean_profile = sum(weights) / 12, sum(rotated) / 12
    apart = [(weight - mean_weight, value - mean_profile) for weight, value in zip(weights, rotated, strict=True)]
    spread = math.sqrt(sum(left * left for left, _ in apart) * sum(right * right for _, right in apart))
    return sum(left * right for left, right in apart) / spread if spread > 0 else 0.0


def _log_likelihood(weights: Sequence[float], key: Key) -> float:
    """Return the log-likelihood of the pitch classes in a key, nats for each that sounds."""
    profile, tonic = _MEAN_PROFILES[key.mode], key.tonic.pitch_class
    return sum(
        weight * math.log(profile[(pitch_class - tonic) % 12]) for pitch_class, weight in enumerate(weights)
    ) / sum(weights)


def is_tonic(chord: Chord, key: Key) -> bool:
    """Tell whether a chord is the tonic of a key: its root, with the third of its mode."""
    third = Interval(3) if key.mode == "major" else Interval(3, -1)
    return chord.root.pitch_class == key.tonic.pitch_class and third in chord.quality.tones


def _in_chords(chords: Sequence[tuple[Chord, float]], key: Key) -> float:
    """Return what the first and the last chord say for a key, and all that its scale holds."""
    if not chords:
        return 0.0
    tonic, scale = key.tonic.pitch_class, SCALES_OF_CHORDS[key.mode]
    row = [chord for chord, _ in chords]
    is_round = row[0] != row[-1] and (row[-1], row[0]) in pairwise(row)
    ends = row[:1] if is_round else (row[0], row[-1])
    home = sum(is_tonic(chord, key) for chord in ends)
    inside = [lasts for chord, lasts in chords if all((note.pitch_class - tonic) % 12 in scale for note in chord.notes)]
    total = sum(lasts for _, lasts in chords)
    weight = _HOME_CHORD * (_OF_ROUND if is_round else 1.0)
    return weight * home + (_IN_SCALE * sum(inside) / total if total > 0 else 0.0)
