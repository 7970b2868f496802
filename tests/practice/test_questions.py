"""Questions: what sounds is what the answer says, held against music21; levels make them harder; loudness is even."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest

from listen.errors import BadValueError
from listen.instrument import Fretboard, parse_tuning
from listen.practice import (
    HARDEST,
    HUMMED_KINDS,
    LADDER,
    PLAYED_KINDS,
    RATE_HZ,
    check_kind,
    draw_question,
    judge_hum,
    judge_played,
    judge_typed,
    render_sounds,
    render_spelled,
)
from listen.practice.render import render_bass
from listen.practice.root_position import find_root_position
from listen.theory import Pitch

MUSIC21_INVERSION = {"1": 0, "3": 1, "5": 2, "7": 3}


@pytest.mark.parametrize("kind", LADDER)
def test_every_question_lies_over_the_capo(kind: str) -> None:
    board = Fretboard(capo_fret=7)
    for seed in range(3):
        question = draw_question(kind, level=5.0, seed=seed, fretboard=board)
        for option in question.options:
            for sounding in option.example:
                assert min(filter(None, sounding.shape.pitches(board))) >= min(board.open_pitches)
    with pytest.raises(BadValueError, match="a neck of 6 strings or more"):
        draw_question(kind, fretboard=Fretboard(parse_tuning("ukulele")))


@pytest.mark.parametrize("kind", ["which bass", "which bass of four"])
def test_music21_hears_the_same_inversion(kind: str) -> None:
    """Outside check: music21 (Cuthbert and Ariza 2010) finds the inversion from the pitches alone."""
    from music21.chord import Chord

    for seed in range(6):
        question = draw_question(kind, level=5.0, seed=seed)
        sounding = question.sounds[0]
        names = {note.pitch_class: str(note).replace("b", "-") for note in sounding.chord.notes}
        pitches = [pitch for pitch in sounding.shape.pitches(question.fretboard) if pitch is not None]
        spelled = [f"{names[pitch.pitch_class]}{pitch.midi // 12 - 1}" for pitch in sorted(pitches)]
        assert Chord(spelled).inversion() == MUSIC21_INVERSION[question.answer], (spelled, question.answer)


def test_music21_counts_the_same_degrees_of_a_bass_line() -> None:
    """Outside check: music21's scales number the degrees of the bass."""
    from music21.scale import MajorScale  # publishes no types

    for seed in range(6):
        question = draw_question("bass line", level=2.0, seed=seed)
        tonic = str(question.sounds[0].chord.root).replace("b", "-")
        scale = MajorScale(tonic)  # type: ignore[no-untyped-call]
        degrees = [
            scale.getScaleDegreeFromPitch(  # type: ignore[no-untyped-call]
                str(sounding.chord.sounding_bass).replace("b", "-")
            )
            for sounding in question.sounds
        ]
        assert " ".join(str(degree) for degree in degrees) == question.answer


@pytest.mark.parametrize("kind", LADDER)
def test_every_chord_sounds_its_tones_over_its_bass(kind: str) -> None:
    for level in (0.0, HARDEST):
        question = draw_question(kind, level=level, seed=5)
        for option in question.options:
            for sounding in option.example:
                pitches = [pitch for pitch in sounding.shape.pitches(question.fretboard) if pitch is not None]
                assert {pitch.pitch_class for pitch in pitches} == sounding.chord.pitch_classes
                assert min(pitches).pitch_class == sounding.chord.sounding_bass.pitch_class


def test_a_foreign_bass_is_no_tone_of_the_chord() -> None:
    for seed in range(10):
        question = draw_question("foreign bass", seed=seed)
        assert (question.sounds[0].chord.inversion is None) == (question.answer == "f")


def test_the_same_seed_asks_the_same_question() -> None:
    assert draw_question("quality", level=4.0, seed=9) == draw_question("quality", level=4.0, seed=9)
    assert draw_question("quality", level=4.0, seed=9) != draw_question("quality", level=4.0, seed=10)


def test_harder_questions_are_struck_faster() -> None:
    spreads = [
        np.mean([draw_question("which bass", level=level, seed=seed).sounds[0].strum.spread_s for seed in range(8)])
        for level in (0.0, 5.0, HARDEST)
    ]
    assert spreads[0] > 2 * spreads[1] > 4 * spreads[2]


def test_a_question_fits_the_players_instrument() -> None:
    board = Fretboard(parse_tuning("drop D"), capo_fret=2)
    question = draw_question("root or not", seed=2, fretboard=board)
    assert question.fretboard is board
    assert len(question.sounds[0].shape.frets) == 6


