"""Requests as a person types them, asked without a terminal."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile

from listen.document import change_settings, write_part
from listen.errors import BadValueError
from listen.instrument import Fretboard, Hand, parse_shape, parse_tuning
from listen.reading import Correction, Pin, Settled
from listen.request import (
    FilterWords,
    PartAsked,
    ShapesRequest,
    ShapesShown,
    arrange_shapes,
    ask_settings,
    judge_guess,
    parse_filters,
    parse_fretboard,
    render_part_file,
    render_strings,
)
from listen.request.said_of_events import settle_said
from listen.theory import parse_chord
from listen.transcription import PartSettings
from tests.hand_made_parts import Scene, straight_part


def _request(chord: str, *, by: str = "", as_map: bool = False) -> ShapesRequest:
    return ShapesRequest(
        chord=parse_chord(chord),
        pitches=(),
        compared=(),
        fretboard=Fretboard(),
        hand=Hand(),
        filters=parse_filters(FilterWords(), Fretboard()),
        shown=ShapesShown(by, as_map),
    )


def test_a_map_of_a_chord_marks_every_tone_of_it_and_nothing_else() -> None:
    diagram = arrange_shapes(_request("G", as_map=True), n_shapes=1).map
    assert diagram is not None
    opened = Fretboard().open_pitches
    tones = {(opened[mark.string_index].midi + mark.fret) % 12 for mark in diagram.marks}
    assert tones == {7, 11, 2}  # G B D (common practice, no source)


def test_two_ways_of_looking_at_once_are_refused() -> None:
    with pytest.raises(BadValueError, match="--map and --compare are different ways"):
        replace(_request("G", as_map=True), compared=(parse_chord("Gm"),))


def test_shapes_of_a_group_are_laid_over_a_neck_of_their_own() -> None:
    view = arrange_shapes(_request("G", as_map=True, by="string-set"), n_shapes=3)
    assert [group.title for group in view.groups][:2] == ["Strings 6-5-4", "Strings 5-4-3"]
    for group in view.groups:
        assert group.map is not None
        held = {
            (index, fret)
            for card in group.cards
            for index, fret in enumerate(parse_shape(card.frets).frets)
            if fret is not None
        }
        assert {(m.string_index, m.fret) for m in group.map.marks if "elsewhere" not in m.form} == held


def test_a_map_of_some_strings_leaves_the_others_silent() -> None:
    filters = parse_filters(FilterWords(strings="4-2"), Fretboard())
    diagram = arrange_shapes(replace(_request("G", as_map=True), filters=filters), n_shapes=1).map
    assert diagram is not None
    assert {mark.string_index for mark in diagram.marks} == {2, 3, 4}
    assert diagram.unplayed == (0, 1, 5)


def test_an_altered_chord_has_a_group_for_each_of_its_ninths_and_fifths() -> None:
    titles = [group.title for group in arrange_shapes(_request("C7alt", by="inversion"), n_shapes=1).groups]
    assert titles == [
        "Root position, C in the bass",
        "First inversion, E in the bass",
        "Second inversion, G♯ in the bass",
        "Second inversion, G♭ in the bass",
        "Third inversion, B♭ in the bass",
        "The ♯9 in the bass, D♯",
        "The ♭9 in the bass, D♭",
    ]


def test_every_half_of_a_picked_pattern_is_heard_on_strings() -> None:
    scene = Scene()
    scene.chord("C", "x32010")
    scene.pick(1, [(6 * step, "5432"[step % 4]) for step in range(8)])
    part = scene.part(1)
    start_s, end_s = part.bars.lines_s
    middle_s = (start_s + end_s) / 2
    for stretch in ((start_s, middle_s), (middle_s, end_s)):
        samples, rate_hz = soundfile.read(io.BytesIO(render_strings(part, *stretch)))
        eighths = np.split(samples[: 4 * (len(samples) // 4)], 4)
        assert len(samples) == round((stretch[1] - stretch[0]) * rate_hz)
        assert min(abs(eighth).max() for eighth in eighths) > 0.1  # a note is picked in each


def test_what_is_told_becomes_settings() -> None:
    settings = ask_settings(
        PartAsked(capo=2, metre="3/4", tempo=90.0, pins=("5.3=x32010",), names=("4=Am7",)),
        keep=None,
        written=[],
        start_s=0.0,
        file="x.wav",
    )
    assert (settings.capo_fret, settings.metre, settings.tempo_bpm) == (2, (3, 4), 90.0)
    assert [pin.text for pin in settings.pins] == ["5.3=x32010"]
    assert {one.what for one in settings.corrections} == {"capo", "metre", "tempo", "name"}


def test_an_instrument_named_as_a_tuning_comes_with_its_own_neck() -> None:
    assert parse_fretboard("ukulele", 0).n_strings == 4


@pytest.mark.parametrize("suffix", [".musicxml", ".mid", ".csv", ".lab", ".tab", ".svg"])
def test_a_part_is_rendered_in_the_form_that_an_ending_names(suffix: str) -> None:
    assert len(render_part_file(straight_part(), "part.json", suffix)) > 40


@pytest.mark.parametrize(
    ("guess", "is_right", "said"),
    [
        ("{name}", True, "Yes"),
        ("{root}dim", False, "root is right"),
        ("F#7b9", False, "tones"),
    ],
)
def test_a_guess_is_told_what_is_right_about_it(guess: str, is_right: bool, said: str) -> None:
    part = straight_part()
    name = part.spans[0].name
    assert name is not None
    right, words = judge_guess(part, 0, guess.format(name=name.chord.text, root=name.chord.root))
    assert (right, said in words) == (is_right, True), words
    if not right:
        assert name.chord.text not in words


def test_another_bass_is_said_and_not_given_away() -> None:
    part = straight_part()
    name = part.spans[0].name
    assert name is not None
    third = name.chord.notes[1]
    right, words = judge_guess(part, 0, f"{name.chord.root}{name.chord.quality.symbol}/{third}")
    assert (right, words) == (False, "The chord is right; another note of it is in the bass.")


def test_names_by_event_and_by_bar_and_beat_are_settled_where_they_were_told() -> None:
    asked = PartAsked(names=("1=Am", "13.1=N.C.", "12.2.5=B7"))
    told = ask_settings(asked, keep=None, written=[], start_s=0.0, file="x.wav").corrections
    assert [(one.event_number, one.bar, one.beat) for one in told] == [
        (1, None, 1),
        (None, 13, 1),
        (None, 12, Fraction(5, 2)),
    ]
    assert [one.text for one in told] == ["1=Am", "13.1=N.C.", "12.2.5=B7"]


def test_a_name_told_again_takes_the_place_of_the_one_that_is_kept_for_that_beat(tmp_path: Path) -> None:
    part = straight_part()
    told = (
        Correction("name", "D", bar=2),
        Correction("name", "G", bar=2, beat=Fraction(3)),
        Correction("name", "C", 2),
    )
    document = write_part(replace(part, settled=replace(part.settled, corrections=told)), tmp_path / "a.json")
    asked = PartAsked(names=("2.3=Em",))
    kept = ask_settings(
        asked, keep=document, written=[], start_s=part.recording.span.start_s, file=straight_part().recording.file
    ).corrections
    assert [one.text for one in kept] == ["2.1=D", "2=C", "2.3=Em"]


def test_a_note_that_does_not_sound_may_have_a_space_before_its_minus() -> None:
    (told,) = settle_said(PartAsked(said=(("note", "1= -G3"),)), straight_part(), PartSettings()).corrections
    assert (told.what, told.value.split()[0]) == ("no note", "G3")


def test_over_a_capo_no_note_sounds_below_its_open_strings() -> None:
    part = replace(straight_part(), fretboard=Fretboard(capo_fret=3))
    with pytest.raises(BadValueError, match="in this tuning with capo 3, E2 to B5"):  # as the hand calls them
        settle_said(PartAsked(said=(("bass", "1=D2"),)), part, PartSettings())
    (bass,) = settle_said(PartAsked(said=(("bass", "1=E2"),)), part, PartSettings()).corrections
    assert bass.value.split()[0] == "G2"
    assert settle_said(PartAsked(said=(("note", "1=-D2"),)), part, PartSettings()).corrections


def test_a_bass_told_again_takes_the_place_of_the_one_that_is_kept() -> None:
    part = straight_part()
    once = settle_said(PartAsked(said=(("bass", "1=E2"),)), part, PartSettings())
    twice = settle_said(PartAsked(said=(("bass", "1=A2"),)), part, once)
    assert [one.value.split()[0] for one in twice.corrections] == ["A2"]


@pytest.mark.parametrize("name", ["a.json", "a.JSON"])
def test_what_was_settled_in_another_recording_is_carried_over_only_when_asked(tmp_path: Path, name: str) -> None:
    part = straight_part()
    settled = Settled(corrections=(Correction("title", "Song A"),))
    document = tmp_path / name
    write_part(replace(part, recording=replace(part.recording, file="a.wav"), settled=settled), document)
    with pytest.raises(BadValueError, match=rf"{name} holds what was settled in a\.wav, and b\.wav is another"):
        ask_settings(PartAsked(), keep=None, written=[document], start_s=0.0, file="takes/b.wav")
    for keep, file in ((None, "takes/a.wav"), (document, "takes/b.wav")):
        kept = ask_settings(PartAsked(), keep=keep, written=[document], start_s=0.0, file=file)
        assert [one.value for one in kept.corrections] == ["Song A"]


@pytest.mark.parametrize("note", ["C8", "F6", "G1", "C0"])
def test_a_note_that_no_ear_here_knows_is_refused(note: str) -> None:
    asked = PartAsked(said=(("note", f"1={note}"),))
    with pytest.raises(BadValueError, match="a note from A1 to E6"):
        settle_said(asked, straight_part(), PartSettings())


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (PartAsked(said=(("section", "999=Verse"),)), "section=999=Verse"),
        (PartAsked(said=(("lyrics", "999=la"),)), "lyrics=999=la"),
        (PartAsked(said=(("lyrics", "99.1=la"),)), "The lyrics 99.1=la point to no event: the part has"),
        (PartAsked(said=(("section", "1=A"), ("section", "1.1=B"))), "You gave 1=A, too"),
        (PartAsked(said=(("note", "1=G3"), ("note", "1=-G3"))), "note=1=-G3 is not possible: it takes one word"),
        (PartAsked(said=(("note", "1=-G3"), ("bass", "1=G3"))), "You gave --note 1=-G3, too"),
        (PartAsked(said=(("bass", "1=E2"), ("bass", "1=F2"))), "You gave --bass 1=E2, too"),
        (PartAsked(said=(("bass", "1=C2"),)), "what the strings can sound in this tuning, E2 to"),
        (PartAsked(said=(("note", "1=D#2"),)), "tell the tuning first"),
        (PartAsked(said=(("bass", "1=-G3"),)), "Write --note 1=-G3 for a note that does not sound"),
    ],
)
def test_what_no_part_can_take_is_refused(asked: PartAsked, said: str) -> None:
    with pytest.raises(BadValueError, match=re.escape(said)):
        settle_said(asked, straight_part(), PartSettings())


def test_a_part_is_read_in_the_tuning_that_is_kept_unless_that_is_standard() -> None:
    def ask(asked: PartAsked) -> PartSettings:
        return ask_settings(asked, keep=None, written=[], start_s=0.0, file="x.wav")

    assert ask(PartAsked()).tuning is None
    change_settings({"tuning": "DADGAD"})
    assert ask(PartAsked()).tuning == parse_tuning("DADGAD")
    assert ask(PartAsked(tuning="standard")).tuning == parse_tuning("standard")


def test_over_a_capo_the_neck_says_what_the_hand_plays() -> None:
    request = replace(_request("G"), fretboard=Fretboard(capo_fret=3))
    assert arrange_shapes(request, n_shapes=1).words.endswith("Over the capo at fret 3 the hand plays E.")
    row = replace(request, chord=None, progression=(parse_chord("C"), parse_chord("Am")))
    assert "the hand plays A, F♯m." in arrange_shapes(row, n_shapes=1).words
    assert "hand plays" not in arrange_shapes(_request("G"), n_shapes=1).words


def test_what_goes_on_from_a_kept_part_is_told_from_what_is_given_now(tmp_path: Path) -> None:
    document, pin = tmp_path / "a.json", Pin(parse_shape("x32010"), bar=2)
    write_part(replace(straight_part(), settled=Settled((pin,))), document)
    start_s = straight_part().recording.span.start_s
    asked = PartAsked(pins=("3.1=x32010",))
    settings = ask_settings(asked, keep=document, written=[], start_s=start_s, file=straight_part().recording.file)
    assert ([one.text for one in settings.pins], settings.kept) == (["2.1=x32010", "3.1=x32010"], (pin,))


def test_a_kept_tuning_is_written_down_and_leaves_kept_documents_alone(tmp_path: Path) -> None:
    document = tmp_path / "a.json"
    write_part(straight_part(), document)
    change_settings({"tuning": "ukulele"})
    asked = ask_settings(PartAsked(), keep=document, written=[], start_s=0.0, file=straight_part().recording.file)
    assert asked.tuning is None
    fresh = ask_settings(PartAsked(), keep=None, written=[], start_s=0.0, file="x.wav")
    assert [(one.what, one.value) for one in fresh.corrections] == [("tuning", "ukulele")]
