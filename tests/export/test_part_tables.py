"""CSV and label files; the labels are read by mir_eval."""

from __future__ import annotations

import csv
from collections.abc import Callable
from dataclasses import replace
from io import StringIO
from pathlib import Path

import mir_eval
import music21
import pytest

from listen.export.tables import COLUMNS, render_csv, render_labels
from listen.reading import Part
from tests.hand_made_parts import ALL_PARTS, line_part, straight_part, waltz_part

EVERY_PART = pytest.mark.parametrize("make", ALL_PARTS.values(), ids=ALL_PARTS.keys())


@EVERY_PART
def test_mir_eval_reads_the_labels_and_agrees_with_them(make: Callable[[], Part], tmp_path: Path) -> None:
    part = make()
    path = tmp_path / "part.lab"
    path.write_text(render_labels(part), "utf-8")
    intervals, labels = mir_eval.io.load_labeled_intervals(str(path))
    mir_eval.util.validate_intervals(intervals)
    assert intervals[0, 0] == pytest.approx(part.recording.span.start_s, abs=1e-3)
    assert intervals[-1, 1] == pytest.approx(part.recording.span.end_s, abs=1e-3)
    assert (intervals[1:, 0] == intervals[:-1, 1]).all(), "no gaps and no overlaps"
    mir_eval.chord.encode_many(labels)  # every label is Harte syntax
    for span in part.spans:
        assert span.name is not None
        middle = (span.span.start_s + span.span.end_s) / 2
        at = int((intervals[:, 0] <= middle).nonzero()[0][-1])
        root, _, bass = mir_eval.chord.encode(labels[at])
        assert root == span.name.chord.root.pitch_class
        assert (root + bass) % 12 == span.name.chord.sounding_bass.pitch_class
    scores = mir_eval.chord.evaluate(intervals, labels, intervals, labels)
    assert scores["sevenths_inv"] == pytest.approx(1.0)


def test_what_has_no_chord_is_n_and_what_could_not_be_read_is_x() -> None:
    rows = [line.split("\t") for line in render_labels(line_part()).splitlines()]
    assert [label for _, _, label in rows] == ["N", "X", "D:(1,5)"]


def test_a_passing_chord_has_no_label_of_its_own() -> None:
    part = straight_part()
    spans = (part.spans[0], replace(part.spans[1], marks=("passing",)), *part.spans[2:])
    labels = [line.split("\t")[2] for line in render_labels(replace(part, spans=spans)).splitlines()]
    assert labels[:3] == ["N", "E:min", "D:maj/3"]


@EVERY_PART
def test_the_table_has_a_row_an_event(make: Callable[[], Part]) -> None:
    part = make()
    rows = list(csv.DictReader(StringIO(render_csv(part), newline="")))
    assert tuple(rows[0]) == COLUMNS
    assert [int(row["number"]) for row in rows] == [event.number for event in part.events]
    assert not [cell for row in rows for cell in row.values() if cell[:1] in set("=+-@\t")], "no cell is a formula"


def test_a_row_tells_chord_form_frets_and_place() -> None:
    row = list(csv.DictReader(StringIO(render_csv(waltz_part()), newline="")))[7]
    assert (row["bar"], row["beat"], row["chord"], row["played_as"]) == ("3", "1", "Bb7/D", "G7/B")
    assert (row["frets"], row["harte"], row["direction"], row["bass"]) == ("x-2-0-0-0-1", "Bb:7/3", "down", "D3")


@EVERY_PART
def test_music21_finds_the_bass_of_a_row_among_its_notes(make: Callable[[], Part]) -> None:
    rows = [row for row in csv.DictReader(StringIO(render_csv(make()), newline="")) if row["notes"]]
    assert rows
    for row in rows:
        pitches = [music21.pitch.Pitch(name) for name in row["notes"].split()]
        assert music21.pitch.Pitch(row["bass"]).midi == min(pitch.midi for pitch in pitches)


def test_lines_end_as_the_standard_says() -> None:
    assert render_csv(straight_part()).count("\r\n") == len(straight_part().events) + 1


@pytest.mark.parametrize("remark", ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r\n=1", " =1", "\x00=1", "\uff1d1", "−1"])
def test_no_remark_of_a_stranger_is_a_formula(remark: str) -> None:
    """Open Worldwide Application Security Project, *CSV Injection*: which cells a spreadsheet reads as formulas."""
    part = straight_part()
    part = replace(part, events=(replace(part.events[0], remark=remark), *part.events[1:]))
    cell = next(csv.DictReader(StringIO(render_csv(part), newline="")))["remark"]
    assert cell[0] == "'"
    assert cell.isprintable()
