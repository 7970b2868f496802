"""Notes that a person says to hear, or not to hear: evidence put right before anything is concluded from it.

A correction of a note holds from one moment of the recording to another, and says so: ``"G3 12.350-14.020"``. Numbers
of events would count something that the correction itself may change.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from listen.errors import bad_value
from listen.evidence import PartEvidence, PitchEvidence, Stretch, StrumEvidence, TimeSpan
from listen.reading import ChordSpan, Correction, clock_text
from listen.theory import Pitch

TOLD = 12.0  # log-odds of what a person says: 160,000 to 1, more than an ear ever claims
NOTE_KINDS = ("note", "no note", "bass")  # of corrections, as documents spell them
_VALUE = re.compile(r"([A-G](?:#|b)?-?\d) (\d{1,6}(?:\.\d{1,3})?)-(\d{1,6}(?:\.\d{1,3})?)")
MOST_SHARED = 0.5  # of the shorter of two stretches: what is told there is told of the same chord
LEAST_LEFT_S = 0.25  # of what was told before, beside what is told now; a reading finds a place again within as much
_EARLY_S = 0.03  # a stretch begins with its stroke; times are written to the millisecond


@dataclass(frozen=True, slots=True)
class ToldNote:
    """A note that sounds, does not sound, or is the bass, for a while.

    Parameters
    ----------
    kind : "note", "no note" or "bass"
    pitch : Pitch
    start_s, end_s : float
    """

    kind: str
    pitch: Pitch
    start_s: float
    end_s: float

    def holds_at(self, start_s: float) -> bool:
        """Whether this is told of what begins at a time."""
        return self.start_s - _EARLY_S <= start_s < self.end_s - _EARLY_S

    def silences(self, pitch: Pitch) -> bool:
        """Whether this says that a pitch does not sound: by itself, or since it lies below the bass."""
        return pitch == self.pitch if self.kind == "no note" else self.kind == "bass" and pitch < self.pitch


def parse_told_note(correction: Correction) -> ToldNote:
    """Read a correction of a note.

    Raises
    ------
    BadValueError
        It is no note with a stretch of time.

    Examples
    --------
    >>> told = parse_told_note(Correction("no note", "E2 1.5-3.25"))
    >>> told.pitch.name, told.end_s
    ('E2', 3.25)
    """
    match = _VALUE.fullmatch(correction.value)
    if match is None:
        raise bad_value(
            correction.what, correction.value, allowed="a note, and from when to when", remedy="Write G3 12.35-14.02."
        )
    return ToldNote(correction.what, Pitch.parse(match[1]), float(match[2]), float(match[3]))


def tell_notes(heard: PartEvidence, corrections: Sequence[Correction]) -> PartEvidence:
    """Put evidence right by what a person said; strokes that were heard together part where it begins or ends."""
    told = [parse_told_note(one) for one in corrections if one.what in NOTE_KINDS]
    if not told:
        return heard
    bounds_s = {bound_s for one in told for bound_s in (one.start_s, one.end_s)}
    cuts = sorted(set(np.searchsorted(heard.onsets_s, [bound_s - _EARLY_S for bound_s in bounds_s]).tolist()))
    pieces = [piece for stretch in heard.stretches for piece in cut_stretch(stretch, cuts, heard.onsets_s.tolist())]
    return replace(heard, stretches=tuple(_put_right(piece, told) for piece in pieces))


def cut_stretch(stretch: Stretch, cuts: Sequence[int], onsets_s: Sequence[float]) -> list[Stretch]:
    """Cut a stretch before each of some strokes, in order; all pieces sound as it did."""
    pieces, rest = [], stretch
    for cut in (cut for cut in cuts if stretch.first < cut <= stretch.last):
        pieces.append(replace(rest, last=cut - 1, span=TimeSpan(rest.span.start_s, onsets_s[cut])))
        rest = replace(rest, first=cut, span=TimeSpan(onsets_s[cut], rest.span.end_s))
    return [*pieces, rest]


def find_told_notes(corrections: Iterable[Correction], start_s: float) -> tuple[ToldNote, ...]:
    """Find what is told of the notes of a chord that begins at a time."""
    told = (parse_told_note(one) for one in corrections if one.what in NOTE_KINDS)
    return tuple(one for one in told if one.holds_at(start_s))


def replace_told(before: Iterable[Correction], told: Correction) -> tuple[Correction, ...]:
    """Add what is told of a note to what was told before: of the same note, and of the bass, it takes the place.

    What was told for longer holds on before it and behind it.

    Parameters
    ----------
    before : iterable of Correction
    told : Correction
        Of a note.
    """
    new, kept = parse_told_note(told), list[Correction]()
    for one in before:
        if one.what not in NOTE_KINDS or not _is_replaced(other := parse_told_note(one), new):
            kept.append(one)
            continue
        sides = ((other.start_s, min(new.start_s, other.end_s)), (max(new.end_s, other.start_s), other.end_s))
        kept += [
            replace(one, value=f"{other.pitch.name} {start_s:.3f}-{end_s:.3f}")
            for start_s, end_s in sides
            if end_s - start_s > LEAST_LEFT_S
        ]
    return (*kept, told)


def _is_replaced(before: ToldNote, new: ToldNote) -> bool:
    """Tell whether most of the shorter stretch is in both, and the note or its part in the chord is the same."""
    shared_s = min(before.end_s, new.end_s) - max(before.start_s, new.start_s)
    shorter_s = min(one.end_s - one.start_s for one in (before, new))
    is_same = before.pitch == new.pitch or before.kind == new.kind == "bass"
    return is_same and shared_s > MOST_SHARED * shorter_s


def tell_unheld(corrections: Iterable[Correction], spans: Iterable[ChordSpan]) -> tuple[str, ...]:
    """Say in sentences which notes that a person told are not held as they were told, or are held all the same."""
    spans, said = tuple(spans), []
    for told in (parse_told_note(one) for one in corrections if one.what in NOTE_KINDS):
        begun = [one for one in spans if told.holds_at(one.span.start_s)]
        own = begun or [one for one in spans if one.span.start_s < told.start_s < one.span.end_s]
        if own and not all(_is_as_told(told, one) for one in own):
            what = {"note": "sounds", "no note": "does not sound", "bass": "is the bass"}[told.kind]
            clock = clock_text(told.start_s, 1)
            said.append(f"You told that {told.pitch.name} {what} at {clock}, but no chord was found with that.")
    return tuple(said)


def _is_as_told(told: ToldNote, span: ChordSpan) -> bool:
    if told.kind == "bass":
        return span.bass is not None and span.bass.pitch == told.pitch
    return any(note.pitch == told.pitch for note in span.notes) == (told.kind == "note")


def _put_right(stretch: Stretch, told: Sequence[ToldNote]) -> Stretch:
    own = [one for one in told if one.holds_at(stretch.span.start_s)]
    if not own:
        return stretch
    evidence = stretch.evidence
    for one in own:
        evidence = _tell(evidence, one)
    right = Stretch.of(evidence, (stretch.first, stretch.last), stretch.span)
    said = {one.pitch.midi for one in own}
    untouched = [midi for midi in range(len(right.log_odds)) if midi not in said]
    if not any(one.kind == "bass" for one in own):  # what rings over was told apart in these already
        right.log_odds[untouched] = stretch.log_odds[untouched]
        right.bass_log_odds[untouched] = stretch.bass_log_odds[untouched]
    unheard = frozenset(said & right.sounding - stretch.sounding)
    return replace(right, ringing=stretch.ringing - said, is_picked=stretch.is_picked, told=unheard)


def _tell(evidence: StrumEvidence, told: ToldNote) -> StrumEvidence:
    pitches = [_weigh(one, told) for one in evidence.pitches]
    if told.kind != "no note" and all(one.pitch != told.pitch for one in pitches):
        pitches.append(PitchEvidence(told.pitch, TOLD, TOLD if told.kind == "bass" else -TOLD))
        pitches.sort(key=lambda one: one.pitch)
    return replace(evidence, pitches=tuple(pitches), no_chord_reason=None)


def _weigh(one: PitchEvidence, told: ToldNote) -> PitchEvidence:
    if one.pitch == told.pitch:
        if told.kind == "no note":
            return replace(one, log_odds=-TOLD, bass_log_odds=-TOLD, string_log_odds=None)
        return replace(one, log_odds=TOLD, bass_log_odds=TOLD if told.kind == "bass" else one.bass_log_odds)
    if told.kind == "bass":
        sounds = -TOLD if one.pitch < told.pitch else one.log_odds
        return replace(one, log_odds=sounds, bass_log_odds=-TOLD)
    return one
