"""A part as rows: CSV for a spreadsheet, and a label file for whoever scores chords.

References
----------
Y. Shafranovich, Common Format and MIME Type for CSV Files, RFC 4180, 2005.
Open Worldwide Application Security Project, *CSV Injection*: a cell that begins with = + - @, a tab or a line end is
read as a formula by spreadsheets; an apostrophe before it makes it text.
C. Harte, M. Sandler, S. Abdallah, E. Gómez, Symbolic representation of musical chords, ISMIR 2005: ``N`` is no chord;
``X``, a chord that cannot be told, is a later custom of the same label files (`mir_eval.chord` reads both).
"""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import astuple, fields
from io import StringIO

from listen.document import Answered
from listen.instrument import Shape
from listen.reading import Event, Part
from listen.theory import chord_to_harte

COLUMNS = (
    "number", "kind", "start_s", "end_s", "bar", "beat", "direction", "chord", "played_as", "harte", "frets", "bass",
    "notes", "marks", "remark",
)  # fmt: skip
NO_CHORD, UNKNOWN = "N", "X"
FORMULA_STARTS = "=+-@−＝＋－＠"  # also the signs that a spreadsheet may take for those
LEAST_S = 0.0005  # half of the last decimal that is written: shorter is no interval


def render_csv(part: Part) -> str:
    """Render every event as a row under a head of column names.

    Returns
    -------
    str
        RFC 4180: commas, quotes where needed, lines ended by CR LF.
    """
    stream = StringIO()
    writer = csv.writer(stream)
    writer.writerow(COLUMNS)
    for event in part.events:
        writer.writerow(_row(event))
    return stream.getvalue()


def render_answers_csv(answers: Sequence[Answered]) -> str:
    """Render answers of practice as rows under a head of column names (RFC 4180)."""
    stream = StringIO()
    writer = csv.writer(stream)
    writer.writerow(field.name for field in fields(Answered))
    writer.writerows(astuple(answer) for answer in answers)
    return stream.getvalue()


def render_labels(part: Part) -> str:
    r"""Render the chords as a label file: start, end and Harte label, tab-separated, without gaps.

    Examples
    --------
    >>> from listen.evidence import TimeSpan
    >>> from listen.instrument import Fretboard
    >>> from listen.reading import PartRecording
    >>> render_labels(Part(PartRecording(TimeSpan(0.0, 2.0), 2.0), Fretboard()))
    '0.000\t2.000\tN\n'
    """
    rows: list[tuple[float, float, str]] = []
    at = part.recording.span.start_s
    for first_s, end_s, label in _find_labels(part):
        start_s = max(first_s, at)
        if start_s - at > LEAST_S:
            _append(rows, at, start_s, NO_CHORD)
        if end_s - start_s > LEAST_S:
            _append(rows, start_s, end_s, label)
            at = end_s
    if part.recording.span.end_s - at > LEAST_S:
        _append(rows, at, part.recording.span.end_s, NO_CHORD)
    return "".join(f"{start_s:.3f}\t{end_s:.3f}\t{label}\n" for start_s, end_s, label in rows)


def _row(event: Event) -> list[object]:
    name, shape, position = event.name, event.shape, event.position
    pitches = sorted({note.pitch for note in event.notes})
    return [
        event.number,
        event.kind,
        f"{event.span.start_s:.3f}",
        f"{event.span.end_s:.3f}",
        "" if position is None else position.bar,
        "" if position is None else f"{float(position.beat):g}",
        ("" if event.kind == "picked" else event.direction) or "",
        _cell("" if name is None else name.text),
        _cell("" if name is None or name.played_as is None else name.played_as.text),
        _cell("" if name is None else chord_to_harte(name.chord, missing=name.missing)),
        "" if shape is None else _dashed(shape.shape),
        pitches[0].name if pitches else "",
        " ".join(pitch.name for pitch in pitches),
        _cell(" ".join(mark.replace(" ", "-") for mark in event.marks)),
        _cell(event.remark),
    ]


def _cell(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula, without control characters."""
    shown = "".join(sign if sign.isprintable() else " " for sign in text).strip()
    return f"'{shown}" if shown[:1] and shown[0] in FORMULA_STARTS else shown


def _dashed(shape: Shape) -> str:
    """Return frets that no spreadsheet takes for a number."""
    return "-".join("x" if fret is None else str(fret) for fret in shape.frets)


def _find_labels(part: Part) -> list[tuple[float, float, str]]:
    """Return what is named and what could not be read, in time order; a passing chord belongs to the one before it."""
    found = []
    label = NO_CHORD
    for span in part.spans:
        if "passing" not in span.marks:
            label = UNKNOWN if span.name is None else chord_to_harte(span.name.chord, missing=span.name.missing)
        found.append((span.span.start_s, span.span.end_s, label))
    found += [(e.span.start_s, e.span.end_s, UNKNOWN) for e in part.events if e.kind == "unread"]
    return sorted(found)


def _append(rows: list[tuple[float, float, str]], start_s: float, end_s: float, label: str) -> None:
    if rows and rows[-1][2] == label:
        rows[-1] = (rows[-1][0], end_s, label)
    else:
        rows.append((start_s, end_s, label))
