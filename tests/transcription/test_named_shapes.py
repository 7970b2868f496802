"""Name and shape that are read first belong together: the shape first sounds the name first, where one does."""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import PartEvidence, PitchEvidence, StrumEvidence, TimeSpan
from listen.instrument import STANDARD, Fretboard, Shape, best_fingering, parse_shape
from listen.reading import ShapeReading, Shares
from listen.theory import Pitch, parse_chord
from listen.transcription import PartSettings
from listen.transcription.named_shapes import OTHERS_SHARE, put_held_first, rank_named_first, sounds_named
from listen.transcription.part import read_part_evidence
from listen.transcription.string_sets import fit_held, fit_strum
from listen.voicing import FitSettings
from tests.transcription.written_strokes import EM, C, hear_bars, hear_strokes

NECK = Fretboard()
SAID = {  # what each side says for a shape; what is told is the difference from a rival
    "320033": Shares(5.0, -1.0, 4.0, -2.0),
    "3x0033": Shares(5.5, -1.5, 2.0, 0.0),
    "355033": Shares(1.0, -4.0, 0.5, 0.0),
    "355433": Shares(1.0, -4.0, 0.5, 0.0),
    "310033": Shares(4.5, -2.0, 1.0, -2.5),
}


def list_shapes(*texts: str) -> tuple[ShapeReading, ...]:
    """Lay out shapes as the fit does: each against the best, the best against the second."""
    frets = [tuple(None if char == "x" else int(char) for char in text) for text in texts]
    pitches = [set(Shape(one).pitches(NECK)) - {None} for one in frets]
    return tuple(
        ShapeReading(
            Shape(one),
            best_fingering(Shape(one), NECK),
            0.4 - 0.1 * place,
            subtract(SAID[texts[place]], SAID[texts[0 if place else 1]]),
            tuple(other for other, own in enumerate(pitches) if other != place and own == pitches[place]),
        )
        for place, one in enumerate(frets)
    )


def subtract(one: Shares, rival: Shares) -> Shares:
    return Shares(one.ear - rival.ear, one.hand - rival.hand, one.book - rival.book, one.stroke - rival.stroke)


def read_g5(*texts: str) -> list[str]:
    return [one.shape.text for one in rank_named_first(list_shapes(*texts), parse_chord("G5"), NECK)]


def test_the_shape_that_sounds_the_name_comes_first_and_the_others_keep_their_order() -> None:
    assert read_g5("320033", "310033", "3x0033", "355033") == ["3x0033", "320033", "310033", "355033"]
    assert read_g5("3x0033", "320033", "355033") == ["3x0033", "320033", "355033"]


def test_the_order_stays_where_no_shape_sounds_the_name() -> None:
    shapes = list_shapes("320033", "310033")
    assert rank_named_first(shapes, parse_chord("G5"), NECK) == shapes
    assert rank_named_first(list_shapes("3x0033", "320033"), parse_chord("G5/D"), NECK)[0].shape.text == "3x0033"


def test_what_is_told_of_a_shape_follows_it_to_its_new_place() -> None:
    before, after = ("320033", "310033", "3x0033", "355033"), ("3x0033", "320033", "310033", "355033")
    ranked = rank_named_first(list_shapes(*before), parse_chord("G5"), NECK)
    assert [one.why for one in ranked] == [
        subtract(SAID[text], SAID[after[0 if place else 1]]) for place, text in enumerate(after)
    ]
    for place, one in enumerate(ranked):
        mine = set(one.shape.pitches(NECK)) - {None}
        same = {other for other, shape in enumerate(ranked) if set(shape.shape.pitches(NECK)) - {None} == mine}
        assert set(one.same_sound) == same - {place}


def test_what_a_hand_holds_for_the_chord_goes_before_what_just_sounds() -> None:
    shapes = list_shapes("310033", "3x0033")
    held = list_shapes("320033", "355433")
    ranked = put_held_first(shapes, held, parse_chord("G"), NECK)
    assert [one.shape.text for one in ranked] == ["320033", "355433", "310033", "3x0033"]
    assert sum(one.probability for one in ranked[:2]) == pytest.approx(1.0 - OTHERS_SHARE)
    assert put_held_first(shapes, held, parse_chord("C"), NECK) == shapes
    brushed = tuple(replace(one, brushed=(0,)) for one in held)
    assert put_held_first(shapes, brushed, parse_chord("G"), NECK) == shapes


