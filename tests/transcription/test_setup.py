"""Capo and tuning, inferred from the chords of a part; what was heard is written by hand.

Which shapes players hold is common practice (no source): open forms of G, D, C and E minor, under a capo or without.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from listen.evidence import PartEvidence, PitchEvidence, StrumEvidence, TimeSpan
from listen.instrument import STANDARD, Fretboard, parse_shape, parse_tuning
from listen.reading import SetupHypothesis
from listen.theory import Pitch
from listen.transcription.chord_kinds import ChordKind
from listen.transcription.part import read_part_evidence
from listen.transcription.part_settings import PartSettings
from listen.transcription.setup import rank_setups, tell_retuned
from tests.transcription.written_strokes import hear_strokes


def _sound(shapes: str, board: Fretboard, *, ringing: int | None = None) -> list[ChordKind]:
    """Return the kinds of chord that shapes sound on a board, the second with a string that rang over into it."""
    kinds = []
    for place, text in enumerate(shapes.split()):
        midis = {pitch.midi for pitch in parse_shape(text).pitches(board) if pitch is not None}
        heard = tuple(
            PitchEvidence(Pitch(midi), 5.0 if midi in midis else -7.0, 3.0 if midi == min(midis) else -5.0)
            for midi in range(36, 84)
        )
        evidence = StrumEvidence(TimeSpan(0.0, 2.0), heard)
        rung = (ringing,) if ringing is not None and place == 1 else ()
        kinds.append(ChordKind(frozenset(midis), evidence, 8.0, rung))
    return kinds


def _infer(kinds: list[ChordKind], settings: PartSettings | None = None) -> SetupHypothesis:
    return rank_setups(kinds, settings=settings or PartSettings(), tuning_offset_cents=12.0)[0]


def test_a_capo_is_inferred_from_chords_that_open_under_it_and_none_from_open_chords() -> None:
    assert _infer(_sound("320003 xx0232 x32010 022000", Fretboard(capo_fret=3))).text == "Capo 3"
    assert _infer(_sound("320003 xx0232 x32010 022000", Fretboard())).text == ""


@pytest.mark.parametrize("fret", [7, 9])
def test_a_capo_high_on_the_neck_is_inferred_too(fret: int) -> None:
    assert _infer(_sound("320003 xx0232 x32010 022000", Fretboard(capo_fret=fret))).text == f"Capo {fret}"


def test_barres_up_the_neck_are_no_capo_where_they_would_be_barres_of_open_chords_under_it() -> None:
    # common practice, no source: who puts a capo on the fifth fret holds G as 320003 there and D as xx0232
    assert _infer(_sound("577555 x57765 8-10-10-9-8-8 x-10-12-12-12-10", Fretboard())).text == ""
    assert _infer(_sound("022000 x02210 320003 xx0232", Fretboard(capo_fret=5))).text == "Capo 5"
    assert (
        _infer(_sound("x32010 133211 320003 x02210", Fretboard(capo_fret=2))).text == "Capo 2"
    )  # F is barred there, too


def test_a_lowered_tuning_is_inferred_from_notes_that_no_other_has() -> None:
    low = Fretboard(parse_tuning("half step down"))
    inferred = _infer(_sound("320003 xx0232 x32010 022000", low))
    assert inferred.text == "Tune down ½ step"
    assert "Eb2 lies below a guitar in standard tuning" in inferred.reasons


def test_power_chords_under_one_finger_are_drop_d_and_those_under_two_are_not() -> None:
    # common practice, no source: the sixth string is dropped so that one finger holds root, fifth and octave
    dropped = Fretboard(parse_tuning("drop D"))
    assert _infer(_sound("000xxx 333xxx 555xxx x355xx", dropped)).text == "Drop D"
    assert _infer(_sound("022xxx 355xxx 577xxx x577xx", Fretboard())).text == ""


@pytest.mark.parametrize(
    ("tuning", "shapes"),
    [
        ("open G", "x00000 x02010 x55555 x77777 x33333"),
        ("open D", "000000 555555 777777 020120"),
        ("DADGAD", "000000 000200 5x5200 7x7000"),
        ("double drop D", "000230 5x0000 x20000 x02222"),
    ],
)
def test_an_open_tuning_is_inferred_from_forms_that_it_has_of_its_own(tuning: str, shapes: str) -> None:
    """Common practice, no source: all strings open, one finger across them, and one or two beside that."""
    inferred = _infer(_sound(shapes, Fretboard(parse_tuning(tuning))))
    assert inferred.text.casefold() == tuning.casefold()


@pytest.mark.parametrize("shapes", ["x35553 x57775 x68886", "355433 577655 133211 8-10-10-9-8-8"])
def test_barres_of_a_guitar_are_no_fingers_across_an_open_tuning(shapes: str) -> None:
    """x55555 in open G sounds what x35553 does, 333333 in open D what 133211 does: only their open strings tell."""
    assert _infer(_sound(shapes, Fretboard())).text == ""


def test_two_chords_that_were_heard_as_one_do_not_decide() -> None:
    dropped = Fretboard(parse_tuning("drop D"))
    both = _sound("000xxx", dropped)[0], _sound("333xxx", dropped)[0]
    sums = both[0].pitches | both[1].pitches
    mixed = ChordKind(
        sums,
        replace(
            both[0].evidence,
            pitches=tuple(
                replace(one, log_odds=5.0 if one.pitch.midi in sums else -7.0) for one in both[0].evidence.pitches
            ),
        ),
        9.0,
        (),
    )
    assert _infer([*_sound("000xxx 333xxx 555xxx", dropped), mixed]).text == "Drop D"


def test_two_notes_tell_no_tuning() -> None:
    fifths = _sound("02xxxx x02xxx 13xxxx", Fretboard(parse_tuning("half step down")))
    low, *others = rank_setups(fifths[1:], settings=PartSettings(), tuning_offset_cents=0.0)
    assert (low.text, others) == ("", [])
    assert any(
        "lies below" in reason
        for one in rank_setups(fifths, settings=PartSettings(), tuning_offset_cents=0.0)
        for reason in one.reasons
    )  # a note that standard tuning has not says something


def test_open_strings_in_most_chords_are_a_reason_and_a_chance_one_is_none() -> None:
    assert (
        "open strings sound in 4 of 4 chords, two at least"
        in _infer(_sound("320003 x32010 022000 x02210", Fretboard(capo_fret=2))).reasons
    )
    closed = rank_setups(_sound("x7677x 5x455x x2122x", Fretboard()), settings=PartSettings(), tuning_offset_cents=0.0)
    assert not any("two at least" in reason for one in closed for reason in one.reasons)


def test_the_reasons_say_only_what_is_so() -> None:
    board = Fretboard(capo_fret=3)
    with_open_bass = _infer(_sound("022000 x32010 xx0232", board, ringing=board.open_pitches[0].midi))
    assert "the lowest note, G2, is an open string" in with_open_bass.reasons
    assert "open strings ring on while the hand changes (1 times)" in with_open_bass.reasons
    stopped_bass = _infer(_sound("x32010 320003 x32030", board))
    assert not any("lowest note" in reason or "ring on" in reason for reason in stopped_bass.reasons)


def test_what_a_player_told_is_not_inferred() -> None:
    told = _infer(_sound("320003 xx0232", Fretboard(capo_fret=3)), PartSettings(tuning=STANDARD, capo_fret=0))
    assert (told.told, told.probability, told.fretboard.capo_fret, told.tuning_offset_cents) == (True, 1.0, 0, 12.0)


@pytest.mark.parametrize("fret", [1, 2, 3, 5, 10])
def test_a_told_capo_moves_the_shapes_and_invents_no_tuning_that_keeps_them(fret: int) -> None:
    """Told capo 2 for C G Am F in open position was a guitar tuned down a step, and the names stayed."""
    open_part = _sound("x32010 320003 x02210 xx3211", Fretboard())
    settings = PartSettings(capo_fret=fret)
    lowest = Fretboard(capo_fret=fret).open_pitches[0]
    kinds = [kind for kind in open_part if min(kind.pitches) >= lowest.midi]
    setups = rank_setups(kinds, settings=settings, tuning_offset_cents=12.0)
    assert [one.text for one in setups] == [f"Capo {fret}"]
    assert tell_retuned(setups[0], settings, kinds) == ""


def test_under_a_told_capo_a_note_below_its_strings_is_of_another_tuning_and_that_is_said() -> None:
    dropped = Fretboard(parse_tuning("drop D"), capo_fret=2)
    kinds = _sound("000xxx 333xxx 555xxx x355xx", dropped)
    settings = PartSettings(capo_fret=2)
    setup = rank_setups(kinds, settings=settings, tuning_offset_cents=12.0)[0]
    assert setup.text == "Drop D, Capo 2"
    assert tell_retuned(setup, settings, kinds) == (
        "E2 lies below a guitar in standard tuning with capo 2, so the tuning is thought to be another (drop D): "
        "give the tuning, or another capo, if that is wrong."
    )


def test_that_there_is_no_capo_says_nothing_of_the_tuning() -> None:
    low = Fretboard(parse_tuning("half step down"))
    assert _infer(_sound("320003 xx0232 x32010 022000", low), PartSettings(capo_fret=0)).text == "Tune down ½ step"


@pytest.mark.parametrize(
    ("instrument", "chords", "names"),
    [
        ("ukulele", ((60, 64, 67, 72), (60, 65, 69), (62, 67, 71)), {"C", "F", "G"}),  # 0003, 2010, 0232
        ("mandolin", ((55, 62, 71, 79), (55, 64, 72, 76), (57, 62, 69, 78)), {"G", "C/G", "D/A"}),  # 0023, 0230, 2002
    ],
)
def test_a_part_on_fewer_strings_than_six_is_read(
    instrument: str, chords: tuple[tuple[int, ...], ...], names: set[str]
) -> None:
    """Forms are common practice, no source. The book of six strings has nothing to say of the capo of such a neck."""
    stretches, strokes = hear_strokes(tuple(chord for chord in chords * 3 for _ in range(4)))
    heard = PartEvidence(TimeSpan(0.0, 18.0), tuple(strokes), tuple(stretches))
    part = read_part_evidence(heard, settings=PartSettings(tuning=parse_tuning(instrument)))
    assert part.fretboard.tuning.name == instrument
    assert {span.name.text for span in part.spans if span.name is not None} == names
    if instrument == "ukulele":
        assert [span.shape.shape.text for span in part.spans[:3] if span.shape is not None] == ["0003", "2010", "0232"]
