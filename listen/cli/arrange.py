"""What ``listen shapes`` was asked for, found and arranged to be looked at."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import get_args

from listen.cli.arrange_comparison import arrange_comparison
from listen.cli.arrange_progression import arrange_progression
from listen.cli.uneven_strings import explain_uneven, strings_of
from listen.errors import BadValueError, bad_value
from listen.export import (
    Labels,
    ShapeCard,
    ShapeGroup,
    ShapesView,
    TextStyle,
    chord_to_diagram,
    chord_words,
    describe_inversion,
    effort_text,
    printed,
    shape_to_card,
)
from listen.instrument import Fingering, Fretboard, Hand, Shape, best_fingering
from listen.theory import Chord, Pitch
from listen.voicing import (
    PathBy,
    ShapeFilters,
    Voices,
    Voicing,
    Voicings,
    find_ideas,
    find_places,
    find_power_chords,
    find_shapes,
    group_by_inversion,
    group_by_string_set,
)

MOST_COPIES_NAMED = 2  # of the shapes that are folded under another
GROUPINGS = ("inversion", "string-set")
USUAL_VOICES: dict[int, Voices] = {
    3: "close",
    4: "drop-2",
}  # by number of tones: what lies well on neighbouring strings


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
    by : str
        ``"inversion"``, ``"string-set"`` or empty.
    as_map : bool
    labels : str
        ``"finger"``, ``"degree"``, ``"note"``, or empty for what suits the picture.
    n_shapes : int
    left_handed : bool
    progression : tuple of Chord
        Several chords in place of one; ``chord`` is then None.
    path : "hand" or "voices"
        What goes least from one chord of a progression to the next.
    """

    chord: Chord | None
    pitches: tuple[Pitch, ...]
    compared: tuple[Chord, ...]
    fretboard: Fretboard
    hand: Hand
    filters: ShapeFilters
    by: str = ""
    as_map: bool = False
    labels: str = ""
    n_shapes: int = 6
    left_handed: bool = False
    progression: tuple[Chord, ...] = ()
    path: PathBy = "hand"

    def __post_init__(self) -> None:
        if self.by and self.by not in GROUPINGS:
            raise bad_value("by", self.by, allowed=f"one of {', '.join(GROUPINGS)}")
        if self.labels and self.labels not in get_args(Labels):
            raise bad_value("labels", self.labels, allowed=f"one of {', '.join(get_args(Labels))}")
        if (
            self.chord is None
            and not self.progression
            and (self.by or self.compared or self.as_map or self.filters.asked)
        ):
            asked = "by" if self.by else "compare" if self.compared else "map" if self.as_map else self.filters.asked[0]
            option, given = asked.replace("_", "-"), " ".join(pitch.name for pitch in self.pitches)
            raise bad_value(option, given, allowed="a chord, not single notes", remedy="Give a chord such as Am7.")
        ways = [
            option
            for option, asked in (("--map", self.as_map), ("--by", self.by), ("--compare", self.compared))
            if asked
        ]
        if len(ways) > 1:
            raise BadValueError(f"{' and '.join(ways)} are different ways of looking: give one of them at a time.")
        if self.as_map:
            self._check_map()

    def _check_map(self) -> None:
        if self.labels == "finger":
            raise bad_value("labels", self.labels, allowed="degree or note on a map, where no hand is shown")
        other = next((name.replace("_", "-") for name in self.filters.asked if name != "frets"), None)
        if other is not None:
            raise bad_value(
                "map",
                f"with --{other}",
                allowed="--frets or --position beside it",
                remedy="Other filters choose shapes.",
            )
        first, last = self.filters.frets or (1, self.fretboard.top_fret)
        if not first <= last or first > self.fretboard.top_fret:
            raise bad_value(
                "frets", f"{first}-{last}", allowed=f"frets from 0 to {self.fretboard.top_fret}, lower first"
            )

    @property
    def shown_labels(self) -> Labels:
        """What stands in the marks."""
        chosen = next((each for each in get_args(Labels) if each == self.labels), None)
        return chosen or ("degree" if self.as_map or self.compared else "finger")