@pytest.mark.parametrize(("sounds", "shape", "silent"), [(EM[:1] + EM[2:], "022000", (1,)), (EM, "022000", ())])
def test_a_string_that_is_never_heard_is_still_held(
    sounds: tuple[int, ...], shape: str, silent: tuple[int, ...]
) -> None:
    stretches, strokes = hear_strokes((sounds,) * 4 + (C,) * 4 + (sounds,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 6.5), tuple(strokes), tuple(stretches))
    span = read_part_evidence(heard, settings=PartSettings(tuning=STANDARD, capo_fret=0)).spans[0]
    assert span.name is not None
    assert span.name.text == "Em"
    assert span.shape is not None
    assert (span.shape.shape.text, span.shape.silent) == (shape, silent)
    assert [note.pitch.midi for note in span.notes] == list(sounds)


def test_a_shell_that_sounds_all_its_strings_is_held_as_it_sounds() -> None:
    g7, cmaj7 = (43, 53, 59), (48, 59, 64)
    stretches, strokes = hear_strokes((g7,) * 4 + (cmaj7,) * 4 + (g7,) * 4 + (cmaj7,) * 4)
    heard = PartEvidence(TimeSpan(0.0, 8.5), tuple(strokes), tuple(stretches))
    spans = read_part_evidence(heard, settings=PartSettings(tuning=STANDARD, capo_fret=0)).spans
    assert [span.name.text for span in spans if span.name] == ["G7", "Cmaj7"] * 2
    assert [span.shape.shape.text for span in spans if span.shape] == ["3x34xx", "x3x45x"] * 2
    assert [[note.pitch.midi for note in span.notes] for span in spans] == [list(g7), list(cmaj7)] * 2
    assert not any(span.shape.silent for span in spans if span.shape)


@pytest.mark.parametrize(
    ("text", "chord", "is_named"),
    [
        ("x32310", "C7", True),
        ("3x34xx", "G7", True),
        ("3x34xx", "G", False),  # F is not of it
        ("x32xxx", "C", False),  # a third is no triad
        ("x-0-11-0-x-x", "A7", False),  # in no book
        ("x32310", "C7/G", False),
        ("x32552", "Cadd#11", False),  # its raised eleventh would pass for a flat fifth
        ("xx2354", "Eadd#11", False),
    ],
)
def test_a_shape_of_the_book_is_a_chord_without_a_fifth_that_it_may_lose(text: str, chord: str, is_named: bool) -> None:
    parts = text.split("-") if "-" in text else list(text)
    shape = Shape(tuple(None if part == "x" else int(part) for part in parts))
    assert sounds_named(shape, parse_chord(chord), NECK) is is_named


@pytest.mark.parametrize(("capo_fret", "n_otherwise"), [(0, 0), (1, 1)])
def test_a_shape_that_is_not_its_name_over_a_capo_that_was_told_is_said_to_be(capo_fret: int, n_otherwise: int) -> None:
    """Open strings sound in F6 over 100033, and over the capo no hand reaches what they sound."""
    held = tuple(pitch.midi for pitch in parse_shape("100033").pitches(NECK) if pitch)
    settings = PartSettings(tuning=STANDARD, capo_fret=capo_fret, metre=(4, 4))
    part = read_part_evidence(hear_bars((*(held,) * 8, *(C,) * 8)), settings=settings)
    otherwise = []
    for span in part.spans:
        assert span.name is not None
        assert span.shape is not None
        lowest = min(pitch for pitch in span.shape.shape.pitches(part.fretboard) if pitch is not None)
        if lowest.pitch_class != span.name.chord.sounding_bass.pitch_class:
            otherwise.append(span.remark)
        else:
            assert span.remark == ""
    assert len(otherwise) == n_otherwise
    for remark in otherwise:
        assert remark.startswith("The shape 44467x has A2 in the bass, but what was heard is ")
        assert remark.endswith("which has F there: no hand over capo 1 was found that holds it.")


def test_a_picked_pattern_leaves_out_what_it_likes_of_a_usual_shape() -> None:
    """C/E of which a pattern picked four strings was 0-10-5-5-5-x."""
    midis = {pitch.midi for pitch in parse_shape("0xx010").pitches(NECK) if pitch is not None}
    heard = tuple(
        PitchEvidence(Pitch(midi), 5.0 if midi in midis else -5.0, 4.0 if midi == min(midis) else -4.0)
        for midi in range(36, 84)
    )
    evidence, chord = StrumEvidence(TimeSpan(0.0, 2.0), heard), parse_chord("C/E")
    as_sounded = fit_strum(evidence, NECK, settings=FitSettings()).shapes
    for is_picked in (True, False):
        held = fit_held(evidence, NECK, settings=FitSettings(), is_picked=is_picked).shapes
        shapes = put_held_first(as_sounded, held, chord, NECK)
        assert (shapes[0].shape == parse_shape("032010")) == is_picked
