"""What every command does before its own work: an option that was given with nothing after it, or twice, is refused.

An empty value is what a shell makes of a variable that is not set (``--bass "$BASS"``); to go on as if the option had
not been given would answer another question than was asked.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from typer.core import TyperCommand

from listen.errors import BadValueError, shorten

_FILE = re.compile(r"-.*\.[A-Za-z][A-Za-z0-9]{1,4}")  # -take.wav, and no number
LONGEST_WORD = 4096
"""Letters: no path is longer on the systems that this runs on, and no number that is made of digits takes as long."""


class Command(TyperCommand):
    """A command that takes no empty option, none with two values, no two that say the opposite, no file for one."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Look for what a parser lets pass, then parse.

        That is a word without end, both sides of a choice, an empty value, or a file in an option's place.
        """
        for word in args:
            if len(word) > LONGEST_WORD:
                raise BadValueError(f"{word[:20]}… has {len(word)} letters: no word here takes over {LONGEST_WORD}.")
        for param in self.params:
            opposite = param.secondary_opts
            if opposite and not set(param.opts).isdisjoint(args) and not set(opposite).isdisjoint(args):
                raise BadValueError(f"{param.opts[0]} and {opposite[0]} say the opposite: give one of them.")
        takes_value = {
            name: not getattr(param, "is_flag", False)
            for param in self.params
            for name in (*param.opts, *param.secondary_opts)
        }
        for place, word in enumerate(args):
            if word == "--":
                break
            name, joined, value = word.partition("=")
            if not takes_value.get(name, False):
                is_value = place > 0 and takes_value.get(args[place - 1], False)
                if not is_value and name not in takes_value and word[:2] not in takes_value and _FILE.fullmatch(word):
                    raise BadValueError(f"{word} begins as an option does: for a file of that name write ./{word}.")
                continue
            following = value if joined else args[place + 1] if place + 1 < len(args) else None
            if following is None or not following.strip():
                raise BadValueError(f"{name} is empty: give a value after it, or leave it out.")
        _refuse_second_values(self.params, args)
        return super().parse_args(ctx, args)


def _refuse_second_values(params: Sequence[Any], args: Sequence[str]) -> None:
    """Refuse an option that holds one value and was given two: a parser lets the last one win without a word."""
    single = {
        name: param.name
        for param in params
        if not getattr(param, "is_flag", False) and not getattr(param, "multiple", False)
        for name in param.opts
        if name.startswith("-")
    }
    given: dict[str, str] = {}
    rest = iter(args)
    for word in rest:
        if word == "--":
            break
        name, joined, value = word.partition("=")
        if name not in single and not word.startswith("--") and word[:2] in single:
            name, joined, value = word[:2], "=", word[2:]
        if name not in single:
            continue
        value = value if joined else next(rest, "")
        before = given.setdefault(single[name], value)
        if before != value:
            raise BadValueError(f"{name} is given twice, as {shorten(before)} and as {shorten(value)}: give it once.")
