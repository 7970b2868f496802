"""Where the key changes: rows of our own, and music21's key of every window of bars that lies in one key."""

from __future__ import annotations

import random
from typing import Any

import music21
import pytest

from listen.theory import Key, find_key_path, parse_chord
from tests.benchmarks.key_rows import (
    MAJOR_TEMPTATIONS,
    MINOR_TEMPTATIONS,
    MOVES,
    Bars,
    draw_row_in_one_key,
    write_bars,
)

PHRASE = 4
# Rows of our own: a chord a bar, and where which key begins (common practice, no source).
ROWS = {
    "up a tone": ("G D Em C G D C G " * 2 + "A E F#m D A E D A", [(0, "G"), (16, "A")]),
    "up a semitone": ("F Bb C F Dm Bb C F " * 2 + "Gb Cb Db Gb Ebm Cb Db Gb", [(0, "F"), (16, "Gb")]),
    "up a semitone to sharps": ("Em C D Em " * 4 + "Fm Db Eb Fm " * 2, [(0, "Em"), (16, "Fm")]),
    "relative minor's parallel major": ("C F G C Am F G C " * 2 + "A D E A F#m D E A " * 2, [(0, "C"), (16, "A")]),
    "bridge a fourth up and back": (
        "G Em D G Bm Em D G " * 2 + "C F G7 C Am F G7 C " + "G Em D G Bm Em D G",
        [(0, "G"), (16, "C"), (24, "G")],
    ),
    "parallel major": ("Am F Dm E Am F G Am " * 2 + "A D E A F#m Bm E A " * 2, [(0, "Am"), (16, "A")]),
    "its dominant comes a bar before": ("C Am F G " * 3 + "C Am F A7 " + "D Bm G A " * 2, [(0, "C"), (16, "D")]),
}  # fmt: skip
IN_ONE_KEY = {
    "mixolydian verse, plain chorus": "D C G D " * 4 + "D A G D " * 4,
    "verse, then a chorus between its seventh and its fourth": "C F Am G " * 2 + "C Bb F F " * 4,
    "a third key that both are at home in": "Dm G C F " * 2 + "F Bb Eb Bb " * 4 + "Dm G C F " * 2,
    "relative keys": "Am F G Am " * 4 + "C G F C " * 4,
    "twelve bars of blues": "A7 A7 A7 A7 D7 D7 A7 A7 E7 D7 A7 E7 " * 4,
    "a bridge of dominants": "C Am F G " * 4 + "E7 E7 A7 A7 D7 D7 G7 G7 " + "C Am F G " * 2,
    "two chords": "G G C C " * 4 + "D D A A " * 4,
    "four bars elsewhere": "G D Em C " * 4 + "Ab Bb Eb Ab " + "G D Em C " * 4,
    "borrowed": "C F Fm C " * 4 + "C Ab Bb C " * 4,
    "no chord at all in some bars": "C F G C " * 2,
}


def _bars(text: str) -> Bars:
    return [[(parse_chord(name), 1.0)] for name in text.split()]


def _found(bars: Bars) -> list[tuple[int, str]]:
    sections = find_key_path(bars, phrases=range(0, len(bars), PHRASE))
    return [(one.first, one.keys[0].key.text) for one in sections]


@pytest.mark.parametrize(("text", "keys"), ROWS.values(), ids=ROWS.keys())
def test_a_change_of_key_is_found_where_it_begins(text: str, keys: list[tuple[int, str]]) -> None:
    assert _found(_bars(text)) == [(first, Key.parse(key).text) for first, key in keys]


@pytest.mark.parametrize("text", IN_ONE_KEY.values(), ids=IN_ONE_KEY.keys())
def test_what_may_be_heard_in_one_key_stays_in_it(text: str) -> None:
    assert len(_found(_bars(text))) == 1


@pytest.mark.parametrize("loop", [*MAJOR_TEMPTATIONS, *MINOR_TEMPTATIONS])
def test_a_chorus_that_leaves_the_scale_is_no_other_key(loop: str) -> None:
    mode = "minor" if loop in MINOR_TEMPTATIONS else "major"
    key = Key.parse(f"A {mode}")
    plain = write_bars("I IV V I" if mode == "major" else "i iv V7 i", key, n_bars=16)
    assert len(_found([*plain, *write_bars(loop, key, n_bars=24), *plain])) == 1


def test_drawn_rows_in_one_key_get_one_key_and_moved_ones_two() -> None:
    assert all(len(_found(draw_row_in_one_key(random.Random(seed)).bars)) == 1 for seed in range(12))
    for kind in ("last chorus up a tone", "last chorus up a semitone"):
        rows = [MOVES[kind](random.Random(f"{kind} {seed}")) for seed in range(6)]
        assert sum(len(_found(row.bars)) == 2 for row in rows) >= 5


@pytest.mark.parametrize(("text", "keys"), ROWS.values(), ids=ROWS.keys())
def test_music21_finds_the_same_keys_over_windows(text: str, keys: list[tuple[int, str]]) -> None:
    """Every window of eight bars inside a key is in that key or its relative for music21's finder, as for ours."""
    bars = _bars(text)
    found = find_key_path(bars, phrases=range(0, len(bars), PHRASE))
    ends = [*(one.first for one in found[1:]), len(bars)]
    for section, end in zip(found, ends, strict=True):
        scale = section.keys[0].key.pitch_classes
        for first in range(section.first, end - 7, PHRASE):
            window: Any = music21.stream.Stream()
            for chord, _ in (one for bar in bars[first : first + 8] for one in bar):
                window.append(music21.chord.Chord(sorted(60 + pitch for pitch in chord.pitch_classes)))
            theirs = window.analyze("AardenEssen")
            assert {pitch.pitchClass for pitch in theirs.getScale().pitches} == scale, (first, theirs)
    assert len(found) == len(keys)


def test_bars_without_chords_have_no_key_and_do_not_end_one() -> None:
    assert find_key_path([[], []]) == ()
    silent: Bars = [[], [], [], []]
    verse = _bars("G D Em C G D C G")
    assert _found([*silent, *verse, *silent, *verse]) == [(0, "G major")]
    assert _found([*silent, *verse, *verse, *silent, *_bars("A E F#m D A E D A"), *silent])[0][1] == "G major"
