"""What a player asks of the neck: a chord or some notes, the hand, and how the answer is to be shown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from listen.errors import BadValueError, bad_value
from listen.export import Labels
from listen.instrument import Fretboard, Hand
from listen.theory import Chord, Pitch
from listen.voicing import PathBy, ShapeFilters

GROUPINGS = ("inversion", "string-set")


@dataclass(frozen=True, slots=True)
class ShapesShown:
    """How shapes are to be shown.

    Parameters
    ----------
    by : str
        ``"inversion"``, ``"string-set"`` or empty.
    as_map : bool
    labels : str
        ``"finger"``, ``"degree"``, ``"note"``, or empty for what suits the picture.
    n_shapes : int
    left_handed : bool
    """

    by: str = ""
    as_map: bool = False
    labels: str = ""
    n_shapes: int = 6
    left_handed: bool = False

    def __post_init__(self) -> None:
        if self.by and self.by not in GROUPINGS:
            raise bad_value("by", self.by, allowed=f"one of {', '.join(GROUPINGS)}")
        if self.labels and self.labels not in get_args(Labels):
            raise bad_value("labels", self.labels, allowed=f"one of {', '.join(get_args(Labels))}")


@dataclass(frozen=True, slots=True)
class ShapesRequest:
    """What the user wants to see.

    Parameters
    ----------
    chord : Chord or None
        None when notes were given.
    pitches : tuple of Pitch
        Notes as they sound, when no chord was given.
    compared : tuple of Chord
        To lay beside it.
    fretboard : Fretboard
    hand : Hand
    filters : ShapeFilters
    shown : ShapesShown
        How they are to be shown.
    progression : tuple of Chord
        Several chords in place of one; ``chord`` is then None.
    path : "hand" or "voices"
        What goes least from one chord of a progression to the next.
    written : str
        The chord or the chords as they were asked for; empty where that is not known.
    """

    chord: Chord | None
    pitches: tuple[Pitch, ...]
    compared: tuple[Chord, ...]
    fretboard: Fretboard
    hand: Hand
    filters: ShapeFilters
    shown: ShapesShown = ShapesShown()
    progression: tuple[Chord, ...] = ()
    path: PathBy = "hand"
    written: str = ""

    def __post_init__(self) -> None:
        shown = self.shown
        if len(set(self.pitches)) < len(self.pitches):
            raise BadValueError(f"{' '.join(pitch.name for pitch in self.pitches)} has a note twice: give each once.")
        notes_only = self.chord is None and not self.progression
        if notes_only and (shown.by or self.compared or shown.as_map or self.filters.asked):
            asked = (
                "by" if shown.by else "compare" if self.compared else "map" if shown.as_map else self.filters.asked[0]
            )
            given = " ".join(pitch.name for pitch in self.pitches)
            raise BadValueError(
                f"--{asked.replace('_', '-')} is about a chord, and {given} are notes. Give a chord such as Am7."
            )
        ways = [
            option
            for option, asked in (("--map", shown.as_map), ("--by", shown.by), ("--compare", self.compared))
            if asked
        ]
        if not self.compared:  # shapes may be laid over the map
            ways = []
        if len(ways) > 1:
            raise BadValueError(f"{' and '.join(ways)} are different ways of looking: give one of them at a time.")
        if shown.as_map:
            self._check_map()
        if self.chord is not None:
            self._check_bass(self.chord)
            self._check_lowest(self.chord)

    def _check_bass(self, chord: Chord) -> None:
        """Refuse another bass beside a chord that names its own."""
        bass, inversion, own = self.filters.bass, self.filters.inversion, chord.bass
        if own is None:
            return
        remedy = f"{chord.text} has {own} in the bass: leave one of the two out."
        if bass is not None and bass.pitch_class != own.pitch_class:
            raise bad_value("bass", bass, allowed="the bass of the chord, where that names one", remedy=remedy)
        if inversion is not None and inversion != chord.inversion:
            allowed = "the inversion of the chord, where that names its bass"
            raise bad_value("inversion", inversion, allowed=allowed, remedy=remedy)

    def _check_lowest(self, chord: Chord) -> None:
        """Refuse two basses, and a root that is to be lowest and left out."""
        bass, inversion = self.filters.bass, self.filters.inversion
        turned = chord.notes[inversion] if inversion is not None and 0 <= inversion < len(chord.notes) else None
        if bass is not None and turned is not None and bass.pitch_class != turned.pitch_class:
            raise BadValueError(
                f"--inversion {inversion} of {chord.text} has {turned} in the bass, and --bass {bass} another note: "
                "leave one of the two out."
            )
        lowest = bass or turned or chord.bass
        if self.filters.rootless and lowest is not None and lowest.pitch_class == chord.root.pitch_class:
            raise BadValueError(
                f"--rootless leaves {chord.root} out, which is to be the bass of {chord.text}: drop one of the two."
            )

    def _check_map(self) -> None:
        shown = self.shown
        if shown.labels == "finger":
            raise bad_value("labels", shown.labels, allowed="degree or note on a map, where no hand is shown")
        other = next((name.replace("_", "-") for name in self.filters.asked if name not in ("frets", "strings")), None)
        if other is not None and not shown.by:
            raise bad_value(
                "map",
                f"with --{other}",
                allowed="--frets, --position or --strings beside it",
                remedy="Other filters choose shapes, which --by lays over the map.",
            )
        first, last = self.filters.frets or (1, self.fretboard.top_fret)
        if not first <= last or first > self.fretboard.top_fret:
            raise bad_value(
                "frets", f"{first}-{last}", allowed=f"frets from 0 to {self.fretboard.top_fret}, lower first"
            )

    @property
    def shown_labels(self) -> Labels:
        """What stands in the marks."""
        chosen = next((each for each in get_args(Labels) if each == self.shown.labels), None)
        return chosen or ("degree" if self.shown.as_map or self.compared else "finger")
