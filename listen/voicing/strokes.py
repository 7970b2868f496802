"""What strokes make of a held shape: strings that do not sound, and open strings beside it that do.

The hand holds a shape of the book; the stroke reaches some of its strings, and of these some sound. So each shape of
the book stands for many sounding ones, each with a price in nats: a string left out at an end of the shape is cheap,
one in the middle of it dear, two dearer than twice one, and an open string that the hand does not hold may be brushed.
What sounds without any book is weighed as it is played (:mod:`listen.voicing.hypotheses`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from listen.instrument import Fretboard
from listen.voicing.book import list_book_shapes

Floats = npt.NDArray[np.float64]
Frets = npt.NDArray[np.int8]

MOST_HELD = 1_500  # shapes of the book whose strokes are looked at, best bound first: ten times what is ever needed
LEAST_STRINGS = 2
MOST_MIDI = 200
FAINT_SHARE = 0.6
"""Of the strings that are held and do not sound: so many are there faintly."""
FAINTEST_DB, LOUDEST_FAINT_DB = 4.0, 40.0  # how far such a string stands out, anything between alike
NOISE_RISES_DB = (
    (2.0, 0.10),
    (4.0, 0.10),
    (6.0, 0.10),
    (8.0, 0.05),
    (10.0, 0.03),
    (15.0, 0.01),
    (20.0, 0.004),
    (60.0, 0.002),
)
"""Density a decibel of what stands out, up to so many decibels, where nothing is held: counted on 5,555 pitches outside
the chord (and no open string's) in 339 recorded open chords."""


@dataclass(frozen=True, slots=True)
class StrokePrices:
    """What it costs, in nats, that a stroke does not sound a held shape as it stands.

    Parameters
    ----------
    low, high : float
        For the outermost string on the bass side, on the treble side.
    further : float
        For each further string on that side.
    inner : float
        For a string between two that sound.
    second_inner : float
        For each further one.
    open_inner : float
        More, for an open one: no finger presses it badly.
    brushed : float
        For an open string that is not held and sounds.
    """

    low: float = 3.0
    high: float = 3.0
    further: float = 2.0
    inner: float = 3.5
    second_inner: float = 4.0
    open_inner: float = 1.0
    brushed: float = 4.0


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
    prices : ndarray, shape (n,)
        In nats, more than 0.
    """

    held: Frets
    sounded: Frets
    masks: npt.NDArray[np.int32]
    prices: Floats


def find_strokes_of_shapes(heard: HeardPitches, fretboard: Fretboard, *, prices: StrokePrices, least: float) -> Strokes:
    """Find the strokes of every shape of the book that explain the candidates well enough.

    Parameters
    ----------
    heard : HeardPitches
    fretboard : Fretboard
    prices : StrokePrices
    least : float
        Least sum of log-odds less prices; the upper bound of a shape's other parts is already taken off.

    Returns
    -------
    Strokes
        Without strokes that sound a shape just as it is held.
    """
    held, _ = list_book_shapes(fretboard)
    opens = np.array([pitch.midi for pitch in fretboard.open_pitches])
    played = held >= 0
    sounding = np.where(played, held, 0) + opens
    odds = heard.log_odds[sounding]
    faint = np.where(held > 0, heard.faint[sounding], 0.0)
    cheapest = min(prices.low, prices.high, prices.further, prices.inner)
    bound = np.where(played, np.maximum(odds, faint - cheapest), np.maximum(odds - prices.brushed, 0.0)).sum(axis=1)
    near = np.flatnonzero(bound >= least)
    near = near[np.argsort(-bound[near], kind="stable")[:MOST_HELD]]
    held, played, sounding, odds, faint = held[near], played[near], sounding[near], odds[near], faint[near]
    rows, patterns = _choose_patterns(played, np.isfinite(odds))
    silent, brushed = played[rows] & patterns, ~played[rows] & patterns
    sounds = played[rows] & ~patterns | brushed
    price = _price(held[rows], silent, brushed, prices) - np.where(silent, faint[rows], 0.0).sum(axis=1)
    masks = np.bitwise_or.reduce(np.where(sounds, heard.bits[sounding[rows]], 0), axis=1).astype(np.int32)
    total = heard.sums[masks] - price
    kept = np.flatnonzero((total >= least) & (sounds.sum(axis=1) >= LEAST_STRINGS))
    sounded = np.where(sounds[kept], np.where(played[rows[kept]], held[rows[kept]], 0), -1).astype(np.int8)
    return Strokes(held[rows[kept]], sounded, masks[kept], price[kept])


def _choose_patterns(
    played: npt.NDArray[np.bool_], can_sound: npt.NDArray[np.bool_]
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.bool_]]:
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


def _price(held: Frets, silent: npt.NDArray[np.bool_], brushed: npt.NDArray[np.bool_], prices: StrokePrices) -> Floats:
    """Return what each stroke costs."""
    sounding = (held >= 0) & ~silent
    is_low = silent & (np.cumsum(sounding, axis=1) == 0)
    is_high = silent & (np.cumsum(sounding[:, ::-1], axis=1)[:, ::-1] == 0)
    is_inner = silent & ~is_low & ~is_high
    low, high, inner = is_low.sum(axis=1), is_high.sum(axis=1), is_inner.sum(axis=1)
    price: Floats = (
        np.where(low > 0, prices.low + prices.further * (low - 1), 0.0)
        + np.where(high > 0, prices.high + prices.further * (high - 1), 0.0)
        + np.where(inner > 0, prices.inner + prices.second_inner * (inner - 1), 0.0)
        + prices.open_inner * (is_inner & (held == 0)).sum(axis=1)
        + prices.brushed * brushed.sum(axis=1)
    )
    return price


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
