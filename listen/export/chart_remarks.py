"""What is said under the chart of a part: warnings, what was not read, what else it may be, and event numbers."""

from __future__ import annotations

from listen.export.bar import find_metre, has_pickup
from listen.export.bars import LaidPart
from listen.export.doubts import doubt_text, find_doubts
from listen.export.head import find_other_beats, is_told, is_twice
from listen.export.held_names import HeldNames
from listen.export.labels import print_notes_in, printed
from listen.export.style import TextStyle, wrap_text
from listen.export.tempo_marks import drop_marked_tempi
from listen.export.words import LEAST_NAME, cents_text, sure_text
from listen.reading import Part, PathDifference, clock_text

DOUBTFUL = 0.9  # a setting less likely than this is printed with its rivals
LEAST_RIVAL = 0.15  # a key or count that is as likely is said under every chart; judged
MOST_PLACES = 8  # that a remark names
PANNED_APART = "Left and right hold different players, read as one: each is read better as a recording of its own."
BY_CHANNEL = "With --channel left or --channel right it is."


def number_lines(part: Part, names: HeldNames, style: TextStyle) -> list[str]:
    """Return the number of the event at which each chord begins: by it a person pins a shape or gives a name."""
    bars: dict[str, list[str]] = {}
    for span in part.spans:
        bar = "" if span.position is None else f"bar {span.position.bar}: "
        bars.setdefault(bar, []).append(f"{part.events[span.first_event].number} {names.of_span(span)}")
    if not bars:
        return []
    told = "; ".join(f"{bar}{', '.join(begun)}" for bar, begun in bars.items())
    return list(
        wrap_text(style.plain(f"Events at which chords begin, for --pin and --name: {told}."), width=style.width)
    )


def remark_lines(laid: LaidPart, names: HeldNames, style: TextStyle, *, full: bool) -> list[str]:
    """Return everything that is to be said under a chart; doubts about key, count and path in the full one only."""
    part = laid.part
    warnings = [f"{one} {BY_CHANNEL}" if one == PANNED_APART else one for one in part.warnings]
    remarks = [*drop_marked_tempi(warnings, laid.played), *_pickup_remarks(part), *span_remarks(part)]
    remarks += stop_remarks(part)
    unread = [event for event in part.events if event.kind == "unread"]
    if unread:
        places = ", ".join(clock_text(event.span.start_s) for event in unread[:MOST_PLACES])
        more = " …" if len(unread) > MOST_PLACES else ""
        remarks.append(f"Could not be read, to be listened to: {places}{more}.")
    if doubted := doubt_text(find_doubts(part, names)):
        remarks.append(doubted)
    remarks += other_settings(part)
    remarks += _doubts(part, names) if full else near_rivals(laid)
    return [line for remark in remarks for line in wrap_text(style.plain(remark), width=style.width)]


def stop_remarks(part: Part) -> list[str]:
    """Say where reading was stopped; nothing where it was not."""
    if part.recording.complete:
        return []
    return [f"Reading was stopped at {clock_text(part.recording.span.end_s)}; the rest is missing."]


def _pickup_remarks(part: Part) -> list[str]:
    """Say what the short bar at the beginning is: a number alone does not tell.

    It is the pickup, unless a person said that bar one is this bar or one before it: then it begins with a rest.
    """
    metre, first = find_metre(part), part.bars.first_bar
    if metre is None or not metre.pickup_steps:
        return []
    return [f"Bar {first} is the pickup." if has_pickup(part) else f"Bar {first} begins with a rest."]


def span_remarks(part: Part) -> list[str]:
    """Say what is special about held chords, each thing once with the places where it holds."""
    places: dict[str, list[str]] = {}
    for span in part.spans:
        if span.remark:
            at = clock_text(span.span.start_s) if span.position is None else f"bar {span.position.bar}"
            places.setdefault(span.remark, []).append(at)
    rows = []
    for remark, all_found in places.items():
        found = list(dict.fromkeys(all_found))
        shown = ", ".join(found[:MOST_PLACES]) + (" …" if len(found) > MOST_PLACES else "")
        rows.append(f"{shown[:1].upper()}{shown[1:]}: {print_notes_in(remark)}")
    return rows


def other_settings(part: Part) -> list[str]:
    """Say which other capo or tuning the recording may have, where that is in doubt."""
    if len(part.setups) < 2 or part.setups[0].told or part.setups[0].probability >= DOUBTFUL:
        return []
    rows = [
        f"{setting.text or 'standard tuning without a capo'}, {cents_text(setting.tuning_offset_cents)} "
        f"({sure_text(setting.probability)})"
        for setting in part.setups[:4]
    ]
    told = " and ".join(f"the {what}" for what in ("capo", "tuning") if not is_told(part, what)) or "both"
    return [f"How the guitar is set up is not certain: {'; '.join(rows)}. Say which: give {told}."]


def near_rivals(laid: LaidPart) -> list[str]:
    """Say in what other key or count the part may well be; less likely ones stand under the full chart only.

    Half or double the tempo is heard either way; where it is nearly as likely, the head says so, and what one stroke a
    bar does not tell.
    """
    part, said = laid.part, find_other_beats(laid)
    rivals = [
        printed(key.text) for key in part.keys[1:2] if key.probability >= LEAST_RIVAL and not is_told(part, "key")
    ]
    likely = [
        metre
        for metre in part.bars.metres[1:]
        if metre.probability >= LEAST_RIVAL and not is_twice(metre, part.bars.metres[0]) and metre != said
    ]
    rivals += [f"in {metre.text}" for metre in likely[:1]]
    return [f"Perhaps {' and '.join(rivals)}."] if rivals else []


def _doubts(part: Part, names: HeldNames) -> list[str]:
    """Say what else the part may be: other keys and counts, and the other path of the hand."""
    remarks = []
    if keys := [key for key in part.keys[1:3] if key.probability >= LEAST_NAME]:
        others = ", ".join(f"{printed(key.text)} ({sure_text(key.probability)})" for key in keys)
        remarks.append(f"The key may also be {others}.")
    if metres := [metre for metre in part.bars.metres[1:4] if metre.probability >= LEAST_NAME]:
        others = "; ".join(f"{metre.text} ({sure_text(metre.probability)})" for metre in metres)
        remarks.append(f"It may also be counted in {others}.")
    if part.path is not None and part.path.differences:
        moves = []
        for difference in [one for one in part.path.differences if _keeps_bass(one, part)][:6]:
            span = part.spans[difference.span_index]
            where = clock_text(span.span.start_s) if span.position is None else f"bar {span.position.bar}"
            moves.append(
                f"{names.of_span(span)} in {where} as {difference.gentlest.shape.text}, in place of "
                f"{difference.cheapest.shape.text}"
            )
        if moves:
            remarks.append(f"Easier for the hand: {'; '.join(moves)}.")
    return remarks


def _keeps_bass(difference: PathDifference, part: Part) -> bool:
    """Tell whether the gentler shape has the bass that the chord is named with."""
    name = part.spans[difference.span_index].name
    pitches = [pitch for pitch in difference.gentlest.shape.pitches(part.fretboard) if pitch is not None]
    return name is None or min(pitches).pitch_class == name.chord.sounding_bass.pitch_class
