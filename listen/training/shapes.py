"""Which shapes are strummed: from a chord book, the same pitches held elsewhere, and whatever a hand could hold.

Conventions: frets are int8, shape (n, 6), heaviest string first, −1 not played; standard tuning.
"""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import torch

from listen.instrument import NOMINAL_MIDI
from listen.training.draws import Draws
from listen.training.settings import SceneSettings

Frets = np.ndarray[Any, np.dtype[np.int8]]

TOP_FRET = 19
REACH_FRETS = 4  # from the lowest to the highest stopped fret, both counted: what a hand holds without a stretch
FINGERS = 4


@cache
def load_book(path: Path) -> Frets:
    """Read the shapes of a chord book in the open data's form (`chords`: key → suffixes → positions)."""
    book = json.loads(path.read_text())
    frets = [
        [fret if fret <= 0 else fret + position["baseFret"] - 1 for fret in position["frets"]]
        for suffixes in book["chords"].values()
        for chord in suffixes
        for position in chord["positions"]
    ]
    return np.asarray([row for row in frets if max(row) <= TOP_FRET], np.int8)


def is_playable(frets: tuple[int, ...]) -> bool:
    """Say whether a hand can hold the frets: one reach, four fingers, a barre only where nothing under it is open."""
    stopped = [fret for fret in frets if fret > 0]
    if not stopped:
        return True
    low, high = min(stopped), max(stopped)
    if high - low + 1 > REACH_FRETS:
        return False
    at_low = [index for index, fret in enumerate(frets) if fret == low]
    barred = all(frets[index] != 0 for index in range(at_low[0], at_low[-1] + 1))
    fingers = len(stopped) - (len(at_low) - 1 if barred else 0)
    return fingers <= FINGERS


