"""Practice on chords of one's own: each is cut from its recording where it lies, and nothing else is asked."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
import soundfile

from listen.document import write_part
from listen.errors import BadValueError
from listen.evidence import TimeSpan
from listen.practice import RATE_HZ, Judgement, find_material
from listen.practice.render import render_bass
from listen.practice.root_position import find_root_position
from listen.reading import ConcertPitch, Part
from listen.request import (
    Asked,
    OwnMaterial,
    ask_ahead,
    ask_next,
    join_pieces,
    load_material,
    play_after,
    play_question,
)
from listen.theory import parse_chord
from tests.hand_made_parts import straight_part

NOW = datetime(2026, 3, 1, 18, 0, tzinfo=UTC)
FILE_RATE_HZ = 8_000


def _plain_part(*, later_s: float = 0.0) -> Part:
    """Em, G and D/F# in turn, surely named; their recording begins so many seconds before them."""
    part = straight_part()
    spans = [one for one in part.spans if one.name is not None and one.name.chord.text != "Cadd9"]
    moved = tuple(
        replace(one, span=TimeSpan(one.span.start_s + later_s, one.span.end_s + later_s), pinned=True) for one in spans
    )
    return replace(part, spans=moved)


def _write(part: Part, folder: Path, *, silent_s: float, lasts_s: float) -> Path:
    """Write a part and its recording: silence, then noise."""
    noise = 0.1 * np.random.default_rng(1).standard_normal(round(lasts_s * FILE_RATE_HZ))
    noise[: round(silent_s * FILE_RATE_HZ)] = 0.0
    soundfile.write(folder / part.recording.file, noise, FILE_RATE_HZ)
    return write_part(part, folder / "part.json")


def test_a_chord_after_the_tenth_minute_sounds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    part = _plain_part(later_s=640.0)
    monkeypatch.setattr("listen.request.own_material.load_part", lambda _path: part)
    path = _write(part, tmp_path, silent_s=620.0, lasts_s=670.0)
    asked = Asked(kinds=("root or not",), own=load_material(path))
    for seed in range(3):
        question = ask_next(asked, [], now=NOW, seed=seed)
        (cut,) = [one.cut for one in question.sounds]
        assert cut is not None
        sound = play_question(question, asked)
        assert len(sound) == pytest.approx((cut.end_s - cut.start_s) * RATE_HZ, abs=2)
        assert np.abs(sound).max() > 0.1


def test_a_recording_that_ends_before_the_part_is_refused_at_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = _plain_part()
    monkeypatch.setattr("listen.request.own_material.load_part", lambda _path: part)
    with pytest.raises(BadValueError, match=r"a start before the recording's end at 3\.00 s"):
        load_material(_write(part, tmp_path, silent_s=0.0, lasts_s=3.0))


def test_a_kind_that_the_part_does_not_give_is_refused_and_nothing_else_asked() -> None:
    part = _plain_part()
    own = OwnMaterial(part, find_material(part), Path("take.wav"))
    assert own.chords
    with pytest.raises(BadValueError, match=r"it takes root or not or which bass on this part\. No chord .* a seventh"):
        ask_next(Asked(kinds=("which bass of four",), own=own), [], now=NOW, seed=1)
    both = ask_next(Asked(kinds=("which bass", "which bass of four"), own=own), [], now=NOW, seed=1)
    assert both.kind == "which bass"


def test_a_part_asks_every_kind_that_it_gives_to_somebody_who_begins() -> None:
    part = _plain_part()
    own = OwnMaterial(part, find_material(part), Path("take.wav"))
    asked = ask_ahead(Asked(own=own), [], 6, now=NOW, seed=1)
    assert [question.kind for question in asked] == ["root or not"] * 3 + ["which bass"] * 3


@pytest.mark.parametrize("names", [{"Em"}, {"Em", "G"}, {"D/F#"}])
def test_chords_that_all_have_the_same_tone_in_the_bass_are_asked_in_their_inversions(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, names: set[str]
) -> None:
    part = _plain_part()
    only = replace(part, spans=tuple(one for one in part.spans if one.name and one.name.chord.text in names))
    monkeypatch.setattr("listen.request.own_material.load_part", lambda _path: only)
    own = load_material(_write(only, tmp_path, silent_s=0.0, lasts_s=30.0))
    assert own.remark == (
        "All chords of part.json have the same tone in the bass, so every answer would be the same: they are asked in "
        "their inversions, on strings."
    )
    asked = Asked(own=own, kinds=("root or not", "which bass"))
    questions = [ask_next(asked, [], now=NOW, seed=seed) for seed in range(40)]
    assert {(one.kind, one.answer) for one in questions} == {("root or not", "r"), ("root or not", "n")}
    bass = [ask_next(replace(asked, kinds=("which bass",)), [], now=NOW, seed=seed) for seed in range(40)]
    assert {one.answer for one in bass} == {"1", "3", "5"}
    sounds = [one.sounds[0] for one in (*questions, *bass)]
    assert {f"{one.chord.root}{one.chord.quality.symbol}" for one in sounds} == {one.split("/")[0] for one in names}
    for one in sounds:
        assert one.cut is None, "the recording would tell which of them was played"
        lowest = min(pitch for pitch in one.shape.pitches(part.fretboard) if pitch is not None)
        assert lowest.pitch_class == one.chord.sounding_bass.pitch_class
    assert len({one.shape for one in sounds}) > 10, "each is drawn anew"
    assert bass[0].prompt == "A chord of your own: which tone is in the bass?"
    assert np.abs(play_question(bass[0], asked)).max() > 0.05


