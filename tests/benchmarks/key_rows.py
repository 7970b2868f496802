"""Rows of chords in one key and in several, of our own: loops of numerals as players use them, in drawn keys.

A row is a list of bars. *Temptations* leave the scale and stay in the key: secondary dominants, chords borrowed from
the parallel key, vamps, blues, modes, chains of dominants (common practice, no source). No song is quoted.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from listen.theory import KEYS, Chord, Interval, Key, parse_chord


def _split(loops: str) -> tuple[str, ...]:
    return tuple(loops.split("|"))


MAJOR = _split(
    "I V vi IV|I vi IV V|I IV V IV|vi IV I V|I IV I V|I iii IV V|ii V I I|I IV ii V|I V IV V|I ii IV V|IV I V vi|"
    "I V ii IV|I V vi iii IV I IV V|Imaj7 vi7 ii7 V7|I IV vi V|I V vi IV"
)
MINOR = _split(
    "i bVI bIII bVII|i iv i V7|i bVII bVI bVII|i iv bVII bIII|i v bVI bVII|i bVI iv V|i bIII bVII iv|i bVII bVI V7|"
    "i iv v i"
)
MAJOR_TEMPTATIONS = _split(
    "I II7 V7 I|I VI7 II7 V7|I III7 vi IV|I I7 IV iv|I bVII IV I|I IV iv I|I bVI bVII I|I bIII IV I|I V7 bVII IV|"
    "I II IV I|I IV bVII IV|I v IV I|I iii bIII7 ii|I bVII bVI V|I I7 IV II7|"
    "III7 III7 VI7 VI7 II7 II7 V7 V7|I vi II7 V7|IV iv I VI7 II7 V7 I I|I bVII I bVII|I IV I IV|i7 IV7 i7 IV7|"
    "I7 I7 I7 I7 IV7 IV7 I7 I7 V7 IV7 I7 V7|I7 IV7 I7 I7 IV7 IV7 I7 I7 V7 IV7 I7 V7|vi II V I|v I IV I|"
    "I bVII IV IV|IV V iii vi IV iv I I|I Iaug I6 I7 IV iv I V7|I bII I bII|I V IV bVII"
)
MINOR_TEMPTATIONS = _split(
    "i IV i IV|i IV bVII bIII|i bVII IV i|i V7 i V7|i II7 V7 i|i bVI bII V7|i iv bVI V7|i i bII V7|"
    "i7 i7 i7 i7 iv7 iv7 i7 i7 V7 iv7 i7 V7|i bIII IV bVI|i bVII bVI V7"
)
TONICS = {"major": _split("C|G|D|A|E|F|Bb|Eb|Ab|B|Db"), "minor": _split("A|E|B|F#|D|G|C|C#|F")}
FORMS = ("0", "01", "0101", "010121", "01012", "001020")
_NUMERAL = re.compile(r"([b#]?)(VII|VI|IV|III|II|I|V|vii|vi|iv|iii|ii|i|v)(.*)")
_DEGREES = {"I": "1", "II": "2", "III": "3", "IV": "4", "V": "5", "VI": "6", "VII": "7"}

Bars = list[list[tuple[Chord, float]]]


@dataclass(frozen=True, slots=True)
class KeyRow:
    """Bars, and their keys: index of the first bar and the key."""

    bars: Bars
    keys: tuple[tuple[int, Key], ...]


def numeral_to_chord(numeral: str, key: Key) -> Chord:
    """Return the chord of a numeral, counted on the major scale of the tonic: ``bVII``, ``ii7``."""
    match = _NUMERAL.fullmatch(numeral)
    assert match is not None, numeral
    sign, degree, rest = match.groups()
    root = key.spell(key.tonic.above(Interval.parse(sign + _DEGREES[degree.upper()])).pitch_class)
    return parse_chord(f"{root}{'m' if degree.islower() else ''}{rest}")


def write_bars(numerals: str, key: Key, *, n_bars: int, a_bar: int = 1) -> Bars:
    """Return so many bars of a loop, with one chord to the bar or two."""
    loop = [numeral_to_chord(one, key) for one in numerals.split()]
    return [[(loop[(a_bar * bar + at) % len(loop)], 1.0 / a_bar) for at in range(a_bar)] for bar in range(n_bars)]


def draw_bars(rng: random.Random, key: Key, n_bars: int, pool: Sequence[str]) -> Bars:
    """Draw a loop and return so many bars of it."""
    return write_bars(rng.choice(pool), key, n_bars=n_bars, a_bar=rng.choice((1, 1, 1, 2)))


def draw_row_in_one_key(rng: random.Random) -> KeyRow:
    """Draw verses, choruses and bridges in one key, every other one of them a temptation."""
    is_major = rng.random() < 0.6
    mode = "major" if is_major else "minor"
    key = Key.parse(f"{rng.choice(TONICS[mode])} {mode}")
    pools = (MAJOR, MAJOR_TEMPTATIONS) if is_major else (MINOR, MINOR_TEMPTATIONS)
    parts = [draw_bars(rng, key, rng.choice((8, 8, 16)), rng.choice(pools)) for _ in range(3)]
    bars = [bar for part in rng.choice(FORMS) for bar in parts[int(part)]]
    if rng.random() < 0.5:
        bars = [*bars, [(numeral_to_chord("I" if is_major else "i", key), 1.0)]]
    return KeyRow(bars, ((0, key),))


def _draw_moved(rng: random.Random, semitones: int, *, with_dominant: bool = False) -> KeyRow:
    """Draw verse and chorus twice, and the chorus once more in another key, perhaps after its dominant."""
    key = _draw_major(rng)
    verse, chorus = (rng.choice(MAJOR) for _ in range(2))
    widths = [(rng.choice((8, 16)), rng.choice((1, 1, 1, 2))) for _ in range(2)]
    first, second = (
        write_bars(loop, key, n_bars=n, a_bar=a) for loop, (n, a) in zip((verse, chorus), widths, strict=True)
    )
    up = _move(key, semitones)
    bars = [*first, *second, *first, *second]
    if with_dominant:
        bars[-1] = [(numeral_to_chord("V7", up), 1.0)]
    last = write_bars(chorus, up, n_bars=widths[1][0], a_bar=widths[1][1])
    return KeyRow([*bars, *last], ((0, key), (len(bars), up)))


def _draw_bridge(rng: random.Random, semitones: int) -> KeyRow:
    """Draw a verse twice, a bridge of eight bars in another key, and the verse again."""
    key = _draw_major(rng)
    verse, other = draw_bars(rng, key, 8, MAJOR), _move(key, semitones)
    return KeyRow([*verse, *verse, *draw_bars(rng, other, 8, MAJOR), *verse], ((0, key), (16, other), (24, key)))


def _draw_contrast(rng: random.Random, semitones: int, mode: str = "major") -> KeyRow:
    """Draw a verse of sixteen bars and a chorus of sixteen in another major key."""
    key = Key.parse(f"{rng.choice(TONICS[mode])} {mode}")
    other = _move(key, semitones)
    verse = draw_bars(rng, key, 16, MAJOR if mode == "major" else MINOR)
    return KeyRow([*verse, *draw_bars(rng, other, 16, MAJOR)], ((0, key), (16, other)))


def _draw_major(rng: random.Random) -> Key:
    return Key.parse(rng.choice(TONICS["major"]))


def _move(key: Key, semitones: int) -> Key:
    tonic = (key.tonic.pitch_class + semitones) % 12
    return next(one for one in KEYS if one.tonic.pitch_class == tonic and one.mode == "major")


MOVES: dict[str, Callable[[random.Random], KeyRow]] = {
    "last chorus up a tone": lambda rng: _draw_moved(rng, 2),
    "last chorus up a semitone": lambda rng: _draw_moved(rng, 1),
    "up a tone after its dominant": lambda rng: _draw_moved(rng, 2, with_dominant=True),
    "bridge a fourth up and back": lambda rng: _draw_bridge(rng, 5),
    "bridge a third away and back": lambda rng: _draw_bridge(rng, rng.choice((3, 4, 8, 9))),
    "to the relative minor's parallel major": lambda rng: _draw_contrast(rng, 9),
    "minor verse, parallel major chorus": lambda rng: _draw_contrast(rng, 0, "minor"),
}
