"""What was asked of the neck, found and arranged to be looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.export import (
    ShapeCard,
    ShapeGroup,
    ShapesView,
    chord_to_diagram,
    chord_words,
    describe_inversion,
    printed,
    shape_to_card,
)
from listen.instrument import Fingering, Fretboard, Shape, best_fingering
from listen.request.arrange_comparison import arrange_comparison
from listen.request.arrange_progression import arrange_progression
from listen.request.shapes_request import ShapesRequest
from listen.theory import Chord
from listen.voicing import ShapeGroup as Grouped
from listen.voicing import (
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
    n_shapes = None if every else request.n_shapes
    if request.chord is None:
        shapes = find_places(request.pitches, fretboard=request.fretboard, hand=request.hand)
        return tuple(
            (shape, best_fingering(shape, request.fretboard, hand=request.hand)) for shape in shapes[:n_shapes]
        )
    return tuple((voicing.shape, voicing.fingering) for voicing in _find(request)[:n_shapes])


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
            _take_best(_heading(group.label) + _uneven(board, _strings_of(group)), group.voicings, request, n_shapes)
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
        groups.append(ShapeGroup(_heading(group.label) + _uneven(board, _strings_of(group)), remarked))
    return tuple(groups)


def _take_ideas(found: Voicings, request: ShapesRequest, n_shapes: int) -> ShapeGroup:
    """Show ways to hold the chord that differ, each with how many shapes are like it."""
    ideas = find_ideas(found, n_shapes)
    cards = _cards([(found[idea.place].shape, found[idea.place].fingering) for idea in ideas], request)
    told = tuple(
        replace(card, remark=_copies_remark([found.shapes[place].text for place in idea.like_it]))
        for card, idea in zip(cards, ideas, strict=True)
    )
    n_folded = sum(len(idea.like_it) for idea in ideas)
    return ShapeGroup("", told, max(0, len(found) - len(ideas) - n_folded))


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


def _strings_of(group: Grouped) -> tuple[int, ...]:
    """Return the numbers of the strings that a group's first shape sounds, the thickest first."""
    frets = group.voicings[0].shape.frets
    return tuple(len(frets) - index for index, fret in enumerate(frets) if fret is not None)


def _uneven(board: Fretboard, strings: Sequence[int]) -> str:
    """Say where a step between strings differs from the usual one, because a form changes its look there."""
    opened = board.open_pitches
    steps = {number: opened[-number].midi - opened[-number - 1].midi for number in range(1, board.n_strings)}
    usual = max(set(steps.values()), key=list(steps.values()).count)
    odd = next((number for number in strings[1:] if steps[number] != usual), None)
    if odd is None:
        return ""
    moved = usual - steps[odd]
    frets = f"{abs(moved)} fret{'s' if abs(moved) > 1 else ''} {'up' if moved > 0 else 'down'}"
    return f": string {odd} is tuned {abs(steps[odd])} half steps above string {odd + 1}, so a form moves {frets} there"
