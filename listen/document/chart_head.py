"""The head of a chart, read: title, tuning, capo, tempo, metre, feel, pickup and pattern."""

from __future__ import annotations

import re
from dataclasses import replace

from listen.document.chart_place import ChartPlace
from listen.evidence import Direction
from listen.instrument import STANDARD, Fretboard, parse_tuning
from listen.reading import STEPS_PER_BEAT, Assignment, SetStroke

MOST_BEATS = 16
TEMPI_BPM = (20.0, 400.0)  # slower and faster than any metronome counts; judged
STRAIGHT, SWING = "straight", "swing"  # what halves of beats feel like
SIGNATURES = re.compile(r"(\d{1,2})\s*/\s*(2|4|8|16)")
_STROKES: dict[str, tuple[Direction | None, bool]] = {
    "D": ("down", False), "↓": ("down", False), "U": ("up", False), "↑": ("up", False), "*": (None, False),
    "↕": (None, False), "x": (None, True), "X": (None, True), "×": (None, True),
}  # fmt: skip
_RESTS = ".·-"


def read_board(head: dict[str, ChartPlace]) -> Fretboard:
    """Read the neck: tuning and capo."""
    tuning, capo = STANDARD, 0
    if "tuning" in head:
        with head["tuning"].explained():
            tuning = parse_tuning(head["tuning"].text)
    if "capo" not in head:
        return Fretboard(tuning)
    text = head["capo"].text.lower()
    if not re.fullmatch(r"\d{1,2}|none", text):
        raise head["capo"].refuse(f"capo is {text[:20]}, but it must be a fret, counted from the nut; 0 for none.")
    capo = 0 if text == "none" else int(text)
    with head["capo"].explained():
        return Fretboard(tuning, capo_fret=capo)


def read_head(head: dict[str, ChartPlace], board: Fretboard) -> Assignment:
    """Read what else the head says, into an assignment without chords."""
    signature = read_signature(head["metre"]) if "metre" in head else (4, 4)
    tempo, is_free = None, "free time" in head
    if "tempo" in head and head["tempo"].text.lower() in {"free", "free time"}:
        is_free = True
    elif "tempo" in head:
        tempo = read_tempo(head["tempo"], or_else=", or free")
    assignment = Assignment(
        (), (), head["title"].text if "title" in head else "", board.tuning, board.capo_fret, signature, tempo, is_free
    )
    if "feel" in head:
        assignment = replace(assignment, is_swung=_read_feel(head["feel"]))
    if "pickup" in head:
        text = head["pickup"].text
        if not (text.isdigit() and 1 <= int(text) < assignment.beats_per_bar):
            most = assignment.beats_per_bar - 1
            raise head["pickup"].refuse(f"pickup is {head['pickup'].shown}, but it must be beats, 1 to {most}.")
        assignment = replace(assignment, pickup_beats=int(text))
    if "pattern" in head:
        assignment = replace(assignment, pattern=_read_pattern(head["pattern"], assignment.steps_per_bar))
    return assignment


def read_signature(place: ChartPlace) -> tuple[int, int]:
    """Read a metre as it is signed."""
    match = SIGNATURES.fullmatch(place.text)
    if match is None or not 1 <= int(match[1]) <= MOST_BEATS:
        raise place.refuse(f"metre is {place.shown}; write 4/4, 3/4 or 6/8.")
    return int(match[1]), int(match[2])


def _read_feel(place: ChartPlace) -> bool:
    if place.text.lower() not in {STRAIGHT, SWING}:
        raise place.refuse(f"feel is {place.shown}, but it must be {STRAIGHT} or {SWING}.")
    return place.text.lower() == SWING


def read_tempo(place: ChartPlace, *, or_else: str = "") -> float:
    """Read beats a minute; in a refusal `or_else` says what else may be written."""
    low, high = TEMPI_BPM
    try:
        tempo = float(place.text)
    except ValueError:
        tempo = float("nan")
    if not low <= tempo <= high:
        raise place.refuse(f"tempo is {place.shown}, but it must be beats a minute, {low:.0f} to {high:.0f}{or_else}.")
    return tempo


def _read_pattern(place: ChartPlace, n_steps: int) -> tuple[SetStroke, ...]:
    signs = [(sign, at) for at, sign in enumerate(place.text) if not sign.isspace() and sign != "|"]
    for sign, at in signs:
        if sign not in _STROKES and sign not in _RESTS:
            raise place.after(at).refuse(
                f'"{sign}" is no stroke: write D down, U up, * either, x damped, and . where none is.'
            )
    n_beats = n_steps // STEPS_PER_BEAT
    if n_steps % len(signs) or len(signs) % n_beats:
        raise place.refuse(
            f"the pattern has {len(signs)} places, which {n_beats} beats do not share out; write "
            f"{n_beats}, {2 * n_beats}, {3 * n_beats} or {4 * n_beats}, with . where there is no stroke."
        )
    width = n_steps // len(signs)
    strokes = []
    for at, (sign, _) in enumerate(signs):
        if sign in _STROKES:
            strokes.append(SetStroke(at * width, *_STROKES[sign]))
    return tuple(strokes)