def test_an_unknown_kind_is_told_what_there_is() -> None:
    with pytest.raises(BadValueError, match=r"kind=.*which bass of four"):
        check_kind("solfege")
    assert check_kind("Which-Bass") == "which bass"
    with pytest.raises(BadValueError, match=r"'which bass', 'which bass of four' and 'which came first' ask which inv"):
        check_kind("inversion")


def test_items_are_equally_loud_by_another_meter() -> None:
    """Outside check: FFmpeg's EBU R128 meter (by PyAV) puts all items within 1 LU of each other."""
    measured = []
    for seed, kind in enumerate(
        ("root or not", "which bass", "quality", "foreign bass", "which bass of four", "quality")
    ):
        question = draw_question(kind, level=2.0 + seed, seed=seed)
        measured.append(_integrated_lufs(render_sounds(question.sounds, question.fretboard)))
    assert max(measured) - min(measured) <= 1.0, measured


def _integrated_lufs(samples: np.ndarray) -> float:
    import av
    from av.filter import Graph

    graph = Graph()
    source = graph.add_abuffer(sample_rate=RATE_HZ, format="flt", layout="mono", time_base=Fraction(1, RATE_HZ))
    meter, sink = graph.add("ebur128", "metadata=1"), graph.add("abuffersink")
    source.link_to(meter)
    meter.link_to(sink)
    graph.configure()
    last = float("nan")
    for start in range(0, len(samples), 2205):
        frame = av.AudioFrame.from_ndarray(samples[None, start : start + 2205].copy(), format="flt", layout="mono")
        frame.sample_rate, frame.pts = RATE_HZ, start
        graph.push(frame)
        while True:
            try:
                pulled = graph.pull()
            except (av.error.BlockingIOError, av.error.EOFError):
                break
            text = pulled.metadata.get("lavfi.r128.I") if hasattr(pulled, "metadata") else None
            last = float(text) if text else last
    if np.isnan(last):
        pytest.skip("this PyAV does not hand on the meter's readings")
    return last


def test_after_an_answer_the_bass_sounds_alone_and_the_chord_is_spelled_out() -> None:
    question = draw_question("which bass", level=3.0, seed=3)
    sounding = question.sounds[0]
    bass, spelled = render_bass(sounding, question.fretboard), render_spelled(sounding, question.fretboard)
    lowest = min(pitch for pitch in sounding.shape.pitches(question.fretboard) if pitch is not None)
    spectrum = np.abs(np.fft.rfft(bass * np.hanning(len(bass)), 1 << 17))
    hz = np.fft.rfftfreq(1 << 17, 1 / RATE_HZ)
    near = (hz > 0.8 * lowest.frequency_hz) & (hz < 1.25 * lowest.frequency_hz)
    strongest = float(hz[near][spectrum[near].argmax()])
    assert abs(1200 * np.log2(strongest / lowest.frequency_hz)) < 40
    assert len(spelled) > len(bass)


def test_an_inversion_is_held_against_the_same_chord_in_root_position() -> None:
    """Root position by music21's own count of inversions."""
    from music21.chord import Chord as OtherChord

    n_inverted = 0
    for seed in range(12):
        question = draw_question("which bass", level=6.0, seed=seed)
        rooted = find_root_position(question.sounds[-1], question.fretboard)
        assert (rooted is None) == (question.answer == "1")
        if rooted is not None:
            n_inverted += 1
            assert rooted.strum == question.sounds[-1].strum
            pitches = [pitch.midi for pitch in rooted.shape.pitches(question.fretboard) if pitch is not None]
            assert OtherChord(pitches).inversion() == 0
    assert n_inverted > 3


def test_answers_are_taken_by_number_by_words_and_by_name() -> None:
    question = draw_question("which bass", level=0.0, seed=1)
    right = {"1": "root position", "3": "first inversion", "5": "second inversion"}[question.answer]
    number = 1 + [option.key for option in question.options].index(question.answer)
    assert judge_typed(question, str(number)).is_right
    assert judge_typed(question, right).is_right
    assert judge_typed(question, question.sounds[0].chord.text).is_right
    assert not judge_typed(question, "2" if number == 1 else "1").is_right
    with pytest.raises(BadValueError, match="answer=purple"):
        judge_typed(question, "purple")


@pytest.mark.parametrize("kind", ["which bass", "which bass of four"])
def test_a_chords_name_is_taken_for_its_inversion(kind: str) -> None:
    """Which root and quality it has was not asked."""
    question = draw_question(kind, level=6.0, seed=3)
    for said, key in (
        ("C", "1"), ("C/E", "3"), ("Cm/Eb", "3"), ("C/G", "5"), ("C7/E", "3"), ("1st inversion", "3"),
        ("2nd Inversion", "5"),
    ):  # fmt: skip
        assert judge_typed(question, said).key == key, said
        assert judge_typed(question, said).is_right == (key == question.answer)
    if kind == "which bass of four":
        assert judge_typed(question, "C7/Bb").key == judge_typed(question, "3rd inversion").key == "7"


