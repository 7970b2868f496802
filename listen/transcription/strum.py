"""From one strum to its reading: what sounds, what it is called, what is in the bass, which shape was held.

The rooms below each do one thing; here they are joined: the ear's evidence is weighed by the fit, the pitch sets that
the fit finds likely are named, and what cannot be named is refused with the reason.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from listen.audio import load_recording
from listen.evidence import StrumEvidence, TimeSpan
from listen.harmony import name_played, rank_names_of_sets, rank_names_of_sets_without_bass
from listen.instrument import Fretboard
from listen.reading import NoteReading, StrumReading, TakeReading
from listen.theory import Key, Pitch
from listen.transcription.low_string import ask_about_low_note
from listen.transcription.named_shapes import rank_named_first
from listen.transcription.one_struck import say_one_struck
from listen.transcription.range import check_range
from listen.transcription.single_strums import find_single_strums, hear_around
from listen.transcription.string_sets import fit_held
from listen.voicing import Fit, FitSettings

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

PAIR, LEAST_SURE_OF_PAIR = 2, 0.75
"""Of 48 power chords, half of them overdriven, the less sure of root and fifth has .83 or more; of 36 lone notes of
FluidR3's plucked instruments three were taken for two, with .51, .54 and .83."""
SOUNDS = 0.5  # a note is listed from this probability on
N_NAMES = 6  # that are listed
AROUND_S = 15.0  # of a named time: enough to find the strum's beginning and its neighbours


@dataclass(frozen=True, slots=True)
class StrumSettings:
    """What is known before listening.

    Parameters
    ----------
    fretboard : Fretboard
        Tuning, capo and neck.
    fit : FitSettings
        How ear, hand and book are weighed.
    key : Key or None
        For the spelling of names.
    """

    fretboard: Fretboard = field(default_factory=Fretboard)
    fit: FitSettings = field(default_factory=FitSettings)
    key: Key | None = None


def read_evidence(
    evidence: StrumEvidence, *, settings: StrumSettings | None = None, fit: Fit | None = None
) -> StrumReading:
    """Conclude from what was heard of one strum.

    Parameters
    ----------
    evidence : StrumEvidence
    settings : StrumSettings or None
    fit : Fit or None
        The fit of this evidence under these settings, where it was made before; a key does not change it.

    Returns
    -------
    StrumReading
        With `refused` set, and without names, where there is no chord; one note or an octave is still listed.
    """
    settings = settings or StrumSettings()
    if evidence.no_chord_reason is not None:
        return StrumReading(evidence, settings.fretboard, refused=evidence.no_chord_reason)
    fit = fit or fit_held(evidence, settings.fretboard, settings=settings.fit)
    notes = _list_notes(evidence, fit)
    if not notes:
        reason = "No note stands out clearly enough to be named."
        return StrumReading(evidence, settings.fretboard, refused=reason)
    bass = _find_bass(fit, notes)
    refused = _refuse_single(notes) or _refuse_doubtful_pair(notes)
    if refused is not None:
        return StrumReading(evidence, settings.fretboard, notes, bass, shapes=fit.shapes, refused=refused)
    has_bass = not settings.fretboard.tuning.is_reentrant
    rank = rank_names_of_sets if has_bass else rank_names_of_sets_without_bass
    names = rank(fit.held_sets, key=settings.key, limit=N_NAMES)
    shapes = rank_named_first(fit.shapes, names[0].chord, settings.fretboard) if names else fit.shapes
    return StrumReading(evidence, settings.fretboard, notes, bass, name_played(names, settings.fretboard), shapes)


def read_strum(
    samples: npt.NDArray[np.float32], *, sample_rate_hz: int, settings: StrumSettings | None = None
) -> StrumReading:
    """Read the strongest strum in some samples.

    Parameters
    ----------
    samples : ndarray of float32, shape (n,)
        Mono, -1..1.
    sample_rate_hz : int
        8,000 to 192,000.
    settings : StrumSettings or None

    Returns
    -------
    StrumReading
    """
    reading, _ = _read_one(samples, sample_rate_hz=sample_rate_hz, settings=settings or StrumSettings())
    return reading


