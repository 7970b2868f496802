from __future__ import annotations

import itertools
import math
import random
import tracemalloc
from dataclasses import replace

import numpy as np
import pytest

from listen.evidence import PitchEvidence, StrumEvidence, TimeSpan
from listen.instrument import STANDARD, WIDE_HAND, Fretboard, Hand, Shape, Tuning, best_fingering, estimate_efforts
from listen.theory import Pitch
from listen.voicing import FitSettings, fit_shapes
from listen.voicing.book import grade_shapes
from listen.voicing.candidates import CANDIDATE_FLOOR
from listen.voicing.fit import UNHELD_COST, WITHIN_SET_TEMPERATURE
from listen.voicing.string_options import STRING_FLOOR

SPAN = TimeSpan(0.0, 1.0)


def hear(log_odds: dict[str, float], *, strings: dict[str, int] | None = None, quiet: float = -9.0) -> StrumEvidence:
    """Evidence by hand: named pitches as given, every other pitch from D2 to E6 quiet."""
    named = {Pitch.parse(name).midi: odds for name, odds in log_odds.items()}
    on_string = {Pitch.parse(name).midi: kind for name, kind in (strings or {}).items()}
    lowest = min((midi for midi, odds in named.items() if odds > 0), default=None)
    return StrumEvidence(
        SPAN,
        tuple(
            PitchEvidence(
                Pitch(midi),
                named.get(midi, quiet),
                4.0 if midi == lowest else -6.0,
                tuple(0.0 if kind == on_string[midi] else -8.0 for kind in range(6)) if midi in on_string else None,
            )
            for midi in range(38, 89)
        ),
    )


def sound(shape: str, odds: float = 6.0) -> dict[str, float]:
    frets = [None if char == "x" else int(char) for char in shape]
    return {pitch.name: odds for pitch in Shape(tuple(frets)).pitches(Fretboard()) if pitch is not None}


def test_an_open_form_is_found_from_its_notes_and_no_sure_note_is_dropped() -> None:
    fit = fit_shapes(hear(sound("x02220")), Fretboard())
    assert fit.shapes[0].shape.text == "x02220"
    assert fit.pitch_sets[0][0] == tuple(sorted(Pitch.parse(name) for name in sound("x02220")))
    assert all(probability > 0.9 for pitch, probability in fit.note_probabilities)


def test_the_string_that_was_heard_decides_between_two_places_of_the_same_notes() -> None:
    notes = {"E3": 6.0, "A3": 6.0, "C#4": 6.0}
    low = fit_shapes(hear(notes, strings={"E3": 1, "A3": 2, "C#4": 3}), Fretboard())
    high = fit_shapes(hear(notes, strings={"E3": 2, "A3": 3, "C#4": 4}), Fretboard())
    assert low.shapes[0].shape.text == "x776xx"
    assert high.shapes[0].shape.text == "xx222x"
    assert high.shapes[0].why.ear > 0


def test_shapes_with_the_same_pitches_point_at_each_other() -> None:
    fit = fit_shapes(hear({"E3": 6.0, "A3": 6.0, "C#4": 6.0}), Fretboard())
    assert len(fit.shapes) > 2
    for place, one in enumerate(fit.shapes):
        mine = set(one.shape.pitches(Fretboard())) - {None}
        for other_place, other in enumerate(fit.shapes):
            same = other_place != place and set(other.shape.pitches(Fretboard())) - {None} == mine
            assert (other_place in one.same_sound) == same


@pytest.mark.parametrize("notes", [("A2", "C#4", "F#4"), ("A2", "G3", "C#4", "F#4"), ("F#2", "A3", "D4", "F#4")])
def test_a_shape_is_offered_only_to_a_hand_that_can_hold_it(notes: tuple[str, ...]) -> None:
    # 5x2120 is a thumb shape: it stood second beside the open ones
    for hand in (Hand(), Hand(thumb=True)):
        fit = fit_shapes(hear(dict.fromkeys(notes, 6.0)), Fretboard(), settings=FitSettings(hand=hand, n_shapes=8))
        assert len(fit.shapes) > 2
        for reading in fit.shapes:
            held = best_fingering(reading.shape, Fretboard(), hand=hand)
            assert held.playable, reading.shape.text
            assert hand.thumb or "T" not in held.fingers


