"""Knowing the guitar: stiffness says where a note was stopped, and never which notes sound."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import replace

import numpy as np
import pytest

from listen.evidence import Measured, PitchEvidence, StrumEvidence, TimeSpan
from listen.instrument import STANDARD, Fretboard, Shape, Tuning, best_fingering, estimate_efforts, parse_tuning
from listen.reading import GuitarProfile, StringProfile
from listen.theory import Pitch
from listen.voicing import FitSettings, fit_shapes
from listen.voicing.book import grade_shapes
from listen.voicing.fit import UNHELD_COST
from listen.voicing.string_options import STRING_FLOOR
from listen.voicing.strings import weigh_known_strings

LN_B = (-8.9, -9.3, -9.9, -10.4, -9.7, -10.7)  # acoustic steel, about as published for GuitarSet (Bastas et al. 2022)
STEEL = GuitarProfile("steel", STANDARD, tuple(StringProfile(Measured(ln_b, 0.05)) for ln_b in LN_B))


def note(name: str, ln_b: float | None, *, sigma: float = 0.05) -> PitchEvidence:
    stiffness = None if ln_b is None else Measured(ln_b, sigma)
    return PitchEvidence(Pitch.parse(name), 6.0, -6.0, stiffness=stiffness)


def strum(frets: tuple[int | None, ...], neck: Fretboard, *, ln_b: tuple[float, ...] = LN_B) -> StrumEvidence:
    """Evidence of a shape as this guitar would sound it."""
    heard = {}
    for string, fret in enumerate(frets):
        if fret is not None:
            stiffness = ln_b[string] + (neck.capo_fret + fret) * math.log(2.0) / 6.0
            heard[neck.pitch_at(string, fret)] = stiffness
    lowest = min(heard)
    return StrumEvidence(
        TimeSpan(0.0, 1.0),
        tuple(
            PitchEvidence(
                Pitch(midi),
                6.0 if Pitch(midi) in heard else -9.0,
                4.0 if Pitch(midi) == lowest else -6.0,
                stiffness=Measured(heard[Pitch(midi)], 0.03) if Pitch(midi) in heard else None,
            )
            for midi in range(38, 89)
        ),
    )


@pytest.mark.parametrize("string", range(6))
def test_each_string_is_told_at_every_fret_that_has_a_rival(string: int) -> None:
    for fret in range(13):
        name = STANDARD.open_strings[string].shifted(fret).name
        weighed = weigh_known_strings(note(name, LN_B[string] + fret * math.log(2.0) / 6.0), Fretboard(), STEEL)
        assert weighed[string] == 0.0
        assert max(weighed) == 0.0


def test_a_string_that_cannot_sound_the_pitch_is_out() -> None:
    weighed = weigh_known_strings(note("F2", -8.8), Fretboard(), STEEL)
    assert weighed == (0.0, *(-math.inf,) * 5)


def test_a_note_whose_stiffness_was_not_measured_says_nothing() -> None:
    assert weigh_known_strings(note("D4", None), Fretboard(), STEEL) == (*(0.0,) * 5, -math.inf)


def test_an_outlier_never_says_more_than_it_may() -> None:
    for ln_b in (-13.0, -3.0):
        assert min(weigh_known_strings(note("D4", ln_b), Fretboard(), STEEL)[:5]) > -2.0


def test_a_doubtful_measurement_says_less() -> None:
    sure = weigh_known_strings(note("E4", -10.7, sigma=0.02), Fretboard(), STEEL)
    doubtful = weigh_known_strings(note("E4", -10.7, sigma=0.6), Fretboard(), STEEL)
    assert sure[4] < doubtful[4] < 0.0


def test_a_capo_does_not_change_what_a_string_is() -> None:
    open_neck, capo = Fretboard(), Fretboard(capo_fret=3)
    heard = note("E4", LN_B[4] + 5 * math.log(2.0) / 6.0)
    assert weigh_known_strings(heard, capo, STEEL)[:5] == weigh_known_strings(heard, open_neck, STEEL)[:5]
    assert weigh_known_strings(heard, capo, STEEL)[5] == -math.inf  # E4 lies below the capo on the first string


def test_a_string_tuned_down_is_expected_stiffer() -> None:
    """B goes with 1/T: the sixth string a whole step down is 26 % stiffer open."""
    drop = Fretboard(parse_tuning("drop D"))
    heard = note("A2", LN_B[0] + (2 + 7) * math.log(2.0) / 6.0)
    weighed = weigh_known_strings(heard, drop, STEEL)
    assert weighed[0] == 0.0
    assert weighed[1] < -2.0


def test_an_instrument_with_other_strings_gets_no_opinion() -> None:
    ukulele = Fretboard(parse_tuning("ukulele"))
    assert set(weigh_known_strings(note("C5", -9.0), ukulele, STEEL)) == {0.0}


@pytest.mark.parametrize(
    "frets", [(None, 7, 7, 6, None, None), (None, None, 2, 2, 2, None), (8, 7, 5, 5, None, None), (None, 3, 2, 0, 1, 0)]
)
def test_the_known_guitar_decides_between_places_of_the_same_notes(frets: tuple[int | None, ...]) -> None:
    neck = Fretboard()
    fit = fit_shapes(strum(frets, neck), neck, settings=FitSettings(guitar=STEEL))
    assert fit.shapes[0].shape.frets == frets


def test_the_known_guitar_has_no_say_in_which_notes_sound() -> None:
    neck = Fretboard()
    heard = strum((None, 3, 2, 0, 1, 0), neck, ln_b=(-6.0, -12.0, -6.0, -12.0, -6.0, -12.0))
    with_it = fit_shapes(heard, neck, settings=FitSettings(guitar=STEEL))
    without = fit_shapes(heard, neck)
    assert with_it.pitch_sets[0][0] == without.pitch_sets[0][0]


@pytest.mark.parametrize("seed", range(4))
def test_the_bounded_search_agrees_with_brute_force_when_the_guitar_is_known(seed: int) -> None:
    neck = Fretboard(Tuning("four", tuple(Pitch(midi) for midi in (50, 55, 59, 64))), n_frets=5)
    guitar = GuitarProfile(
        "four", neck.tuning, tuple(StringProfile(Measured(b, 0.1)) for b in (-9.9, -10.4, -9.7, -10.7))
    )
    rng = random.Random(seed)
    midis = rng.sample(range(50, 70), 7)
    evidence = StrumEvidence(
        TimeSpan(0.0, 1.0),
        tuple(
            PitchEvidence(
                Pitch(midi),
                rng.uniform(-4.0, 5.0),
                rng.uniform(-3.0, 3.0),
                stiffness=Measured(rng.uniform(-11.0, -8.0), rng.uniform(0.01, 0.5)),
            )
            for midi in sorted(midis)
        ),
    )
    settings = replace(FitSettings(), n_shapes=400, guitar=guitar)
    heard = {one.pitch: one for one in evidence.pitches}
    said = {pitch: weigh_known_strings(one, neck, guitar) for pitch, one in heard.items()}
    parts: dict[tuple[int, ...], tuple[float, float, frozenset[Pitch]]] = {}
    for frets in itertools.product(range(-1, neck.top_fret + 1), repeat=4):
        stopped = [(string, neck.pitch_at(string, fret)) for string, fret in enumerate(frets) if fret >= 0]
        pitches = frozenset(pitch for _, pitch in stopped)
        if not stopped or not pitches <= heard.keys():
            continue
        strings = sum(settings.guitar_weight * max(STRING_FLOOR, said[pitch][string]) for string, pitch in stopped)
        row = np.array([frets], dtype=np.int8)
        score = sum(heard[pitch].log_odds for pitch in pitches)
        score -= settings.bass_weight * math.log1p(math.exp(-heard[min(pitches)].bass_log_odds))
        score += settings.book_weight * float(grade_shapes(row, neck.tuning)[0])
        effort = float(estimate_efforts(row, neck, hand=settings.hand)[0])
        parts[frets] = (score - settings.hand_weight * effort, strings, pitches)
    scores: dict[tuple[int, ...], float] = {}
    for pitch_set in {pitches for _, _, pitches in parts.values()}:  # strings leave a set's weight as it is
        members = {
            frets: (score, strings) for frets, (score, strings, pitches) in parts.items() if pitches == pitch_set
        }
        before = math.log(sum(math.exp(score) for score, _ in members.values()))
        after = math.log(sum(math.exp(score + strings) for score, strings in members.values()))
        scores.update({frets: score + strings + before - after for frets, (score, strings) in members.items()})
    fit = fit_shapes(evidence, neck, settings=settings)
    found = {tuple(-1 if fret is None else fret for fret in one.shape.frets): one.probability for one in fit.shapes}
    cannot_hold: set[tuple[int, ...]] = set()
    near = [frets for frets, score in scores.items() if score > max(scores.values()) - settings.margin_nats]
    for frets in {*found, *near}:  # what may be shown has the effort of its best fingering
        row = np.array([frets], dtype=np.int8)
        shape = Shape(tuple(None if fret < 0 else fret for fret in frets))
        exact = best_fingering(shape, neck, hand=settings.hand)
        estimated = float(estimate_efforts(row, neck, hand=settings.hand)[0])
        scores[frets] += settings.hand_weight * (estimated - exact.effort)
        cannot_hold |= set() if exact.playable else {frets}
    unheld = sum(max(0.0, one.log_odds) for one in evidence.pitches) - UNHELD_COST
    total = math.log(sum(math.exp(score) for score in [*scores.values(), unheld]))
    for frets, probability in found.items():
        assert probability == pytest.approx(math.exp(scores[frets] - total), abs=0.01)
    best = max(scores.values())
    assert not [frets for frets, score in scores.items() if frets not in {*found, *cannot_hold} and score > best - 3.0]
