"""Print the benchmark's tables in Markdown, and its cases as JSON."""

from __future__ import annotations

import statistics
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from tests.benchmarks.cases import Truth
from tests.benchmarks.reach import render_goals
from tests.benchmarks.rows import Group, Row
from tests.benchmarks.scores import (
    Rate,
    Scores,
    expected_calibration_error,
    note_precision_recall_f,
    rate,
    rate_strings,
    short,
)
from tests.benchmarks.system import CRASHED, Answer


@dataclass(frozen=True, slots=True)
class Scored:
    """One case with its answer and scores.

    Parameters
    ----------
    name : str
    truth : Truth
    answer : Answer
    scores, naive_triads, naive_qualities : Scores
    """

    name: str
    truth: Truth
    answer: Answer
    scores: Scores
    naive_triads: Scores
    naive_qualities: Scores


Cell = Callable[[Sequence[Scored]], str]


def _rate(found: Rate) -> str:
    if not found.asked:
        return "–"
    low, high = found.bounds
    return f"{short(found.value)} ({short(low)}–{short(high)})"


def _mark(mark: str) -> Cell:
    return lambda scored: _rate(rate((one.scores for one in scored), mark))


def _naive(mark: str, which: str) -> Cell:
    return lambda scored: _rate(rate((getattr(one, which) for one in scored), mark))


def _strings(label: str) -> Cell:
    return lambda scored: _rate(rate_strings((one.scores for one in scored), label))


def _notes(place: int) -> Cell:
    return lambda scored: short(note_precision_recall_f(one.scores for one in scored)[place])


def _n(scored: Sequence[Scored]) -> str:
    return str(len(scored))


_NOTES: tuple[tuple[str, Cell], ...] = (
    ("n", _n),
    ("P", _notes(0)),
    ("R", _notes(1)),
    ("F", _notes(2)),
    ("exact pitch set", _mark("exact")),
    ("exact pitch classes", _mark("pitch classes")),
    ("bass pitch", _mark("bass")),
    ("bass class", _mark("bass class")),
    ("wrongly refused", _mark("refused")),
)
_NAMES: tuple[tuple[str, Cell], ...] = (
    ("label first", _mark("label")),
    ("label in three", _mark("label in three")),
    ("every exact reading in three", _mark("every exact reading")),
    ("label first, inverted", _mark("label, inverted")),
    ("the book's name", _mark("book's name")),
    ("naive, 24 triads: label", _naive("label", "naive_triads")),
    ("naive, 22 qualities: label", _naive("label", "naive_qualities")),
    ("naive, 22: the book's name", _naive("book's name", "naive_qualities")),
)
_SHAPES: tuple[tuple[str, Cell], ...] = (
    ("strings", _strings("book")),
    ("shape first", _mark("shape, book")),
    ("shape in three", _mark("shape in three, book")),
    ("book 0: strings", _strings("no book")),
    ("book 0: first", _mark("shape, no book")),
    ("book 0: in three", _mark("shape in three, no book")),
    ("direction, where said", _mark("direction, where said")),
)
_RECORDED: tuple[tuple[str, Cell], ...] = (
    ("n", _n),
    ("major or minor", _mark("major or minor")),
    ("triad named, nothing else", _mark("triad named, nothing else")),
    ("pitch classes exactly the triad's", _mark("pitch classes")),
    ("all of the triad heard", _mark("triad heard")),
    ("wrongly refused", _mark("refused")),
    ("naive, 24 triads: major or minor", _naive("major or minor", "naive_triads")),
)
_REFUSED: tuple[tuple[str, Cell], ...] = (("n", _n), ("refused", _mark("refused")))
_LONE: tuple[tuple[str, Cell], ...] = (*_REFUSED, ("notes listed exactly", _mark("note listed")))


def _table(head: str, rows: Sequence[tuple[str, Sequence[Scored]]], columns: Sequence[tuple[str, Cell]]) -> str:
    lines = [
        f"| {head} | " + " | ".join(title for title, _ in columns) + " |",
        "|---" * (len(columns) + 1) + "|",
    ]
    lines += [f"| {title} | " + " | ".join(cell(scored) for _, cell in columns) + " |" for title, scored in rows]
    return "\n".join(lines)


