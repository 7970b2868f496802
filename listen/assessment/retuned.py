"""A string that is tuned to another note than was set, told by all its notes or by the lowest ones."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.assessment.heard import HeardMatrix
from listen.assessment.judge_chords import Doubted, find_sure_pitches
from listen.assessment.slots import PlayedSlot
from listen.assessment.target import Target
from listen.instrument import Fretboard
from listen.reading import OffPitch, TurnPeg
from listen.theory import Pitch

FEWEST_PLACES = 2  # one wrong note is a finger
MOST_SEMITONES = 2  # a string tuned as in another tuning: drop D forgotten is a tone; judged


def find_retuned_string(
    basses: Sequence[tuple[PlayedSlot, Doubted | None]], board: Fretboard, least: float
) -> Doubted | None:
    """Find the one string that makes all wrong basses, by the same interval wherever it is the lowest.

    Parameters
    ----------
    basses : sequence of (PlayedSlot, Doubted or None)
        Every chord whose lowest note is judged, with what was doubted of it.
    board : Fretboard
    least : float
        The probability from which a bass is wrong.

    Returns
    -------
    Doubted or None
        Said of the string instead of its basses; None where they have another reason.
    """
    wrong = [(one, doubt) for one, doubt in basses if doubt is not None and doubt.finding.probability >= least]
    places = {_lowest_place(one.target) for one, _ in wrong}
    strings = {index for index, _ in places}
    offs = {_interval(doubt) for _, doubt in wrong}
    if len(wrong) < FEWEST_PLACES or None in strings or len(strings) != 1 or len(offs) != 1:
        return None
    (index,), (off,) = strings, offs
    judged = [one for one, _ in basses if _lowest_place(one.target)[0] == index and one.sounds]
    is_open = (index, 0) in places or len(places) > 1  # a finger that is off in one chord is no tuning
    if index is None or not 0 < abs(off) <= MOST_SEMITONES or not is_open or len(judged) > len(wrong):
        return None
    return _say_retuned([doubt for _, doubt in wrong], index, off, board)


def find_retuned_by_notes(
    noted: Sequence[tuple[PlayedSlot, Sequence[Doubted]]], heard: HeardMatrix, board: Fretboard, least: float
) -> tuple[Doubted, tuple[Doubted, ...]] | None:
    """Find the one string that sounds another note wherever every note matters, by the same interval.

    Parameters
    ----------
    noted : sequence of (PlayedSlot, sequence of Doubted)
        Every chord whose notes are judged, with what was doubted of its notes or of its name.
    heard : HeardMatrix
    board : Fretboard
    least : float
        The probability from which a note is wrong.

    Returns
    -------
    tuple of Doubted and tuple of Doubted, or None
        What is said of the string, and the doubts that it explains.
    """
    for index in range(board.n_strings):
        due = [(one, doubts) for one, doubts in noted if _is_told(one.target, index, board)]
        offs = [_find_offs(one, index, heard, board) for one, _ in due]
        shared = set.intersection(*offs) if offs else set()
        frets = {one.target.shape.frets[index] for one, _ in due if one.target.shape is not None}
        wrong = [doubt for _, doubts in due for doubt in doubts if _is_explained(doubt, board.n_strings - index)]
        n_wrong = sum(doubt.finding.probability >= least for doubt in wrong)
        if len(shared) == 1 and n_wrong >= FEWEST_PLACES and (0 in frets or len(frets) > 1):
            return _say_retuned(wrong, index, shared.pop(), board), tuple(wrong)
    return None


def _is_told(target: Target, index: int, board: Fretboard) -> bool:
    """Whether a string sounds a note in a shape that no other string sounds."""
    pitches = target.shape.pitches(board) if target.shape is not None else ()
    return bool(pitches) and pitches[index] is not None and pitches.count(pitches[index]) == 1


def _find_offs(one: PlayedSlot, index: int, heard: HeardMatrix, board: Fretboard) -> set[int]:
    """Return by which intervals a string may be off: the note is there and the one that was set is not."""
    wanted = one.target.shape.pitches(board)[index] if one.target.shape is not None else None
    sure = find_sure_pitches(heard, one)
    if wanted is None or wanted.midi in sure:
        return set()
    return {off for off in range(-MOST_SEMITONES, MOST_SEMITONES + 1) if off and wanted.midi + off in sure}


def _is_explained(doubt: Doubted, string: int) -> bool:
    return doubt.finding.string == string or doubt.finding.kind == "chord"


def _say_retuned(wrong: Sequence[Doubted], index: int, off: int, board: Fretboard) -> Doubted:
    string, note = board.n_strings - index, board.tuning.open_strings[index].name[:-1]
    surest = max(wrong, key=lambda doubt: doubt.finding.probability)
    finding = replace(
        wrong[0].finding, kind="out of tune", expected="", heard="", probability=surest.finding.probability,
        string=string, measure=OffPitch(100 * abs(off), is_sharp=off > 0), hint=TurnPeg(string, off < 0, note),
    )  # fmt: skip
    return Doubted(finding, surest.doubt)


def _lowest_place(target: Target) -> tuple[int | None, int]:
    """Return the string, as an index, and the fret of the lowest note that was set."""
    frets = target.shape.frets if target.shape is not None else ()
    return next(((index, fret) for index, fret in enumerate(frets) if fret is not None), (None, 0))


def _interval(doubt: Doubted) -> int:
    """Return by how many semitones the note that was heard lies above the one that was set, the nearest way."""
    wanted, heard = (Pitch.parse(f"{name}3").midi for name in (doubt.finding.expected, doubt.finding.heard))
    return (heard - wanted + 6) % 12 - 6
