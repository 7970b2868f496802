"""Names of notes: what a working teacher would say first, and the other readings that are equally true."""

from __future__ import annotations

import math

import music21.chord
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from listen.harmony import rank_names, rank_rootless
from listen.reading import ChordName
from listen.theory import QUALITIES, ChordQuality, Interval, Key, Pitch, chord_to_harte, parse_chord
from tests.theory.strategies import PITCHES

CHORDS = [quality for quality in QUALITIES if len(quality.tones) > 2 and not quality.members]
STANDARD = (40, 45, 50, 55, 59, 64)


def read_pitches(text: str) -> tuple[Pitch, ...]:
    """Read note names with octaves, or six frets of a guitar in standard tuning."""
    if " " in text:
        return tuple(Pitch.parse(note) for note in text.split())
    return tuple(Pitch(low + int(fret)) for low, fret in zip(STANDARD, text, strict=True) if fret != "x")


def _texts(text: str, *, key: Key | None = None) -> list[str]:
    return [name.text for name in rank_names(read_pitches(text), key=key)]


def _is_exact(name: ChordName, pitches: tuple[Pitch, ...]) -> bool:
    """Tell whether the name's tones, a fifth apart, and its bass are what sounds."""
    sounding = {pitch.pitch_class for pitch in pitches}
    spared = {
        note.pitch_class
        for note, tone in zip(name.chord.notes, name.chord.quality.tones, strict=True)
        if tone == Interval(5)
    }  # fmt: skip
    bass = min(pitches).pitch_class
    return (
        name.chord.sounding_bass.pitch_class == bass
        and sounding <= name.chord.pitch_classes
        and name.chord.pitch_classes - sounding <= spared
    )


# Common practice, no source: open, barre and small shapes, and what they are called.
FIRST_NAMES = {
    "x32010": "C", "320003": "G", "xx0232": "D", "x02220": "A", "022100": "E", "x02210": "Am", "022000": "Em",
    "xx0231": "Dm", "133211": "F", "x24432": "Bm", "x21202": "B7", "x32310": "C7", "320001": "G7", "x02020": "A7",
    "xx0212": "D7", "020100": "E7", "x32000": "Cmaj7", "x02010": "Am7", "xx0211": "Dm7", "022030": "Em7",
    "x20003": "G/B", "032010": "C/E", "200232": "D/F#", "x03211": "F/A", "332010": "C/G", "x00232": "D/A",
    "x02200": "Asus2", "x00230": "Asus4", "xx0233": "Dsus4", "xx0230": "Dsus2", "x32030": "Cadd9", "x3545x": "Cmaj7",
    "x3534x": "Cm7", "x3233x": "C9", "x3434x": "Cm7b5", "x3424x": "Cdim7", "3x344x": "G7#5", "x355xx": "C5",
    "355xxx": "G5", "x5503x": "G5/D", "x32335": "C13", "x2323x": "Bm7b5", "6x566x": "Bbm6", "xx0221": "Dm(maj7)",
    "x32233": "C6/9", "xx3555": "Fmaj7", "x32110": "Caug", "xx0131": "Ddim", "xx2210": "Am/E", "x30010": "Cadd9",
    "000000": "Em7(add11)", "x02000": "Em/A", "xx3211": "F", "x03210": "Fmaj7/A",
}  # fmt: skip


@pytest.mark.parametrize(("shape", "name"), FIRST_NAMES.items())
def test_shapes_are_called_what_a_teacher_calls_them(shape: str, name: str) -> None:
    assert _texts(shape)[0] == name


@pytest.mark.parametrize(
    ("notes", "names"),
    [
        ("C3 E3 G3 A3", {"C6", "Am7/C"}),
        ("A2 C3 E3 G3", {"Am7", "C6/A"}),
        ("C3 Eb3 G3 A3", {"Cm6", "Am7b5/C"}),
        ("A2 C3 Eb3 G3", {"Am7b5", "Cm6/A"}),
        ("C3 D3 G3", {"Csus2", "Gsus4/C"}),
        ("G2 C3 D3", {"Gsus4", "Csus2/G"}),
        ("C3 E3 Gb3 Bb3", {"C7b5", "Gb7b5/C"}),
        ("C3 E3 G#3", {"Caug", "Eaug/C", "G#aug/C"}),
        ("D3 F#3 A3 C4", {"D7"}),
    ],
)
def test_every_equally_exact_reading_is_among_the_first_three(notes: str, names: set[str]) -> None:
    """Sixths and sevenths, suspensions a fifth apart, symmetrical chords: any harmony textbook; from memory."""
    assert names <= set(_texts(notes)[:3])