def find_pairs(request: ShapesRequest, *, every: bool) -> tuple[tuple[Shape, Fingering], ...]:
    """Return the shapes with their fingerings, best first: all of them or the best few."""
    n_shapes = None if every else request.n_shapes
    if request.chord is None:
        shapes = find_places(request.pitches, fretboard=request.fretboard, hand=request.hand)
        return tuple(
            (shape, best_fingering(shape, request.fretboard, hand=request.hand)) for shape in shapes[:n_shapes]
        )
    return tuple((voicing.shape, voicing.fingering) for voicing in _find(request)[:n_shapes])


def list_shapes(request: ShapesRequest, *, style: TextStyle) -> Iterator[str]:
    """Yield one line for every playable shape: frets, effort, and what is special about it."""
    for shape, fingering in find_pairs(request, every=True):
        yield style.plain(f"{shape.text:<18}{effort_text(fingering.effort):<11}{', '.join(fingering.reasons)}")


def arrange_shapes(request: ShapesRequest, *, n_shapes: int) -> ShapesView:
    """Find what was asked for and arrange it."""
    if request.compared:
        return arrange_comparison(request)
    if request.progression:
        return arrange_progression(request)
    title, words = _head(request)
    if request.as_map and request.chord is not None:
        diagram = chord_to_diagram(
            request.chord,
            request.fretboard,
            labels=request.shown_labels,
            frets=request.filters.frets,
            title=f"{request.chord.printed} on the neck",
            left_handed=request.left_handed,
        )
        return ShapesView(title, words, request.fretboard, map=diagram)
    if request.by == "inversion":
        groups = _group_by_inversion(request, n_shapes)
    elif request.by == "string-set":
        groups = _group_by_strings(request, n_shapes)
    else:
        groups = (_group_all(request, n_shapes),)
    if request.by:
        return ShapesView(title, words, request.fretboard, groups)
    n_found = len(groups[0].cards) + groups[0].n_more
    counted = f"{n_found} shape{'' if n_found == 1 else 's'} that a hand with a reach of {request.hand.reach_mm:.0f} mm"
    return ShapesView(title, words, request.fretboard, groups, remarks=(f"{counted} can hold.",))


def _head(request: ShapesRequest) -> tuple[str, str]:
    chord = request.chord
    if chord is None:
        return " ".join(printed(pitch.name) for pitch in request.pitches), "Every place where these notes can be held."
    tones = zip(chord.notes, chord.quality.tones, strict=True)
    spelled = ", ".join(f"{note.printed} ({printed(str(tone))})" for note, tone in tones)
    inverted = "" if chord.bass is None else f"; {describe_inversion(chord)}"
    return chord.printed, f"{chord_words(chord)}: {spelled}{inverted}."


def _find(request: ShapesRequest) -> Voicings:
    assert request.chord is not None  # noqa: S101  (the request has refused everything else)
    return find_shapes(request.chord, fretboard=request.fretboard, hand=request.hand, filters=request.filters)


def _cards(pairs: Sequence[tuple[Shape, Fingering]], request: ShapesRequest) -> tuple[ShapeCard, ...]:
    return tuple(
        shape_to_card(
            shape,
            request.fretboard,
            fingering=fingering,
            chord=request.chord,
            labels=request.shown_labels,
            left_handed=request.left_handed,
        )
        for shape, fingering in pairs
    )


def _group_all(request: ShapesRequest, n_shapes: int) -> ShapeGroup:
    if request.chord is not None:
        return _take_ideas(_find(request), request, n_shapes)
    pairs = find_pairs(request, every=True)
    return ShapeGroup("", _cards(pairs[:n_shapes], request), max(0, len(pairs) - n_shapes))


