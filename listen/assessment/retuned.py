"""A string that is tuned to another note than was set, told by the lowest notes that it sounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.assessment.judge_chords import Doubted
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
    string, note = board.n_strings - index, board.tuning.open_strings[index].name[:-1]
    surest = max((doubt for _, doubt in wrong), key=lambda doubt: doubt.finding.probability)
    finding = replace(
        wrong[0][1].finding, kind="out of tune", expected="", heard="", probability=surest.finding.probability,
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
