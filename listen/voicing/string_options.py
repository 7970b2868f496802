"""What each string can do, given the pitches that may sound, and what the ear says of the strings that they are on."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from listen.evidence import StrumEvidence
from listen.instrument import Fretboard
from listen.voicing.candidates import Floats, PitchCandidates
from listen.voicing.fit_settings import FitSettings
from listen.voicing.strings import identify_string_kinds, weigh_known_strings
from listen.voicing.unmeasured_guitar import weigh_together

UNKNOWN_LOG_ODDS = -6.0  # of a pitch that a course would add and the ear does not know or did not hear
STRING_FLOOR = -12.0  # under the likeliest kind of string: the ear may be fooled by a string it never heard
KINDS_SHARE = 0.3  # of what kinds of string count, where the guitar's own strings are known: kinds are of other guitars


@dataclass(frozen=True, slots=True)
class StringRows:
    """Shapes, or the choices of one string, in rows.

    `masks` are sets of candidates; `odds` are log-odds of what sounds beside candidates (a course's second string);
    `gains` are what the ear says of the strings.
    """

    frets: npt.NDArray[np.int8]
    masks: npt.NDArray[np.int32]
    odds: Floats
    gains: Floats

    def __len__(self) -> int:
        return len(self.masks)

    def pick(self, rows: npt.NDArray[np.intp]) -> StringRows:
        """Keep some rows."""
        return StringRows(self.frets[rows], self.masks[rows], self.odds[rows], self.gains[rows])


def weigh_strings(
    frets: npt.NDArray[np.int8],
    evidence: StrumEvidence,
    candidates: PitchCandidates,
    fretboard: Fretboard,
    settings: FitSettings,
) -> Floats:
    """Return what the ear says of the strings of shapes that sound candidates, by kind of string and all together."""
    gains = np.zeros(len(frets))
    for column, option in zip(frets.T, find_options(evidence, candidates, fretboard, settings), strict=True):
        of_fret = np.zeros(fretboard.top_fret + 2)
        of_fret[option.frets[:, 0]] = option.gains  # the last place is that of a string that is not played
        gains += of_fret[column]
    if settings.guitar is None and settings.string_sets:
        gains += settings.sets_weight * weigh_together(frets, evidence, fretboard, settings.string_sets)
    return gains


def find_options(
    evidence: StrumEvidence, candidates: PitchCandidates, fretboard: Fretboard, settings: FitSettings
) -> tuple[StringRows, ...]:
    """Return what each string can do, given the candidates."""
    place_of = {pitch.midi: place for place, pitch in enumerate(candidates.pitches)}
    on_string = {heard.pitch.midi: heard.string_log_odds for heard in evidence.pitches}
    known = _weigh_known(evidence, place_of, fretboard, settings)
    kinds = identify_string_kinds(fretboard.tuning)
    string_weight = settings.string_weight * (KINDS_SHARE if known else 1.0)
    companions = fretboard.tuning.companions or (None,) * fretboard.n_strings
    options = []
    for index, open_pitch in enumerate(fretboard.open_pitches):
        kind, companion = kinds[index], companions[index]
        rows = [(-1, 0, 0.0, 0.0)]
        for midi, place in place_of.items():
            fret = midi - open_pitch.midi
            if not 0 <= fret <= fretboard.top_fret:
                continue
            said = on_string[midi]
            gain = 0.0
            if said is not None and kind is not None:
                gain = string_weight * max(STRING_FLOOR, said[kind] - max(said))
            gain += known[midi][index] if known else 0.0
            mask, odds = 1 << place, 0.0
            if companion:
                second = place_of.get(midi + companion)
                mask |= 0 if second is None else 1 << second
                odds = UNKNOWN_LOG_ODDS if second is None else 0.0
            rows.append((fret, mask, odds, gain))
        frets, masks, odds_of, gains = zip(*rows, strict=True)
        options.append(
            StringRows(np.array(frets, np.int8)[:, None], np.array(masks, np.int32), np.array(odds_of), np.array(gains))
        )
    return tuple(options)


def _weigh_known(
    evidence: StrumEvidence, midis: Collection[int], fretboard: Fretboard, settings: FitSettings
) -> dict[int, tuple[float, ...]]:
    """Return what each string of a known guitar gains by each pitch, at most 0; nothing where no guitar is known."""
    if settings.guitar is None:
        return {}
    return {
        heard.pitch.midi: tuple(
            settings.guitar_weight * max(STRING_FLOOR, nats)
            for nats in weigh_known_strings(heard, fretboard, settings.guitar)
        )
        for heard in evidence.pitches
        if heard.pitch.midi in midis
    }