def test_a_shape_beyond_the_hand_is_told_where_it_is_all_that_was_heard() -> None:
    fit = fit_shapes(hear(sound("1x1342")), Fretboard(), settings=FitSettings(n_shapes=3))
    first = fit.shapes[0]
    assert (first.shape.text, first.fingering.playable) == ("1x1342", False)
    assert first.probability > 0.5


def test_with_the_book_closed_the_book_has_no_share() -> None:
    settings = FitSettings(book_weight=0.0)
    fit = fit_shapes(hear(sound("x32010")), Fretboard(), settings=settings)
    assert fit.shapes
    assert all(one.why.book == 0 for one in fit.shapes)


def test_a_capo_moves_the_frets_and_not_the_notes() -> None:
    evidence = hear(dict.fromkeys(("Eb3", "Bb3", "Eb4", "G4"), 6.0))
    fit = fit_shapes(evidence, Fretboard(capo_fret=1))
    assert fit.shapes[0].shape.text == "xx0232"


def test_more_notes_than_one_hand_holds_are_kept_without_a_shape() -> None:
    scale = dict.fromkeys(("E2", "F2", "F#2", "G2", "G#2", "E5", "F5", "F#5", "G5", "G#5"), 9.0)
    fit = fit_shapes(hear(scale), Fretboard())
    assert fit.shapes == ()
    assert len(fit.pitch_sets[0][0]) == len(scale)


def test_ten_strings_and_fourteen_doubtful_pitches_take_no_gigabytes() -> None:
    neck = Fretboard(Tuning("ten", tuple(Pitch(midi) for midi in (28, 33, 38, 43, 48, 53, 57, 62, 67, 72))))
    draw = random.Random(0)
    doubtful = {Pitch(midi).name: draw.uniform(-2.0, 1.0) for midi in draw.sample(range(38, 64), 14)}
    tracemalloc.start()
    try:
        fit = fit_shapes(hear(doubtful), neck, settings=FitSettings(margin_nats=5.0))
        _, most = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert fit.shapes
    assert most < 200e6  # 7 to 18 GB, when every pair of a partial shape and a choice stood in memory


def test_silence_gives_nothing_to_weigh() -> None:
    assert fit_shapes(hear({}), Fretboard()).shapes == ()


def test_a_course_of_two_strings_sounds_both_of_its_notes() -> None:
    octaves = Tuning("courses", STANDARD.open_strings, (12, 12, 12, 12, 0, 0))
    evidence = hear(dict.fromkeys(("A2", "A3", "E3", "E4"), 6.0))
    fit = fit_shapes(evidence, Fretboard(octaves))
    assert fit.shapes[0].shape.text in ("x02xxx", "x02xx0")


def _weigh_by_brute_force(
    evidence: StrumEvidence, neck: Fretboard, settings: FitSettings
) -> dict[tuple[int, ...], float]:
    """Score every shape of the neck whose pitches are candidates, one by one, from the documented formula."""
    heard = {one.pitch: one for one in evidence.pitches}
    scores: dict[tuple[int, ...], float] = {}
    strings: dict[tuple[int, ...], float] = {}
    sets: dict[tuple[int, ...], frozenset[Pitch]] = {}
    choices = [[-1, *range(neck.top_fret + 1)]] * neck.n_strings
    for frets in itertools.product(*choices):
        stopped = [(s, neck.pitch_at(s, fret)) for s, fret in enumerate(frets) if fret >= 0]
        if not stopped or any(pitch not in heard or heard[pitch].log_odds <= CANDIDATE_FLOOR for _, pitch in stopped):
            continue
        ear = sum(heard[pitch].log_odds for pitch in {pitch for _, pitch in stopped})
        strings[frets] = 0.0
        for string, pitch in stopped:
            said = heard[pitch].string_log_odds
            if said is not None and neck.n_strings == 6:
                strings[frets] += settings.string_weight * max(STRING_FLOOR, said[string] - max(said))
        sets[frets] = frozenset(pitch for _, pitch in stopped)
        bass = heard[min(pitch for _, pitch in stopped)].bass_log_odds
        ear -= settings.bass_weight * math.log1p(math.exp(-bass))
        row = np.array([frets], dtype=np.int8)
        hand = -settings.hand_weight * float(estimate_efforts(row, neck, hand=settings.hand)[0])
        scores[frets] = ear + hand + settings.book_weight * float(grade_shapes(row, neck.tuning)[0])
    for pitch_set in set(sets.values()):  # strings share a set's weight among its shapes and leave it as it is
        members = [frets for frets, one in sets.items() if one == pitch_set]
        before = math.log(sum(math.exp(scores[frets]) for frets in members))
        after = math.log(sum(math.exp(scores[frets] + strings[frets]) for frets in members))
        scores.update({frets: scores[frets] + strings[frets] + before - after for frets in members})
    return scores


