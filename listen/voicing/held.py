"""What the hand may have held, beside what sounds: whole shapes, and shapes of which a stroke sounded some strings.

P(held shape) · P(these strings sound | held shape) · P(heard | these strings), as hypotheses in rows. Which pitches
sound is settled by the whole shapes alone (:mod:`listen.voicing.hypotheses`); within each set of pitches its
probability is shared among all hands that may have sounded it. So a prior over hands, however strong, never bends a
note, and a name is the sum over the hands that it fits.
"""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np

from listen.evidence import StrumEvidence
from listen.instrument import Fretboard, estimate_efforts
from listen.voicing.as_played import count_left_out, weigh_as_played
from listen.voicing.book import grade_shapes
from listen.voicing.candidates import PitchCandidates
from listen.voicing.fit_settings import FitSettings
from listen.voicing.hypotheses import WeighedShapes, weigh_shapes
from listen.voicing.string_options import weigh_strings
from listen.voicing.strokes import MOST_MIDI, HeardPitches, find_strokes_of_shapes, weigh_rise

SYMPATHETIC_SEMITONES = (0, 12, 19, 24, 28, 31)
"""Harmonics 1 to 6 of an open string: what stands out there may be that string ringing along, and proves nothing."""


def weigh_held(
    evidence: StrumEvidence, candidates: PitchCandidates, fretboard: Fretboard, *, settings: FitSettings
) -> WeighedShapes:
    """Find every shape that may have been held, with the strings of it that sound.

    Parameters
    ----------
    evidence : StrumEvidence
    candidates : PitchCandidates
        Of that evidence, at least one pitch.
    fretboard : Fretboard
    settings : FitSettings

    Returns
    -------
    WeighedShapes
        First the whole ones, as :func:`~listen.voicing.hypotheses.weigh_shapes` finds them; then the others, where
        `settings.strokes` are given.
    """
    whole = weigh_shapes(evidence, candidates, fretboard, settings=settings)
    prices = settings.strokes
    if prices is None or not len(whole.masks):
        return whole
    least = float(whole.notes.max()) - settings.margin_nats
    heard = _gather_heard(evidence, candidates, fretboard)
    strokes = find_strokes_of_shapes(heard, fretboard, prices=prices, least=least)
    masks, first = np.unique(whole.masks, return_index=True)
    known = np.isin(strokes.masks, masks)
    held, sounded, nats = strokes.held[known], strokes.sounded[known], strokes.nats[known]
    alike = first[np.searchsorted(masks, strokes.masks[known])]
    said = weigh_strings(sounded, evidence, candidates, fretboard, settings)
    partly = WeighedShapes(
        frets=sounded,
        held=held,
        masks=strokes.masks[known],
        notes=whole.notes[alike],
        strings=said + (whole.strings - whole.said)[alike],
        said=said,
        hand=-settings.hand_weight * estimate_efforts(held, fretboard, hand=settings.hand).astype(np.float64),
        book=settings.book_weight * grade_shapes(held, fretboard.tuning, partial=False),
        stroke=nats,
        unlisted=np.zeros(len(nats), bool),
    )
    left_out = count_left_out(whole.frets, strokes)
    custom, unlisted = weigh_as_played(
        whole.frets, fretboard, left_out=left_out, book_weight=settings.book_weight, prices=prices
    )
    whole = replace(whole, stroke=custom, unlisted=unlisted)
    return WeighedShapes(
        *(np.concatenate([getattr(one, part.name) for one in (whole, partly)]) for part in fields(WeighedShapes))
    )


def _gather_heard(evidence: StrumEvidence, candidates: PitchCandidates, fretboard: Fretboard) -> HeardPitches:
    """Lay out what was heard by pitch."""
    ringing = {pitch.midi + above for pitch in fretboard.open_pitches for above in SYMPATHETIC_SEMITONES}
    bits, faint = np.zeros(MOST_MIDI, np.int32), np.zeros(MOST_MIDI)
    log_odds = np.full(MOST_MIDI, -np.inf)
    for heard in evidence.pitches:
        said = weigh_rise(heard.rise_db)
        faint[heard.pitch.midi] = min(0.0, said) if heard.pitch.midi in ringing else said
    for place, pitch in enumerate(candidates.pitches):
        bits[pitch.midi], log_odds[pitch.midi] = 1 << place, candidates.log_odds[place]
    return HeardPitches(bits, log_odds, faint, candidates.sums)
