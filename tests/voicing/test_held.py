"""What is held apart from what sounds: careless strokes are forgiven, deliberate grips are not bent."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from listen.evidence import StrumEvidence
from listen.harmony import rank_names_of_sets
from listen.instrument import Fretboard, Shape, find_instrument, parse_shape, parse_tuning
from listen.theory import Pitch
from listen.voicing import Fit, FitSettings, StrokePrices, fit_shapes
from listen.voicing.as_played import DRONE_NATS, OPEN_FIFTH_NATS, _weigh_ringing
from listen.voicing.fit import _count_as_one
from listen.voicing.hypotheses import WeighedShapes
from listen.voicing.strokes import _price, find_silent, weigh_rise
from listen.voicing.weigh_fretboards import weigh_fretboards
from tests.voicing.test_fit import hear, sound

SETTINGS = FitSettings(strokes=StrokePrices())


def hear_on_its_strings(shape: str) -> StrumEvidence:
    frets = Shape(tuple(None if sign == "x" else int(sign) for sign in shape))
    strings = {pitch.name: string for string, pitch in enumerate(frets.pitches(Fretboard())) if pitch is not None}
    return hear(sound(shape), strings=strings)


def fit(shape: str) -> Fit:
    return fit_shapes(hear_on_its_strings(shape), Fretboard(), settings=SETTINGS)


def name(fit: Fit) -> str:
    return rank_names_of_sets(fit.held_sets)[0].text


def with_rise(evidence: StrumEvidence, pitch: str, rise_db: float) -> StrumEvidence:
    wanted = Pitch.parse(pitch)
    return replace(
        evidence,
        pitches=tuple(replace(one, rise_db=rise_db) if one.pitch == wanted else one for one in evidence.pitches),
    )


@pytest.mark.parametrize(
    ("sounded", "held", "silent", "called"),
    [("x3x010", "x32010", (2,), "C"), ("xx2210", "x02210", (1,), "Am"), ("0x2100", "022100", (1,), "E")],
)
def test_a_string_of_an_open_chord_that_did_not_sound_is_said_and_the_name_stays(
    sounded: str, held: str, silent: tuple[int, ...], called: str
) -> None:
    found = fit(sounded)
    assert found.shapes[0].shape.text == held
    assert found.shapes[0].silent == silent
    assert found.shapes[0].sounded.text == sounded
    assert name(found) == called


@pytest.mark.parametrize(
    ("tuning", "shape"), [("open G", "x00000"), ("open G", "x55555"), ("DADGAD", "000200"), ("open D", "020120")]
)
def test_in_an_open_tuning_what_is_open_or_under_one_finger_is_held_so(tuning: str, shape: str) -> None:
    """A form of the tuning's own is left as it is played, its sixth string left out or not: no 570000 for x00000."""
    board = Fretboard(parse_tuning(tuning))
    heard = hear({pitch.name: 6.0 for pitch in parse_shape(shape).pitches(board) if pitch is not None})
    assert fit_shapes(heard, board, settings=SETTINGS).shapes[0].shape.text == shape


@pytest.mark.parametrize(
    ("shape", "called"),
    [
        ("x355xx", "C5"),
        ("133xxx", "F5"),
        ("577xxx", "A5"),
        ("xx776x", "Dm/A"),
        ("xx555x", "C/G"),
        ("3x0033", "G5"),
        ("xx0235", "D5"),
        ("x022xx", "A5"),
        ("022033", "Em7"),
        ("x32033", "Cadd9"),
        ("320033", "G"),
        ("xx0233", "Dsus4"),
        ("x02200", "Asus2"),
        ("x20033", "G/B"),
    ],
)
def test_deliberate_grips_are_named_as_they_are_played(shape: str, called: str) -> None:
    found = fit(shape)
    assert found.shapes[0].silent == ()
    assert name(found) == called


def test_what_the_hand_may_have_held_has_no_say_in_which_notes_sound() -> None:
    for shape in ("x3x010", "xx023x", "x355xx", "x32010"):
        evidence = hear_on_its_strings(shape)
        whole = fit_shapes(evidence, Fretboard())
        held = fit_shapes(evidence, Fretboard(), settings=SETTINGS)
        assert dict(held.pitch_sets) == pytest.approx(dict(whole.pitch_sets), abs=0.01)
        assert dict(held.note_probabilities) == pytest.approx(dict(whole.note_probabilities), abs=0.01)


def test_a_third_that_stands_faintly_out_of_the_noise_speaks_for_the_triad_of_an_open_power_chord() -> None:
    bare = hear_on_its_strings("xx023x")
    absent = fit_shapes(with_rise(with_rise(bare, "F#4", 0.0), "F4", 0.0), Fretboard(), settings=SETTINGS)
    assert name(absent) == "D5"
    major, minor = (fit_shapes(with_rise(bare, third, 25.0), Fretboard(), settings=SETTINGS) for third in ("F#4", "F4"))
    assert name(major) == "D"
    said = {one.text: one.probability for one in rank_names_of_sets(minor.held_sets)}
    without = {one.text: one.probability for one in rank_names_of_sets(absent.held_sets)}
    assert said["Dm"] > 3.0 * max(said["D"], without["Dm"])


@pytest.mark.parametrize(("shape", "first", "second"), [("xx023x", "D", "D5"), ("xx578x", "G5", "G")])
def test_a_power_chord_one_string_short_of_an_open_triad_is_that_triad_first_and_up_the_neck_itself(
    shape: str, first: str, second: str
) -> None:
    """Ten of 68 recorded D and D minor chords of beginners sound xx023x (Osmalskyj et al. 2012)."""
    names = rank_names_of_sets(fit(shape).held_sets)
    assert [one.text for one in names[:2]] == [first, second]
    assert names[1].probability > 0.1