def _pitch_set(frets: tuple[int, ...], neck: Fretboard) -> frozenset[Pitch | None]:
    return frozenset(neck.pitch_at(string, fret) for string, fret in enumerate(frets) if fret >= 0)


SMALL_NECKS = (
    Fretboard(Tuning("three", tuple(Pitch(midi) for midi in (45, 50, 55))), n_frets=7),
    Fretboard(Tuning("four", tuple(Pitch(midi) for midi in (55, 60, 64, 69))), n_frets=5),
    Fretboard(n_frets=4),
)


@pytest.mark.parametrize("neck", SMALL_NECKS, ids=lambda neck: neck.tuning.name)
@pytest.mark.parametrize("seed", range(6))
def test_the_bounded_search_agrees_with_brute_force_on_small_necks(neck: Fretboard, seed: int) -> None:
    rng = random.Random(seed)
    reachable = sorted({neck.pitch_at(s, f).name for s in range(neck.n_strings) for f in range(neck.top_fret + 1)})
    names = rng.sample(reachable, 9)
    evidence = hear(
        {name: rng.uniform(-4.0, 5.0) for name in names}, strings={name: rng.randrange(6) for name in names[:4]}
    )
    settings = replace(FitSettings(), n_shapes=200)
    scores = _weigh_by_brute_force(evidence, neck, settings)
    unheld = sum(max(0.0, one.log_odds) for one in evidence.pitches) - UNHELD_COST
    # both sides give the exact effort to every shape that is compared
    fit = fit_shapes(evidence, neck, settings=settings)
    shapes = {frets: Shape(tuple(None if fret < 0 else fret for fret in frets)) for frets in scores}
    for frets, shape in shapes.items():
        estimated = float(estimate_efforts(np.array([frets], dtype=np.int8), neck, hand=settings.hand)[0])
        exact = best_fingering(shape, neck, hand=settings.hand).effort
        if scores[frets] > max(scores.values()) - settings.margin_nats - 8:
            scores[frets] += settings.hand_weight * (estimated - exact)
    total = math.log(sum(math.exp(score) for score in [*scores.values(), unheld]))
    best = max(scores.values())
    in_set: dict[frozenset[Pitch | None], list[float]] = {}
    for frets, score in scores.items():
        in_set.setdefault(_pitch_set(frets, neck), []).append(score)
    for one in fit.shapes:
        frets = tuple(-1 if fret is None else fret for fret in one.shape.frets)
        alike = in_set[_pitch_set(frets, neck)]
        share = math.exp(scores[frets] / WITHIN_SET_TEMPERATURE) / sum(
            math.exp(score / WITHIN_SET_TEMPERATURE) for score in alike
        )
        assert one.probability == pytest.approx(share * sum(math.exp(score - total) for score in alike), abs=0.02)
    found = {tuple(-1 if fret is None else fret for fret in one.shape.frets) for one in fit.shapes}
    near = [frets for frets, score in scores.items() if frets not in found and score > best - 3.0]
    missed = [frets for frets in near if best_fingering(shapes[frets], neck, hand=settings.hand).playable]
    assert len(found) >= 1
    assert not missed


def test_the_hand_settings_reach_the_fit() -> None:
    notes = sound("x02220")
    wide = fit_shapes(hear(notes), Fretboard(), settings=FitSettings(hand=Hand(), hand_weight=0.0))
    assert wide.shapes
    assert all(one.why.hand == 0 for one in wide.shapes)


def test_a_shape_that_no_hand_holds_is_not_shown_though_its_strings_speak_for_it() -> None:
    board = Fretboard(capo_fret=7)
    strings = {"G#3": 0, "E3": 1, "C#4": 2, "E4": 3}  # 9042xx: the thumb seven frets above the index
    fit = fit_shapes(hear(dict.fromkeys(strings, 6.0), strings=strings), board)
    assert fit.shapes
    for reading in fit.shapes:
        assert best_fingering(reading.shape, board, hand=replace(WIDE_HAND, thumb=True)).playable
