"""What would make a finding right, in words, and how it is read back from them."""

from __future__ import annotations

import re

from listen.instrument import Finger
from listen.reading import MOST_TUNED_DOWN, Finding, Hint, MoveFinger, OtherKey, OtherSetting, PressLess, TurnPeg

FINGERS: dict[Finger, str] = {
    1: "the index finger", 2: "the middle finger", 3: "the ring finger", 4: "the little finger", "T": "the thumb",
}  # fmt: skip
_SOME = "a finger"
_BY_WORDS: dict[str, Finger] = {words: finger for finger, words in FINGERS.items()}
_N = r"(\d{1,2})"
_WHO = f"({'|'.join([*_BY_WORDS, _SOME])})"
_OPEN = re.compile(rf"String {_N} is stopped at fret {_N}; it should be open\.")
_NOT_STOPPED = re.compile(rf"String {_N} is open; {_WHO} belongs at its fret {_N}\.")
_FRETS_OFF = re.compile(rf"On string {_N} {_WHO} is {_N} frets? too (high|low): fret {_N} is right\.")
_TUNE = re.compile(rf"Tune string {_N} (up|down)(?: to ([A-G][#b]?))?\.")
_LESS = re.compile(rf"String {_N} is in tune when open: .*")


def hint_words(one: Finding) -> str:
    """Return what would make a finding right, as a sentence; empty where that cannot be told.

    Examples
    --------
    >>> hint_words(Finding("chord", 1, 1.0, 0.5, "C", "C7", hint=MoveFinger(3, 3, 0, None)))
    'String 3 is stopped at fret 3; it should be open.'
    """
    if isinstance(one.measure, OtherKey) and not one.hint:
        tune = "; do not tune the guitar up to them" if one.measure.semitones < 0 else ""
        return f"Play the chords that were set{tune}."
    if isinstance(one.measure, OtherSetting) and not one.hint:
        return _setting_hint(one.measure)
    match one.hint:
        case MoveFinger():
            words = _finger_words(one.hint)
        case TurnPeg(string, is_up, note):
            words = f"Tune string {string} {'up' if is_up else 'down'}{f' to {note}' if note else ''}."
        case PressLess(string):
            words = f"String {string} is in tune when open: press it less hard, straight down, close behind the fret."
        case str():
            words = one.hint
    return words


def _finger_words(hint: MoveFinger) -> str:
    who = FINGERS.get(hint.finger, _SOME)
    if hint.set_fret == 0:
        return f"String {hint.string} is stopped at fret {hint.fret}; it should be open."
    if hint.fret == 0:
        return f"String {hint.string} is open; {who} belongs at its fret {hint.set_fret}."
    off, way = abs(hint.fret - hint.set_fret), "too high" if hint.fret > hint.set_fret else "too low"
    frets = f"{off} fret{'' if off == 1 else 's'}"
    return f"On string {hint.string} {who} is {frets} {way}: fret {hint.set_fret} is right."


def _setting_hint(measure: OtherSetting) -> str:
    heard_at = measure.capo_fret + measure.semitones
    if heard_at < -MOST_TUNED_DOWN:  # strings break
        return ""
    if heard_at < 0:
        return "Tune the guitar up, slowly: it is lower than was set. A string that is too tight breaks."
    if measure.cents and 0 in {measure.semitones, measure.capo_fret}:
        return f"Tune the guitar {'up' if 100 * measure.semitones + measure.cents < 0 else 'down'}."
    if measure.capo_fret == 0:
        return "Take the capo off, or tune down."
    return f"Put the capo at fret {measure.capo_fret}."


def parse_hint(words: str) -> Hint | str:
    """Take a hint from its words; other words stay.

    Examples
    --------
    >>> parse_hint("Tune string 3 up."), parse_hint("Slower.")
    (TurnPeg(string=3, is_up=True, note=''), 'Slower.')
    """
    if found := _OPEN.fullmatch(words):
        return MoveFinger(int(found[1]), int(found[2]), 0, 0)
    if found := _NOT_STOPPED.fullmatch(words):
        return MoveFinger(int(found[1]), 0, int(found[3]), _BY_WORDS.get(found[2]))
    if found := _FRETS_OFF.fullmatch(words):
        right = int(found[5])
        off = int(found[3]) * (1 if found[4] == "high" else -1)
        return MoveFinger(int(found[1]), right + off, right, _BY_WORDS.get(found[2]))
    if found := _TUNE.fullmatch(words):
        return TurnPeg(int(found[1]), found[2] == "up", found[3] or "")
    if found := _LESS.fullmatch(words):
        return PressLess(int(found[1]))
    return words
