"""Findings in sentences, as one would say them to a student: one finding, or the same mistake wherever it comes."""

from __future__ import annotations

from collections.abc import Sequence

from listen.document import far_words, finding_words, join_words, part_words
from listen.export.labels import printed
from listen.export.silent_strings import dead_sentence, is_throughout
from listen.reading import (
    DriftingTempo,
    Finding,
    FindingKind,
    Measure,
    OffBeat,
    OtherKey,
    OtherMetre,
    OtherSetting,
    OtherTempo,
    PartOfChord,
    StoppedAt,
    TempoFrom,
    UnevenStrokes,
    WayKept,
)

PLACED_KINDS: dict[FindingKind, str] = {
    "restart": "begun again", "repeated": "played again", "left out": "left out",
}  # fmt: skip
"""What is said of all its bars at once."""
NAMED_KINDS = {"chord", "bass", "silent string", "extra string", "teacher"}  # which name chords or notes
MOST_MS = 1000  # above, a time is told in seconds
_ELSE = " Everything else is judged as if it were so."


def finding_sentence(one: Finding) -> str:
    """Return a finding in a sentence.

    Examples
    --------
    >>> finding_sentence(Finding("chord", 5, 1.0, 9.6, "G/B", "G"))
    'Bar 5 should be G/B; it sounds like G.'
    """
    return findings_sentence((one,))


def findings_sentence(own: Sequence[Finding]) -> str:
    """Return findings of one kind, of which the same was expected, in a sentence that names all their bars.

    Examples
    --------
    >>> findings_sentence([Finding("chord", bar, 3.0, 9.6, "A", "G") for bar in (6, 14)])
    'In bars 6 and 14, beat 3 should be A; it sounds like G.'
    >>> findings_sentence([Finding("late", bar, 1.0, 9.6, "Am", measure=OffBeat(30 * bar)) for bar in (3, 9)])
    'The change to Am comes late in bars 3 and 9, by up to 270 ms.'
    """
    one = own[0]
    if isinstance(one.measure, OtherKey):
        return key_sentence(one.measure)
    if one.kind in PLACED_KINDS:
        text = f"{places_text(own)}."
    elif one.kind in {"late", "early"}:
        text = _time_sentence(own)
    elif is_throughout(own):
        text = dead_sentence(own)
    elif one.kind in NAMED_KINDS:
        text = _named_sentence(own)
    else:
        text = _hand_sentence(own)
    return text[0].upper() + text[1:]


def _named_sentence(own: Sequence[Finding]) -> str:
    """Return a sentence on a chord or on notes."""
    one, where = own[0], where_text(own)
    are, they = ("are", "they sound") if where.startswith("bars") else ("is", "it sounds")
    from_lowest = sorted(own, key=lambda each: -(each.string or 0))
    expected = join_words(list(dict.fromkeys(printed(finding_words(each)[0]) for each in from_lowest)))
    heard = " or ".join(dict.fromkeys(_heard_text(each) for each in own))
    numbers = sorted({each.string for each in own if each.string is not None}, reverse=True)
    strings = f"string{'s' if len(numbers) > 1 else ''} {join_words([str(number) for number in numbers])}"
    place = f"in {where}"
    if one.kind == "chord" and are == "are" and len({each.beat for each in own}) == 1 and one.beat != 1:
        return f"{place} should be {expected}; it sounds like {heard}."
    sentences: dict[FindingKind, str] = {
        "chord": f"{where} should be {expected}; {they} like {heard}.",
        "bass": f"{place} the lowest note should be {expected}; it is {heard}.",
        "silent string": f"{place} {strings if numbers else expected} {'do' if len(numbers) > 1 else 'does'} not sound"
        f"{f' ({expected})' if numbers and expected else ''}.",
        "extra string": f"{place} {strings} sounds {heard}; it should be {expected}."
        if numbers and expected
        else f"{place} {f'{strings} should not sound' if numbers else 'a string sounds that should not'} ({heard}).",
        "teacher": f"{where}{f' ({expected})' if expected else ''} {are} wrong, says your teacher.",
    }
    return sentences[one.kind]


def _heard_text(one: Finding) -> str:
    if isinstance(one.measure, PartOfChord):
        return f"{printed(one.heard)} {part_words(one.measure)}"
    return printed(finding_words(one)[1])


