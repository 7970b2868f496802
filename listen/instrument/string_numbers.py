"""Numbers of strings as players write them: 1 is the first, the last of a shape's frets."""

from __future__ import annotations

import re

from listen.errors import bad_value


def parse_strings(text: str, *, n_strings: int) -> tuple[int, ...]:
    """Read string numbers, 1 the first: ``4-1``, ``4,3,2`` or ``432``.

    Raises
    ------
    BadValueError
        There is no such string, or one is named twice.

    Examples
    --------
    >>> parse_strings("4-1", n_strings=6), parse_strings("5,3,2", n_strings=6), parse_strings("432", n_strings=6)
    ((4, 3, 2, 1), (5, 3, 2), (4, 3, 2))
    """
    span = re.fullmatch(r"(\d{1,2})\s*[-–]\s*(\d{1,2})", text.strip())
    if span is not None:
        low, high = sorted((int(span[1]), int(span[2])))
        numbers = tuple(range(high, low - 1, -1)) if high <= n_strings else ()
    elif re.fullmatch(r"\d+", text.strip()):
        numbers = tuple(int(digit) for digit in text.strip()[: n_strings + 1])
    else:
        words = re.split(r"[\s,]+", text.strip())
        numbers = tuple(int(word) for word in words) if all(re.fullmatch(r"\d{1,2}", word) for word in words) else ()
    if not numbers or not all(1 <= number <= n_strings for number in numbers):
        allowed = "1, the only string" if n_strings == 1 else f"string numbers from 1 to {n_strings}"
        remedy = "Write 4-1, or 5,3,2." if n_strings >= 5 else ""
        raise bad_value("strings", text, allowed=allowed, remedy=remedy)
    twice = next((number for number in numbers if numbers.count(number) > 1), None)
    if twice is not None:
        raise bad_value("strings", text, allowed="each string once", remedy=f"It names string {twice} twice.")
    return tuple(sorted(numbers, reverse=True))


def strings_text(numbers: tuple[int, ...]) -> str:
    """Return string numbers as :func:`parse_strings` reads them.

    Examples
    --------
    >>> strings_text((4, 3, 2)), strings_text((5, 3, 2)), strings_text((3,))
    ('4-2', '5,3,2', '3')
    """
    is_row = len(numbers) > 1 and numbers == tuple(range(numbers[0], numbers[0] - len(numbers), -1))
    return f"{numbers[0]}-{numbers[-1]}" if is_row else ",".join(map(str, numbers))
