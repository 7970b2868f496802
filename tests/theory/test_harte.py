"""Harte syntax against the paper's own examples and mir_eval."""

from __future__ import annotations

import mir_eval.chord
import pytest
from hypothesis import given

from listen.theory import Chord, ChordSymbolError, chord_to_harte, parse_chord, parse_harte
from tests.theory.strategies import chords

# Shorthands of Harte et al. (2005), table 1, with their degrees (from memory).
SHORTHANDS = {
    "maj": "C", "min": "Cm", "dim": "Cdim", "aug": "Caug", "maj7": "Cmaj7", "min7": "Cm7", "7": "C7", "dim7": "Cdim7",
    "hdim7": "Cm7b5", "minmaj7": "Cm(maj7)", "maj6": "C6", "min6": "Cm6", "9": "C9", "maj9": "Cmaj9", "min9": "Cm9",
    "sus4": "Csus4",
}  # fmt: skip


@pytest.mark.parametrize(("shorthand", "text"), SHORTHANDS.items())
def test_shorthands_of_the_paper_are_read_and_written(shorthand: str, text: str) -> None:
    assert parse_harte(f"C:{shorthand}").text == text
    assert chord_to_harte(parse_chord(text)) == f"C:{shorthand}"


def test_shorthand_takes_added_and_omitted_degrees() -> None:
    """``D:min7(*5,11)`` is the paper's example of both (from memory)."""
    assert [str(tone) for tone in parse_harte("D:min7(*5,11)").quality.tones] == ["1", "b3", "b7", "11"]


@pytest.mark.parametrize("quality", sorted(set(mir_eval.chord.QUALITIES) - {""}))
def test_every_shorthand_of_mir_eval_is_read_with_its_tones(quality: str) -> None:
    chord = parse_harte(f"Eb:{quality}")
    within = {tone.semitones for tone in chord.quality.tones if tone.semitones < 12}
    _, bitmap, _ = mir_eval.chord.encode(f"Eb:{quality}")
    assert within == {step for step in range(12) if bitmap[step]}


@given(chords())
def test_mir_eval_reads_root_and_bass_of_every_label(chord: Chord) -> None:
    root, bitmap, bass = mir_eval.chord.encode(chord.harte)
    assert root == chord.root.pitch_class
    assert (root + bass) % 12 == chord.sounding_bass.pitch_class
    within = {tone.semitones for tone in chord.quality.tones if tone.semitones < 12} | {bass}
    assert {step for step in range(12) if bitmap[step]} == within


def test_missing_tones_are_left_out_of_the_label_save_the_fifth() -> None:
    thirteenth = parse_chord("G13")
    assert chord_to_harte(thirteenth, missing=("5",)) == "G:9(11,13)"
    assert chord_to_harte(thirteenth, missing=("11", "9")) == "G:7(13)"
    assert chord_to_harte(parse_chord("C11/G"), missing=("3",)) == "C:9(11,*3)/5"


@pytest.mark.parametrize(
    ("label", "position"),
    [("", 0), ("N", 0), ("X", 0), ("C:major", 2), ("C:(b9", 5), ("C:maj(14)", 7), ("C:maj/", 6), ("C:maj/*3", 6)],
)
def test_bad_labels_are_pointed_at(label: str, position: int) -> None:
    with pytest.raises(ChordSymbolError) as caught:
        parse_harte(label)
    assert caught.value.position == position