def _time_sentence(own: Sequence[Finding]) -> str:
    """Return a sentence on changes that come off the beat, on stops, or on what is played in between."""
    one, where = own[0], where_text(own)
    most = max((each.measure.ms for each in own if isinstance(each.measure, OffBeat)), default=0)
    if one.is_stop:
        stops = f"is a stop of {_span_text(most)}" if len(own) == 1 else f"are stops of up to {_span_text(most)}"
        return f"before {where} there {stops}."
    if isinstance(one.measure, OffBeat) and one.measure.is_filled:
        return f"before {where} something else is played, for {'' if len(own) == 1 else 'up to '}{_span_text(most)}."
    change = f"the change{f' to {printed(one.expected)}' if one.expected else ''} comes"
    if len(own) == 1:
        return f"in {where} {change} {f'{_span_text(most)} {one.kind}' if most else finding_words(one)[1]}."
    return f"{change} {one.kind} in {where}{f', by up to {_span_text(most)}' if most else ''}."


def table_words(one: Finding) -> tuple[str, str]:
    """Return what was to be and what was heard, as a table shows it: with times as one says them.

    Examples
    --------
    >>> table_words(Finding("late", 5, 1.0, 9.6, measure=OffBeat(2504, is_filled=True)))
    ('going on in time', 'something else for 2.5 s')
    """
    expected, heard = finding_words(one)
    if isinstance(one.measure, OffBeat):
        heard = heard.replace(f"{one.measure.ms} ms", _span_text(one.measure.ms))
    return expected, heard


def _span_text(ms: int) -> str:
    """Return a time as one says it; documents keep each millisecond."""
    return f"{ms} ms" if ms <= MOST_MS else f"{round(ms / 1000, 1):g} s"


def _way_text(measure: Measure | None) -> str:
    """Return that the hand goes one way only, where it does."""
    if not isinstance(measure, WayKept) or measure.only is None:
        return ""
    return f"only goes {measure.only}, as was set in {measure.percent} % of the strokes"


def _since_text(own: Sequence[Finding]) -> str:
    """Return from which bars on a tempo is another; nothing where it is so from the first."""
    bars = sorted({one.bar for one in own})
    return "" if bars[0] <= 1 else f"{join_words([f'from bar {bar}' for bar in bars])} on "


def _hand_sentence(own: Sequence[Finding]) -> str:
    """Return a sentence on the hand, the tempo, the guitar, or how far it goes."""
    one = own[0]
    expected, heard = finding_words(one)
    damaged = ": the file is damaged" if isinstance(one.measure, StoppedAt) and one.measure.breaks_off else ""
    sentences: dict[FindingKind, str] = {
        "out of tune": f"string {one.string} is {heard}.",
        "uneven": f"the strokes are uneven: {heard}.",
        "way": f"the strumming hand {_way_text(one.measure) or f'goes down and up as set in {heard}'}.",
        "pattern": f"the {expected} {'is' if expected.startswith(('stroke ', 'upstroke ', 'downstroke ')) else 'are'} "
        f"{heard}.",
        "stopped": f"{heard}{damaged}." if heard else f"it ends at {where_text([one])}.",
        "setting": f"this sounds like {heard}; set was {expected}.{_ELSE}",
        "tempo": f"it is played at {heard} beats a minute; set was {expected}.",
        "metre": f"bars are played with {heard}; set was {expected}.",
    }
    match one.measure:
        case OtherSetting():
            text = f"{setting_text(one.measure)}.{_ELSE}"
        case OtherMetre(beats, set_beats):
            text = f"bars are played with {beats} beats; they should have {set_beats}."
        case DriftingTempo():
            text = f"from {where_text([one])} on it gets {heard}."
        case TempoFrom(bar):
            text = f"{new_tempo_text(bar, one.bar)}."
        case OtherTempo(bpm, set_bpm):
            text = f"{_since_text(own)}it is played at {bpm} beats a minute; {set_bpm} were set."
        case UnevenStrokes(_, allowed_ms):
            text = f"the strokes are uneven: {heard}, where up to {allowed_ms} ms is even enough."
        case _:
            text = sentences[one.kind]
    return text


