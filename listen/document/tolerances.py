"""How far a student may be off, as a TOML file a teacher can edit (TOML 1.0)."""

from __future__ import annotations

import difflib
from dataclasses import fields, replace
from pathlib import Path

from listen.document.text_file import parse_toml, read_text_file
from listen.errors import DocumentError
from listen.reading import Tolerances

MOST_BYTES = 65_536
# Wider than any teacher would set them; judged.
_BOUNDS = {
    "cents": (1.0, 100.0), "guitar_cents": (1.0, 100.0), "change_ms": (10.0, 5000.0), "uneven_ms": (5.0, 1000.0),
    "way_share": (0.0, 1.0), "tempo_share": (0.01, 4.0), "sure": (0.5, 1.0), "ask": (0.05, 1.0),
}  # fmt: skip
_REMARKS = {
    "cents": "a string against the rest of the guitar, in cents",
    "guitar_cents": "the whole guitar against A = 440 Hz, in cents",
    "change_ms": "a change of chord against the student's own pulse, in milliseconds",
    "uneven_ms": "strokes against the student's own pulse, in the mean, in milliseconds",
    "way_share": "share of the strokes that go down or up as set, where a pattern is set",
    "tempo_share": "the tempo against the one that was set: 0.2 is a fifth faster or slower",
    "sure": "how likely a finding must be to be said; what is less likely is a question",
    "ask": "how likely it must be to be asked about; what is less likely is left out",
}


def render_tolerances(tolerances: Tolerances | None = None) -> str:
    """Return tolerances as a TOML file with a remark on each.

    Examples
    --------
    >>> print(render_tolerances().splitlines()[1])
    cents = 15.0  # a string against the rest of the guitar, in cents
    """
    kept = tolerances or Tolerances()
    rows = [f"{field.name} = {getattr(kept, field.name):g}" for field in fields(kept)]
    rows = [
        f"{row if '.' in row else row + '.0'}  # {_REMARKS[field.name]}"
        for row, field in zip(rows, fields(kept), strict=True)
    ]
    return "# How far a student may be off before it is said.\n" + "".join(f"{row}\n" for row in rows)


def read_tolerances(path: Path | str) -> Tolerances:
    """Read tolerances; what the file leaves out is as usual.

    Raises
    ------
    DocumentError
        It cannot be read, or a value is unknown or not possible.
    """
    path = Path(path)
    text = read_text_file(path, called="a table of tolerances", most_bytes=MOST_BYTES)
    given = parse_toml(text, path, called="a table of tolerances", such_as="cents = 15")
    tolerances = Tolerances()
    for name, value in given.items():
        if name not in _BOUNDS:
            near = difflib.get_close_matches(name, _BOUNDS, n=1)
            hint = f" Did you mean {near[0]}?" if near else ""
            raise DocumentError(f"{path}: {name[:40]} is no tolerance; known are {', '.join(_BOUNDS)}.{hint}")
        low, high = _BOUNDS[name]
        if isinstance(value, bool) or not isinstance(value, int | float) or not low <= value <= high:
            raise DocumentError(
                f"{path}: {name} is {str(value)[:40]}, but it must be a number from {low:g} to {high:g}."
            )
        tolerances = replace(tolerances, **{name: float(value)})
    if tolerances.ask > tolerances.sure:
        raise DocumentError(f"{path}: ask is {tolerances.ask:g}, but it must not be over sure, {tolerances.sure:g}.")
    return tolerances
