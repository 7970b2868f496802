"""The head of a chart: key, count, guitar, names and pitch, each as a label and a value."""

from __future__ import annotations

from listen.export.bar import find_metre
from listen.export.bars import LaidPart, lay_bars
from listen.export.held_names import HeldNames, exact_clock_text, find_key
from listen.export.style import TextStyle, wrap_text
from listen.export.tempo_marks import find_shown_metre
from listen.export.told_words import find_title, head_words
from listen.export.words import LEAST_NAME, cents_text
from listen.reading import Metre, Part, PartKey, PartRecording, SetupHypothesis

FACT = 0.85  # a capo or tuning less likely than this is not stated as a fact; judged
ALONE = 0.6  # one less likely than this is not stated without its rival; judged
NEARLY = 0.5  # as likely as the count that is written: half or double its tempo is said beside it; judged
NEAR_TWICE = 0.1
ONCE_SHARE = 0.9  # of the bars have one stroke or none, where a hand strikes once a bar; judged
KEY, COUNT, GUITAR, NAMES, PITCH, BARS = "Key", "Count", "Guitar", "Names", "Pitch", "Bars"


def head_facts(laid: LaidPart, names: HeldNames, *, by_option: bool = False) -> list[tuple[str, str]]:
    """Return what stands at the head of a chart, as labels and values; ``by_option`` says how else it is asked for."""
    part = laid.part
    facts: list[tuple[str, str]] = []
    if part.key is not None:
        changes = [f"{_print_key(one.key)} from bar {one.bar}" for one in part.bars.key_changes]
        facts.append((KEY, ", ".join([_print_key(part.key), *changes])))
    metre = find_shown_metre(part, laid.played)
    facts.append((COUNT, "free time" if metre is None else _count_fact(metre, laid, by_option=by_option)))
    told = names.remark if names.shift % 12 else ""
    if setting := setting_fact(part, told=told):
        facts.append((GUITAR, setting))
    if names.remark and not (setting and told):
        facts.append((NAMES, names.remark))
    if round(abs(part.concert_pitch.offset_cents)) >= 1:
        facts.append((PITCH, f"{cents_text(part.concert_pitch.offset_cents)} of A 440"))
    if stretch := _stretch_fact(part.recording, is_counted=metre is not None):
        facts.append((BARS, stretch))
    return facts


def _print_key(reading: PartKey) -> str:
    key = find_key(reading)
    return reading.text if key is None else key.printed


def _find_rival(part: Part) -> float | None:
    """Return how many times as fast the part is nearly as likely counted: 2, ½, or None."""
    first, *others = part.bars.metres or (None,)
    for other in others:
        if first is not None and is_twice(other, first) and other.probability >= NEARLY * first.probability:
            return 2.0 if other.tempo_bpm > first.tempo_bpm else 0.5
    return None


def is_twice(metre: Metre, first: Metre) -> bool:
    """Tell whether two counts are one, twice or half as fast."""
    ratio = metre.tempo_bpm / first.tempo_bpm
    return metre.signature == first.signature and min(abs(ratio - 2.0), abs(ratio - 0.5)) < NEAR_TWICE


def find_other_beats(laid: LaidPart) -> Metre | None:
    """Return how bars may be counted otherwise that are struck once each: as long, in other beats; None for others."""
    metre, struck = find_metre(laid.part), [len(bar.strokes) for bar in laid.played]
    if metre is None or sum(n <= 1 for n in struck) < ONCE_SHARE * len(struck):
        return None
    beat_s = metre.beats_per_bar / metre.tempo_bpm
    others = [one for one in laid.part.bars.metres[1:] if one.probability >= LEAST_NAME]
    as_long = [one for one in others if abs(one.beats_per_bar / one.tempo_bpm / beat_s - 1.0) < NEAR_TWICE]
    return next((one for one in as_long if one.signature != metre.signature), None)


