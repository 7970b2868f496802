"""Which kind of string each string of an instrument is, so that what was heard can be laid on it.

The ear tells kinds of string apart by their physics (:data:`listen.evidence.STRING_KINDS`, the six of a standard
guitar set, heavy to light). A tuning moves pitches but leaves the string what it is: in drop D the lowest string is
still the sixth. Instruments strung with other sets (bass, mandolin, ukulele) get no opinion rather than a wrong one.

Where the guitar is known (:class:`listen.reading.GuitarProfile`) no kinds are needed: each of its strings predicts how
stiff it is at the fret that gives the pitch, and what was measured is held against that.

References
----------
J. Hjerrild, M. Christensen, "Estimation of guitar string, fret and plucking position using parametric pitch
estimation", ICASSP 2019 (strings by the inharmonicity that was learnt for each).
"""

from __future__ import annotations

import math

from listen.evidence import STRING_KINDS, Measured, PitchEvidence
from listen.instrument import NOMINAL_MIDI, RETUNING_LIMIT_SEMITONES, Fretboard, Tuning, stiffness_log_density
from listen.reading import GuitarProfile

LEAST_SIGMA = 0.1  # of ln B: a string that is bent, pressed hard or old is off by so much


def identify_string_kinds(tuning: Tuning) -> tuple[int | None, ...]:
    """Return, for each string, the index of its kind in :data:`STRING_KINDS`, or None where nothing is known.

    Examples
    --------
    >>> from listen.instrument import STANDARD
    >>> identify_string_kinds(STANDARD)
    (0, 1, 2, 3, 4, 5)
    """
    n_extra = tuning.n_strings - len(STRING_KINDS)
    if n_extra < 0:
        return (None,) * tuning.n_strings
    kinds: list[int | None] = [*([0] * n_extra), *range(len(STRING_KINDS))]
    upper = tuning.open_strings[n_extra:]
    for place, (pitch, nominal_midi) in enumerate(zip(upper, NOMINAL_MIDI, strict=True)):
        if abs(pitch.midi - nominal_midi) > RETUNING_LIMIT_SEMITONES:
            kinds[n_extra + place] = None
    return tuple(kinds)


def weigh_known_strings(heard: PitchEvidence, fretboard: Fretboard, guitar: GuitarProfile) -> tuple[float, ...]:
    """Weigh on which string of a known guitar a note sounded, by its stiffness.

    Parameters
    ----------
    heard : PitchEvidence
    fretboard : Fretboard
        What the guitar is tuned to now, and its capo.
    guitar : GuitarProfile

    Returns
    -------
    tuple of float, one for each string
        Log-likelihood against the string that suits best, at most 0; -inf where a string cannot sound the pitch.
        All equal where nothing was measured, or where the profile is of an instrument with other strings.

    Examples
    --------
    >>> from listen.instrument import STANDARD
    >>> from listen.reading import StringProfile
    >>> from listen.theory import Pitch
    >>> strings = tuple(StringProfile(Measured(ln_b, 0.05)) for ln_b in (-8.9, -9.3, -9.9, -10.4, -9.7, -10.7))
    >>> note = PitchEvidence(Pitch.parse("E4"), 5.0, -5.0, stiffness=Measured(-10.7, 0.05))
    >>> weighed = weigh_known_strings(note, Fretboard(), GuitarProfile("steel", STANDARD, strings))
    >>> [round(nats) for nats in weighed[3:]]
    [-5, -5, 0]
    """
    opens = fretboard.tuning.open_strings
    frets = [heard.pitch.midi - pitch.midi for pitch in opens]
    can_sound = [fretboard.capo_fret <= fret <= fretboard.n_frets for fret in frets]
    weighed = [0.0 if can else -math.inf for can in can_sound]
    if heard.stiffness is None or not any(can_sound) or len(guitar.strings) != len(opens):
        return tuple(weighed)
    for string, (fret, pitch, learnt) in enumerate(zip(frets, opens, guitar.tuning.open_strings, strict=True)):
        retuned_by = pitch.midi - learnt.midi
        if not can_sound[string]:
            continue
        predicted = guitar.predict_stiffness(string, fret, retuned_by=retuned_by)
        weighed[string] = weigh_stiffness(
            heard.stiffness, predicted if abs(retuned_by) <= RETUNING_LIMIT_SEMITONES else None
        )
    best = max(weighed)
    return tuple(nats - best for nats in weighed)


def weigh_stiffness(measured: Measured, predicted: Measured | None) -> float:
    """Return the log-density of a measured stiffness on a string that is predicted to be so stiff.

    Parameters
    ----------
    measured : Measured
        ln B of a note.
    predicted : Measured or None
        Of the string at the note's fret; None where nothing is known of the string.

    Examples
    --------
    >>> near, far = (weigh_stiffness(Measured(-9.0, 0.05), Measured(ln_b, 0.1)) for ln_b in (-9.1, -8.0))
    >>> round(near, 1), round(far, 1)
    (0.6, -4.0)
    """
    known = predicted or Measured(0.0, 0.0)
    return stiffness_log_density(
        measured.value,
        expected=None if predicted is None else known.value,
        spread=math.hypot(measured.sigma, known.sigma, LEAST_SIGMA),
        sigma=measured.sigma,
    )
