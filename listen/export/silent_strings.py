"""Strings that are silent in most bars whatever is held on them: a hand that chokes them is one matter."""

from __future__ import annotations

from collections.abc import Sequence

from listen.document import join_words
from listen.reading import Check, Finding

DEAD_SHARE, FEWEST_BARS = 0.5, 3  # of the bars played, in which such a string is silent; judged


def find_dead_strings(check: Check) -> frozenset[int]:
    """Find the strings that are silent in most bars, whatever is held on them."""
    n_played = sum(bar.start_s is not None for bar in check.bars)
    silent: dict[int, list[Finding]] = {}
    for one in check.findings:
        if one.kind == "silent string" and one.string is not None and (one.is_said or one.is_asked):
            silent.setdefault(one.string, []).append(one)
    return frozenset(
        string
        for string, own in silent.items()
        if len({one.expected for one in own}) > 1
        and len({one.bar for one in own}) >= max(FEWEST_BARS, DEAD_SHARE * n_played)
    )


def is_throughout(own: Sequence[Finding]) -> bool:
    """Whether a string is silent whatever is held on it."""
    notes = {(one.string, one.expected) for one in own}
    return (
        own[0].kind == "silent string"
        and None not in (strings := {one.string for one in own})
        and any(sum(string == each for string, _ in notes) > 1 for each in strings)
    )


def dead_sentence(own: Sequence[Finding]) -> str:
    """Return in which bars strings are silent; strings that are so in the same bars are named together."""
    strings: dict[tuple[int, ...], list[int]] = {}
    for string in sorted({one.string for one in own if one.string is not None}, reverse=True):
        bars = tuple(sorted({one.bar for one in own if one.string == string}))
        strings.setdefault(bars, []).append(string)
    told = []
    for bars, numbers in strings.items():
        are = "strings {} do" if len(numbers) > 1 else "string {} does"
        told.append(f"{are.format(join_words([str(each) for each in numbers]))} not sound in {bars_text(bars)}")
    return f"{'; '.join(told)}."


def bars_text(bars: Sequence[int]) -> str:
    """Return bars as one names them, three and more in a row by the first and the last.

    Examples
    --------
    >>> bars_text([2]), bars_text([1, 2, 3, 4, 7, 8])
    ('bar 2', 'bars 1 to 4, 7 and 8')
    """
    rows: list[list[int]] = []
    for bar in bars:
        if rows and bar == rows[-1][-1] + 1:
            rows[-1].append(bar)
        else:
            rows.append([bar])
    told = [
        word for row in rows for word in ([f"{row[0]} to {row[-1]}"] if len(row) > 2 else [str(bar) for bar in row])
    ]
    return f"bar{'s' if len(bars) > 1 else ''} {join_words(told)}"