def _count_fact(metre: Metre, laid: LaidPart, *, by_option: bool) -> str:
    other, rival = find_other_beats(laid), _find_rival(laid.part)
    if other is not None:
        how = f": --metre {other.signature}" if by_option else ""
        return f"{metre.text}, perhaps {other.signature} (one stroke a bar){how}"
    if rival is None:
        return metre.text
    tempo = f"{rival * metre.tempo_bpm:.0f}"
    how = f": --tempo {tempo}" if by_option else ""
    return f"{metre.text}, or {tempo}, {'twice' if rival > 1.0 else 'half'} as fast{how}"


def tell_holding(part: Part) -> dict[str, str]:
    """Return what holds for a whole part, told or heard, as a person would tell it: by what is told."""
    board, metre = part.fretboard, find_shown_metre(part, lay_bars(part).played)
    holds = {"title": find_title(part), "capo": str(board.capo_fret), "tuning": board.tuning.name}
    if metre is not None:
        holds |= {"tempo": f"{metre.tempo_bpm:.0f}", "metre": metre.signature}
    return holds if part.key is None else holds | {"key": part.key.text}


def _stretch_fact(recording: PartRecording, *, is_counted: bool) -> str:
    """Return which stretch of a recording was asked for, "" for all of it; where reading was stopped stands below."""
    since, until = (exact_clock_text(time_s) for time_s in (recording.span.start_s, recording.span.end_s))
    to_end = recording.reaches_end or not recording.complete
    if recording.span.start_s <= 0.0:
        return "" if to_end else f"read to {until}"
    counted = f", bars counted from {'there' if to_end else since}" if is_counted else ""
    return f"read from {since} {'on' if to_end else f'to {until}'}{counted}"


def head_lines(laid: LaidPart, names: HeldNames, style: TextStyle) -> list[str]:
    """Return title and facts as lines of text."""
    given = head_facts(laid, names, by_option=True)
    facts = [f"{label} {value}" if label == KEY else value for label, value in given]
    title = head_words(find_title(laid.part), style)
    return [
        *(style.weigh(line, "strong") for line in title),
        *wrap_text(style.plain(" · ".join(facts)), width=style.width),
    ]


def is_told(part: Part, what: str) -> bool:
    """Whether a person said what it is: ``"capo"``, ``"tuning"`` and so on."""
    return any(one.what == what for one in part.settled.corrections)


def setting_fact(part: Part, *, told: str = "") -> str:
    """Return capo and tuning for the head; "perhaps" where they are no fact, with their rival where that is as likely.

    Of a guitar without capo and retuning nothing is said, unless it is so doubtful that its rival is to be said, too.

    Parameters
    ----------
    part : Part
    told : str
        What else is to be said of the likeliest one: which key the hand plays in.
    """
    if not part.setups:
        return ""
    first, *rivals = part.setups
    if not first.text:
        is_open = not first.told and first.probability < ALONE and rivals
        return f"perhaps {_call_plain(rivals[0])}, perhaps {rivals[0].text}" if is_open else ""
    if first.told or first.probability >= FACT or not rivals:
        return f"{first.text}: {told}" if told else first.text
    likeliest = f"{first.text} ({told})" if told else first.text
    capo = f"Capo {first.fretboard.capo_fret}"
    if is_told(part, "capo") and first.text == capo:  # the tuning alone is open
        rival = f", perhaps {rivals[0].text.removesuffix(f', {capo}')}"
        return likeliest if first.probability >= ALONE else f"{likeliest}{rival}"
    if first.probability >= ALONE:
        return f"perhaps {likeliest}"
    return f"perhaps {likeliest}, perhaps {rivals[0].text or _call_plain(first)}"


def _call_plain(other: SetupHypothesis) -> str:
    """Return what a guitar without capo and retuning is called beside another setting."""
    return "no capo" if other.text.startswith("Capo") else "standard tuning"