def test_the_sign_of_a_quality_is_taken_as_it_is_written() -> None:
    keys = {"M7": "maj7", "maj7": "maj7", "m7": "m7", "min7": "m7", "M": "maj", "m": "m", "Major": "maj"}
    taken = set()
    for seed in range(60):
        question = draw_question("quality", level=6.0, seed=seed)
        offered = {option.key for option in question.options}
        for said, key in keys.items():
            if key in offered:
                taken.add(said)
                assert judge_typed(question, said).key == key, said
            else:
                with pytest.raises(BadValueError, match=f"answer={said}"):
                    judge_typed(question, said)
    assert taken == set(keys)


def test_a_number_is_a_place_in_the_list_and_a_degree_is_a_word() -> None:
    question = draw_question("which bass of four", seed=2)
    assert [judge_typed(question, str(number)).key for number in (1, 2, 3, 4)] == ["1", "3", "5", "7"]
    assert [judge_typed(question, word).key for word in ("root", "3rd", "the fifth", "7th")] == ["1", "3", "5", "7"]
    for said, told in (
        ("7", "answer=7 is not possible: it takes 1 (the root), 2 (the third)"),
        (" ", "Nothing was said"),
    ):
        with pytest.raises(BadValueError) as refused:
            judge_typed(question, said)
        assert str(refused.value).startswith(told)
    same = draw_question("same bass", seed=2)
    with pytest.raises(BadValueError, match=r"it takes 1 \(the same bass\), 2 \(another bass\)"):
        judge_typed(same, "x")
    with pytest.raises(BadValueError, match="answer"):
        judge_typed(same, "C")  # a name is no answer to whether two are the same: nothing is counted
    assert judge_typed(same, "2").key == "o"


@pytest.mark.parametrize("kind", LADDER)
def test_a_hum_or_a_chord_played_back_answers_only_what_it_tells(kind: str) -> None:
    question = draw_question(kind, seed=3)
    chord = question.sounds[0].chord
    bass = Pitch(48 + chord.sounding_bass.pitch_class)
    if kind in HUMMED_KINDS:
        assert judge_hum(question, bass.midi).is_right
        assert not judge_hum(question, bass.midi + 1).is_right
    else:
        with pytest.raises(BadValueError, match="A hummed bass does not answer this question"):
            judge_hum(question, bass.midi)
    if kind in PLAYED_KINDS:
        assert judge_played(question, bass, chord.pitch_classes).is_right
    else:
        with pytest.raises(BadValueError, match="A chord played back does not answer this question"):
            judge_played(question, bass, chord.pitch_classes)
    assert set(HUMMED_KINDS) <= {one for one in LADDER if len(draw_question(one, seed=1).sounds) == 1}


def test_a_hummed_bass_is_right_in_any_octave_and_its_cents_are_told() -> None:
    question = draw_question("which bass", seed=4)
    bass = question.sounds[0].chord.sounding_bass.pitch_class
    for octave in (3, 4, 6):
        judged = judge_hum(question, 12 * octave + bass + 0.2)
        assert judged.is_right
        assert judged.cents == pytest.approx(20.0)
    other = next(note for note in question.sounds[0].chord.notes if note.pitch_class != bass)
    wrong = judge_hum(question, 48 + other.pitch_class)
    assert not wrong.is_right
    assert wrong.key in {"1", "3", "5"}


def test_a_chord_played_back_may_lie_anywhere_over_the_same_bass() -> None:
    question = draw_question("which bass", seed=6)
    chord = question.sounds[0].chord
    bass = Pitch(36 + chord.sounding_bass.pitch_class)
    assert judge_played(question, bass, chord.pitch_classes).is_right
    assert not judge_played(question, bass.shifted(1), chord.pitch_classes).is_right
    for tones in (
        frozenset({bass.pitch_class}),  # the bass alone
        chord.pitch_classes - {max(chord.pitch_classes - {bass.pitch_class})},
        chord.pitch_classes | {min(set(range(12)) - chord.pitch_classes)},
    ):
        judged = judge_played(question, bass, tones)
        assert not judged.is_right
        assert "not quite the tones" in judged.text


def test_strings_that_hold_no_such_chords_are_refused_and_do_not_hang() -> None:
    with pytest.raises(BadValueError, match="a hand holds every chord over every bass"):
        draw_question("which bass of four", fretboard=Fretboard(parse_tuning("D2 D2 D2 D2 D2 D2")))