def read_recording(
    path: Path | str,
    *,
    channel: str = "mix",
    span: TimeSpan | None = None,
    at_s: float | None = None,
    settings: StrumSettings | None = None,
) -> TakeReading:
    """Read the strongest strum of a recording, or the one that begins nearest to a time.

    Parameters
    ----------
    path : Path or str
        One of the kinds in :data:`listen.errors.READABLE`.
    channel : str
        Which channels to listen to: ``"mix"``, ``"left"``, ``"right"`` or ``"side"``.
    span : TimeSpan or None
        The stretch to listen to; None for all of it, or for the surroundings of `at_s`.
    at_s : float or None
        The strum that begins nearest to this time is read; None for the strongest.
    settings : StrumSettings or None

    Returns
    -------
    TakeReading
        Its times count from the start of the recording, whatever the span.

    Raises
    ------
    RecordingError
        The recording cannot be read.
    BadValueError
        The tuning goes below what is heard.
    """
    settings = settings or StrumSettings()
    check_range(settings.fretboard)
    if at_s is not None and span is None:
        span = TimeSpan(max(0.0, at_s - AROUND_S), at_s + AROUND_S)
    recording = load_recording(path, channel=channel, span=span)
    start_s = recording.start_s
    reading, others = _read_one(
        recording.samples,
        sample_rate_hz=recording.sample_rate_hz,
        at_s=None if at_s is None else at_s - start_s,
        settings=settings,
    )
    heard = reading.evidence.span
    evidence = replace(reading.evidence, span=TimeSpan(heard.start_s + start_s, heard.end_s + start_s))
    others = tuple(onset_s + start_s for onset_s in others)
    asked = ask_about_low_note(evidence, settings.fretboard)
    warnings = (*recording.warnings, *([] if asked is None else [asked]))
    return TakeReading(Path(path).name, recording.channel, warnings, replace(reading, evidence=evidence), others)


def _read_one(
    samples: npt.NDArray[np.float32], *, sample_rate_hz: int, settings: StrumSettings, at_s: float | None = None
) -> tuple[StrumReading, tuple[float, ...]]:
    """Read the strongest strum or the one nearest to a time, and say when the others begin."""
    strums = find_single_strums(samples, sample_rate_hz=sample_rate_hz, n_strings=settings.fretboard.n_strings)
    if not strums:
        whole = TimeSpan(0.0, len(samples) / sample_rate_hz)
        silent = StrumEvidence(
            whole, (), no_chord_reason="Nothing is struck in this recording: it is silent or steady."
        )
        return read_evidence(silent, settings=settings), ()
    if at_s is None:
        place = max(range(len(strums)), key=lambda index: strums[index].level_db)
    else:
        place = min(range(len(strums)), key=lambda index: abs(strums[index].onset_s - at_s))
    evidence, joined = hear_around(samples, strums, place, sample_rate_hz=sample_rate_hz)
    others = tuple(strum.onset_s for index, strum in enumerate(strums) if index not in joined)
    return _refuse_one_struck(read_evidence(evidence, settings=settings)), others


def _refuse_one_struck(reading: StrumReading) -> StrumReading:
    """Take the names from a strum of which one string alone was struck."""
    refused = None if reading.refused is not None else say_one_struck(reading)
    return reading if refused is None else replace(reading, names=(), refused=refused)


def _list_notes(evidence: StrumEvidence, fit: Fit) -> tuple[NoteReading, ...]:
    """List the notes of the likeliest pitch set, each with its own probability."""
    if not fit.pitch_sets:
        return ()
    heard = {one.pitch: one for one in evidence.pitches}
    probability = dict(fit.note_probabilities)
    likely = sorted(pitch for pitch, p in probability.items() if p >= SOUNDS)
    return tuple(NoteReading(pitch, probability[pitch], heard[pitch].deviation_cents) for pitch in likely)


def _find_bass(fit: Fit, notes: tuple[NoteReading, ...]) -> NoteReading:
    """Return the likeliest lowest note, with the probability that it is the lowest."""
    lowest: dict[Pitch, float] = {}
    for pitches, probability in fit.pitch_sets:
        if pitches:
            lowest[pitches[0]] = lowest.get(pitches[0], 0.0) + probability
    best = max(lowest, key=lambda pitch: (lowest[pitch], -pitch.midi))
    known = {note.pitch: note.deviation_cents for note in notes}
    return NoteReading(best, lowest[best], known.get(best))


def _refuse_single(notes: tuple[NoteReading, ...]) -> str | None:
    """Say why one note, or a note and its octaves, is no chord."""
    if len(notes) == 1:
        return f"Only one note sounds, {notes[0].pitch.name}: a note is not a chord."
    if len({note.pitch.pitch_class for note in notes}) == 1:
        names = " and ".join(note.pitch.name for note in notes)
        return f"Only {names} sound: a note and its octave are not a chord."
    return None


def _refuse_doubtful_pair(notes: tuple[NoteReading, ...]) -> str | None:
    """Say why two notes are no chord where one of them may well not sound: a lone note's overtones are taken for it."""
    surest: dict[int, NoteReading] = {}
    for note in sorted(notes, key=lambda note: note.probability):
        surest[note.pitch.pitch_class] = note
    if len(surest) != PAIR or min(note.probability for note in surest.values()) >= LEAST_SURE_OF_PAIR:
        return None
    told = " and ".join(
        f"{note.pitch.name} ({100.0 * note.probability:.0f} %)"
        for note in sorted(surest.values(), key=lambda n: n.pitch)
    )
    return f"Two notes may sound, {told}: that is not sure enough to be named."
