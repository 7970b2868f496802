"""How plainly sets of pitches are named over each of their pitch classes."""

from __future__ import annotations

from collections.abc import Sequence

from listen.harmony import measure_plainness


def weigh_over_basses(sets: Sequence[tuple[int, ...]]) -> list[dict[int, float]]:
    """Weigh how plainly each set is named over each of its pitch classes, whichever is lowest.

    Parameters
    ----------
    sets : sequence of tuple of int
        MIDI numbers, low to high.

    Returns
    -------
    list of dict of int to float
        Points by pitch class, fewer for plainer names; that of the set's own bass first.

    Examples
    --------
    >>> over = weigh_over_basses([(47, 50, 55)])[0]  # G over B
    >>> list(over), min(over, key=over.get)
    ([11, 2, 7], 7)
    """
    turns = [
        {bass: tuple(sorted((midi - bass) % 12 for midi in midis)) for bass in [midi % 12 for midi in midis]}
        for midis in sets
    ]
    kinds = list(dict.fromkeys(turn for row in turns for turn in row.values()))
    points = dict(zip(kinds, measure_plainness(kinds), strict=True))
    return [{bass: points[turn] for bass, turn in row.items()} for row in turns]
