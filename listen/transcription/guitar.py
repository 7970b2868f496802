"""Learn a guitar from a recording of its open strings, one after another, and better of their octaves at fret 12 too.

The strings may come in any order. Each note that is struck (:mod:`listen.transcription.single_notes`) is matched to a
string by its pitch.

Conventions: strings in the order of the tuning; a string is called by its number, the last of the tuning being 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from listen.audio import (
    load_recording,
)
from listen.errors import RecordingError, bad_value
from listen.evidence import Measured
from listen.instrument import STANDARD, Fretboard, Tuning, load_instruments
from listen.reading import GuitarProfile, StringProfile
from listen.theory import Pitch
from listen.transcription.expected_strings import expect_strings
from listen.transcription.range import check_range
from listen.transcription.single_notes import SingleNote, hear_single_notes
from listen.transcription.string_stiffness import StringNote, estimate_growth, estimate_open_stiffness

OCTAVE_FRET = 12  # where a string sounds its octave
MOST_NAMED = 4  # stray notes are named up to this many
OTHER_CAUSES = (
    "Where the guitar is tuned otherwise, give its --tuning; else play each open string alone, and let it ring for a "
    "second or two."
)


@dataclass(frozen=True, slots=True)
class LearntGuitar:
    """A guitar's profile and what is to be said about the recording it was learnt from.

    Parameters
    ----------
    profile : GuitarProfile
    remarks : tuple of str
        One sentence each: notes that are of no string, strokes over several, what is odd about the recording.
    """

    profile: GuitarProfile
    remarks: tuple[str, ...] = ()


def read_guitar(path: Path | str, *, name: str, tuning: Tuning = STANDARD, channel: str = "mix") -> LearntGuitar:
    """Learn a guitar from a recording of its strings, one after another.

    Parameters
    ----------
    path : Path or str
    name : str
        What the player calls the guitar.
    tuning : Tuning
        What its open strings sound.
    channel : str
        As for :func:`listen.transcription.read_recording`.

    Raises
    ------
    RecordingError
        The recording cannot be read, or not all of the open strings are in it: the sentence says which are missing.
    BadValueError
        The instrument has doubled courses, of which one cannot be heard alone, or goes below what is heard.
    """
    if any(tuning.companions):
        raise bad_value(
            "tuning", tuning.name, allowed="an instrument of single strings", remedy="Courses sound as two."
        )
    check_range(Fretboard(tuning))
    recording = load_recording(path, channel=channel)
    notes, strums = hear_single_notes(recording.samples, sample_rate_hz=recording.sample_rate_hz)
    learnt = learn_from_notes(notes, name=name, tuning=tuning, source=Path(path).name)
    together = [f"At {onset_s:.1f} s several strings sound together; that stroke was left out." for onset_s in strums]
    return LearntGuitar(learnt.profile, (*learnt.remarks, *together[:MOST_NAMED], *recording.warnings))


def match_notes(pitches: Sequence[Pitch], tuning: Tuning) -> tuple[tuple[int, int] | None, ...]:
    """Match notes, in the order they were played, to open strings and to fret 12.

    A pitch that is both an open string and another string's fret 12 (as in open tunings) is the open string when it
    first comes, unless it comes straight after the string an octave below; later it is fret 12.

    Parameters
    ----------
    pitches : sequence of Pitch
    tuning : Tuning

    Returns
    -------
    tuple of (string, fret) or None
        None for a note that is neither.

    Examples
    --------
    >>> match_notes([Pitch.parse(name) for name in ("E2", "E3", "A2", "C3")], STANDARD)
    ((0, 0), (0, 12), (1, 0), None)
    """
    matched: list[tuple[int, int] | None] = []
    taken: set[tuple[int, int]] = set()
    for place, pitch in enumerate(pitches):
        fits = [(string, 0) for string, one in enumerate(tuning.open_strings) if one == pitch]
        octaves = [
            (string, OCTAVE_FRET) for string, one in enumerate(tuning.open_strings) if one.shifted(OCTAVE_FRET) == pitch
        ]
        just_before = matched[place - 1] if place else None
        follows = [each for each in octaves if just_before == (each[0], 0)]
        order = [*follows, *fits, *octaves]
        chosen = next((each for each in order if each not in taken), order[0] if order else None)
        if pitch in pitches[max(0, place - 1) : place] and just_before is not None:
            chosen = just_before  # the same note twice running is the same string again
        if chosen is not None:
            taken.add(chosen)
        matched.append(chosen)
    return tuple(matched)


def learn_from_notes(
    notes: Sequence[SingleNote], *, name: str, tuning: Tuning = STANDARD, source: str = "notes"
) -> LearntGuitar:
    """Make a profile from notes that were heard alone.

    Parameters
    ----------
    notes : sequence of SingleNote
        In the order they were played.
    name : str
    tuning : Tuning
    source : str
        What they were heard in, in words.

    Raises
    ------
    RecordingError
        An open string is not among the notes: a song has some of them alone, too.
    """
    matched = match_notes([note.heard.pitch for note in notes], tuning)
    by_place: dict[tuple[int, int], list[SingleNote]] = {}
    for note, place in zip(notes, matched, strict=True):
        if place is not None:
            by_place.setdefault(place, []).append(note)
    missing = [string for string in range(tuning.n_strings) if (string, 0) not in by_place]
    stray = [note for note, place in zip(notes, matched, strict=True) if place is None]
    if missing:
        heard = " ".join(note.heard.pitch.name for note in notes[:12]) or "no single note"
        raise RecordingError(
            f"{source} does not hold all of the open strings {tuning.text}, each alone: heard was {heard}, without "
            f"{_list_strings(missing, tuning)}. {_suggest_tuning(notes, tuning) or OTHER_CAUSES}"
        )
    growth = estimate_growth(_pair_octaves(by_place, tuning))
    offset_cents = float(np.median([note.cents for (_, fret), each in by_place.items() if fret == 0 for note in each]))
    loudest_db = max(note.level_db for (_, fret), each in by_place.items() if fret == 0 for note in each)
    strings = tuple(
        _describe_string(
            by_place[string, 0],
            by_place.get((string, OCTAVE_FRET), []),
            expected=expected.stiffness,
            growth=growth,
            zero=(offset_cents, loudest_db),
        )
        for string, expected in enumerate(expect_strings(tuning))
    )
    n_octaves = sum(fret == OCTAVE_FRET for _, fret in by_place)
    made_from = f"{tuning.n_strings} open strings"
    made_from += f" and {n_octaves} at fret 12" if n_octaves else ""
    profile = GuitarProfile(name, tuning, strings, growth, offset_cents, f"{made_from}, in {source}")
    remarks = _remark(stray, tuning)
    unmeasured = [string for string, one in enumerate(strings) if one.stiffness is None]
    if unmeasured:
        remarks.append(
            f"Heard, but not measured: {_list_strings(unmeasured, tuning)}; too short, too dull, or "
            "covered by a string that still rang; damp each string before the next."
        )
    return LearntGuitar(profile, tuple(remarks))


def _pair_octaves(by_place: dict[tuple[int, int], list[SingleNote]], tuning: Tuning) -> list[tuple[Measured, Measured]]:
    """Return the surest stiffness of each string that was heard both open and at fret 12."""
    pairs = []
    for string in range(tuning.n_strings):
        surest = [
            min((note.heard.stiffness for note in by_place.get((string, fret), []) if note.heard.stiffness),
                key=lambda stiffness: stiffness.sigma, default=None)
            for fret in (0, OCTAVE_FRET)
        ]  # fmt: skip
        low, high = surest
        if low is not None and high is not None:
            pairs.append((low, high))
    return pairs


def _describe_string(
    open_notes: list[SingleNote],
    octaves: list[SingleNote],
    *,
    expected: Measured | None,
    growth: Measured,
    zero: tuple[float, float],
) -> StringProfile:
    notes = [
        StringNote(fret, note.heard.stiffness)
        for fret, each in ((0, open_notes), (OCTAVE_FRET, octaves))
        for note in each
        if note.heard.stiffness is not None
    ]
    stiffness = None
    if notes and expected is not None:
        stiffness = estimate_open_stiffness(notes, prior=expected, growth=growth)
    offset_cents, loudest_db = zero
    first = open_notes[0].heard
    return StringProfile(
        stiffness,
        brightness=first.brightness,
        decay_s=first.decay_s,
        level_db=max(note.level_db for note in open_notes) - loudest_db,
        tuning_cents=float(np.median([note.cents for note in open_notes])) - offset_cents,
        n_notes=len(open_notes) + len(octaves),
    )


def _remark(stray: list[SingleNote], tuning: Tuning) -> list[str]:
    if not stray:
        return []
    named = [f"{note.heard.pitch.name} at {note.onset_s:.1f} s" for note in stray[:MOST_NAMED]]
    more = f" and {len(stray) - MOST_NAMED} more" if len(stray) > MOST_NAMED else ""
    return [f"Neither an open string of {tuning.name} tuning nor its fret 12: {', '.join(named)}{more}; left out."]


def _list_strings(strings: list[int], tuning: Tuning) -> str:
    return ", ".join(f"string {tuning.n_strings - string} ({tuning.open_strings[string].name})" for string in strings)


def _suggest_tuning(notes: Sequence[SingleNote], tuning: Tuning) -> str:
    """Say which known tuning's open strings were played, if one's were."""
    heard = {note.heard.pitch for note in notes}
    for instrument in load_instruments():
        opens = set(instrument.tuning.open_strings)
        known = opens | {pitch.shifted(12) for pitch in opens}
        if instrument.tuning != tuning and len(heard) >= 3 and opens <= heard <= known:
            return f'These are the open strings of "{instrument.name}": give it with --tuning.'
    return ""
