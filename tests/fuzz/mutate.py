"""Mutations: of bytes, of text, and of parsed JSON. The same random numbers give the same mutation."""

from __future__ import annotations

import random
from typing import Any

EDGES = (0, 1, 0x7F, 0x80, 0xFF, 0x7FFF, 0x8000, 0xFFFF, 0x7FFFFFFF, 0x80000000, 0xFFFFFFFF, 0xFFFFFFF0)
SIGNS = "ABCDEFGabxX#♯♭b0123456789/()+-°øΔmMsusadddim,.:= \t\n\x00\x1b\ud800\u202e😀٣²%'\"<&=@"
VALUES: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 10**400, -(10**9), 1e300, -1e300, float("inf"), float("nan"), 1e-320, "", "x" * 5000,
    "=1+1", "\x00\x07", "half \ud800", "1e99999999", [], [[]], {}, {"a": 1}, [None] * 50, "9" * 5000,
)  # fmt: skip
MOST_CHANGED = 1e30  # what an earlier change made larger stays
WORDS = (
    "C",
    "F♯m7",
    "G/B",
    "N.C.",
    "steel",
    "nylon",
    "bass",
    "strum",
    "hit",
    "down",
    "up",
    "right",
    "wrong",
    "",
    "?",
    "4/4",
)


def mutate_bytes(data: bytes, draw: random.Random, *, other: bytes = b"") -> bytes:
    """Change bytes in one to eight places: bits, numbers at their edges, pieces cut, doubled or foreign."""
    changed = bytearray(data)
    for _ in range(draw.randint(1, 8)):
        if not changed:
            break
        # what a file says of itself stands at its beginning or its end
        reach = min(len(changed), draw.choice((64, 512, len(changed))))
        at = draw.randrange(reach)
        at = at if draw.random() < 0.7 else len(changed) - 1 - at
        length = draw.choice((1, 2, 4, 8, draw.randint(1, 4096)))
        what = draw.randrange(8)
        if what == 0:
            changed[at] ^= 1 << draw.randrange(8)
        elif what == 1:
            changed[at : at + 4] = draw.choice(EDGES).to_bytes(4, draw.choice(("big", "little")))
        elif what == 2:
            changed[at : at + length] = draw.randbytes(length)
        elif what == 3:
            del changed[at : at + length]
        elif what == 4:
            changed[at:at] = changed[at : at + length]
        elif what == 5:
            del changed[at:]
        elif what == 6 and other:
            begin = draw.randrange(len(other))
            changed[at : at + length] = other[begin : begin + length]
        else:
            changed[at : at + length] = bytes(min(length, len(changed) - at))
    return bytes(changed)


def mutate_text(text: str, draw: random.Random) -> str:
    """Change a text in one to six places; now and then make it long."""
    changed = text
    for _ in range(draw.randint(1, 6)):
        at = draw.randint(0, len(changed))
        what = draw.randrange(5)
        if what == 0:
            changed = changed[:at] + draw.choice(SIGNS) + changed[at:]
        elif what == 1:
            changed = changed[:at] + changed[at + draw.randint(1, 3) :]
        elif what == 2:
            changed = changed[:at] + draw.choice(SIGNS) + changed[at + 1 :]
        elif what == 3:
            changed = changed[at:] + changed[:at]
        else:
            changed = changed[:at] + draw.choice(SIGNS) * draw.choice((2, 10, 300, 3000)) + changed[at:]
    return changed[:4000]


def mutate_json(value: Any, draw: random.Random) -> Any:
    """Change one to four values, names or items of a parsed document, which is changed in place and returned.

    Half of the documents are changed gently, as by somebody who edits them: such a one is mostly read.
    """
    change = _change_gently if draw.random() < 0.5 else _change
    for _ in range(draw.randint(1, 4)):
        at = value
        while True:
            if not isinstance(at, dict | list) or not at:
                break
            key = draw.choice(list(at)) if isinstance(at, dict) else draw.randrange(len(at))
            if isinstance(at[key], dict | list) and at[key] and draw.random() < 0.85:
                at = at[key]
                continue
            change(at, key, draw)
            break
    return value


def _change_gently(holder: Any, key: Any, draw: random.Random) -> None:
    """Change a value by little, for one of its own kind, or exchange it with its neighbour."""
    old = holder[key]
    if isinstance(holder, list) and draw.random() < 0.4:
        other = draw.randrange(len(holder))
        if draw.random() < 0.3:
            holder.insert(other, old)
        elif draw.random() < 0.3:
            del holder[key]
        else:
            holder[key], holder[other] = holder[other], old
    elif isinstance(old, bool):
        holder[key] = not old
    elif isinstance(old, int):
        holder[key] = max(0, old + draw.choice((-1, 1, 2, 5, -12, 100)))
    elif isinstance(old, float):
        holder[key] = draw.choice((0.0, old * 1.01, old * 0.5, old + 1e-9, old * 10.0, -old, 1e-12, round(old)))
    elif isinstance(old, str):
        holder[key] = mutate_text(old, draw) if draw.random() < 0.5 else draw.choice(WORDS)
    elif old is None:
        holder[key] = draw.choice((0, 1.5, "C"))


def _change(holder: Any, key: Any, draw: random.Random) -> None:
    what, old = draw.randrange(6), holder[key]
    if what == 0:
        del holder[key]
    elif what == 1 and isinstance(old, int | float) and not isinstance(old, bool) and abs(old) < MOST_CHANGED:
        holder[key] = draw.choice((old + 1, -old, old * 1000, old + 0.5, old * 1e9, str(old)))
    elif what == 2 and isinstance(old, str):
        holder[key] = mutate_text(old, draw)
    elif what == 3 and isinstance(holder, list):
        holder.insert(key, draw.choice((old, *VALUES)))
    elif what == 4 and isinstance(holder, list):
        holder.reverse()
    else:
        holder[key] = draw.choice(VALUES)
