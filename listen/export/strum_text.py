"""What ``listen strum`` prints for a person: the name, the neck with the notes, the shapes, and what to beware of."""

from __future__ import annotations

from dataclasses import dataclass, replace

from listen.document import reasons_text
from listen.export.describe import describe_chord
from listen.export.diagram import empty_marks, shape_to_diagram
from listen.export.labels import pitch_text, printed
from listen.export.style import TextStyle, join_beside, visible_width, wrap_text
from listen.export.terminal import render_box, render_legend, render_neck
from listen.export.words import (
    LEAST_NAME,
    box_legend,
    cents_text,
    effort_text,
    name_remarks,
    signed_text,
    sound_the_same,
    stroke_words,
    sure_text,
)
from listen.instrument import STANDARD
from listen.reading import ChordName, NoteReading, ShapeReading, StrumReading, TakeReading
from listen.theory import Chord

SHOWN_NAMES = 3  # other readings beside the first
SAME_NOTES_WITHIN = 0.01  # names of the same notes that agree so far in probability name them as plainly
MARGIN = "  "
BESIDE = "   "  # between the neck and what was heard of its strings
WHY_LEGEND = (
    "ear, hand and book: what sound, ease and custom say for a shape against its strongest rival, in natural "
    "log-odds; +2.3 is ten to one for it. Stroke: how usual it is that just these strings of it sound."
)


@dataclass(frozen=True, slots=True)
class StrumView:
    """What of a reading is shown.

    Parameters
    ----------
    n_shapes : int
    why : bool
        Whether the shares of ear, hand and book are printed with each shape.
    left_handed : bool
    """

    n_shapes: int = 3
    why: bool = False
    left_handed: bool = False


def render_take_text(
    take: TakeReading, *, style: TextStyle, view: StrumView | None = None, file: str | None = None
) -> tuple[str, ...]:
    """Render what was read in a recording.

    Parameters
    ----------
    take : TakeReading
    style : TextStyle
    view : StrumView or None
    file : str or None
        What the user called the recording.

    Returns
    -------
    tuple of str
        Lines.
    """
    view, reading = view or StrumView(), take.reading
    name, facts = style.plain(file or take.file), _facts(take, style)
    if visible_width(f"{name}  {facts}") <= style.width:
        lines = [f"{style.weigh(name, 'strong')}  {style.weigh(facts, 'faint')}"]
    else:
        told = wrap_text(facts, width=style.width, indent=MARGIN)
        lines = [style.weigh(name, "strong"), *(style.weigh(line, "faint") for line in told)]
    for warning in take.warnings:
        lines += wrap_text(style.plain(f"Note: {warning}"), width=style.width, indent=MARGIN)
    lines.append("")
    lines += _names(reading, style)
    lines += _neck(reading, style, view)
    lines += _shapes(reading, style, view)
    if take.other_strums_s:
        times = ", ".join(f"{at:.1f}" for at in take.other_strums_s[:8])
        more = " …" if len(take.other_strums_s) > 8 else ""
        text = f"Other strums begin at {times}{more} s; --at {take.other_strums_s[0]:.1f} reads that one."
        lines += ["", *wrap_text(style.plain(text), width=style.width, indent=MARGIN)]
    return tuple(line for line, before in zip(lines, ["", *lines], strict=False) if line or before)


def _facts(take: TakeReading, style: TextStyle) -> str:
    evidence = take.reading.evidence
    facts = [f"{evidence.span.start_s:.2f}–{evidence.span.end_s:.2f} s"]
    if take.reading.notes:
        facts.append(cents_text(evidence.tuning_offset_cents))
    if evidence.direction:
        facts.append(f"{evidence.direction} stroke")
    board = take.reading.fretboard
    if board.tuning != STANDARD:
        facts.append(board.tuning.name)
    if board.capo_fret:
        facts.append(f"capo at fret {board.capo_fret}")
    if take.channel != "mix":
        facts.append(f"channel {take.channel}" if take.channel.isdecimal() else f"{take.channel} channel")
    return style.plain(" · ".join(facts))


def _names(reading: StrumReading, style: TextStyle) -> list[str]:
    if reading.refused is not None:
        refusal = wrap_text(style.plain(reading.refused), width=style.width, indent=MARGIN)
        return [*refusal, ""] if reading.notes else [*refusal]
    if not reading.names:
        return []
    first = reading.names[0]
    lines = [f"{MARGIN}{style.weigh(style.plain(first.printed), 'strong')}   {sure_text(first.probability)} sure"]
    lines += wrap_text(style.plain(name_sentence(first, reading)), width=style.width, indent=MARGIN)
    if reading.shapes and (told := stroke_words(reading.shapes[0], reading.fretboard.n_strings)):
        held = f"Held as {reading.shapes[0].shape.text}; {told}."
        lines += wrap_text(style.plain(held), width=style.width, indent=MARGIN)
    others = [name for name in reading.names[1:] if name.probability >= LEAST_NAME][:SHOWN_NAMES]
    alike = [name for name in others if sound_the_same(name, first)]
    same = [name for name in alike if first.probability - name.probability < SAME_NOTES_WITHIN]
    if same:
        also = ", ".join(name.printed for name in same)
        lines += wrap_text(style.plain(f"The same notes are also {also}."), width=style.width, indent=MARGIN)
    less = [name for name in alike if name not in same]
    if less:
        text = "; ".join(f"{name.printed} {name_remarks(name)}".rstrip() for name in less)
        lines += wrap_text(style.plain(f"Less plainly, the same notes are {text}."), width=style.width, indent=MARGIN)
    if len(alike) < len(others):
        text = "; ".join(_other_name(name) for name in others if name not in alike)
        lines += wrap_text(style.plain(f"Or: {text}."), width=style.width, indent=MARGIN)
    return [*lines, ""]