def _group_by_inversion(request: ShapesRequest, n_shapes: int) -> tuple[ShapeGroup, ...]:
    found = _find(_without_bass(request))
    return tuple(
        _take_best(_heading(group.label), group.voicings, request, n_shapes) for group in group_by_inversion(found)
    )


def _group_by_strings(request: ShapesRequest, n_shapes: int) -> tuple[ShapeGroup, ...]:
    """Arrange by neighbouring strings, one for each tone, each inversion at its easiest place; power chords by root."""
    chord = request.chord
    assert chord is not None  # noqa: S101  (the request has refused notes)
    board, n_tones = request.fretboard, len(chord.notes)
    if chord.quality.symbol == "5" and not request.filters.asked:
        by_root = find_power_chords(chord.root, fretboard=board, hand=request.hand)
        return tuple(
            _take_best(
                _heading(group.label) + explain_uneven(board, strings_of(group)), group.voicings, request, n_shapes
            )
            for group in by_root
        )
    turned = _without_bass(request)
    wanted = replace(
        request.filters,
        n_strings=min(n_tones, board.n_strings),
        neighbouring=True,
        all_tones=n_tones <= board.n_strings,
        voices=request.filters.voices or USUAL_VOICES.get(n_tones),
    )
    groups = []
    for group in group_by_string_set(_find(replace(turned, filters=wanted))):
        easiest: dict[int | None, Voicing] = {}
        for voicing in group.voicings:
            easiest.setdefault(voicing.inversion, voicing)
        chosen = [easiest[place] for place in sorted(easiest, key=lambda place: -1 if place is None else place)]
        cards = _cards([(voicing.shape, voicing.fingering) for voicing in chosen], turned)
        remarked = tuple(
            replace(card, remark=_inversion_remark(chord, voicing.inversion))
            for card, voicing in zip(cards, chosen, strict=True)
        )
        groups.append(ShapeGroup(_heading(group.label) + explain_uneven(board, strings_of(group)), remarked))
    return tuple(groups)


def _take_ideas(found: Voicings, request: ShapesRequest, n_shapes: int) -> ShapeGroup:
    """Show ways to hold the chord that differ, each with how many shapes are like it."""
    ideas = find_ideas(found, n_shapes)
    cards = _cards([(found[idea.place].shape, found[idea.place].fingering) for idea in ideas], request)
    told = tuple(
        replace(card, remark=_copies_remark([found.shapes[place].text for place in idea.like_it]))
        for card, idea in zip(cards, ideas, strict=True)
    )
    return ShapeGroup("", told, len(found) - len(ideas))


def _copies_remark(texts: Sequence[str]) -> str:
    """Say how many shapes are nearly the same, and which come first."""
    if not texts:
        return ""
    named = ", ".join(texts[:MOST_COPIES_NAMED])
    return f"and {len(texts)} like it: {named}{', …' if len(texts) > MOST_COPIES_NAMED else ''}"


def _take_best(title: str, found: Voicings, request: ShapesRequest, n_shapes: int) -> ShapeGroup:
    pairs = [(voicing.shape, voicing.fingering) for voicing in found[:n_shapes]]
    return ShapeGroup(title, _cards(pairs, request), max(0, len(found) - n_shapes))


def _without_bass(request: ShapesRequest) -> ShapesRequest:
    assert request.chord is not None  # noqa: S101
    return replace(request, chord=replace(request.chord, bass=None))


def _heading(label: str) -> str:
    """Return a label as a heading, in the trade's signs."""
    words = [printed(word) if word[:1] in "ABCDEFG" and len(word) <= 3 else word for word in label.split()]
    text = " ".join(words)
    return f"{text[:1].upper()}{text[1:]}"


def _inversion_remark(chord: Chord, place: int | None) -> str:
    if place is None:
        return ""
    return describe_inversion(replace(chord, bass=chord.notes[place] if place else None))
