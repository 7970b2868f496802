"""What the project set out to reach, beside what was measured: one line a goal."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tests.benchmarks.scores import (
    Rate,
    Scores,
    expected_calibration_error,
    note_precision_recall_f,
    rate,
    rate_strings,
    short,
)

CLEAN = "^(electric|archtop|nylon by string|drawn guitars|soundfont), (book shapes|off the book|re-fingered)$"
CLEAN_SHAPES = CLEAN.replace("|off the book|re-fingered", "")
CLEAN_BOOK = "^(electric|archtop), book shapes$"
CLEAN_OFF_BOOK = "^(electric|archtop), off the book$"
REFINGERED = "^drawn guitars, re-fingered$"
PLAYED = "^(?!no chord|one note|a note and|recorded|next strum|power|acoustic)"  # whole strums that begin a recording

Measure = Callable[[Sequence[Scores]], Rate | float]


@dataclass(frozen=True, slots=True)
class Goal:
    """One goal.

    Parameters
    ----------
    title : str
    rows : str
        A pattern of row titles; their cases are pooled.
    measure : callable
    least, most : float or None
        What is to be reached.
    """

    title: str
    rows: str
    measure: Measure
    least: float | None = None
    most: float | None = None

    def render(self, scores: Sequence[Scores]) -> str:
        """Render the goal's line of the table."""
        found = self.measure(scores)
        value = found.value if isinstance(found, Rate) else found
        met = (self.least is None or value >= self.least) and (self.most is None or value <= self.most)
        wanted = f"≥ {short(self.least)}" if self.least is not None else f"≤ {short(self.most or 0.0)}"
        shown = repr(found) if isinstance(found, Rate) else short(found)
        return f"| {self.title} | {wanted} | {shown} | {'yes' if met else 'no'} |"


def _mark(mark: str) -> Measure:
    return lambda scores: rate(scores, mark)


def _note_f(scores: Sequence[Scores]) -> float:
    return note_precision_recall_f(scores)[2]


def _strings(label: str) -> Measure:
    return lambda scores: rate_strings(scores, label)


def _calibration(of: str) -> Measure:
    return lambda scores: expected_calibration_error([pair for one in scores for pair in one.confidences.get(of, ())])


GOALS: tuple[Goal, ...] = (
    Goal("clean mixes and renders: note F", CLEAN, _note_f, 0.99),
    Goal("the same: exact pitch set", CLEAN, _mark("exact"), 0.95),
    Goal("the same: bass pitch", CLEAN, _mark("bass"), 0.99),
    Goal("the same: label first", CLEAN, _mark("label"), 0.95),
    Goal("the same: every exact reading in three", CLEAN, _mark("every exact reading"), 0.98),
    Goal("the same, book shapes: shape in three", CLEAN_SHAPES, _mark("shape in three, book"), 0.75),
    Goal("electric and archtop, book shapes: exact", CLEAN_BOOK, _mark("exact"), 0.993),
    Goal("electric and archtop, off the book: exact", CLEAN_OFF_BOOK, _mark("exact"), 0.985),
    Goal("soundfont, six timbres off pitch: exact", "^soundfont, six", _mark("exact"), 0.975),
    Goal("overdriven, soft and hard: exact", "^electric, (soft|hard)", _mark("exact"), 0.90),
    Goal("next strum after 600 ms, strokes told: exact", "600 ms, strokes told", _mark("exact"), 0.98),
    Goal("next strum after 300 ms, strokes told: exact", "300 ms, strokes told", _mark("exact"), 0.95),
    Goal("next strum after 150 ms, strokes told: exact", "150 ms, strokes told", _mark("exact"), 0.85),
    Goal("a voice 6 dB under: exact", "a voice 6 dB", _mark("exact"), 0.90),
    Goal("phone codecs: exact", "phone codecs", _mark("exact"), 0.985),
    Goal("180 to 5,500 Hz: exact", "180 to 5,500", _mark("exact"), 0.985),
    Goal("re-fingered, unknown guitar, book 0: strings", REFINGERED, _strings("no book"), 0.94),
    Goal("the same: shape first", REFINGERED, _mark("shape, no book"), 0.85),
    Goal("the same: shape in three", REFINGERED, _mark("shape in three, no book"), 0.95),
    Goal("recorded open chords: major or minor", "^recorded", _mark("major or minor"), 0.985),
    Goal("recorded open chords: exactly the triad's pitch classes", "^recorded", _mark("pitch classes"), 0.92),
    Goal("what is no chord: refused", "^no chord", _mark("refused"), 0.99),
    Goal("chords wrongly refused (0.2 s notes and strums in context apart)", PLAYED, _mark("refused"), most=0.005),
    Goal("power chords wrongly refused", "^power", _mark("refused"), most=0.01),
    Goal("calibration error of notes", PLAYED, _calibration("notes"), most=0.02),
    Goal("calibration error of first names", PLAYED, _calibration("names"), most=0.03),
    Goal("calibration error of first shapes, known strings", PLAYED, _calibration("shapes"), most=0.05),
)  # fmt: skip


def render_goals(scores_by_row: dict[str, list[Scores]]) -> str:
    """Render every goal of which there are cases, as a Markdown table."""
    lines = ["| goal | reach | measured | reached |", "|---|---|---|---|"]
    for goal in GOALS:
        scores = [one for title, rows in scores_by_row.items() if re.search(goal.rows, title) for one in rows]
        if scores:
            lines.append(goal.render(scores))
    return "\n".join(lines)
