"""What one finger would make right: the shape that was set against the notes that were heard."""

from __future__ import annotations

from listen.assessment.target import Target
from listen.instrument import Fretboard, Shape, best_fingering
from listen.reading import MoveFinger

FARTHEST = 3  # frets: a finger that is farther off was not meant to be there


def find_moved_finger(target: Target, sounding: frozenset[int], board: Fretboard) -> MoveFinger | None:
    """Find which finger is off, where moving one makes the notes that were heard.

    Parameters
    ----------
    target : Target
    sounding : frozenset of int
        MIDI numbers that were heard, in the setting that was set.
    board : Fretboard

    Examples
    --------
    >>> from listen.assessment.target import find_target
    >>> from listen.document import parse_chords
    >>> chart = parse_chords("C")
    >>> c7 = Shape((None, 3, 2, 3, 1, 0))
    >>> heard = frozenset(pitch.midi for pitch in c7.pitches(chart.fretboard) if pitch is not None)
    >>> find_moved_finger(find_target(chart.chords[0], chart), heard, chart.fretboard)
    MoveFinger(string=3, fret=3, set_fret=0, finger=0)
    """
    if target.shape is None or not sounding:
        return None
    found = []
    for index, fret in enumerate(target.shape.frets):
        if fret is None:
            continue
        for other in range(max(0, fret - FARTHEST), fret + FARTHEST + 1):
            if other == fret or other > board.top_fret:
                continue
            frets = list(target.shape.frets)
            frets[index] = other
            moved = {pitch.midi for pitch in Shape(tuple(frets)).pitches(board) if pitch is not None}
            if moved == sounding:
                found.append((abs(other - fret), index, fret, other))
    if not found:
        return None
    _, index, fret, other = min(found)
    finger = best_fingering(target.shape, board).fingers[index]
    return MoveFinger(board.n_strings - index, other, fret, finger)