def name_sentence(name: ChordName, reading: StrumReading) -> str:
    """Say a name in words, with its inversion, its bass, and the form the hand sees."""
    parts = []
    tuning = reading.fretboard.tuning
    if not name.label:
        parts.append(describe_chord(name.chord, tuning))
    if reading.bass is not None and not tuning.is_reentrant:
        bass = printed(pitch_text(reading.bass.pitch, name.chord))
        parts.append(f"lowest note {bass} ({sure_text(reading.bass.probability)})")
    remarks = name_remarks(name)
    if remarks:
        parts.append(remarks)
    if name.played_as is not None:
        capo = reading.fretboard.capo_fret
        where = f" over the capo at fret {capo}" if capo else ""
        parts.append(f"the hand plays {name.played_as.printed}{where}")
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def _other_name(name: ChordName) -> str:
    remarks = name_remarks(name)
    return f"{name.printed} {sure_text(name.probability)}{f' ({remarks})' if remarks else ''}"


def _neck(reading: StrumReading, style: TextStyle, view: StrumView) -> list[str]:
    """Draw the best shape with its notes, and beside each string what was heard of it."""
    chord = _chord(reading)
    below = [f"{MARGIN}{_heard(note, chord, style)}" for note in reversed(reading.notes)]
    if not reading.shapes:
        return below
    best, silent = reading.shapes[0].shape, reading.shapes[0].silent
    diagram = shape_to_diagram(best, reading.fretboard, chord=chord, labels="note", left_handed=view.left_handed)
    diagram = empty_marks(diagram, silent)
    drawn = render_neck(diagram, style=replace(style, width=style.width - len(MARGIN)))
    if not style.pictures:
        return [*(f"{MARGIN}{line}".rstrip() for line in drawn), "", *below]
    wide = max(visible_width(line) for line in drawn)
    room = style.width - len(MARGIN) - wide - len(BESIDE)
    full, short = (_heard_by_string(reading, style, with_cents=with_cents) for with_cents in (True, False))
    told = next((told for told in (full, short) if max(map(visible_width, told.values()), default=0) <= room), None)
    if told is None:
        return [*(f"{MARGIN}{line}" for line in drawn), "", *below]
    lines = []
    for row, line in enumerate(drawn):
        remark = told.get(reading.fretboard.n_strings - 1 - row)
        lines.append(MARGIN + (line + " " * (wide - visible_width(line)) + BESIDE + remark if remark else line))
    return lines


def _heard_by_string(reading: StrumReading, style: TextStyle, *, with_cents: bool) -> dict[int, str]:
    """Return for each string that the likeliest shape holds what was heard of it."""
    chord, best = _chord(reading), reading.shapes[0]
    notes = {note.pitch: note for note in reading.notes}
    told = {
        index: _heard(notes[pitch], chord, style, with_cents=with_cents)
        for index, pitch in enumerate(best.sounded.pitches(reading.fretboard))
        if pitch is not None and pitch in notes
    }
    return told | dict.fromkeys(best.silent, "held, did not sound")


def _heard(note: NoteReading, chord: Chord | None, style: TextStyle, *, with_cents: bool = True) -> str:
    name = printed(pitch_text(note.pitch, chord))
    cents = f"  {cents_text(note.deviation_cents)}" if with_cents and note.deviation_cents is not None else ""
    return style.plain(f"{name:<5}{sure_text(note.probability):>9}{cents}")


def _shapes(reading: StrumReading, style: TextStyle, view: StrumView) -> list[str]:
    shown = reading.shapes[: view.n_shapes]
    if not shown:
        return []
    chord = _chord(reading)
    blocks = [
        _shape_block(shape, place, reading, chord, style=style, view=view) for place, shape in enumerate(shown, start=1)
    ]
    room = style.width - len(MARGIN)
    lines = [f"{MARGIN}{line}".rstrip() for line in join_beside(blocks, width=room)]
    if view.why:
        lines += ["", *wrap_text(style.plain(WHY_LEGEND), width=style.width, indent=MARGIN)]
    legend = box_legend(reading.fretboard, with_silent=any(shape.silent for shape in shown))
    return ["", *lines, *render_legend(legend, style=style, indent=MARGIN)]


def _shape_block(
    reading: ShapeReading, place: int, strum: StrumReading, chord: Chord | None, *, style: TextStyle, view: StrumView
) -> tuple[str, ...]:
    diagram = shape_to_diagram(
        reading.shape, strum.fretboard, fingering=reading.fingering, chord=chord, left_handed=view.left_handed
    )
    diagram = empty_marks(diagram, reading.silent)
    box = render_box(diagram, style=replace(style, width=style.width - len(MARGIN)))
    room = max(22, *(visible_width(line) for line in box))
    title = f"{place}  {style.weigh(reading.shape.text, 'strong')}  {sure_text(reading.probability)}"
    words = [f"{effort_text(reading.fingering.effort)}: {reasons_text(reading.fingering)}".rstrip(": ")]
    same = [str(other + 1) for other in reading.same_sound if other < view.n_shapes]
    if same:
        words.append(f"sounds the same notes as {', '.join(same)}")
    if told := stroke_words(reading, strum.fretboard.n_strings):
        words.append(told)
    if view.why:
        why = reading.why
        words += [f"ear {signed_text(why.ear)}", f"hand {signed_text(why.hand)}", f"book {signed_text(why.book)}"]
        words += [f"stroke {signed_text(why.stroke)}"] if why.stroke else []
    lines = [line for text in words for line in wrap_text(style.plain(text), width=room)]
    return (title, *box, *lines)


def _chord(reading: StrumReading) -> Chord | None:
    return reading.names[0].chord if reading.names else None
