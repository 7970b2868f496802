"""A chord is held through a stroke that could not be read, where the same chord stands on both sides of it.

A lead, a voice or a drum may cover one stroke of a bar; the hand does not leave its chord for it. What could not be
read for longer may be anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.transcription.chord_readings import ReadChord

MOST_UNREAD = 2  # strokes; judged
NEXT_S = 0.05  # nothing lies between two chords that follow each other so soon


def hold_through_unread(chords: Sequence[ReadChord]) -> tuple[ReadChord, ...]:
    """Let chords go on through strokes that could not be read.

    Parameters
    ----------
    chords : sequence of ReadChord
        In time order.

    Returns
    -------
    tuple of ReadChord
        The strokes between belong to the chord before, and what is held after them as well where it is the same.
    """
    held: list[ReadChord] = []
    for place, chord in enumerate(chords):
        is_joined = bool(held) and (
            _is_covered(held[-1], *chords[place : place + 2]) or _goes_on(held[-1], chord, chords[place - 1])
        )
        if is_joined:
            stretches = (*held[-1].held.stretches, *chord.held.stretches)
            held[-1] = replace(held[-1], held=replace(held[-1].held, stretches=stretches))
        else:
            held.append(chord)
    return tuple(held)


def _is_covered(before: ReadChord, chord: ReadChord, after: ReadChord | None = None) -> bool:
    return (
        after is not None
        and chord.event_kind == "unread"
        and len(chord.held.strokes) <= MOST_UNREAD
        and bool(before.reading.names and after.reading.names)
        and before.reading.names[0].chord == after.reading.names[0].chord
        and _follows(before, chord)
        and _follows(chord, after)
    )


def _goes_on(before: ReadChord, chord: ReadChord, between: ReadChord) -> bool:
    """Tell whether a chord is the one that was held through what could not be read just before it."""
    was_covered = between.held.stretches[-1] is before.held.stretches[-1] and between.event_kind == "unread"
    return was_covered and before.held.pitches == chord.held.pitches


def _follows(chord: ReadChord, following: ReadChord) -> bool:
    return following.held.span.start_s - chord.held.span.end_s < NEXT_S