def test_a_part_in_which_inversions_are_played_is_asked_as_it_was_recorded(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = _plain_part()
    monkeypatch.setattr("listen.request.own_material.load_part", lambda _path: part)
    own = load_material(_write(part, tmp_path, silent_s=0.0, lasts_s=30.0))
    assert own.remark == ""
    assert all(one.cut is not None for one in own.chords)


def test_a_part_without_a_chord_that_is_surely_named_is_no_practice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    part = replace(_plain_part(), spans=())
    monkeypatch.setattr("listen.request.own_material.load_part", lambda _path: part)
    with pytest.raises(BadValueError, match="This one has none: settle the names"):
        load_material(_write(part, tmp_path, silent_s=0.0, lasts_s=30.0))


def test_a_kind_whose_answer_would_always_be_the_same_is_refused_and_nothing_else_asked() -> None:
    """A triad with its root in the bass, a seventh chord with its third there: which of three is always the root."""
    chords = tuple(replace(one, chord=parse_chord(name)) for one, name in zip(
        find_material(_plain_part()), ("G", "G7/B"), strict=False
    ))  # fmt: skip
    own = OwnMaterial(_plain_part(), chords, Path("take.wav"))
    with pytest.raises(BadValueError, match=r"it takes root or not on this part\. Every answer would be the same"):
        ask_next(Asked(kinds=("which bass",), own=own), [], now=NOW, seed=1)
    every = Asked(kinds=("which bass of four", "which bass", "root or not"), own=own)
    questions = [ask_next(every, [], now=NOW, seed=seed) for seed in range(20)]
    assert {(one.kind, one.answer) for one in questions} == {("root or not", "r"), ("root or not", "n")}


def test_what_follows_an_answer_is_tuned_as_the_recording_is() -> None:
    hz = np.fft.rfftfreq(1 << 20, 1 / RATE_HZ)
    heard_hz = []
    for cents in (0.0, -20.0):
        part = replace(_plain_part(), concert_pitch=ConcertPitch(cents))
        sounding = next(one for one in find_material(part) if one.chord.inversion)
        rooted = find_root_position(sounding, part.fretboard)
        assert rooted is not None
        for each in (sounding, rooted):
            bass = render_bass(each, part.fretboard)
            lowest = min(pitch for pitch in each.shape.pitches(part.fretboard) if pitch is not None)
            spectrum = np.abs(np.fft.rfft(bass * np.hanning(len(bass)), 1 << 20))
            spectrum[np.abs(hz - lowest.frequency_hz) > 5.0] = 0.0
            heard_hz.append(hz[spectrum.argmax()])
    moved = 1200 * np.log2(np.divide(heard_hz[2:], heard_hz[:2]))
    assert moved == pytest.approx([-20.0, -20.0], abs=1.0)


def test_what_follows_an_answer_sounds_at_its_pitch_and_lasts_as_long_as_it_is_played() -> None:
    """A chord from a recording has no hand that struck it: its bass and root position are played at the one rate."""
    chords = find_material(_plain_part())
    asked = Asked(kinds=("root or not",), own=OwnMaterial(_plain_part(), chords, Path("take.wav")))
    question = next(one for one in (ask_next(asked, [], now=NOW, seed=seed) for seed in range(20)) if one.answer == "n")
    (sounding,) = question.sounds
    bass = render_bass(sounding, question.fretboard)
    lowest = min(pitch for pitch in sounding.shape.pitches(question.fretboard) if pitch is not None)
    spectrum = np.abs(np.fft.rfft(bass * np.hanning(len(bass)), 1 << 17))
    hz = np.fft.rfftfreq(1 << 17, 1 / RATE_HZ)
    strength = {
        octave: spectrum[np.abs(1200 * np.log2(hz[1:] / (lowest.frequency_hz * octave))).argsort()[:9] + 1].max()
        for octave in (0.5, 1.0)
    }
    assert strength[1.0] > 10 * strength[0.5]
    plain = replace(question, sounds=tuple(replace(one, cut=None) for one in question.sounds))
    length_s = len(join_pieces(play_after(plain, Judgement("r", False), replace(asked, own=None)).values())) / RATE_HZ
    strum = sounding.strum
    assert length_s == pytest.approx(3 * (strum.duration_s + strum.spread_s) + 2 * 0.5, abs=0.1)
