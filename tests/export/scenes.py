"""Readings written by hand, for pictures and documents to be tested on."""

from __future__ import annotations

from listen.evidence import Partial, PitchEvidence, StrumEvidence, TimeSpan
from listen.instrument import Fretboard, best_fingering, parse_shape
from listen.reading import ChordName, NoteReading, ShapeReading, Shares, StrumReading, TakeReading
from listen.theory import Pitch, parse_chord

WHISTLE = "take <1> & \x1b[31mred.wav"  # a file name that would break a page and a terminal


def make_take(
    shapes: tuple[str, ...] = ("x20003", "x2003x", "7-x-5-7-x-3"),
    names: tuple[str, ...] = ("G/B", "Em7/B", "Bm(b6)"),
    *,
    capo_fret: int = 0,
    file: str = "porch.flac",
) -> TakeReading:
    """Return a take as the ear and the fit would give it, the first shape and name being right."""
    board = Fretboard(capo_fret=capo_fret)
    held = [parse_shape(text, fretboard=board) for text in shapes]
    sounding = sorted({pitch for pitch in held[0].pitches(board) if pitch is not None})
    pitches = tuple(_evidence(pitch, sounding) for pitch in sounding)
    evidence = StrumEvidence(TimeSpan(0.18, 2.31), pitches, tuning_offset_cents=-12.4, direction="down")
    notes = tuple(NoteReading(one.pitch, one.probability, one.deviation_cents) for one in pitches)
    shares = (Shares(0.0, -0.4, 0.0), Shares(-1.9, -0.3, -0.6), Shares(-2.4, -4.1, -5.2))
    chances = (0.71, 0.2, 0.02)
    read = StrumReading(
        evidence,
        board,
        notes,
        NoteReading(sounding[0], 0.99, 1.8),
        tuple(ChordName(parse_chord(text), chance) for text, chance in zip(names, (0.95, 0.03, 0.02), strict=False)),
        tuple(
            ShapeReading(shape, best_fingering(shape, board), chances[at], shares[at]) for at, shape in enumerate(held)
        ),
    )
    warnings = ("The loudest peaks are clipped; record more quietly.",)
    return TakeReading(file, "mix", warnings, read, other_strums_s=(4.2, 6.6))


def make_refusal() -> TakeReading:
    """Return a take in which no chord was heard."""
    evidence = StrumEvidence(TimeSpan(0.0, 1.0), (), no_chord_reason="Only noise was heard.")
    return TakeReading("rain.wav", "mix", (), StrumReading(evidence, Fretboard(), refused="Only noise was heard."))


def _evidence(pitch: Pitch, sounding: list[Pitch]) -> PitchEvidence:
    others = [other.frequency_hz for other in sounding if other != pitch]
    partials = []
    for number in range(1, 11):
        frequency = pitch.frequency_hz * number * (1 + 6e-5 * number**2) ** 0.5
        shared = any(abs(frequency / other - round(frequency / other)) < 0.01 for other in others)
        partials.append(Partial(number, frequency, -4.5 * number, shared=shared))
    return PitchEvidence(
        pitch, 4.0, 3.0 if pitch == sounding[0] else -6.0, deviation_cents=1.8, partials=tuple(partials)
    )
