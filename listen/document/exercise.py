"""An exercise that a teacher sets: a small TOML file that says what is asked, and how much of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from listen.document.text_file import parse_toml, read_text_file
from listen.errors import BadValueError, DocumentError, bad_value

MOST_ITEMS_SET, MOST_MINUTES_SET = 200, 60.0  # an hour without a break is no practice; judged
MAX_BYTES = 65_536
_FIELDS = ("title", "kinds", "items", "minutes", "level", "tuning", "capo")


@dataclass(frozen=True, slots=True)
class Exercise:
    """What a teacher set.

    Parameters
    ----------
    title : str
    kinds : tuple of str
        As written; whoever asks the questions checks them.
    items : int
    minutes : float
    level : float or None
        The same for everybody; None for each player's own.
    tuning : str
    capo : int
    """

    title: str = ""
    kinds: tuple[str, ...] = ()
    items: int = 20
    minutes: float = 10.0
    level: float | None = None
    tuning: str = "standard"
    capo: int = 0

    def __post_init__(self) -> None:
        if not 1 <= self.items <= MOST_ITEMS_SET:
            raise bad_value("items", self.items, allowed=f"1 to {MOST_ITEMS_SET}")
        if not 0.0 < self.minutes <= MOST_MINUTES_SET:
            raise bad_value("minutes", self.minutes, allowed=f"more than 0, at most {MOST_MINUTES_SET:g}")


def read_exercise(path: Path) -> Exercise:
    """Read an exercise.

    Raises
    ------
    DocumentError
        It cannot be read, is no TOML, or has a field that there is not.
    """
    text = read_text_file(path, called="an exercise", most_bytes=MAX_BYTES)
    table: dict[str, Any] = parse_toml(text, path, called="an exercise", such_as="items = 20")
    unknown = sorted(set(table) - set(_FIELDS))
    if unknown:
        raise DocumentError(f"{path} has {unknown[0]!r}, which an exercise does not know: {', '.join(_FIELDS)}.")
    kinds = table.get("kinds", [])
    if not isinstance(kinds, list) or not all(isinstance(kind, str) for kind in kinds):
        raise DocumentError(f'{path}: kinds must be a list of words in quotes, such as kinds = ["which bass"].')
    wanted: dict[str, tuple[type, ...]] = {
        "title": (str,), "items": (int,), "minutes": (int, float), "level": (int, float), "tuning": (str,),
        "capo": (int,),
    }  # fmt: skip
    for name, types in wanted.items():
        if name in table and (type(table[name]) not in types):
            wanted_text = "a text in quotes" if str in types else "a number"
            raise DocumentError(f"{path} has {name} = {str(table[name])[:40]!r}, where {wanted_text} is wanted.")
    try:
        return Exercise(**{**table, "kinds": tuple(kinds)})
    except BadValueError as error:
        raise DocumentError(f"{path}: {error}") from error
