"""What ``listen name`` prints: the shape, its names with their degrees, and what one finger would change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from listen.document import reasons_text
from listen.export.describe import describe_chord
from listen.export.diagram import shape_to_diagram
from listen.export.labels import degree_of, pitch_text, printed
from listen.export.style import TextStyle, join_beside, wrap_text
from listen.export.terminal import render_box, render_legend
from listen.export.words import LEAST_NAME, box_legend, chord_words, effort_text, fingers_text, name_remarks, sure_text
from listen.harmony import Neighbour
from listen.instrument import STANDARD, USUAL_HAND, Fingering, Fretboard, Shape, Tuning, find_other_fingering
from listen.reading import ChordName
from listen.theory import Pitch

MARGIN = "  "
SHOWN_NEIGHBOURS = 10


def render_name_text(  # noqa: PLR0913  (each is another thing that stands on the page)
    shape: Shape,
    fretboard: Fretboard,
    names: Sequence[ChordName],
    *,
    fingering: Fingering,
    style: TextStyle,
    neighbours: Sequence[Neighbour] = (),
    rootless: Sequence[ChordName] = (),
    left_handed: bool = False,
) -> tuple[str, ...]:
    """Render the names of a shape.

    Parameters
    ----------
    shape : Shape
    fretboard : Fretboard
    names : sequence of ChordName
        Best first; may be empty.
    fingering : Fingering
    style : TextStyle
    neighbours : sequence of Neighbour
        Chords one finger away; the first :data:`SHOWN_NEIGHBOURS` are shown.
    rootless : sequence of ChordName
        What it stands for where somebody else plays the root.
    left_handed : bool

    Returns
    -------
    tuple of str
        Lines.
    """
    chord = names[0].chord if names else None
    pitches = shape.pitches(fretboard)
    lines = [
        style.weigh(style.plain(shape.text), "strong"),
        "",
        *_names(names, pitches, style, rootless, tuning=fretboard.tuning),
    ]
    diagrams = [
        shape_to_diagram(shape, fretboard, fingering=fingering, chord=chord, left_handed=left_handed),
        shape_to_diagram(shape, fretboard, chord=chord, labels="degree", left_handed=left_handed),
        shape_to_diagram(shape, fretboard, chord=chord, labels="note", left_handed=left_handed),
    ]
    titles = ["fingers", "degrees", "notes"]
    if chord is None:
        del diagrams[1], titles[1]
    narrower = replace(style, width=style.width - len(MARGIN))
    blocks = [(title, *render_box(diagram, style=narrower)) for title, diagram in zip(titles, diagrams, strict=True)]
    if not style.pictures:  # the words of the first say it all
        blocks = [blocks[0][1:]]
    lines += ["", *_indented(join_beside(blocks, width=narrower.width))]
    other = find_other_fingering(shape, fretboard, hand=USUAL_HAND)
    also = "" if other is None else f" Or fingers {fingers_text(other)}, the lowest string first."
    effort = f"To hold: {effort_text(fingering.effort)}, {reasons_text(fingering)}.{also}"
    lines += ["", *wrap_text(style.plain(effort), width=style.width, indent=MARGIN)]
    lines += _neighbours(neighbours, style)
    return (*lines, *render_legend(box_legend(fretboard), style=style, indent=MARGIN))


def render_notes_name_text(
    pitches: Sequence[Pitch],
    names: Sequence[ChordName],
    *,
    style: TextStyle,
    typed: Sequence[str] = (),
    rootless: Sequence[ChordName] = (),
) -> tuple[str, ...]:
    """Render the names of notes that lie on no particular shape, headed by the notes as they were typed."""
    words = [printed(f"{word[:1].upper()}{word[1:]}") for word in typed or [pitch.name for pitch in pitches]]
    head = style.weigh(style.plain(" ".join(words)), "strong")
    as_typed = {Pitch.parse(given): word for given, word in zip(typed, words, strict=False)}
    return (head, "", *_names(names, tuple(pitches), style, rootless, as_typed))


def _names(
    names: Sequence[ChordName],
    pitches: Sequence[Pitch | None],
    style: TextStyle,
    rootless: Sequence[ChordName],
    as_typed: Mapping[Pitch, str] = MappingProxyType({}),
    *,
    tuning: Tuning = STANDARD,
) -> list[str]:
    sounding = [pitch for pitch in pitches if pitch is not None]
    if not names:
        told = " and ".join(printed(pitch_text(pitch, None)) for pitch in sorted(set(sounding)))
        text = f"Only {told}: one note, or a note and its octaves, is no chord."
        return [*wrap_text(style.plain(text), width=style.width, indent=MARGIN)]
    first = names[0]
    lines = [f"{MARGIN}{style.weigh(style.plain(first.printed), 'strong')}"]
    for text in filter(None, (_sentence(first, tuning), _on_a_chart(first))):
        lines += wrap_text(style.plain(text), width=style.width, indent=MARGIN)
    others = [name for name in names[1:] if name.probability >= LEAST_NAME]
    if others:
        lines += ["", f"{MARGIN}Other readings:"]
        for name in others:
            same = "; the same notes" if _names_all(first) and _names_all(name) else ""
            text = f"{name.printed}: {_sentence(name, tuning)}{same} ({sure_text(name.probability)})"
            lines += wrap_text(style.plain(text), width=style.width, indent=MARGIN * 2)
    if rootless:
        lines += ["", f"{MARGIN}Where somebody else plays the root:"]
        for name in rootless:
            text = f"{name.printed}: {chord_words(name.chord)}; {name_remarks(name)}"
            lines += wrap_text(style.plain(text), width=style.width, indent=MARGIN * 2)
    return [*lines, *_rows(pitches, first, style, as_typed)]


def _rows(
    pitches: Sequence[Pitch | None], first: ChordName, style: TextStyle, as_typed: Mapping[Pitch, str]
) -> list[str]:
    """Write the notes, by the chord's spelling or as they were typed, and their degrees under one another."""
    spelled = {pitch: printed(pitch_text(pitch, first.chord)) for pitch in pitches if pitch is not None}
    spelled |= as_typed
    notes = ["×" if pitch is None else spelled[pitch] for pitch in pitches]
    degrees = ["×" if pitch is None else printed(degree_of(pitch, first.chord)) for pitch in pitches]
    widths = [max(len(note), len(degree)) for note, degree in zip(notes, degrees, strict=True)]
    lines = []
    for title, cells in (("notes", notes), ("degrees", degrees)):
        row = " ".join(f"{cell:<{wide}}" for cell, wide in zip(cells, widths, strict=True))
        lines += ([""] if title == "notes" else []) + [style.plain(f"{MARGIN}{title:<9}{row}".rstrip())]
    return lines


