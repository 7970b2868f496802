"""Whether a hand can play what was set, asked before any recording is heard."""

from __future__ import annotations

from listen.assessment.target import find_target, find_usual_shape
from listen.errors import ListenError
from listen.harmony import measure_shift
from listen.instrument import best_fingering
from listen.reading import ANYTHING, NO_CHORD, Assignment, SetChord
from listen.theory import transpose_chord


def check_playable(assignment: Assignment) -> None:
    """Say before any recording is read that something set cannot be played.

    Raises
    ------
    ListenError
        Nothing is set, or a chord that no hand can hold in this tuning, or a shape that no hand can, or that is another
        chord than its name says.
    """
    if not assignment.pattern and not any(bar.changes for bar in assignment.bars):
        raise ListenError("Nothing is set in these bars: write what is to be played, | C | G | for instance.")
    board = assignment.fretboard
    for chord in assignment.chords:
        if chord.symbol in {NO_CHORD, ANYTHING}:
            continue
        capo = f" with the capo at {board.capo_fret}" if board.capo_fret else ""
        where = f"in {board.tuning.name} tuning{capo}"
        if chord.shape is not None:
            if chord.shape.n_played == 0:
                raise ListenError(f"{chord.symbol} was set as {chord.shape.text}, which sounds no string.")
            if not best_fingering(chord.shape, board).playable:
                raise ListenError(
                    f"{chord.symbol} was set as {chord.shape.text}, which no hand can hold {where}: look at its frets."
                )
            _check_name(chord, assignment)
        elif chord.chord is not None:
            strings = assignment.expectation_of(chord).strings
            sounding = transpose_chord(chord.chord, measure_shift(board) % 12)
            if find_usual_shape(sounding, board, strings) is None:
                on = f" on strings {', '.join(map(str, strings))}" if strings else ""
                raise ListenError(f"{chord.symbol} was set, but no hand can hold it{on} {where}.")


def _check_name(chord: SetChord, assignment: Assignment) -> None:
    """Refuse a shape that holds notes which are not in its name."""
    if chord.chord is None or chord.shape is None:
        return
    target = find_target(chord, assignment)
    board = assignment.fretboard
    foreign = [
        pitch.name
        for pitch in chord.shape.pitches(board)
        if pitch is not None and pitch.pitch_class not in target.classes
    ]
    if foreign:
        raise ListenError(
            f"{chord.symbol} was set as {chord.shape.text}, which sounds {' and '.join(foreign)}, no tone of it; put "
            "the frets or the name right."
        )
