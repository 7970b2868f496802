"""What one finger would make right: the shape that was set against the notes that were heard."""

from __future__ import annotations

from listen.assessment.target import Target
from listen.instrument import Fretboard, Shape, best_fingering

FARTHEST = 3  # frets: a finger that is farther off was not meant to be there


def hint_for(target: Target, sounding: frozenset[int], board: Fretboard) -> str:
    """Say which finger is off, where moving one makes the notes that were heard; else nothing.

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
    >>> hint_for(find_target(chart.chords[0], chart), heard, chart.fretboard)
    'String 3 is stopped at fret 3; it should be open.'
    """
    if target.shape is None or not sounding:
        return ""
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
        return ""
    _, index, fret, other = min(found)
    string = board.n_strings - index
    finger = best_fingering(target.shape, board).fingers[index]
    if fret == 0:
        return f"String {string} is stopped at fret {other}; it should be open."
    names = {1: "index finger", 2: "middle finger", 3: "ring finger", 4: "little finger", "T": "thumb"}
    who = f"the {names[finger]}" if finger in names else "a finger"
    if other == 0:
        return f"String {string} is open; {who} belongs at its fret {fret}."
    off = abs(other - fret)
    way = "too high" if other > fret else "too low"
    return f"On string {string} {who} is {off} fret{'' if off == 1 else 's'} {way}: fret {fret} is right."
