"""On a guitar that nobody has measured the stiffness of all notes together says where they were stopped."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import replace

import numpy as np
import pytest

from listen.evidence import Measured, PitchEvidence, StrumEvidence, TimeSpan
from listen.instrument import (
    OUTLIER_WIDTH,
    SET_SIGMA,
    STANDARD,
    STRING_SIGMA,
    Fretboard,
    Shape,
    find_instrument,
    parse_tuning,
    stiffness_log_density,
)
from listen.reading import GROWTH, GuitarProfile, StringProfile
from listen.theory import Pitch
from listen.voicing import FitSettings, fit_shapes
from listen.voicing.unmeasured_guitar import OFFSETS, weigh_together

# Acoustic steel, about as published for GuitarSet (Bastas et al. 2022); the other set is made up.
STEEL_LN_B = (-8.9, -9.3, -9.9, -10.4, -9.7, -10.7)
OTHER_LN_B = (-10.8, -11.0, -10.9, -9.1, -9.8, -10.3)


def make_set(name: str, ln_b: tuple[float, ...]) -> GuitarProfile:
    return GuitarProfile(name, STANDARD, tuple(StringProfile(Measured(one, 0.5)) for one in ln_b))


SETS = (make_set("steel", STEEL_LN_B), make_set("other", OTHER_LN_B))


def strum(
    frets: tuple[int | None, ...], *, ln_b: tuple[float, ...] = STEEL_LN_B, sigma: float = 0.05, capo_fret: int = 0
) -> StrumEvidence:
    neck = Fretboard(capo_fret=capo_fret)
    stiffness = {
        neck.pitch_at(string, fret): ln_b[string] + GROWTH.value * (capo_fret + fret) / 12.0
        for string, fret in enumerate(frets)
        if fret is not None
    }
    lowest = min(stiffness)
    return StrumEvidence(
        TimeSpan(0.0, 1.0),
        tuple(
            PitchEvidence(
                Pitch(midi),
                6.0 if Pitch(midi) in stiffness else -9.0,
                4.0 if Pitch(midi) == lowest else -6.0,
                stiffness=Measured(stiffness[Pitch(midi)], sigma) if Pitch(midi) in stiffness else None,
            )
            for midi in range(38, 89)
        ),
    )


def weigh_by_hand(frets: tuple[int, ...], evidence: StrumEvidence, neck: Fretboard) -> float:
    """The formula of the docstring in plain loops: a sum over sets and offsets of products over notes."""
    measured = {one.pitch: one.stiffness for one in evidence.pitches if one.stiffness is not None}
    pitches = Shape(tuple(None if fret < 0 else fret for fret in frets)).pitches(neck)
    total = 0.0
    for guitar in SETS:
        for offset in OFFSETS:
            product = math.exp(-0.5 * (offset / SET_SIGMA) ** 2)
            for string, pitch in enumerate(pitches):
                if pitch is None or pitch not in measured or pitches.count(pitch) > 1:
                    continue
                one = measured[pitch]
                predicted = guitar.predict_stiffness(string, neck.capo_fret + frets[string])
                assert predicted is not None
                sigma = math.hypot(one.sigma, STRING_SIGMA)
                product *= OUTLIER_WIDTH * math.exp(
                    stiffness_log_density(one.value, expected=predicted.value + offset, spread=sigma, sigma=one.sigma)
                )
            total += product
    return math.log(total)


@pytest.mark.parametrize("capo_fret", [0, 3])
def test_it_is_the_sum_over_sets_and_offsets_of_the_likelihood_that_known_guitars_have_too(capo_fret: int) -> None:
    rng = random.Random(5)
    neck = Fretboard(capo_fret=capo_fret)
    evidence = strum((3, 2, 0, 0, 3, 3), capo_fret=capo_fret)
    shapes = [tuple(rng.choice((-1, 0, 2, 3, 5, 7)) for _ in range(6)) for _ in range(60)]
    shapes.append((-1, 5, 0, -1, -1, -1))  # one pitch on two strings
    weighed = weigh_together(np.array(shapes, np.int8), evidence, neck, SETS)
    assert weighed == pytest.approx([weigh_by_hand(shape, evidence, neck) for shape in shapes])


@pytest.mark.parametrize("offset", [-0.5, 0.0, 0.6])
@pytest.mark.parametrize("ln_b", [STEEL_LN_B, OTHER_LN_B])
def test_the_place_is_told_on_any_set_stiffer_or_softer_as_a_whole(ln_b: tuple[float, ...], offset: float) -> None:
    """A9 and its fourths at two places each: the same pitches, and only the strings differ."""
    told = 0
    places = [
        ((None, 7, 7, 6, 8, None), (12, 12, 11, 13, None, None)),
        ((None, 5, 5, 5, None, None), (10, 10, 10, None, None, None)),
    ]
    for one, other in [pair for two in places for pair in (two, two[::-1])]:
        evidence = strum(one, ln_b=tuple(each + offset for each in ln_b))
        frets = np.array([[-1 if fret is None else fret for fret in shape] for shape in (one, other)], np.int8)
        right, wrong = weigh_together(frets, evidence, Fretboard(), SETS)
        told += right > wrong
    assert told >= 3


def test_a_note_measured_badly_has_next_to_no_say() -> None:
    frets = np.array([(-1, 7, 7, 6, 8, -1), (12, 12, 11, 13, -1, -1)], np.int8)
    sure, unsure = (
        weigh_together(frets, strum((None, 7, 7, 6, 8, None), sigma=sigma), Fretboard(), SETS) for sigma in (0.05, 2.0)
    )
    assert abs(unsure[0] - unsure[1]) < 0.2 * abs(sure[0] - sure[1])


def test_other_instruments_and_courses_get_no_opinion() -> None:
    evidence = strum((None, 7, 7, 6, 8, None))
    ukulele = Fretboard(parse_tuning("G4 C4 E4 A4"))
    twelve = find_instrument("twelve-string").fretboard()
    for neck in (ukulele, twelve):
        frets = np.zeros((3, neck.n_strings), np.int8)
        assert weigh_together(frets, evidence, neck, SETS).tolist() == [0.0, 0.0, 0.0]
    assert weigh_together(np.zeros((2, 6), np.int8), evidence, Fretboard(), ()).tolist() == [0.0, 0.0]


def test_it_says_where_and_never_which_notes() -> None:
    for frets in itertools.islice(itertools.product((None, 5), (5, 7), (5, 7), (6, 8), (None, 5), (None,)), 12):
        evidence = strum(frets)
        plain = fit_shapes(evidence, Fretboard())
        weighed = fit_shapes(evidence, Fretboard(), settings=FitSettings(string_sets=SETS))
        assert weighed.pitch_sets[0][0] == plain.pitch_sets[0][0]
        assert weighed.note_probabilities[0][1] == pytest.approx(plain.note_probabilities[0][1], abs=0.02)


def test_a_known_guitar_is_believed_instead() -> None:
    evidence = strum((None, 7, 7, 6, 8, None))
    known = FitSettings(guitar=make_set("mine", STEEL_LN_B))
    assert fit_shapes(evidence, Fretboard(), settings=replace(known, string_sets=SETS)) == fit_shapes(
        evidence, Fretboard(), settings=known
    )