def new_tempo_text(bar: int, set_bar: int) -> str:
    """Return how many bars late or early a tempo is taken.

    Examples
    --------
    >>> new_tempo_text(6, 5)
    'the new tempo comes one bar late: at bar 6, not at bar 5'
    """
    off = abs(bar - set_bar)
    far = "one bar" if off == 1 else f"{off} bars"
    return f"the new tempo comes {far} {'late' if bar > set_bar else 'early'}: at bar {bar}, not at bar {set_bar}"


def setting_text(measure: OtherSetting) -> str:
    """Return how the guitar lies and how it was set, in words.

    Examples
    --------
    >>> setting_text(OtherSetting(-1, capo_fret=3)), setting_text(OtherSetting(-2, capo_fret=0))
    ('it sounds as with the capo at fret 2; the capo was set at fret 3', 'it sounds 2 semitones lower than was set')
    """
    heard_at, wanted = measure.capo_fret + measure.semitones, measure.capo_fret
    if measure.cents:
        off = 100 * measure.semitones + measure.cents
        return f"it sounds {abs(off)} cents {'lower' if off < 0 else 'higher'} than was set"
    if heard_at < 0:
        return f"it sounds {far_words(measure.semitones)} than was set"
    heard = f"with {'the' if wanted else 'a'} capo at fret {heard_at}" if heard_at else "without a capo"
    return f"it sounds as {heard}; {f'the capo was set at fret {wanted}' if wanted else 'no capo was set'}"


def key_sentence(key: OtherKey) -> str:
    """Return that another key was played, in sentences.

    Examples
    --------
    >>> key_sentence(OtherKey("C major", "F major", -5, is_in_tune=True))
    'Played in C, set in F: everything is 5 semitones lower. The guitar itself is in tune.'
    """
    played, wanted = key_name(key.played), key_name(key.wanted)
    text = f"Played in {played}, set in {wanted}: everything is {far_words(key.semitones)}."
    return f"{text} The guitar itself is in tune." if key.is_in_tune else text


def key_name(text: str) -> str:
    """Return a key as one says it: ``C``, ``A minor``."""
    tonic, mode = text.split(maxsplit=1)
    return printed(tonic) if mode == "major" else f"{printed(tonic)} {mode}"


def where_text(own: Sequence[Finding]) -> str:
    """Return where findings are.

    Examples
    --------
    >>> where_text([Finding("bass", 6, 3.0, 9.6), Finding("bass", 14, 3.0, 30.0)])
    'bars 6 and 14, beat 3'
    >>> where_text([Finding("bass", 6, 3.0, 9.6), Finding("bass", 14, 1.0, 30.0)])
    'bars 6 (beat 3) and 14'
    """
    places = sorted({(one.bar, one.beat) for one in own})
    bars = list(dict.fromkeys(bar for bar, _ in places))
    shared = {tuple(beat for bar, beat in places if bar == each) for each in bars}
    named = "bar" if len(bars) == 1 else "bars"
    if len(shared) == 1:
        beats = _beats_text(shared.pop())
        return f"{named} {join_words([str(bar) for bar in bars])}{f', {beats}' if beats else ''}"
    told = [(bar, _beats_text([beat for other, beat in places if other == bar])) for bar in bars]
    return f"{named} {join_words([f'{bar} ({beats})' if beats else str(bar) for bar, beats in told])}"


def _beats_text(beats: Sequence[float]) -> str:
    if list(beats) == [1.0]:
        return ""
    return f"beat{'s' if len(beats) > 1 else ''} {join_words([f'{beat:g}' for beat in beats])}"


def places_text(own: Sequence[Finding]) -> str:
    """Return in which bars it was begun again, or which were left out or played again.

    Examples
    --------
    >>> places_text([Finding("left out", bar, 1.0, 9.0) for bar in (5, 6, 9)])
    'bars 5, 6 and 9 are left out'
    >>> places_text([Finding("repeated", 2, 1.0, 9.0)] * 3)
    'bar 2 is played again, 3 times'
    """
    bars = sorted({one.bar for one in own})
    text = f"bar{'s' if len(bars) > 1 else ''} {join_words([str(bar) for bar in bars])}"
    times = f", {len(own)} times" if len(own) > len(bars) and own[0].kind != "left out" else ""
    if own[0].kind == "restart":
        return f"begun again at {text}{times}"
    return f"{text} {'are' if len(bars) > 1 else 'is'} {PLACED_KINDS[own[0].kind]}{times}"
