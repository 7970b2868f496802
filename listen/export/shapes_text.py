"""What ``listen shapes`` prints for a person: boxes in groups, or the neck with every tone of a chord."""

from __future__ import annotations

from dataclasses import replace

from listen.export.diagram import Labels
from listen.export.shapes_view import ShapeCard, ShapesView
from listen.export.style import TextStyle, join_beside, visible_width, wrap_text
from listen.export.terminal import render_box, render_legend, render_neck
from listen.export.words import box_legend

MARGIN = "  "
COMPARISON_LEGEND = "< > a string that changed, { } where its finger was."
OVERLAY_LEGEND = "A dot is a tone of the chord that no shape below its neck holds."
MAP_LEGEND = "First string on top. [ ] root, ( ) other tone of the chord."


def render_shapes_text(view: ShapesView, *, style: TextStyle, labels: Labels = "finger") -> tuple[str, ...]:
    """Render the places of a chord.

    Parameters
    ----------
    view : ShapesView
    style : TextStyle
    labels : "finger", "degree" or "note"
        What stands in the marks, for the legend.

    Returns
    -------
    tuple of str
        Lines.
    """
    lines = [style.weigh(style.plain(view.title), "strong")]
    for text in (view.words, *view.remarks):
        lines += wrap_text(style.plain(text), width=style.width, indent=MARGIN)
    room = style.width - len(MARGIN)
    if view.map is not None:
        lines.append("")
        lines += [f"{MARGIN}{line}".rstrip() for line in render_neck(view.map, style=replace(style, width=room))]
    cautions: list[str] = []
    for group in view.groups:
        lines.append("")
        if group.title:
            told = wrap_text(style.plain(group.title), width=room)
            lines += [*(f"{MARGIN}{style.weigh(line, 'strong')}" for line in told), ""]
        if group.map is not None:
            neck = render_neck(group.map, style=replace(style, width=room))
            held = wrap_text(style.plain(", ".join(card.frets for card in group.cards)), width=room)
            lines += [f"{MARGIN}{line}".rstrip() for line in (*neck, "", *held)]
            continue
        blocks = [_block(card, replace(style, width=room)) for card in group.cards]
        lines += [f"{MARGIN}{line}".rstrip() for line in join_beside(blocks, width=room)]
        if group.n_more:
            lines += ["", f"{MARGIN}{group.n_more} more; --all shows them."]
        cautions += [card.caution for card in group.cards if card.caution is not None]
    for caution in dict.fromkeys(cautions):
        lines += ["", *wrap_text(style.plain(f"* {caution}"), width=style.width, indent=MARGIN)]
    overlaid = any(group.map is not None for group in view.groups)
    legend = MAP_LEGEND if overlaid or not view.groups else box_legend(view.fretboard, labels=labels)
    if overlaid:
        legend = f"{legend} {OVERLAY_LEGEND}"
    if view.is_comparison:
        legend = f"{legend} {COMPARISON_LEGEND}"
    lines += render_legend(legend, style=style, indent=MARGIN)
    return tuple(lines)


def _block(card: ShapeCard, style: TextStyle) -> tuple[str, ...]:
    box = render_box(card.diagram, style=style)
    wide = max(22, *(visible_width(line) for line in box))
    star = " *" if card.caution else ""
    words = [f"{card.effort}: {', '.join(card.reasons)}"]
    if card.other:
        words.append(f"or fingers {card.other}")
    if card.remark:
        words.insert(0, card.remark)
    told = [line for text in words for line in wrap_text(style.plain(text), width=wide)]
    return (f"{style.weigh(card.frets, 'strong')}{star}", *box, *told)
