"""Documents of every kind, mutated as bytes, as text and as values, read, and shown in every form."""

from __future__ import annotations

import json
import os
import random
import zlib
from collections.abc import Callable
from functools import cache
from pathlib import Path

from listen import export
from listen.assessment import check_playable
from listen.document import (
    Answered,
    class_to_document,
    document_to_class,
    document_to_profile,
    load_part,
    load_settings,
    load_words,
    open_progress,
    pack_part_evidence,
    parse_chart,
    read_answers,
    read_chart,
    read_class,
    read_document,
    read_exercise,
    read_tolerances,
    render_tolerances,
    unpack_part_evidence,
)
from listen.export import TextStyle
from listen.jobs import name_students
from listen.reading import Assignment, Part
from tests.document.test_chart_text import CHART
from tests.document.test_check_document import CLASS
from tests.document.test_kept_evidence import make_evidence
from tests.fuzz.mutate import mutate_bytes, mutate_json, mutate_text

WRITTEN = Path(__file__).parents[1] / "data" / "written_at_format_1"
SMALL_BYTES = 40_000  # larger ones cost seconds each and hold the same fields
HANDED_OUT_ONE_IN = 20  # a hand-out sounds, which takes a second
ANSWER = Answered("2026-01-01T10:00:00", "which bass", 2.5, "C", "G", is_right=False, took_s=3.5)
PLAIN: dict[str, bytes] = {
    "chart": CHART.encode(),
    "tolerances": render_tolerances().encode(),
    "exercise": b'title = "Week 3"\nkinds = ["which bass"]\nitems = 12\nminutes = 5\nlevel = 2.5\ncapo = 2\n',
    "students": 'file,student\nanna.m4a,"Anna, the first"\nbo.flac,Bö\n'.encode(),
    "evidence": pack_part_evidence(make_evidence()),
    "check": json.dumps(class_to_document(CLASS)).encode(),
    "teacher": json.dumps({
        "format": "listen.teacher/1", "words": [{"bar": 1, "beat": 1.5, "verdict": "wrong"}], "note": "Slow.",
    }).encode(),
    "answers": json.dumps({
        "format": "listen.answers/1",
        "answers": [{"at": "2026-01-01T10:00:00", "kind": "which bass", "level": 1.0, "played": "C", "said": "G",
                     "is_right": False, "took_s": 3.5}],
    }).encode(),
}  # fmt: skip
BINARY = ("evidence", "progress")


@cache
def _seeds(folder: Path) -> tuple[tuple[str, bytes], ...]:
    """Return documents, each with its kind."""
    written = [(path.stem.split("_")[0], path.read_bytes()) for path in sorted(WRITTEN.iterdir())]
    seeds = [(kind, content) for kind, content in written if len(content) < SMALL_BYTES]
    progress = folder / "seed.sqlite"
    with open_progress(progress) as opened:
        opened.record(ANSWER)
    return (*seeds, *PLAIN.items(), ("progress", progress.read_bytes()))


def try_one(number: int, folder: Path) -> None:
    """Mutate a document, read it, and write it in every form."""
    draw = random.Random(number)
    kind, content = draw.choice(_seeds(folder))
    path = folder / "mutated"
    if kind in BINARY or draw.random() < 0.15:
        changed = mutate_bytes(content, draw)
    elif content.startswith(b"{"):
        changed = json.dumps(mutate_json(json.loads(content), draw), ensure_ascii=True).encode()
    else:
        changed = mutate_text(content.decode(), draw).encode("utf-8", "surrogatepass")
    path.write_bytes(changed)
    try:
        if kind in READ:
            READ[kind](path)
        else:
            read_document(path, kind=kind)
    finally:
        for left in folder.glob("mutated-*"):  # what SQLite writes beside a file
            left.unlink()


def _show(part: Part) -> None:
    """Write a part in every form but sound."""
    export.render_chart(part, style=TextStyle())
    export.render_chart(part, style=TextStyle(unicode=False, width=40), view=export.ChartView("full", "played"))
    export.render_tablature(part, style=TextStyle())
    for render in (export.render_musicxml, export.render_midi, export.render_csv, export.render_labels):
        render(part)
    export.render_part_boxes(part)
    export.render_part_sheet(part)
    check_playable(export.part_to_assignment(part))


def _show_chart(path: Path) -> None:
    assignment = read_chart(path)
    check_playable(assignment)
    if zlib.crc32(path.read_bytes()) % HANDED_OUT_ONE_IN == 0:
        export.render_handout(assignment)


def _show_class(path: Path) -> None:
    checked = read_class(path)
    assert document_to_class(class_to_document(checked), name="again") == checked
    export.render_class_text(checked, style=TextStyle())
    export.render_class_text(checked, style=TextStyle(unicode=False, width=40))
    export.render_class_page(checked)
    export.render_check_csv(checked)
    for check in checked.checks:
        export.render_check_page(check, _assignment())


def _load_settings(path: Path) -> None:
    os.environ["LISTEN_SETTINGS"] = str(path)
    load_settings()


def _read_progress(path: Path) -> None:
    with open_progress(path) as progress:
        progress.answers()
        progress.record(ANSWER)


def _load_words(path: Path) -> None:
    words = path.with_name("mutated.teacher.json")
    words.write_bytes(path.read_bytes())
    load_words(path)


@cache
def _assignment() -> Assignment:
    return parse_chart(CHART)


READ: dict[str, Callable[[Path], object]] = {
    "part": lambda path: _show(load_part(path)),
    "guitar": lambda path: export.render_guitar_text(
        document_to_profile(read_document(path, kind="guitar"), name=str(path))
    ),
    "settings": _load_settings,
    "chart": _show_chart,
    "tolerances": read_tolerances,
    "exercise": read_exercise,
    "students": lambda path: name_students([Path("anna.m4a"), Path("bo.flac")], table=path),
    "evidence": lambda path: unpack_part_evidence(path.read_bytes()),
    "check": _show_class,
    "teacher": _load_words,
    "answers": read_answers,
    "progress": _read_progress,
}
