"""The shapes of a chord in groups, as cards: the first ideas, by inversion, by sets of strings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.export import ShapeCard, ShapeSection, describe_inversion, shape_to_card
from listen.instrument import Fingering, Shape, best_fingerings
from listen.request.shapes_request import ShapesRequest
from listen.request.uneven_strings import explain_uneven, strings_of
from listen.theory import Chord
from listen.voicing import (
    ShapeGroup,
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
USUAL_VOICES: dict[int, Voices] = {
    3: "close",
    4: "drop-2",
}  # by number of tones: what lies well on neighbouring strings


def find_pairs(request: ShapesRequest, *, every: bool) -> tuple[tuple[Shape, Fingering], ...]:
    """Return the shapes with their fingerings, best first: all of them or the best few."""
    n_shapes = None if every else request.shown.n_shapes
    if request.chord is None:
        shapes = find_places(request.pitches, fretboard=request.fretboard, hand=request.hand)[:n_shapes]
        return tuple(zip(shapes, best_fingerings(shapes, request.fretboard, hand=request.hand), strict=True))
    return tuple((voicing.shape, voicing.fingering) for voicing in find_voicings(request)[:n_shapes])


def find_voicings(request: ShapesRequest) -> Voicings:
    """Find the shapes of the chord that was asked for."""
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
            left_handed=request.shown.left_handed,
            hand=request.hand if request.shown_labels == "finger" else None,
        )
        for shape, fingering in pairs
    )


def group_all(request: ShapesRequest, n_shapes: int) -> ShapeSection:
    """Show the first shapes, each another idea."""
    if request.chord is not None:
        return _take_ideas(find_voicings(request), request, n_shapes)
    pairs = find_pairs(request, every=True)
    return ShapeSection("", _cards(pairs[:n_shapes], request), max(0, len(pairs) - n_shapes))


def group_by_lowest(request: ShapesRequest, n_shapes: int) -> tuple[ShapeSection, ...]:
    """Arrange by what sounds lowest, root position first."""
    found = find_voicings(_without_bass(request))
    return tuple(_take_best(_heading(group), group.voicings, request, n_shapes) for group in group_by_inversion(found))


def group_by_strings(request: ShapesRequest, n_shapes: int) -> tuple[ShapeSection, ...]:
    """Arrange by neighbouring strings, one for each tone, each inversion at its easiest place; power chords by root."""
    chord = request.chord
    assert chord is not None  # noqa: S101  (the request has refused notes)
    board, n_tones = request.fretboard, len(chord.notes)
    if chord.quality.symbol == "5" and not request.filters.asked:
        by_root = find_power_chords(chord.root, fretboard=board, hand=request.hand)
        return tuple(
            _take_best(_heading(group) + explain_uneven(board, strings_of(group)), group.voicings, request, n_shapes)
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
    for group in group_by_string_set(find_voicings(replace(turned, filters=wanted))):
        easiest: dict[int | None, Voicing] = {}
        for voicing in group.voicings:
            easiest.setdefault(voicing.inversion, voicing)
        chosen = [easiest[place] for place in sorted(easiest, key=lambda place: -1 if place is None else place)]
        cards = _cards([(voicing.shape, voicing.fingering) for voicing in chosen], turned)
        remarked = tuple(
            replace(card, remark=_inversion_remark(chord, voicing.inversion))
            for card, voicing in zip(cards, chosen, strict=True)
        )
        groups.append(ShapeSection(_heading(group) + explain_uneven(board, strings_of(group)), remarked))
    return tuple(groups)


def _take_ideas(found: Voicings, request: ShapesRequest, n_shapes: int) -> ShapeSection:
    """Show ways to hold the chord that differ, each with how many shapes are like it."""
    ideas = find_ideas(found, n_shapes)
    chosen = found.pick([idea.place for idea in ideas])
    cards = _cards([(voicing.shape, voicing.fingering) for voicing in chosen], request)
    told = tuple(
        replace(card, remark=_copies_remark([found.shapes[place].text for place in idea.like_it]))
        for card, idea in zip(cards, ideas, strict=True)
    )
    return ShapeSection("", told, len(found) - len(ideas))


def _copies_remark(texts: Sequence[str]) -> str:
    """Say how many shapes are nearly the same, and which come first."""
    if not texts:
        return ""
    named = ", ".join(texts[:MOST_COPIES_NAMED])
    return f"and {len(texts)} like it: {named}{', …' if len(texts) > MOST_COPIES_NAMED else ''}"


def _take_best(title: str, found: Voicings, request: ShapesRequest, n_shapes: int) -> ShapeSection:
    chosen = found.pick([idea.place for idea in find_ideas(found, n_shapes)])
    pairs = [(voicing.shape, voicing.fingering) for voicing in chosen]
    return ShapeSection(title, _cards(pairs, request), len(found) - len(chosen))


def _without_bass(request: ShapesRequest) -> ShapesRequest:
    assert request.chord is not None  # noqa: S101
    return replace(request, chord=replace(request.chord, bass=None))


def _heading(group: ShapeGroup) -> str:
    """Return what a group's shapes have in common, in the trade's signs."""
    if group.by == "inversion":
        return _inversion_heading(group)
    if group.by == "strings":
        return f"Strings {'-'.join(map(str, group.strings))}"
    return f"Root on string {group.strings[0]}" if group.strings else "Without a root"


def _inversion_heading(group: ShapeGroup) -> str:
    assert group.lowest is not None  # noqa: S101  (an inversion has one)
    lowest, chord = group.lowest, group.voicings.chord
    if group.place is None:
        return f"{lowest.printed} in the bass"
    family = chord.quality.members or (chord.quality,)
    above_root = (lowest.pitch_class - chord.root.pitch_class) % 12
    member = next(each for each in family if any(tone.pitch_class == above_root for tone in each.tones))
    words = describe_inversion(Chord(chord.root, member, lowest))
    heading = f"{words[:1].upper()}{words[1:]}, {lowest.printed}"
    return heading if "bass" in words else f"{heading} in the bass"


def _inversion_remark(chord: Chord, place: int | None) -> str:
    if place is None:
        return ""
    return describe_inversion(replace(chord, bass=chord.notes[place] if place else None))
