"""What was asked of the neck, found and arranged to be looked at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from listen.export import ShapesView, chord_words, describe_inversion, list_tones, printed
from listen.request.arrange_comparison import arrange_comparison
from listen.request.arrange_groups import group_all, group_by_lowest, group_by_strings
from listen.request.arrange_map import lay_over_neck, map_chord
from listen.request.arrange_played import say_played
from listen.request.arrange_progression import arrange_progression
from listen.request.shapes_request import ShapesRequest
from listen.theory import Chord, Interval, Note, explain_reading
from listen.voicing import ShapeFilters

_COUNTS = ("none", "one", "two", "three", "four")


def arrange_shapes(request: ShapesRequest, *, n_shapes: int) -> ShapesView:
    """Find what was asked for and arrange it."""
    view = _arrange(request, n_shapes=n_shapes)
    return replace(view, remarks=(*_say_read(request), *view.remarks))


def _arrange(request: ShapesRequest, *, n_shapes: int) -> ShapesView:
    if request.compared:
        return arrange_comparison(request)
    if request.progression:
        return arrange_progression(request)
    title, words = _head(request)
    if request.shown.as_map and not request.shown.by:
        return ShapesView(title, words, request.fretboard, map=map_chord(request))
    if request.shown.by == "inversion":
        groups = group_by_lowest(request, n_shapes)
    elif request.shown.by == "string-set":
        groups = group_by_strings(request, n_shapes)
    else:
        groups = (group_all(request, n_shapes),)
    if request.shown.as_map:
        groups = lay_over_neck(groups, request)
    if request.shown.by:
        return ShapesView(title, words, request.fretboard, groups, remarks=_say_all_basses(request))
    n_found = len(groups[0].cards) + groups[0].n_more
    counted = f"{n_found} shape{'' if n_found == 1 else 's'} that a hand with a reach of {request.hand.reach_mm:.0f} mm"
    return ShapesView(title, words, request.fretboard, groups, remarks=(f"{counted} can hold.",))


def arrange_neck(request: ShapesRequest, *, n_shapes: int) -> ShapesView:
    """Arrange a whole neck to switch on: every tone, the shapes of each inversion, those of each set of strings."""
    title, words = _head(request)
    boxes = replace(request, shown=replace(request.shown, as_map=False, labels=request.shown_labels))
    groups = (*group_by_lowest(boxes, n_shapes), *group_by_strings(boxes, n_shapes))
    laid = lay_over_neck(groups, request)
    remarks = (*_say_read(request), *_say_all_basses(request))
    return ShapesView(title, words, request.fretboard, laid, map=map_chord(request), remarks=remarks)


def _say_read(request: ShapesRequest) -> tuple[str, ...]:
    """Say how a chord was read that may be meant otherwise."""
    return tuple(said for each in request.written.split(",") if (said := explain_reading(each)))


def _say_all_basses(request: ShapesRequest) -> tuple[str, ...]:
    """Say that groups hold a chord over each of its tones where its symbol names one bass."""
    chord = request.chord
    bass = None if chord is None else chord.bass
    if chord is None or bass is None or _asked_bass(replace(chord, bass=None), request.filters) is not None:
        return ()
    return (f"{bass.printed} in the bass is left out of account: these are all inversions.",)


def _spell(chord: Chord, tones: Sequence[Interval]) -> str:
    return ", ".join(f"{chord.root.above(tone).printed} ({printed(str(tone))})" for tone in tones)


def _head(request: ShapesRequest) -> tuple[str, str]:
    chord = request.chord
    if chord is None:
        return " ".join(printed(pitch.name) for pitch in request.pitches), "Every place where these notes can be held."
    family = chord.quality.members or (chord.quality,)
    shared = [tone for tone in chord.quality.tones if all(tone in member.tones for member in family)]
    spelled = _spell(chord, shared)
    if others := sorted(set(list_tones(chord)) - set(shared), key=lambda tone: (tone.degree, tone.alteration)):
        spelled += f", and {_COUNTS[len(chord.quality.tones) - len(shared)]} of {_spell(chord, others)}"
    bass = _asked_bass(replace(chord, bass=None) if request.shown.by else chord, request.filters)
    inversion = "" if bass is None else describe_inversion(replace(chord, bass=bass), request.fretboard.tuning)
    inverted = f"; {inversion}" if inversion else ""
    return chord.printed, f"{chord_words(chord)}: {spelled}{inverted}.{say_played([chord], request.fretboard)}"


def _asked_bass(chord: Chord, filters: ShapeFilters) -> Note | None:
    """Return the bass that was asked for, by the chord's symbol or beside it; None where none was."""
    if chord.bass is None and filters.inversion is not None:
        return chord.notes[filters.inversion] if 0 <= filters.inversion < len(chord.notes) else None
    return chord.bass or filters.bass
