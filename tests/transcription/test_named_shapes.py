"""Name and shape that are read first belong together: the shape first sounds the name first, where one does."""

from __future__ import annotations

from listen.instrument import Fretboard, Shape, best_fingering
from listen.reading import ShapeReading, Shares
from listen.theory import parse_chord
from listen.transcription.named_shapes import rank_named_first

NECK = Fretboard()
SAID = {  # what each side says for a shape; what is told is the difference from a rival
    "320033": Shares(5.0, -1.0, 4.0, -2.0),
    "3x0033": Shares(5.5, -1.5, 2.0, 0.0),
    "355033": Shares(1.0, -4.0, 0.5, 0.0),
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
