"""The keys of a part: from the chords held in each of its bars, or as a person told the key."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from listen.reading import KeyChange, PartKey
from listen.theory import Chord, Key, KeyReading, find_key_path, rank_keys
from listen.transcription.grid import Grid
from listen.transcription.held_chords import HeldChord
from listen.transcription.part_settings import PartSettings

SURE_KEY = 0.4  # a key less probable than that does not spell the chords
MOST_KEYS = 5  # that are listed
PHRASE_BARS = 4  # from bar 1 on (common practice, no source)
EARLY_BEATS = 0.6  # a chord that begins so near before a bar line is the next bar's
LEAST_SHARE = 0.05  # of a bar: what is held for less is no chord of it


@dataclass(frozen=True, slots=True)
class FoundKeys:
    """The keys of a part.

    Parameters
    ----------
    keys : tuple of PartKey
        Of the key in which it begins, best first; empty where nothing was named.
    changes : tuple of KeyChange
    grid : Grid or None
        The bars of the changes.
    """

    keys: tuple[PartKey, ...] = ()
    changes: tuple[KeyChange, ...] = ()
    grid: Grid | None = None

    def key_of(self, chord: HeldChord) -> Key | None:
        """Return the key that spells a chord; None where none is sure enough."""
        bar = None if self.grid is None else self.grid.first_bar + _find_bar(self.grid, chord.span.start_s)
        holding = [change.key for change in self.changes if bar is not None and change.bar <= bar]
        key = holding[-1] if holding else self.keys[0] if self.keys else None
        return Key(key.tonic, key.mode) if key is not None and key.probability >= SURE_KEY else None


def find_keys(named: Sequence[tuple[HeldChord, Chord]], grid: Grid | None, settings: PartSettings) -> FoundKeys:
    """Find the keys of a part; in free time there is one.

    Parameters
    ----------
    named : sequence of (HeldChord, Chord)
        The held chords that have a name, in time order.
    grid : Grid or None
    settings : PartSettings
        A key that was told is that of the whole part.
    """
    if settings.key is not None:
        return FoundKeys((PartKey(settings.key.tonic, settings.key.mode, 1.0),))
    if not named:
        return FoundKeys()
    if grid is not None:
        phrases = [at for at in range(len(grid.bars_s) - 1) if (grid.first_bar + at - 1) % PHRASE_BARS == 0]
        first, *others = find_key_path(_lay_in_bars(named, grid), phrases=phrases)
        if others:
            changes = [KeyChange(grid.first_bar + one.first, _to_part_keys(one.keys)[0]) for one in others]
            return FoundKeys(_to_part_keys(first.keys), tuple(changes), grid)
    ranked = rank_keys(chords=[(chord, held.span.end_s - held.span.start_s) for held, chord in named])
    return FoundKeys(_to_part_keys(ranked))


def _to_part_keys(keys: Sequence[KeyReading]) -> tuple[PartKey, ...]:
    return tuple(PartKey(one.key.tonic, one.key.mode, one.probability) for one in keys[:MOST_KEYS])


def _lay_in_bars(named: Sequence[tuple[HeldChord, Chord]], grid: Grid) -> list[list[tuple[Chord, float]]]:
    """Return the chords of each bar with their shares of it; one that comes early belongs to the next bar."""
    bars: list[list[tuple[Chord, float]]] = [[] for _ in grid.bars_s[1:]]
    for held, chord in named:
        first, end_s = _find_bar(grid, held.span.start_s), held.span.end_s
        for at in range(first, len(bars)):
            line_s, next_s = grid.bars_s[at : at + 2]
            share = (min(end_s, next_s) - max(held.span.start_s, line_s)) / (next_s - line_s)
            if share >= LEAST_SHARE:
                bars[at].append((chord, share))
            if end_s <= next_s:
                break
    return bars


def _find_bar(grid: Grid, time_s: float) -> int:
    """Return the index of the bar that a chord is meant for."""
    last = len(grid.bars_s) - 2
    at = min(max(bisect_right(grid.bars_s, time_s) - 1, 0), last)
    beat_s = (grid.bars_s[at + 1] - grid.bars_s[at]) / grid.metres[0].beats_per_bar
    is_early = grid.bars_s[at + 1] - time_s < EARLY_BEATS * beat_s
    return min(at + is_early, last)
