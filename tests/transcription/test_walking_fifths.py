"""Shuffles on two strings: root and fifth in turn with root and sixth, or seventh, are one chord of their root.

Common practice of boogie accompaniment, no source: charts write A, or A5, for a bar of them.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from listen.audio import STROKE_RATE_HZ
from listen.instrument import STANDARD
from listen.synthesis import PluckedNote, Tone, render_notes
from listen.theory import Pitch
from listen.transcription import read_part_samples
from listen.transcription.held_chords import decode_held_chords
from listen.transcription.stroke_odds import measure_stroke_odds
from listen.transcription.walking_fifths import weigh_walking_fifths
from tests.transcription.written_strokes import hear_strokes, hold_chords

FIFTH, SIXTH, SEVENTH = 7, 9, 10
IN_TURN = (FIFTH, FIFTH, SIXTH, SIXTH)
UP_AND_DOWN = (FIFTH, SIXTH, SEVENTH, SIXTH)
ROOTS = {"E": 40, "A": 45, "G": 43, "C": 48}


def _bar(root: int, walk: tuple[int, ...]) -> tuple[tuple[int, ...], ...]:
    return tuple((root, root + step) for step in walk)


@pytest.mark.parametrize("walk", [IN_TURN, UP_AND_DOWN])
@pytest.mark.parametrize("root", ROOTS.values(), ids=ROOTS)
def test_a_walking_fifth_is_one_chord_of_its_root(root: int, walk: tuple[int, ...]) -> None:
    up = root + 5
    held = hold_chords(_bar(root, walk) * 4 + _bar(up, walk) * 2 + _bar(root, walk) * 2)
    assert [chord.pitches for chord in held] == [frozenset((low, low + FIFTH)) for low in (root, up, root)]


def test_what_sounds_in_turn_with_a_fifth_is_not_gathered_into_its_chord_before_the_neck_is_known() -> None:
    stretches = [replace(one, is_picked=True) for one in hear_strokes(_bar(40, UP_AND_DOWN) * 4)[0]]
    assert {SIXTH, SEVENTH}.isdisjoint(midi - 40 for one in decode_held_chords(stretches) for midi in one.pitches)


def test_a_fifth_walks_in_a_power_chord_alone() -> None:
    stretches, strokes = hear_strokes(_bar(45, IN_TURN))
    odds = measure_stroke_odds(stretches, strokes, stressed=np.ones(4, bool), bars=np.arange(4))
    weighed = weigh_walking_fifths(odds, [(45, 52), (45, 52, 57), (45, 52, 57, 61), (45, 50)])
    assert (weighed[2:, :2] < -1.0).all()
    assert not weighed[:2].any()
    assert not weighed[:, 2:].any()


def test_a_sixth_chord_that_sounds_whole_stays_one() -> None:
    whole = (45, 52, 54, 61)
    assert [chord.pitches for chord in hold_chords((whole,) * 8)] == [frozenset(whole)]


@pytest.mark.parametrize(("first", "walk", "swing"), [("A", IN_TURN, 0.66), ("E", UP_AND_DOWN, 0.5)])
def test_a_rendered_shuffle_is_named_by_its_roots_and_tells_no_tuning(
    first: str, walk: tuple[int, ...], swing: float
) -> None:
    strings = [pitch.midi for pitch in STANDARD.open_strings]
    low = strings.index(ROOTS[first])
    notes = []
    for bar, place in enumerate((low, low, low + 1, low)):
        for stroke in range(8):
            at_s = 0.5 + 2.4 * bar + 0.6 * (stroke // 2 + (swing if stroke % 2 else 0.0))
            until_s = 0.6 * ((1.0 - swing) if stroke % 2 else swing)
            frets = (0, strings[place] + walk[stroke // 2] - strings[place + 1])
            for string, fret in zip((place, place + 1), frets, strict=True):
                pitch = Pitch(strings[string] + fret)
                notes.append(PluckedNote(at_s + 0.008 * (string - place), pitch, string, string, fret, 0.0, until_s))
    samples = render_notes(notes, tone=Tone(sample_rate_hz=STROKE_RATE_HZ, seed=3), duration_s=11.0)
    part = read_part_samples(np.asarray(samples, np.float32), sample_rate_hz=STROKE_RATE_HZ)
    roots = [Pitch(strings[place]).pitch_class for place in (low, low + 1, low)]
    named = [span.names[0].chord for span in part.spans]
    assert [(chord.root.pitch_class, chord.quality.symbol, chord.bass) for chord in named] == [
        (root, "5", None) for root in roots
    ]
    assert part.setups[0].text == ""
