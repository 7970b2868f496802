"""What strokes make of a held shape: strings that do not sound, and open strings beside it that do.

The hand holds a shape of the book; the stroke reaches some of its strings, and of these some sound. So each shape of
the book stands for many sounding ones, each with a price in nats: a string left out at an end of the shape is cheap,
one in the middle of it dear, two at an end dearer than twice one, and an open string that the hand does not hold may be
brushed. What is held just as it sounds: :mod:`listen.voicing.as_played`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from listen.instrument import Fretboard
from listen.voicing.book import list_book_shapes

Floats = npt.NDArray[np.float64]
Frets = npt.NDArray[np.int8]
Mask = npt.NDArray[np.bool_]

LEAST_STRINGS = 2
LEAST_GRADE, ANY_GRADE = 3.0, 1.0  # the first places of plain chords; the book
MOST_MIDI = 200
FAINT_SHARE = 0.6
"""Of the strings that are held and do not sound: so many are there faintly."""
FAINTEST_DB, LOUDEST_FAINT_DB = 4.0, 40.0  # how far such a string stands out, anything between alike
NOISE_RISES_DB = (
    *((4, 0.07), (6, 0.055), (8, 0.033), (10, 0.017), (12, 0.0094)),
    *((15, 0.0069), (20, 0.0032), (math.inf, 0.001)),
)
"""Density a decibel of what stands out, up to so many decibels, where nothing is held: counted on 4,380 pitches outside
the chord, and no harmonic of an open string, in 339 recorded open chords; the last is rounded up threefold,
since what stands out may be something else."""
USUAL_NATS = {
    frozenset({0, 4, 7}): 0.0,
    frozenset({0, 3, 7}): -0.3,
    frozenset({0, 4, 7, 10}): -1.5,
    frozenset({0, 3, 7, 10}): -1.7,
    frozenset({0, 4, 7, 11}): -2.2,
    frozenset({0, 5, 7}): -2.5,
    frozenset({0, 2, 7}): -2.5,
    frozenset({0, 2, 4, 7}): -2.5,
    frozenset({0, 3, 8}): -2.0,
    frozenset({0, 5, 9}): -2.0,
    frozenset({0, 4, 9}): -2.5,
    frozenset({0, 5, 8}): -2.5,
}
"""How usual a chord is against a major one, by its tones over its bass. Judged after the counts of Burgoyne, Wild and
Fujinaga, "An expert ground truth set for audio chord recognition and music analysis", ISMIR 2011 (from memory)."""
UNUSUAL_NATS = -4.0  # of any other chord; judged in the same way


@dataclass(frozen=True, slots=True)
class StrokePrices:
    """What it costs, in nats, that a stroke does not sound a held shape as it stands; and what unusual shapes cost.

    Set together, by likelihood, on half of the recorded open chords and half of the rows of
    ``python -m tests.benchmarks.held`` and ``strums`` (n = 16 to 20), and rounded; over the other halves the mean
    -ln p of what is true fell from .294 to .272.

    Parameters
    ----------
    low, high : float
        For the outermost string on the bass side, on the treble side.
    further : float
        For each further string on that side.
    inner : float
        For strings between two that sound, one or more: where one does not sound the next often does not.
    open_inner : float
        More, for each open one: no finger presses it badly.
    mixed : float
        For each further side than the first.
    brushed : float
        For an open string that is not held and sounds.
    usual : float
        Nats for each nat by which a chord is less usual than a major one.
    faint : float
        Nats for each nat by which the noise speaks for strings that were touched.
    unlisted : float
        For a shape as it sounds that is in no book.
    left_over : float
        More, where it is what strokes leave of a plain shape: x3x010 of x32010.
    power : float
        Less, for a power chord on two or three neighbouring strings.
    """

    low: float = 1.9
    high: float = 1.5
    further: float = 3.1
    inner: float = 2.8
    open_inner: float = 1.9
    mixed: float = 0.5
    brushed: float = 3.1
    usual: float = 2.2
    faint: float = 0.7
    unlisted: float = 1.8
    left_over: float = 2.7
    power: float = 1.4

    @property
    def least_grade(self) -> float:
        """Of shapes of the book that are looked for in what sounds only in part: any, where no chord is unusual."""
        return LEAST_GRADE if self.usual else ANY_GRADE


@dataclass(frozen=True, slots=True)
class HeardPitches:
    """What was heard of every pitch, by MIDI number up to :data:`MOST_MIDI`, and of every set of candidates.

    Parameters
    ----------
    bits : ndarray of int32, shape (n,)
        Of candidates; 0 for other pitches.
    log_odds : ndarray, shape (n,)
        -inf for other pitches.
    faint : ndarray, shape (n,)
        For each pitch that does not sound, by how many nats the noise around it speaks for a stopped string that was
        touched.
    sums : ndarray
        Log-odds of every set of candidates.
    """

    bits: npt.NDArray[np.int32]
    log_odds: Floats
    faint: Floats
    sums: Floats


@dataclass(frozen=True, slots=True)
class Strokes:
    """Held shapes and what of them sounds, row by row.

    Parameters
    ----------
    held, sounded : ndarray of int8, shape (n, n_strings)
    masks : ndarray of int32, shape (n,)
        The sounding pitches as bits of the candidates.
    nats : ndarray, shape (n,)
        How usual that is: what the chord is against a major one, less the prices.
    """

    held: Frets
    sounded: Frets
    masks: npt.NDArray[np.int32]
    nats: Floats


def find_strokes_of_shapes(heard: HeardPitches, fretboard: Fretboard, *, prices: StrokePrices, least: float) -> Strokes:
    """Find the strokes of plain shapes of the book that explain the candidates well enough.

    Parameters
    ----------
    heard : HeardPitches
    fretboard : Fretboard
    prices : StrokePrices
    least : float
        Least sum of log-odds of what sounds, prices taken off.

    Returns
    -------
    Strokes
        Without strokes that sound a shape just as it is held.
    """
    held, usual = list_plain_shapes(fretboard, prices.least_grade)
    usual = prices.usual * usual
    opens = np.array([pitch.midi for pitch in fretboard.open_pitches])
    played = held >= 0
    sounding = np.where(played, held, 0) + opens
    odds = heard.log_odds[sounding]
    faint = prices.faint * np.where(held > 0, heard.faint[sounding], 0.0)
    bound = np.where(played, np.maximum(odds, faint), np.maximum(odds - prices.brushed, 0.0)).sum(axis=1)
    near = np.flatnonzero(bound + usual >= least)
    held, played, sounding, odds, faint = held[near], played[near], sounding[near], odds[near], faint[near]
    rows, patterns = _choose_patterns(played, np.isfinite(odds))
    silent, brushed = played[rows] & patterns, ~played[rows] & patterns
    sounds = played[rows] & ~patterns | brushed
    nats = usual[near[rows]] - _price(held[rows], silent, brushed, prices)
    nats += np.where(silent, faint[rows], 0.0).sum(axis=1)
    masks = np.bitwise_or.reduce(np.where(sounds, heard.bits[sounding[rows]], 0), axis=1).astype(np.int32)
    kept = np.flatnonzero((heard.sums[masks] + nats >= least) & (sounds.sum(axis=1) >= LEAST_STRINGS))
    sounded = np.where(sounds[kept], np.where(played[rows[kept]], held[rows[kept]], 0), -1).astype(np.int8)
    return Strokes(held[rows[kept]], sounded, masks[kept], nats[kept])


@cache
def list_plain_shapes(fretboard: Fretboard, least_grade: float) -> tuple[Frets, Floats]:
    """List the shapes of the book from a grade up, and how usual their chords are."""
    frets, grades = list_book_shapes(fretboard)
    frets = frets[grades >= least_grade]
    opens = np.array([pitch.midi for pitch in fretboard.open_pitches])
    return frets, np.array([USUAL_NATS.get(tones, UNUSUAL_NATS) for tones in find_tones(frets, opens)])


def find_tones(frets: Frets, opens: npt.NDArray[np.integer]) -> list[frozenset[int]]:
    """Find the tones of each shape over its lowest note."""
    pitches = np.where(frets >= 0, frets + opens, MOST_MIDI)
    lowest = pitches.min(axis=1, initial=MOST_MIDI)
    return [
        frozenset((pitch - low) % 12 for pitch in row if pitch < MOST_MIDI)
        for row, low in zip(pitches.tolist(), lowest.tolist(), strict=True)
    ]


def _choose_patterns(played: Mask, can_sound: Mask) -> tuple[npt.NDArray[np.intp], Mask]:
    """Pair each shape with every set of strings that do the other thing: silent where held, brushed where not.

    A held string that cannot sound must be silent, and an open one that cannot must stay so.
    """
    n_strings = played.shape[1]
    numbers = np.arange(1 << n_strings)
    powers = 1 << np.arange(n_strings)
    must = ((played & ~can_sound) * powers).sum(axis=1)
    may = ((played | can_sound) * powers).sum(axis=1)
    fits = ((numbers & must[:, None]) == must[:, None]) & ((numbers & ~may[:, None]) == 0) & (numbers > 0)
    rows, chosen = np.nonzero(fits)
    return rows, (numbers[chosen][:, None] & powers) > 0


def _price(held: Frets, silent: Mask, brushed: Mask, prices: StrokePrices) -> Floats:
    """Return what each stroke costs."""
    sounding = (held >= 0) & ~silent
    is_low, is_inner, is_high = (silent & side for side in find_silent(sounding))
    low, high, inner = is_low.sum(axis=1), is_high.sum(axis=1), is_inner.sum(axis=1)
    price: Floats = (
        np.where(low > 0, prices.low + prices.further * (low - 1), 0.0)
        + np.where(high > 0, prices.high + prices.further * (high - 1), 0.0)
        + np.where(inner > 0, prices.inner, 0.0)
        + prices.mixed * ((low > 0) * 1 + (high > 0) + (inner > 0) + brushed.any(axis=1) - 1).clip(min=0)
        + prices.open_inner * (is_inner & (held == 0)).sum(axis=1)
        + prices.brushed * brushed.sum(axis=1)
    )
    return price


def find_silent(sounding: Mask) -> tuple[Mask, Mask, Mask]:
    """Find the silent strings below all that sound, between two of them, and above all, each of the given shape."""
    below = np.cumsum(sounding, axis=1) == 0
    above = np.cumsum(sounding[:, ::-1], axis=1)[:, ::-1] == 0
    return below, ~sounding & ~below & ~above, above


def weigh_rise(rise_db: float | None) -> float:
    """Return by how many nats a rise speaks for a stopped string that was touched, against no string there.

    Examples
    --------
    >>> weigh_rise(None), weigh_rise(20.0) > 1.0, weigh_rise(1.0) < 0.0
    (0.0, True, True)
    """
    if rise_db is None:
        return 0.0
    noise = next((density for up_to, density in NOISE_RISES_DB if rise_db <= up_to), NOISE_RISES_DB[-1][1])
    inside = FAINTEST_DB <= rise_db <= LOUDEST_FAINT_DB
    touched = FAINT_SHARE / (LOUDEST_FAINT_DB - FAINTEST_DB) if inside else 0.0
    return math.log(touched / noise + 1.0 - FAINT_SHARE)
