"""Documents of every kind, mutated as bytes and as values, read, and shown in every form."""

from __future__ import annotations

import json
import random
from functools import cache
from pathlib import Path

from listen import export
from listen.document import document_to_profile, read_document, read_part
from listen.export import TextStyle
from listen.reading import Part
from tests.fuzz.mutate import mutate_bytes, mutate_json

WRITTEN = Path(__file__).parents[1] / "data" / "written_at_format_1"
SMALL_BYTES = 40_000  # larger ones cost seconds each and hold the same fields


@cache
def _seeds() -> tuple[Path, ...]:
    return tuple(path for path in sorted(WRITTEN.iterdir()) if path.stat().st_size < SMALL_BYTES)


def try_one(number: int, folder: Path) -> None:
    """Mutate a document, read it, and write it in every form."""
    draw = random.Random(number)
    source = draw.choice(_seeds())
    path = folder / "mutated.json"
    if draw.random() < 0.3:
        path.write_bytes(mutate_bytes(source.read_bytes(), draw))
    else:
        changed = mutate_json(json.loads(source.read_text("utf-8")), draw)
        path.write_text(json.dumps(changed, ensure_ascii=True), "utf-8")
    kind = source.stem.split("_")[0]
    if kind == "part":
        _show(read_part(path))
        return
    document = read_document(path, kind=kind)
    if kind == "guitar":
        export.render_guitar_text(document_to_profile(document, name=str(path)))


def _show(part: Part) -> None:
    """Write a part in every form but sound."""
    export.render_chart(part, style=TextStyle())
    export.render_chart(part, style=TextStyle(unicode=False, width=40), view=export.ChartView("full", "played"))
    export.render_tablature(part, style=TextStyle())
    for render in (export.render_musicxml, export.render_midi, export.render_csv, export.render_labels):
        render(part)
    export.render_part_boxes(part)
    export.render_part_sheet(part)
