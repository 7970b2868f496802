"""Strings that are not tuned as far apart as the others, where a form changes its look."""

from __future__ import annotations

from collections.abc import Sequence

from listen.instrument import Fretboard
from listen.voicing import ShapeGroup


def strings_of(group: ShapeGroup) -> tuple[int, ...]:
    """Return the numbers of the strings that a group's first shape sounds, the thickest first."""
    frets = group.voicings[0].shape.frets
    return tuple(len(frets) - index for index, fret in enumerate(frets) if fret is not None)


def explain_uneven(board: Fretboard, strings: Sequence[int]) -> str:
    """Say where a step between strings differs from the usual one, because a form changes its look there."""
    opened = board.open_pitches
    steps = {number: opened[-number].midi - opened[-number - 1].midi for number in range(1, board.n_strings)}
    usual = max(set(steps.values()), key=list(steps.values()).count)
    odd = next((number for number in strings[1:] if steps[number] != usual), None)
    if odd is None:
        return ""
    moved = usual - steps[odd]
    frets = f"{abs(moved)} fret{'s' if abs(moved) > 1 else ''} {'up' if moved > 0 else 'down'}"
    return f": string {odd} is tuned {abs(steps[odd])} half steps above string {odd + 1}, so a form moves {frets} there"
