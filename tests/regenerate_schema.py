"""Write the published schemas of documents from the fields that they are written and read by.

Usage: ``python -m tests.regenerate_schema``.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path

from listen.document.check_document import check_schema
from listen.document.format import Document
from listen.document.guitar_profile import guitar_schema
from listen.document.name_document import names_schema
from listen.document.part_document import part_schema
from listen.document.shapes_document import shapes_schema
from listen.document.strum_document import strum_schema

FOLDER = Path(__file__).parents[1] / "listen" / "document" / "schemas"
MAKERS: Mapping[str, Callable[[], Document]] = {
    "check": check_schema,
    "guitar": guitar_schema,
    "name": names_schema,
    "part": part_schema,
    "shapes": shapes_schema,
    "strum": strum_schema,
}


def find_path(kind: str) -> Path:
    """Return where the schema of a kind of document is kept."""
    return FOLDER / f"{kind}.schema.json"


def render(kind: str) -> str:
    """Return the schema's file."""
    return json.dumps(MAKERS[kind](), ensure_ascii=False, indent=1) + "\n"


if __name__ == "__main__":
    for kind in MAKERS:
        find_path(kind).write_text(render(kind), "utf-8")
