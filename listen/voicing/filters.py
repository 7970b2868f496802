"""Filters: which shapes of a chord are wanted, in the trade's terms.

Conventions: strings are numbered as players do, 1 is the first, the last of a shape's frets. How voices may lie above
one another is told in :mod:`listen.voicing.voices`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from typing import NoReturn

import numpy as np

from listen.errors import BadValueError, bad_value
from listen.theory import Chord, Note
from listen.voicing.shape_table import Kept, ShapeTable
from listen.voicing.voices import Voices, keep_voices


@dataclass(frozen=True, slots=True)
class ShapeFilters:
    """What a shape must be; None or False asks for nothing.

    Parameters
    ----------
    bass : Note or None
        What sounds lowest, in place of the chord's own bass; it need not be a tone of the chord.
    inversion : int or None
        0 root position, 1 third in the bass, and so on by the chord's tones.
    strings : tuple of int or None
        Exactly these strings sound, 1 the first.
    n_strings : int or None
        So many strings sound.
    neighbouring : bool
        No string between the sounding ones is left out.
    frets : (int, int) or None
        Every stopped string lies between these two frets; open strings are free.
    all_tones : bool
        No tone is left out.
    no_open : bool
        No open string.
    no_inner_mutes : bool
        With a pick nothing has to be damped: the same as ``neighbouring``, in other words.
    top : Note or None
        What sounds highest, the melody.
    voices : str or None
        ``"close"``, ``"spread"``, ``"shell"``, ``"drop-2"`` or ``"drop-3"``.
    doubled_third : bool or None
        True: the third sounds more than once; False: at most once.
    rootless : bool
        The root is left out.
    """

    bass: Note | None = None
    inversion: int | None = None
    strings: tuple[int, ...] | None = None
    n_strings: int | None = None
    neighbouring: bool = False
    frets: tuple[int, int] | None = None
    all_tones: bool = False
    no_open: bool = False
    no_inner_mutes: bool = False
    top: Note | None = None
    voices: Voices | None = None
    doubled_third: bool | None = None
    rootless: bool = False

    @property
    def asked(self) -> tuple[str, ...]:
        """The names of the filters that ask for something."""
        silent = (None, False)  # told apart by identity: 0 asks for root position, and is equal to False
        return tuple(
            each.name
            for each in fields(self)
            if not any(getattr(self, each.name) is one for one in silent)
            or (each.name == "doubled_third" and self.doubled_third is False)
        )


class NothingLeftError(BadValueError):
    """No playable shape is left.

    Parameters
    ----------
    filters : tuple of str
        Names of the filters that exclude everything, each of them or all together; empty where the hand can hold none.
    what : str
        What was looked for.
    """

    def __init__(self, filters: tuple[str, ...], what: str) -> None:
        self.filters = filters
        self.what = what
        super().__init__(filters, what)

    def __str__(self) -> str:
        return self.tell({})

    def tell(self, typed: Mapping[str, str]) -> str:
        """Return the sentence, with each filter as the player typed it.

        Examples
        --------
        >>> NothingLeftError(("top", "no_open"), "C").tell({"top": "--top F#"})
        '--top F# and no open leave no playable shape of C: drop one or widen it.'
        >>> NothingLeftError((), "C").tell({})
        'This hand can hold no shape of C on this neck: it takes a wider reach or another tuning.'
        """
        names = list(dict.fromkeys(typed.get(name, name.replace("_", " ")) for name in self.filters))
        if not names:
            return f"This hand can hold no shape of {self.what} on this neck: it takes a wider reach or another tuning."
        if len(names) == 1:
            return f"{names[0]} leaves no playable shape of {self.what}: drop it or widen it."
        named = f"{', '.join(names[:-1])} and {names[-1]}"
        return f"{named} leave no playable shape of {self.what}: drop one or widen it."


def filter_shapes(candidates: ShapeTable, chord: Chord, filters: ShapeFilters, *, what: str) -> Kept:
    """Tell which shapes pass every filter.

    Raises
    ------
    NothingLeftError
        None does; it names the filter that excludes everything, or those that do so together.
    """
    n = len(candidates.frets)
    kept = np.ones(n, bool)
    alone: dict[str, int] = {}
    for name in filters.asked:
        passed = _FILTERS[name](candidates, chord, filters)
        alone[name] = int(passed.sum())
        kept &= passed
    if not kept.any():
        refuse_empty(alone, what=what)
    return kept


def refuse_empty(alone: dict[str, int], *, what: str) -> NoReturn:
    """Raise the error for an empty result.

    Parameters
    ----------
    alone : dict of str to int
        How many shapes each filter leaves by itself.
    what : str
        What was looked for, e.g. ``"Cmaj7"``.

    Raises
    ------
    NothingLeftError
        Always.
    """
    nothing = [name for name, count in alone.items() if count == 0]
    raise NothingLeftError(tuple(nothing or alone), what)


def _keep_voices(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    return keep_voices(candidates, chord, filters.voices or "close")


def third_classes(chord: Chord) -> tuple[int, ...]:
    """Return the pitch classes of the chord's third."""
    return tuple(
        note.pitch_class for tone, note in zip(chord.quality.tones, chord.notes, strict=True) if tone.degree == 3
    )