def find_refingerings(frets: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Return every playable shape with the very same pitches, the given one among them.

    Examples
    --------
    >>> (-1, 3, 2, 0, 1, 0) in find_refingerings((8, 7, 5, 5, 5, -1))
    True
    """
    pitches = Counter(NOMINAL_MIDI[index] + fret for index, fret in enumerate(frets) if fret >= 0)
    return [way for way in _place_pitches((), pitches) if is_playable(way)]


def _place_pitches(placed: tuple[int, ...], left: Counter[int]) -> list[tuple[int, ...]]:
    """Return every way to place the pitches that are left on the strings that are left."""
    string, n_left = len(placed), left.total()
    if string == len(NOMINAL_MIDI):
        return [placed] if n_left == 0 else []
    ways = _place_pitches((*placed, -1), left) if n_left < len(NOMINAL_MIDI) - string else []
    stopped = [fret for fret in placed if fret > 0]
    for pitch in [pitch for pitch, count in left.items() if count > 0]:
        fret = pitch - NOMINAL_MIDI[string]
        reach = max([fret, *stopped]) - min([fret, *stopped]) if fret > 0 else 0
        if 0 <= fret <= TOP_FRET and reach < REACH_FRETS:
            ways += _place_pitches((*placed, fret), left - Counter((pitch,)))
    return ways


@dataclass(frozen=True, slots=True)
class ShapeTables:
    """Shapes to draw from, on the training device.

    Parameters
    ----------
    book : Tensor, shape (n, 6)
    places : Tensor, shape (m, 6)
        Every playable way to hold each pitch set of the book.
    first, count : Tensor, shape (n,)
        Where each pitch set's ways begin in `places`, and how many there are.
    """

    book: torch.Tensor
    places: torch.Tensor
    first: torch.Tensor
    count: torch.Tensor


def make_shape_tables(book: Frets, device: str) -> ShapeTables:
    """Find every way to hold the book's pitch sets (a few seconds)."""
    by_pitches: dict[tuple[int, ...], list[tuple[int, ...]]] = {}
    for row in book:
        frets = tuple(int(fret) for fret in row)
        pitches = tuple(sorted(NOMINAL_MIDI[i] + fret for i, fret in enumerate(frets) if fret >= 0))
        if pitches not in by_pitches:
            by_pitches[pitches] = find_refingerings(frets) or [frets]
    places: list[tuple[int, ...]] = []
    first: list[int] = []
    count: list[int] = []
    for ways in by_pitches.values():
        first.append(len(places))
        count.append(len(ways))
        places += ways
    return ShapeTables(
        *(torch.tensor(np.asarray(table), device=device, dtype=torch.long) for table in (book, places, first, count))
    )


@dataclass(frozen=True, slots=True)
class Played:
    """Frets of a batch and how they were come by.

    Parameters
    ----------
    frets : Tensor of int, shape (B, 6)
        −1 not played.
    from_book : Tensor of bool, shape (B,)
    """

    frets: torch.Tensor
    from_book: torch.Tensor


def draw_shapes(tables: ShapeTables, n: int, draws: Draws, *, scene: SceneSettings) -> Played:
    """Draw what is held: book, refingered, power chords, one or two notes, or any shape a hand could hold."""
    kind = draws.uniform(n, 1)
    edges = np.cumsum([scene.book, scene.refingered, scene.power, scene.few])
    book = tables.book[draws.integers(n, low=0, high=len(tables.book))]
    which = draws.integers(n, low=0, high=len(tables.first))
    place = tables.first[which] + (draws.uniform(n) * tables.count[which]).long()
    frets = _draw_random_shapes(n, draws)
    frets = torch.where(kind < edges[3], _draw_few_notes(n, draws), frets)
    frets = torch.where(kind < edges[2], _draw_power_chords(n, draws), frets)
    frets = torch.where(kind < edges[1], _slide(tables.places[place], draws), frets)
    frets = torch.where(kind < edges[0], _slide(book, draws), frets)
    return Played(_leave_out_strings(frets, draws), kind[:, 0] < edges[0])


def _slide(frets: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Move a share of shapes along the neck; those with open strings as a capo would."""
    n = len(frets)
    has_open = (frets == 0).any(1)
    lowest = torch.where(frets > 0, frets, 99).amin(1)
    down, up = -(lowest - 1), (15 - frets.amax(1)).clamp(min=0)
    shift = torch.floor(down + (up - down + 1) * draws.uniform(n)).long()
    shift = torch.where(has_open, draws.integers(n, low=1, high=6) * draws.chance(n, share=0.2), shift)
    shift = torch.where(draws.chance(n, share=0.35), shift, torch.zeros_like(shift))
    return torch.where(frets >= 0, frets + shift[:, None], frets)


def _draw_random_shapes(n: int, draws: Draws) -> torch.Tensor:
    """Draw frets within one reach, some strings open, some silent."""
    frets = draws.integers(n, 1, low=1, high=15) + draws.integers(n, 6, low=0, high=REACH_FRETS)
    frets = torch.where(draws.uniform(n, 6) < 0.4 * draws.uniform(n, 1), 0, frets)
    return torch.where(draws.uniform(n, 6) < 0.5 * draws.uniform(n, 1), -1, frets)


def _draw_few_notes(n: int, draws: Draws) -> torch.Tensor:
    """Draw single notes and double stops, high up the neck too."""
    string = torch.arange(6, device=draws.device)[None]
    first = draws.integers(n, 1, low=0, high=6)
    other = (first + draws.integers(n, 1, low=1, high=4)).clamp(max=5)
    second = torch.where(draws.chance(n, 1, share=0.4), first, other)
    frets = draws.integers(n, 1, low=0, high=19) + draws.integers(n, 6, low=0, high=4)
    return torch.where((string == first) | (string == second), frets, -1)


def _draw_power_chords(n: int, draws: Draws) -> torch.Tensor:
    """Draw root and fifth, mostly with the octave, sometimes the fourth below; on any strings that reach them."""
    open_midi = torch.tensor(NOMINAL_MIDI, device=draws.device)[None].expand(n, 6)
    string = torch.arange(6, device=draws.device)[None]
    root_string = draws.integers(n, 1, low=0, high=4)
    root = open_midi.gather(1, root_string) + draws.integers(n, 1, low=0, high=13)
    second = torch.where(draws.chance(n, 1, share=0.85), root + 7, root - 5)
    octave = draws.chance(n, 1, share=0.6)
    frets = torch.where(string == root_string, root - open_midi, -1)
    frets = torch.where(string == root_string + 1, second - open_midi, frets)
    frets = torch.where((string == root_string + 2) & octave, root + 12 - open_midi, frets)
    return torch.where((frets < 0) | (frets > TOP_FRET), -1, frets)


def _leave_out_strings(frets: torch.Tensor, draws: Draws) -> torch.Tensor:
    """Strum only a run of strings, or miss single ones; never miss all."""
    n = len(frets)
    string = torch.arange(6, device=draws.device)[None]
    width = draws.integers(n, 1, low=2, high=6)
    start = torch.floor(draws.uniform(n, 1) * (7 - width)).long()
    outside = (string < start) | (string >= start + width)
    fewer = torch.where(draws.chance(n, 1, share=0.15) & outside, -1, frets)
    fewer = torch.where(draws.chance(n, 1, share=0.1) & draws.chance(n, 6, share=0.3), -1, fewer)
    frets = torch.where((fewer >= 0).any(1, keepdim=True), fewer, frets)
    empty = ~(frets >= 0).any(1, keepdim=True)
    lone = torch.where(string == draws.integers(n, 1, low=0, high=6), draws.integers(n, 1, low=0, high=13), -1)
    frets = torch.where(empty, lone, frets)
    return torch.where(frets > TOP_FRET + 2, frets - 12, frets)
