"""The published schemas of this program's documents (JSON Schema, draft 2020-12)."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any, cast

from listen.errors import bad_value

SCHEMAS = ("strum", "shapes", "name", "part", "guitar", "check")


def load_schema(kind: str) -> dict[str, Any]:
    """Return a schema: ``"strum"``, ``"shapes"``, ``"name"``, ``"part"``, ``"guitar"`` or ``"check"``.

    Examples
    --------
    >>> load_schema("strum")["$schema"]
    'https://json-schema.org/draft/2020-12/schema'
    """
    if kind not in SCHEMAS:
        raise bad_value("schema", kind, allowed=f"one of {', '.join(SCHEMAS)}")
    text = files("listen.document").joinpath("schemas", f"{kind}.schema.json").read_text("utf-8")
    return cast("dict[str, Any]", json.loads(text))