def render_report(rows: Sequence[Row], results: dict[str, list[Scored]]) -> str:
    """Render every table of the rows that were run.

    Parameters
    ----------
    rows : sequence of Row
    results : dict of str to list of Scored

    Returns
    -------
    str
        Markdown; proportions with Wilson's 95 % interval.
    """

    def of(*groups: Group) -> list[tuple[str, list[Scored]]]:
        return [(row.title, results[row.title]) for row in rows if row.group in groups and results[row.title]]

    def pooled(title: str, parts: list[tuple[str, list[Scored]]]) -> list[tuple[str, list[Scored]]]:
        return [*parts, (f"**{title}**", [one for _, scored in parts for one in scored])] if len(parts) > 1 else parts

    strums, power = of("strums"), of("power")
    goals = render_goals({title: [one.scores for one in scored] for title, scored in results.items()})
    parts = ["### Against what was set out to be reached", goals]
    if strums or power:
        played = [*pooled("all strums", strums), *power]
        parts += ["### What sounds", _table("strums", played, _NOTES)]
        parts += ["### What it is called", _table("strums", played, _NAMES)]
        known = [(t, s) for t, s in [*strums, *power] if s[0].truth.strings_known]
        drawn = [(t, s) for t, s in [*strums, *power] if not s[0].truth.strings_known]
        if known:
            parts += ["### Where it is held, on strings that are known", _table("strums", known, _SHAPES)]
        if drawn:
            parts.append(
                "### Where it is drawn: notes from whatever string they were recorded on, so hand and book decide"
            )
            parts.append(_table("strums", drawn, _SHAPES))
        parts += ["### Calibration", _calibration([*strums, *power])]
    if recorded := of("recorded"):
        parts += ["### Recorded open chords", _table("strums", pooled("both", recorded), _RECORDED)]
    if nothing := of("not chords"):
        parts += ["### What is no chord", _table("sounds", pooled("all", nothing), _REFUSED)]
    if lone := of("notes"):
        parts += [
            "### A note, an octave: refused as a chord, listed as notes",
            _table("sounds", pooled("all", lone), _LONE),
        ]
    parts += _timing_and_crashes(results)
    return "\n\n".join(parts)


def _timing_and_crashes(results: dict[str, list[Scored]]) -> list[str]:
    every = [one for scored in results.values() for one in scored]
    lines = []
    if seconds := [one.answer.seconds for one in every if one.answer.notes]:
        lines.append(f"One reading, warm: median {1e3 * statistics.median(seconds):.0f} ms.")
    if crashed := [one for one in every if (one.answer.refused or "").startswith(CRASHED)]:
        shown = "\n".join(f"* {one.name}: {one.answer.refused}" for one in crashed[:5])
        lines.append(f"{len(crashed)} crashed, the first ones:\n\n{shown}")
    return lines


def _calibration(rows: Sequence[tuple[str, Sequence[Scored]]]) -> str:
    titles = (
        ("notes", "notes that are listed"),
        ("ear", "the ear's pitches (said ≥ .02, or sounding)"),
        ("names", "first name"),
        ("shapes", "first shape, known strings"),
    )
    lines = [
        "| probability of | answers | mean said | came true | expected calibration error |",
        "|---|---|---|---|---|",
    ]
    for key, title in titles:
        pairs = [pair for _, scored in rows for one in scored for pair in one.scores.confidences.get(key, ())]
        if pairs:
            said, true = (statistics.fmean(float(pair[place]) for pair in pairs) for place in (0, 1))
            error = expected_calibration_error(pairs)
            lines.append(f"| {title} | {len(pairs)} | {short(said)} | {short(true)} | {short(error)} |")
    return "\n".join(lines)


def to_json(results: dict[str, list[Scored]]) -> Iterator[dict[str, Any]]:
    """Give every case as a dictionary: row, name, truth, answer, marks."""
    for title, scored in results.items():
        for one in scored:
            answer = asdict(one.answer)
            answer.pop("heard")
            answer["names"] = [name.text for name in one.answer.names]
            truth = asdict(one.truth)
            yield {"row": title, "case": one.name, "truth": truth, "answer": answer, "marks": one.scores.marks}