def test_diminished_seventh_has_four_roots_and_the_bass_goes_first() -> None:
    assert len({name.split("dim7")[0] for name in _texts("C3 Eb3 Gb3 A3")[:4]}) == 4
    assert _texts("C3 Eb3 Gb3 A3")[0] == "Cdim7"


@pytest.mark.parametrize(
    ("notes", "name"),
    [("C3 D3 F#3 A3", "D/C"), ("G2 A2 C3 E3", "Am/G"), ("Bb2 C3 E3 G3", "C/Bb"), ("D3 C4 E4 G4", "C/D"),
     ("G2 F3 A3 C4", "F/G")],
)  # fmt: skip
def test_triad_over_a_foreign_bass_is_a_slash_chord(notes: str, name: str) -> None:
    """Common practice, no source."""
    assert _texts(notes)[0] == name
    assert rank_names(read_pitches(notes))[0].unexplained == ()


def test_seventh_that_sounds_above_the_bass_too_belongs_to_the_chord() -> None:
    assert _texts("C3 D3 F#3 A3 C4")[0] == "D7/C"


@pytest.mark.parametrize(
    ("notes", "label"),
    [
        ("C3 E3", "C–E, a major third"),
        ("C3 Eb4", "C–E♭, a minor tenth (a minor third and an octave)"),
        ("E3 C4", "E–C, a minor sixth"),
        ("C3 F#3", "C–G♭, a tritone"),
        ("C3 Bb3", "C–B♭, a minor seventh"),
        ("C3 E3 C4 E4", "C–E, a major third"),
        ("E2 F5", "E–F, a minor second and three octaves"),
    ],
)
def test_two_notes_are_named_as_an_interval(notes: str, label: str) -> None:
    name = rank_names(read_pitches(notes))[0]
    assert (name.label, name.text, name.printed) == (label, label, label)


@pytest.mark.parametrize(
    ("notes", "name"), [("A2 E3 A3", "A5"), ("A2 E3", "A5"), ("E3 A3", "A5/E"), ("F#2 B2 F#3", "B5/F#")]
)
def test_root_and_fifth_are_a_power_chord_and_a_bare_fourth_its_inversion(notes: str, name: str) -> None:
    assert _texts(notes)[0] == name


@pytest.mark.parametrize("notes", ["E2 E3", "E2 E2 E4 E5"])
def test_one_note_and_its_octaves_have_no_name(notes: str) -> None:
    assert rank_names(read_pitches(notes)) == ()
    assert rank_names([]) == ()


def test_a_cluster_of_nine_semitones_is_not_named() -> None:
    assert rank_names([Pitch(midi) for midi in range(48, 57)]) == ()


def test_a_chord_whose_root_does_not_sound_is_no_plain_name() -> None:
    """x2323x is Bm7b5, or Dm6/B, or to a soloist G9 without its root (common practice, no source)."""
    pitches = read_pitches("x2323x")
    names = [name.text for name in rank_names(pitches)]
    assert names[0] == "Bm7b5"
    assert "Dm6/B" in names
    assert "G9/B" not in names
    assert "G9" in [name.text for name in rank_rootless(pitches)]


def test_missing_tones_are_told_and_never_named_as_present() -> None:
    thirteenth = rank_names(read_pitches("x32335"))[0]
    assert set(thirteenth.missing) == {"5", "11"}
    assert _texts("C3 G3 Bb3")[0] == "C7(no3)"
    assert _texts("C3 E3 F#3 G3")[0] == "C(add#11)"


def test_names_are_spelled_by_letter_and_by_key() -> None:
    (seventh, *_) = rank_names(read_pitches("242322"))
    assert (seventh.text, [str(note) for note in seventh.chord.notes]) == ("F#7", ["F#", "A#", "C#", "E"])
    assert _texts("244322", key=Key.parse("Db"))[0] == "Gb"
    assert _texts("244322", key=Key.parse("B"))[0] == "F#"


def test_key_prefers_the_reading_whose_root_belongs_to_it() -> None:
    free = {name.text: name.probability for name in rank_names(read_pitches("C3 F3 Bb3"))}
    within = {name.text: name.probability for name in rank_names(read_pitches("C3 F3 Bb3"), key=Key.parse("C"))}
    assert within["C7sus4"] > free["C7sus4"]


@given(st.lists(PITCHES, min_size=3, max_size=6, unique=True))
def test_probabilities_are_ranked_and_sum_to_at_most_one(pitches: list[Pitch]) -> None:
    names = rank_names(pitches, limit=50)
    probabilities = [name.probability for name in names]
    assert probabilities == sorted(probabilities, reverse=True)
    nameless = names[0].probability if names and names[0].unexplained else 0.0
    assert not names or math.isclose(sum(probabilities) + nameless, 1.0, abs_tol=1e-9)