def test_hands_in_no_book_that_sound_the_same_do_not_outweigh_an_open_chord_together() -> None:
    """Four of 34 recorded E chords sound about these pitches (Osmalskyj et al. 2012); so do 07xx00 and 079900."""
    found = fit_shapes(hear(dict.fromkeys(("E2", "E3", "B3", "E4"), 6.0)), Fretboard(), settings=SETTINGS)
    assert [one.text for one in rank_names_of_sets(found.held_sets)[:2]] == ["E", "E5"]
    assert found.shapes[0].shape.text == "022100"


def test_hands_in_no_book_stay_as_likely_as_they_are_beside_one_of_the_book() -> None:
    scores, one_set = np.array([0.0, -1.0, -2.0]), np.zeros(3, np.intp)
    frets, nothing = np.zeros((3, 6), np.int8), np.zeros(3)

    def weigh(*unlisted: bool) -> np.ndarray:
        n = nothing
        shapes = WeighedShapes(frets, frets, np.ones(3, np.int32), n, n, n, n, n, n, np.array(unlisted))
        return np.exp(_count_as_one(scores, one_set, shapes))

    assert weigh(True, True, True).sum() == pytest.approx(1.0)
    assert weigh(True, True, False) == pytest.approx(np.exp(scores))


def test_a_third_on_two_strings_is_a_third_and_what_is_left_of_an_open_chord_on_more_is_that_chord() -> None:
    assert name(fit("x32xxx")) == "C–E, a major third"
    assert name(fit("x32x1x")) == "C"


def test_fifths_and_grips_with_ringing_open_strings_are_held_though_no_book_lists_them() -> None:
    assert name(fit("3x003x")) == "G5"
    fretboard = Fretboard()
    kinds = ["3x0033", "3x003x", "079900", "x76000", "3x0x33", "07x900", "350033", "3x0013"]
    frets = np.array([[-1 if sign == "x" else int(sign) for sign in shape] for shape in kinds], np.int8)
    opens = np.array([pitch.midi for pitch in fretboard.open_pitches])
    _, damped, _ = find_silent(frets >= 0)
    said = _weigh_ringing(frets, damped, opens)
    assert said.tolist() == [OPEN_FIFTH_NATS, OPEN_FIFTH_NATS, DRONE_NATS, DRONE_NATS, 0.0, 0.0, 0.0, 0.0]


def test_names_are_sums_over_the_hands_that_have_them() -> None:
    found = fit("x3x010")
    assert sum(probability for _, probability in found.held_sets) == pytest.approx(1.0, abs=0.01)
    listed = {reading.shape.text: reading.probability for reading in found.shapes}
    (first, probability), *_ = found.held_sets
    assert first == tuple(sorted(Pitch.parse(pitch) for pitch in sound("x32010")))
    assert probability >= listed["x32010"]


def test_a_rise_speaks_for_a_touched_string_the_more_the_higher_it_is() -> None:
    said = [weigh_rise(rise_db) for rise_db in (0.0, 5.0, 11.0, 18.0, 25.0, 35.0)]
    assert said == sorted(said)
    assert said[0] < 0.0 < said[-1]
    assert weigh_rise(None) == 0.0


def test_notes_that_no_string_has_end_no_reading() -> None:
    found = fit_shapes(hear({"E6": 6.0}), Fretboard(capo_fret=9, n_frets=12), settings=SETTINGS)
    assert found.shapes == ()
    assert found.pitch_sets[0][0] == (Pitch.parse("E6"),)


def test_what_a_stroke_leaves_out_costs_by_where_it_lies() -> None:
    """Held as the shape 022100: outer strings are missed, inner ones choked, and an open one rings by itself."""
    held, nothing = np.array([[0, 2, 2, 1, 0, 0]], np.int8), np.zeros((1, 6), bool)

    def price(*silent: int, brushed: int = 0) -> float:
        left = nothing.copy()
        left[0, list(silent)] = True
        beside = nothing.copy()
        beside[0, :brushed] = True
        return float(_price(held, left, beside, StrokePrices())[0])

    usual = StrokePrices()
    assert price() == 0.0
    assert price(5) == usual.high < price(0) == usual.low < price(3) == usual.inner
    assert price(4) == usual.inner + usual.open_inner, "an open string inside the chord is not choked by a finger on it"
    assert price(0, 1) == usual.low + usual.further
    assert price(0, 5) == usual.low + usual.high + usual.mixed
    assert price(3, brushed=2) == usual.inner + 2 * usual.brushed + usual.mixed


def test_a_setting_is_weighed_by_the_forms_that_it_gives() -> None:
    evidence, neck = hear(sound("022100")), Fretboard()
    seven = find_instrument("seven-string").fretboard()
    plain, capo = weigh_fretboards([evidence], [neck, replace(neck, capo_fret=2)])
    ahead = weigh_fretboards([evidence] * 2, [neck, neck], head_starts=[0.0, 1.5])
    assert ahead.tolist() == pytest.approx([2.0 * plain, 2.0 * plain + 1.5])
    (more_strings,) = weigh_fretboards([evidence], [seven])
    assert plain > capo + 5.0, "open E is no form over a capo"
    assert more_strings == pytest.approx(plain, abs=0.5), "a seventh string below takes nothing from the book's shapes"
