"""A bar of a chart as one short text: its chords, or a repeat sign."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from listen.export.bar import Bar
from listen.export.held_names import HeldNames
from listen.reading import STEPS_PER_BEAT

REPEAT = "%"  # the bar before, once more: the repeat sign as it is typed
BEAT, TYPED_BEAT = "·", "."  # a beat without a change, as it is printed and as it is typed
_LATE = {Fraction(1, 2): "&", Fraction(1, 4): "¼", Fraction(3, 4): "¾", Fraction(1, 3): "⅓", Fraction(2, 3): "⅔"}

BarContent = tuple[tuple[int, str], ...]
"""What a bar holds: steps and names, the first at its bar line."""


def bar_content(bar: Bar, names: HeldNames) -> BarContent:
    """Return what a bar holds, step and name, with the chord that holds at its bar line.

    A change to what holds already (another shape, a passing chord and back) is none.
    """
    held = names.of_change(bar.held) if bar.held is not None else ""
    content = [(0, held)] if held else []
    for change in bar.changes:
        text = names.of_change(change)
        if change.is_passing:
            continue
        if content and content[-1][0] == change.step:
            content.pop()
        if not content or content[-1][1] != text:
            content.append((change.step, text))
    return tuple(content)


def bar_text(content: Sequence[tuple[int, str]], *, n_beats: int) -> str:
    """Return the text of one bar: a name alone where nothing changes, else every beat, each between two spaces.

    Two names of one beat stand together, as they are typed: apart they would be two beats.

    Parameters
    ----------
    content : sequence of (int, str)
        Steps and names, see :func:`bar_content`.
    n_beats : int

    Examples
    --------
    >>> bar_text([(0, "G")], n_beats=4), bar_text([(0, "G"), (30, "D/F♯")], n_beats=4)
    ('G', 'G · &D/F♯ ·')
    >>> bar_text([(0, "F"), (6, "C")], n_beats=3), bar_text([(0, "Gadd9/A"), (8, "F")], n_beats=2)
    ('F&C · ·', 'Gadd9/A⅔F ·')
    """
    if len(content) == 1 and content[0][0] == 0:
        return content[0][1]
    if not content:
        return ""
    beats = [BEAT] * n_beats
    for step, text in content:
        beat, rest = divmod(step, STEPS_PER_BEAT)
        sign = "" if rest == 0 else _LATE[min(_LATE, key=lambda part: abs(part - Fraction(rest, STEPS_PER_BEAT)))]
        beat = min(beat, n_beats - 1)
        before = "" if beats[beat] == BEAT else beats[beat]
        beats[beat] = f"{before}{sign}{text}"
    return " ".join(beats)