def test_a_name_that_leaves_a_note_over_is_never_sure() -> None:
    (name,) = rank_names([Pitch.parse(note) for note in ("G3", "E4", "G#4")])
    assert (name.text, name.unexplained, name.probability) == ("Em/G", ("G#",), 0.5)


@given(st.lists(st.integers(40, 70), min_size=2, max_size=6, unique=True), st.integers(-12, 12))
def test_naming_does_not_change_under_transposition(midi: list[int], semitones: int) -> None:
    names = rank_names([Pitch(number) for number in midi])
    moved = rank_names([Pitch(number + semitones) for number in midi])
    assert [name.chord.quality for name in moved] == [name.chord.quality for name in names]
    assert [name.missing for name in moved] == [name.missing for name in names]
    for name, other in zip(names, moved, strict=True):
        assert other.chord.root.pitch_class == (name.chord.root.pitch_class + semitones) % 12
        assert math.isclose(name.probability, other.probability)


@given(st.lists(PITCHES, min_size=2, max_size=6, unique=True))
def test_order_and_unisons_do_not_matter(pitches: list[Pitch]) -> None:
    names = rank_names(sorted(pitches))
    assert rank_names(sorted(pitches, reverse=True)) == names
    assert rank_names([*pitches, max(pitches)]) == names


@given(st.sampled_from(CHORDS), st.integers(0, 11))
def test_a_chord_in_root_position_gets_a_first_name_that_is_exact(quality: ChordQuality, root: int) -> None:
    pitches = tuple(Pitch(48 + root + tone.semitones) for tone in quality.tones)
    (first, *_) = rank_names(pitches)
    assert _is_exact(first, pitches)


@given(st.lists(PITCHES, min_size=3, max_size=6, unique=True))
def test_what_the_first_name_says_is_what_sounds(pitches: list[Pitch]) -> None:
    """The name's tones, less the missing and with the unexplained, are the sounding pitch classes."""
    names = rank_names(pitches)
    assume(names)
    for name in names:
        missing = {name.chord.root.above(Interval.parse(degree)).pitch_class for degree in name.missing}
        unexplained = {parse_chord(note).root.pitch_class for note in name.unexplained}
        sounding = {pitch.pitch_class for pitch in pitches}
        assert (name.chord.pitch_classes - missing) | unexplained == sounding
        assert name.chord.sounding_bass.pitch_class == min(pitches).pitch_class


def test_music21_finds_the_same_root_and_inversion_of_triads_and_sevenths() -> None:
    for symbol in ("", "m", "dim", "7", "maj7", "m(maj7)"):
        chord = parse_chord(f"D{symbol}")
        for place, bass in enumerate(chord.notes):
            low = 36 + bass.pitch_class
            pitches = [Pitch(low), *(Pitch(60 + note.pitch_class) for note in chord.notes)]
            (first, *_) = rank_names(pitches)
            names = [f"{bass}2", *(f"{note}4" for note in chord.notes)]
            other = music21.chord.Chord([name.replace("b", "-") for name in names])
            assert first.chord.root.pitch_class == other.root().pitchClass
            assert other.inversion() == place
            assert first.chord.inversion in (place, None)


def test_labels_in_harte_syntax_hold_what_sounds() -> None:
    (name, *_) = rank_names(read_pitches("x32335"))
    assert chord_to_harte(name.chord, missing=name.missing) == "C:9(13)"


@given(st.lists(PITCHES, min_size=2, max_size=6))
def test_no_reading_has_a_root_that_nobody_writes(pitches: list[Pitch]) -> None:
    assert not [name.text for name in rank_names(pitches) if name.chord.root.is_rare]


@pytest.mark.parametrize(
    ("notes", "others"),
    [("F3 Ab3 B3 D4", {"G#dim7/F", "Bdim7/F", "Ddim7/F"}), ("E3 Bb3 C#4 G4", {"C#dim7/E", "A#dim7/E", "Gdim7/E"}),
     ("E3 G#3 C4", {"Caug/E", "G#aug/E"})],
)  # fmt: skip
def test_another_reading_stands_on_a_plain_root(notes: str, others: set[str]) -> None:
    assert others <= set(_texts(notes))


def test_names_of_the_same_notes_share_one_kind_of_sign() -> None:
    texts = _texts("G#2 C#3 G#3 C#4")
    assert texts[0] == "C#5/G#"
    assert not [text for text in texts if "♭" in text or "b" in text[:2]]
