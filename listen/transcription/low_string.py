"""A note that no string has: one below the lowest is asked about, and a chord that has one is told without a shape."""

from __future__ import annotations

from collections.abc import Sequence

from listen.evidence import Stretch, StrumEvidence
from listen.instrument import STANDARD, Fretboard
from listen.reading import StrumReading, clock_text
from listen.theory import Pitch
from listen.transcription.setup import TUNING_PRIORS

SURE_NATS = 3.0  # log-odds of a pitch below the lowest string that is asked about; judged
LEAST_TIMES = 2  # one stroke may be a knock, or a chair; six takes with 338 strokes have no such note at all


def ask_about_low_string(stretches: Sequence[Stretch], fretboard: Fretboard) -> str | None:
    """Ask which tuning it is where a note sounds, more than once, that lies below the lowest string.

    Parameters
    ----------
    stretches : sequence of Stretch
    fretboard : Fretboard
        What the part is read on.

    Returns
    -------
    str or None
        A sentence.
    """
    lowest = min(fretboard.open_pitches)
    below = [
        (min(stretch.sounding), stretch.span.start_s)
        for stretch in stretches
        if stretch.sounding
        and min(stretch.sounding) < lowest.midi
        and stretch.log_odds[min(stretch.sounding)] >= SURE_NATS
    ]
    if len(below) < LEAST_TIMES:
        return None
    notes = [midi for midi, _ in below]
    midi = max(set(notes), key=lambda one: (notes.count(one), -one))
    at_s = next(start_s for note, start_s in below if note == midi)
    return _ask(midi, f", first at {clock_text(at_s)}", fretboard)


def ask_about_low_note(evidence: StrumEvidence, fretboard: Fretboard) -> str | None:
    """Ask the same where the lowest note of one strum lies so low.

    Parameters
    ----------
    evidence : StrumEvidence
    fretboard : Fretboard
        What the strum is read on.

    Returns
    -------
    str or None
        A sentence.
    """
    sounding = [heard.pitch for heard in evidence.pitches if heard.log_odds >= SURE_NATS]
    if evidence.no_chord_reason or not sounding or min(sounding) >= min(fretboard.open_pitches):
        return None
    return _ask(min(sounding).midi, "", fretboard)


def say_no_shape(reading: StrumReading) -> str:
    """Say why a chord that was read has no shape: a note that no string has, or too many for one hand.

    Parameters
    ----------
    reading : StrumReading
        With notes and without shapes.

    Returns
    -------
    str
        A sentence.
    """
    board, beyond = reading.fretboard, reading.out_of_reach
    if not beyond:
        why = "More than one hand can hold"
    elif min(beyond) < min(board.open_pitches):
        why = f"{min(beyond).name} {_place_below(board)}"
    else:
        why = f"{max(beyond).name} lies above the last fret of the neck"
    return f"{why}: notes and name without a shape."


def _place_below(fretboard: Fretboard) -> str:
    return f"lies below the lowest string, {min(fretboard.open_pitches).name}"


def _ask(midi: int, when: str, fretboard: Fretboard) -> str:
    known = _find_tuning(midi - fretboard.capo_fret)
    asked = f"is the tuning {known}" if known else "is a string tuned down"
    told = "the tuning, or another capo" if fretboard.capo_fret else "the tuning"
    question = f"{Pitch(midi).name} sounds{when}, and {_place_below(fretboard)}: {asked}?"
    return f"{question} Then give {told}. Or does a bass guitar play along?"


def _find_tuning(lowest_midi: int) -> str | None:
    """Find the commonest tuning whose lowest string sounds a note."""
    found = [
        (prior, name)
        for name, (shifts, prior) in TUNING_PRIORS.items()
        if STANDARD.open_strings[0].midi + shifts[0] == lowest_midi
    ]
    return max(found)[1] if found else None