def _names_all(name: ChordName) -> bool:
    """Tell whether a name stands for exactly the notes that sound."""
    return not name.label and not name.missing and not name.unexplained


def _on_a_chart(name: ChordName) -> str:
    """Say what stands on a chart for a bare third."""
    symbol = name.chord.quality.symbol
    if not name.label or symbol not in ("(no5)", "m(no5)"):
        return ""
    return f"On a chart it stands for {name.chord.root.printed}{symbol.removesuffix('(no5)')}, or {name.chord.printed}."


def _sentence(name: ChordName, tuning: Tuning) -> str:
    parts = [] if name.label else [describe_chord(name.chord, tuning)]
    remarks = name_remarks(name)
    if remarks:
        parts.append(remarks)
    if name.played_as is not None:
        parts.append(f"the hand plays {name.played_as.printed}")
    return "; ".join(parts)


def _neighbours(neighbours: Sequence[Neighbour], style: TextStyle) -> list[str]:
    shown = neighbours[:SHOWN_NEIGHBOURS]
    if not shown:
        return []
    texts = [style.plain(each.shape.text) for each in shown]
    named = [style.plain(each.name.printed) for each in shown]
    wide, wider = max(map(len, texts)), max(map(len, named))
    lines = ["", f"{MARGIN}One finger away:"]
    for text, name, each in zip(texts, named, shown, strict=True):
        told = wrap_text(style.plain(each.change), width=max(12, style.width - wide - wider - 8))
        lines.append(f"{MARGIN * 2}{text:<{wide}}  {name:<{wider}}  {told[0]}")
        lines += [" " * (wide + wider + 8) + line for line in told[1:]]
    return lines


def _indented(lines: Sequence[str]) -> list[str]:
    return [f"{MARGIN}{line}".rstrip() for line in lines]
