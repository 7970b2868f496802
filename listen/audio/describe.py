"""From what an ear weighed to full evidence: the physics of each sounding note, the tuning and the hand's direction.

Every ear says how likely each pitch is; what can be measured in the spectrum once the pitches are known is the same
for all of them and is added here.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from listen.audio.attack import estimate_direction, estimate_onsets
from listen.audio.faint import measure_fundamentals
from listen.audio.low_note import find_low_note
from listen.audio.peaks import find_spectrum_peaks
from listen.audio.refusal import find_no_chord_reason, measure_cues
from listen.audio.spectrum import NotePhysics, describe_notes
from listen.audio.strum_sound import StrumSound
from listen.evidence import LOWEST_HEARD, PitchEvidence, StrumEvidence
from listen.theory import Pitch

REFINEMENT_SIGMAS = 5.0
"""The first estimate of the offset errs by up to 4.5 cents on stiff strings, at sigmas of about 1; where the notes say
something else altogether, their partials were lost in noise."""
MOST_NOTES = 10
"""More sounding pitches than this are no hand's work; the physics of the ten likeliest is enough to say so."""


def describe_strum(
    sound: StrumSound, pitches: tuple[PitchEvidence, ...], *, surely_plucked: bool = False
) -> StrumEvidence:
    """Add to the weighed pitches what the spectrum says of those that sound, and refuse what is no chord.

    Parameters
    ----------
    sound : StrumSound
    pitches : tuple of PitchEvidence
        Every pitch that the ear knows, low to high.
    surely_plucked : bool
        Whether the ear knows that strings sound: then a note too low to be heard is all that is refused.

    Returns
    -------
    StrumEvidence
    """
    likeliest = sorted((p for p in pitches if p.log_odds > 0.0), key=lambda p: -p.log_odds)[:MOST_NOTES]
    sounding = tuple(sorted(p.pitch for p in likeliest))
    peaks = find_spectrum_peaks(sound.samples, onset=sound.onset, end=sound.end)
    notes: tuple[NotePhysics, ...] = ()
    if peaks is not None:
        notes = describe_notes(sound.samples, peaks, sounding, onset=sound.onset, end=sound.end)
    sureness = max((p.log_odds for p in pitches), default=-np.inf)
    reason = None
    if not surely_plucked:
        cues = measure_cues(sound.samples, peaks, notes, sureness, onset=sound.onset, end=sound.end)
        reason = find_no_chord_reason(cues, any_note=bool(sounding))
    low = None if peaks is None else find_low_note(peaks, sounding or find_likeliest(pitches))
    if low is not None:
        reason = say_low(low)
    onsets = estimate_onsets(sound.samples, notes, onset=sound.onset, end=sound.end)
    shift_cents = _refine_offset(notes)
    if abs(shift_cents) > REFINEMENT_SIGMAS * sound.offset_sigma_cents:
        shift_cents = 0.0
    physics = {note.pitch: (note, onset_s) for note, onset_s in zip(notes, onsets, strict=True)}
    silent = [weighed.pitch for weighed in pitches if weighed.pitch not in physics]
    rises = {} if peaks is None or not notes else measure_fundamentals(peaks, notes, silent)

    def add_physics(weighed: PitchEvidence) -> PitchEvidence:
        if weighed.pitch not in physics:
            return replace(weighed, rise_db=rises.get(weighed.pitch))
        note, onset_s = physics[weighed.pitch]
        return replace(
            weighed,
            deviation_cents=None if note.deviation_cents is None else note.deviation_cents - shift_cents,
            onset_s=onset_s,
            stiffness=note.stiffness,
            brightness=note.brightness,
            decay_s=note.decay_s,
            partials=tuple(replace(p, frequency_hz=p.frequency_hz * sound.stretch) for p in note.partials),
        )

    return StrumEvidence(
        sound.span,
        tuple(add_physics(weighed) for weighed in pitches),
        tuning_offset_cents=(sound.tuning_offset_cents + shift_cents + 50.0) % 100.0 - 50.0,
        direction=estimate_direction(notes, onsets),
        no_chord_reason=reason,
    )


def find_likeliest(pitches: tuple[PitchEvidence, ...]) -> tuple[Pitch, ...]:
    """Return the pitch that is likeliest to sound: of a note too low to be heard it is some harmonic."""
    return tuple(one.pitch for one in sorted(pitches, key=lambda one: -one.log_odds)[:1])


def say_low(note: Pitch) -> str:
    """Say that a note sounds which is too low to be heard as part of a chord."""
    return f"One low note sounds, {note.name} or one near it: nothing below {LOWEST_HEARD.name} is heard as a chord."


def _refine_offset(notes: tuple[NotePhysics, ...]) -> float:
    """Return what is left of the tuning offset: the weighted median of the notes' deviations."""
    known = [(note.deviation_cents, note.deviation_weight) for note in notes if note.deviation_cents is not None]
    known = [(cents, weight) for cents, weight in known if weight > 0.0]
    if not known:
        return 0.0
    cents = np.array([pair[0] for pair in known])
    weight = np.sqrt(np.array([pair[1] for pair in known]))
    order = np.argsort(cents)
    passed = np.cumsum(weight[order]) - 0.5 * weight[order]
    return float(np.interp(0.5 * weight.sum(), passed, cents[order]))
