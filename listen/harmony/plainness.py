"""How plain each chord quality is: what a teacher would say first where two names fit equally well.

Costs are points that :data:`listen.harmony.scoring.SHARPNESS` turns into probabilities.
They order the trade's vocabulary by how common it is on the page: triads, then sevenths, suspensions and sixths, then
ninths, then elevenths, thirteenths and altered chords, then the names that only theory uses (common practice, no
source). They decide between names that hold the same tones, never whether a tone sounds.
"""

from __future__ import annotations

from listen.theory import QUALITIES

_BY_COST = {
    0.0: ("", "m", "5"),
    0.15: ("7", "maj7", "m7"),
    0.4: ("dim",),
    0.5: ("sus4", "sus2", "m7b5", "dim7", "9"),
    0.6: ("aug", "6", "add9", "7sus4", "maj9", "m9"),
    0.7: ("m6", "7#9"),
    0.8: ("m(add9)", "6/9", "7b9"),
    0.9: ("m(maj7)", "7#5", "9sus4", "m11", "13"),
    1.0: ("7b5",),
    1.1: ("7#11", "m6/9"),
    1.2: ("add11", "m7(add11)", "maj7#11", "maj13"),
    1.3: ("11", "9#5", "13sus4", "7(#5,#9)", "7(b5,b9)"),
    1.4: ("9b5", "9#11", "m9b5", "m13", "7(#5,b9)", "7(b5,#9)"),
    1.5: ("m(add11)", "m(maj9)", "13b9"),
    1.6: ("6sus4", "(add#11)", "maj7#5", "maj9#11", "7b9sus4"),
    1.7: ("sus2sus4", "7b13", "7(add11)", "maj7(add11)"),
    1.8: ("maj11", "7(b9,#11)", "13#11"),
    1.9: ("maj7sus2", "13#9"),
    2.0: ("7sus2", "maj7sus4", "dim(maj7)", "m11b5", "7(#9,#11)", "7(b9,b13)"),
    2.1: ("maj13#11", "9b13"),
    2.2: ("(b5)", "(addb9)", "m7b9"),
    2.3: ("m(maj11)", "maj9#5"),
    2.4: ("sus#4", "susb2"),
    2.6: ("m7#5",),
    3.4: ("maj7b5",),  # the trade says maj7#11, whose fifth may go
}

PLAINNESS: dict[str, float] = {symbol: cost for cost, symbols in _BY_COST.items() for symbol in symbols}
NAMEABLE = tuple(quality for quality in QUALITIES if quality.symbol in PLAINNESS)
