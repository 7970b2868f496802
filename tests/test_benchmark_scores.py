"""The benchmark's own arithmetic, held to outside sources: scipy for intervals, mir_eval for tones and note counts."""

from __future__ import annotations

import numpy as np
import pytest

from tests.benchmarks.cases import RATE_HZ, Case, Truth
from tests.benchmarks.grips import DRONES, SONG_FORMS, SUSPENDED, WITHOUT_THIRD, parse_grip
from tests.benchmarks.hands import can_be_held, find_places, frets_to_pitches
from tests.benchmarks.people_scenes import make_peoples_scene
from tests.benchmarks.scores import (
    Rate,
    Scores,
    expected_calibration_error,
    label_is_right,
    note_precision_recall_f,
    score_case,
)
from tests.benchmarks.system import CRASHED, Answer, Named
from tests.benchmarks.vocabulary import QUALITIES, find_exact_readings

# Harte shorthand of the qualities that lie within the octave, for mir_eval's bitmaps (it leaves ninths out).
HARTE = {
    "major": "maj",
    "minor": "min",
    "dim": "dim",
    "aug": "aug",
    "sus2": "sus2",
    "sus4": "sus4",
    "6": "maj6",
    "m6": "min6",
    "7": "7",
    "maj7": "maj7",
    "m7": "min7",
    "mmaj7": "minmaj7",
    "m7b5": "hdim7",
    "dim7": "dim7",
}
SILENT = np.zeros(10, np.float32)


@pytest.mark.parametrize(("right", "asked"), [(0, 20), (19, 20), (20, 20), (143, 150), (1, 3)])
def test_bounds_agree_with_scipy(right: int, asked: int) -> None:
    from scipy.stats import binomtest

    wanted = binomtest(right, asked).proportion_ci(0.95, method="wilson")
    assert Rate(right, asked).bounds == pytest.approx((wanted.low, wanted.high), abs=1e-6)


@pytest.mark.parametrize(("quality", "harte"), HARTE.items())
def test_tones_agree_with_mir_eval(quality: str, harte: str) -> None:
    from mir_eval.chord import encode

    _, bitmap, _ = encode(f"C:{harte}")
    assert tuple(np.flatnonzero(bitmap)) == QUALITIES[quality]


def test_symmetrical_chords_have_all_their_readings() -> None:
    assert {root for root, _ in find_exact_readings(frozenset({0, 4, 8}))} == {0, 4, 8}
    assert {root for root, _ in find_exact_readings(frozenset({2, 5, 8, 11}))} == {2, 5, 8, 11}
    assert len(find_exact_readings(frozenset({0, 2, 7}))) == 2  # Csus2 and Gsus4


def test_notes_are_counted_as_mir_eval_counts_them() -> None:
    from mir_eval.multipitch import metrics

    frames = [((40, 47, 52), (40, 52, 55)), ((45, 52), (45, 52, 57)), ((50, 57, 62), ())]
    read = [Scores(len(set(a) & set(b)), len(b), len(a)) for a, b in frames]
    precision, recall, f = note_precision_recall_f(read)
    times = np.arange(len(frames), dtype=float)
    hertz = [
        [440.0 * 2.0 ** ((np.asarray(one, float) - 69) / 12) for one in side] for side in zip(*frames, strict=True)
    ]
    theirs = metrics(times, hertz[0], times, hertz[1])
    assert (precision, recall) == pytest.approx(theirs[:2])
    assert f == pytest.approx(2 * precision * recall / (precision + recall))


def test_a_label_needs_its_tones_and_its_bass() -> None:
    truth = Truth("chord", pitches=frets_to_pitches((None, 2, 0, 0, 0, 3)), root=7, quality="major")
    major = frozenset(QUALITIES["major"])
    assert label_is_right(Named(7, major, 11, 0.9, "G/B"), truth)
    assert not label_is_right(Named(7, major, 7, 0.9, "G"), truth)
    assert not label_is_right(Named(4, frozenset(QUALITIES["m7"]), 11, 0.9, "Em7/B"), truth)


def test_a_fifth_may_be_missing_from_a_label_but_no_third() -> None:
    without_fifth = Truth("chord", pitches=(48, 52, 58))
    without_third = Truth("chord", pitches=(48, 55, 58))
    seventh = Named(0, frozenset(QUALITIES["7"]), 0, 0.9, "C7")
    assert label_is_right(seventh, without_fifth)
    assert not label_is_right(seventh, without_third)


def test_a_crash_is_never_a_right_refusal() -> None:
    case = Case("noise", SILENT, RATE_HZ, Truth("nothing"))
    assert score_case(case, Answer("There is no chord here.")).marks["refused"]
    assert not score_case(case, Answer(f"{CRASHED}ValueError()")).marks["refused"]


def test_strings_are_counted_among_the_right_notes_only() -> None:
    frets = (None, 3, 2, 0, 1, 0)
    truth = Truth("chord", pitches=frets_to_pitches(frets), frets=frets, strings_known=True, root=0, quality="major")
    elsewhere = (8, 7, 5, 5, None, None)  # the same pitches but the highest, which was not heard
    notes = tuple((midi, 0.9) for midi in frets_to_pitches(elsewhere))
    scored = score_case(Case("C", SILENT, RATE_HZ, truth), Answer(None, notes, bass=48, shapes=((elsewhere, 0.9),)))
    assert scored.right_strings["book"] == (0, 4)
    assert not scored.marks["exact"]


def test_calibration_error_is_the_gap_between_said_and_true() -> None:
    said_too_much = [(0.95, True)] * 70 + [(0.95, False)] * 30
    assert expected_calibration_error(said_too_much) == pytest.approx(0.25)


@pytest.mark.parametrize("frets", [(None, 3, 2, 0, 1, 0), (1, 3, 3, 2, 1, 1), (None, 10, 12, 12, 11, None)])
def test_ordinary_shapes_can_be_held(frets: tuple[int | None, ...]) -> None:
    assert can_be_held(frets)
    assert frets in set(find_places(frets_to_pitches(frets)))


@pytest.mark.parametrize("frets", [(1, 7, None, None, None, None), (1, 2, 3, 4, 3, 4), (3, None, None, 5, 5, 3)])
def test_impossible_shapes_cannot_be_held(frets: tuple[int | None, ...]) -> None:
    assert not can_be_held(frets)


@pytest.mark.parametrize("grip", sorted({*DRONES, *SONG_FORMS, *SUSPENDED, *WITHOUT_THIRD} - {"022xx0"}))
def test_grips_that_are_asked_for_can_be_held(grip: str) -> None:
    assert can_be_held(parse_grip(grip))  # 022xx0 damps two inner strings, which is hard, and is asked for all the same


def test_a_hand_damps_the_strings_between_those_it_holds() -> None:
    forms = {grip: (parse_grip(grip), 0, "N", "") for grip in ("3x0033", "022xx0")}
    scene = make_peoples_scene(3, player="steady", pattern="eighths", forms=forms)
    inner = [(one, string) for one in scene.chords for string in range(1, 5) if one.frets[string] is None]
    assert {string for _, string in inner} == {1, 3, 4}
    for chord, string in inner:
        middle_s = 0.5 * (chord.start_s + chord.end_s)
        assert not [note for note in scene.notes if note.string == string and note.onset_s <= middle_s < note.end_s]
