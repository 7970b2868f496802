"""Write the published schema of the part document from the fields that it is written and read by.

Usage: ``python -m tests.regenerate_schema``.
"""

from __future__ import annotations

import json
from pathlib import Path

from listen.document.part_document import part_schema

PATH = Path(__file__).parents[1] / "listen" / "document" / "schemas" / "part.schema.json"


def render() -> str:
    """Return the schema's file."""
    return json.dumps(part_schema(), ensure_ascii=False, indent=1) + "\n"


if __name__ == "__main__":
    PATH.write_text(render(), "utf-8")
