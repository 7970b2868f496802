"""What a player types: symbols, frets, tunings, spans, pins, keys, filters; mutated, and understood."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

from listen.instrument import Fretboard, parse_hand, parse_shape, parse_tuning
from listen.request import parse_time, part_words
from listen.theory import Key, Note, Pitch, parse_chord, parse_harte
from tests.cli.runner import run_listen
from tests.fuzz.mutate import mutate_text

TYPED_ONE_IN = 200  # through the whole command
GOOD: dict[str, tuple[str, ...]] = {
    "symbol": ("Ebmaj9", "F#m7b5/A", "C6/9", "Gsus4(add9)", "B°7", "A-7(b13)", "N.C.", "D7alt", "C(no3)", "Am/G#"),
    "harte": ("F#:min7/b3", "D:(1,2,5)", "C:maj(*3)", "N", "G:sus4(b7)"),
    "frets": ("x32010", "x-10-12-12-11-x", "0 2 2 1 0 0", "xx0232", "577655"),
    "tuning": ("drop D", "E2 A2 D3 G3 B3 E4", "C G D G B D", "ukulele", "DADGAD", "E1 A1 D2 G2"),
    "pitch": ("C4", "F#-1", "Eb5", "B♭3"),
    "note": ("C", "F#", "Bb", "E♭♭"),
    "key": ("Bb major", "F#m", "C", "e minor"),
    "time": ("4.2", "1:10", "0:03.2"),
    "reach": ("small", "95", "wide"),
    "pin": ("12=x32010", "5.3=x32010", "5.2.5=x-10-12-12-11-x"),
    "name": ("12=C6/9", "1=N.C.", "3=Am7"),
    "beats": ("4/4", "6/8", "120"),
}


PARSERS: dict[str, Callable[[str], object]] = {
    "symbol": parse_chord,
    "harte": parse_harte,
    "frets": lambda text: parse_shape(text, fretboard=Fretboard()),
    "tuning": parse_tuning,
    "pitch": Pitch.parse,
    "note": Note.parse,
    "key": Key.parse,
    "time": lambda text: parse_time("at", text),
    "reach": parse_hand,
    "pin": lambda text: part_words.parse_pin(text, Fretboard()),
    "name": part_words.parse_name,
    "beats": lambda text: part_words.parse_metre(text) if "/" in text else part_words.parse_tempo(text),
}


def try_one(number: int, _folder: Path) -> None:
    """Mutate a word and parse it; one in many goes through a command."""
    draw = random.Random(number)
    kind = draw.choice(sorted(GOOD))
    text = mutate_text(draw.choice(GOOD[kind]), draw)
    if draw.randrange(TYPED_ONE_IN):
        PARSERS[kind](text)
        return
    text = text.replace("\x00", "")  # no shell can give one
    words = {"symbol": ("shapes", text, "--shapes", "1"), "tuning": ("name", "x32010", "--tuning", text)}
    result = run_listen(*words.get(kind, ("name", text)))
    assert result.status in {0, 2}, result
    assert "Traceback" not in result.err