def _keep_bass(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    wanted = (filters.bass or chord.sounding_bass).pitch_class
    return np.asarray(candidates.lowest % 12 == wanted)


def _keep_inversion(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    place = filters.inversion or 0
    if not 0 <= place < len(chord.notes):
        raise bad_value(
            "inversion", place, allowed=f"0 to {len(chord.notes) - 1} for a chord of {len(chord.notes)} tones"
        )
    return np.asarray(candidates.lowest % 12 == chord.notes[place].pitch_class)


def _keep_strings(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    del chord
    n_strings = candidates.frets.shape[1]
    numbers = filters.strings or ()
    if not numbers or any(not 1 <= number <= n_strings for number in numbers):
        raise bad_value("strings", ",".join(map(str, numbers)), allowed=f"string numbers from 1 to {n_strings}")
    wanted = np.zeros(n_strings, bool)
    wanted[[n_strings - number for number in numbers]] = True
    return np.asarray((candidates.played == wanted).all(axis=1))


def _keep_n_strings(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    del chord
    return np.asarray(candidates.played.sum(axis=1) == filters.n_strings)


def _keep_neighbouring(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    del chord, filters
    played = candidates.played
    first, last = played.argmax(axis=1), played.shape[1] - 1 - played[:, ::-1].argmax(axis=1)
    return np.asarray(played.sum(axis=1) == last - first + 1)


def _keep_frets(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    del chord
    lowest, highest = filters.frets or (0, 0)
    if not 0 <= lowest <= highest:
        raise bad_value("frets", f"{lowest}-{highest}", allowed="a lower and a higher fret", remedy="Write 5-9.")
    stopped = candidates.frets > 0
    return np.asarray((~stopped | ((candidates.frets >= lowest) & (candidates.frets <= highest))).all(axis=1))


def _keep_all_tones(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    classes = {note.pitch_class for note in chord.notes} - ({chord.root.pitch_class} if filters.rootless else set())
    kept = np.ones(len(candidates.frets), bool)
    for wanted in classes:
        kept &= candidates.sounds(wanted).any(axis=1)
    return kept


def _keep_no_open(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    del chord, filters
    return np.asarray((candidates.frets != 0).all(axis=1))


def _keep_top(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    del chord
    wanted = filters.top.pitch_class if filters.top else -1
    return np.asarray(candidates.highest % 12 == wanted)


def _keep_doubled_third(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    count = sum(candidates.sounds(third).sum(axis=1) for third in third_classes(chord))
    return np.asarray(count > 1 if filters.doubled_third else count <= 1)


def _keep_rootless(candidates: ShapeTable, chord: Chord, filters: ShapeFilters) -> Kept:
    del filters
    return np.asarray(~candidates.sounds(chord.root.pitch_class).any(axis=1))


_FILTERS: dict[str, Callable[[ShapeTable, Chord, ShapeFilters], Kept]] = {
    "bass": _keep_bass,
    "inversion": _keep_inversion,
    "strings": _keep_strings,
    "n_strings": _keep_n_strings,
    "neighbouring": _keep_neighbouring,
    "frets": _keep_frets,
    "all_tones": _keep_all_tones,
    "no_open": _keep_no_open,
    "no_inner_mutes": _keep_neighbouring,
    "top": _keep_top,
    "voices": _keep_voices,
    "doubled_third": _keep_doubled_third,
    "rootless": _keep_rootless,
}
