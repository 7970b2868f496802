"""Spellings that players type, and what music21's table says of the plain ones."""

from __future__ import annotations

import pytest

from listen.theory import parse_chord


@pytest.mark.parametrize(
    ("typed", "tones"),
    [  # common practice, no source
        ("Csus#4", "1 #4 5"), ("C+13", "1 3 #5 b7 9 11 13"), ("Cm(+7)", "1 b3 5 7"), ("Cm#7", "1 b3 5 7"),
        ("Cm/maj7", "1 b3 5 7"), ("Csus4/7", "1 4 5 b7"), ("C6/7", "1 3 5 b7 13"), ("C7/6", "1 3 5 b7 13"),
        ("Cmaj7/6", "1 3 5 7 13"), ("C°7(maj7)", "1 b3 b5 bb7 7"), ("Cdom", "1 3 5 b7"), ("CDIM7", "1 b3 b5 bb7"),
        ("C⌀7", "1 b3 b5 b7"), ("C∅7", "1 b3 b5 b7"), ("C^7", "1 3 5 7"), ("CAUG", "1 3 #5"), ("C⁶₉", "1 3 5 6 9"),
        ("CSUS4", "1 4 5"), ("CADD9", "1 3 5 9"), ("Csus2/4", "1 2 4 5"),
    ],
)  # fmt: skip
def test_a_spelling_is_read_as_it_is_meant(typed: str, tones: str) -> None:
    assert " ".join(map(str, parse_chord(typed).quality.tones)) == tones


def test_an_altered_suspension_is_printed_as_one() -> None:
    assert [parse_chord(text).text for text in ("Csus#4", "Csus+4", "Csusb2")] == ["Csus#4", "Csus#4", "Csusb2"]


def test_a_degree_after_a_plain_triads_slash_is_still_the_bass() -> None:
    assert [parse_chord(text).text for text in ("C/3", "C/5", "Cm/b3")] == ["C/E", "C/G", "Cm/Eb"]


# Where this project and music21's harmony.CHORD_TYPES part, and why: music21 writes an eleventh and a thirteenth with
# every tone below, as here; its "7b5" family and suspended chords agree. No figure of the list below disagrees.
_FIGURES = (
    "", "m", "+", "dim", "7", "maj7", "m7", "m7b5", "dim7", "m(maj7)", "6", "m6", "sus2", "sus4", "9", "maj9", "m9",
)  # fmt: skip
_MUSIC21 = {"m7b5": "ø7", "dim": "o", "dim7": "o7", "m(maj7)": "mM7", "maj7": "M7", "maj9": "M9", "sus2": "sus2"}


@pytest.mark.parametrize("figure", _FIGURES)
def test_plain_figures_agree_with_music21(figure: str) -> None:
    harmony = pytest.importorskip("music21").harmony
    theirs = {pitch.pitchClass for pitch in harmony.ChordSymbol("C" + _MUSIC21.get(figure, figure)).pitches}
    assert parse_chord("C" + figure).pitch_classes == theirs
