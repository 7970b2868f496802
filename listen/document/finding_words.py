"""What a finding says in words: how documents and reports hold it, and how it is read back from them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from listen.evidence import Direction
from listen.reading import (
    STEPS_PER_BEAT,
    DriftingTempo,
    Finding,
    FindingKind,
    Measure,
    OffBeat,
    OffPitch,
    OtherKey,
    OtherMetre,
    OtherSetting,
    OtherTempo,
    PartOfChord,
    StoppedAt,
    StrokesLeftOut,
    TempoFrom,
    UnevenStrokes,
    WayKept,
)

_GOING_ON, _IN_TUNE, _AS_SET, _NO_CAPO = "going on in time", "in tune", "down and up as set", "no capo"
_STEADY = "one tempo"
_OWN_TEMPO = "its own tempo"
_PLACES: dict[FindingKind, str] = {
    "restart": "begun again at bar {bar}", "repeated": "bar {bar} played again", "left out": "bar {bar} is missing",
}  # fmt: skip
_N = r"(\d{1,6})"
_PART = re.compile(rf"(\S+) (?:from beat {_N} on|up to beat {_N})")
_CHANGE = re.compile(r"(\S.*) on the beat")
_OFF = re.compile(rf"{_N} ms (late|early)")
_STOP = re.compile(rf"(a stop of|something else for) {_N} ms")
_STEPS = {100: "a semitone", 200: "a tone"}  # in cents
_CENTS = re.compile(rf"(?:{_N} cents|(a semitone|a tone)) (sharp|flat)")
_WITHIN, _UNEVEN = re.compile(rf"within {_N} ms"), re.compile(rf"{_N} ms off")
_LEAST = r"least on (?:beat|the ([e&a]) of) (\d{1,2})"
_SHARE = re.compile(rf"{_N} % of the strokes(?:, (?:all of them (up|down)|{_LEAST}))?")
_PARTS = {0.25: "e", 0.5: "&", 0.75: "a"}  # of a beat, as strokes are counted
_STROKES, _GONE = re.compile(r"(up|down|)strokes? on (\S.*)"), re.compile(rf"left out in {_N} of {_N} bars")
_SET_TEMPO, _TEMPO = re.compile(rf"{_N} beats a minute"), re.compile(_N)
_DRIFT = re.compile(rf"(?:faster|slower)( towards the end)?, from {_N} to {_N} beats a minute")
_BEATS = re.compile(rf"{_N} beats a bar")
_SINCE = re.compile(rf"from bar {_N} on")
_STOPPED = re.compile(rf"(stopped|the recording breaks off) after bar {_N} of {_N}")
_CAPO, _AS_WITH_CAPO = re.compile(rf"capo at fret {_N}"), re.compile(rf"as with the capo at fret {_N}")
_FAR = re.compile(rf"everything {_N} semitones? (lower|higher)")
_FAR_CENTS = re.compile(rf"everything {_N} cents (lower|higher)")
_AT_PITCH = ", the guitar itself in tune"
_SET_KEY, _OTHER_KEY = re.compile(r"in (\S+ \w+)"), re.compile(rf"in (\S+ \w+), {_FAR.pattern}({_AT_PITCH})?")


def finding_words(one: Finding) -> tuple[str, str]:
    """Return what was to be and what was heard, in words.

    Examples
    --------
    >>> finding_words(Finding("late", 7, 3.0, 14.0, "Am", measure=OffBeat(300)))
    ('Am on the beat', '300 ms late')
    >>> finding_words(Finding("late", 7, 3.0, 14.0, measure=OffBeat(300)))
    ('going on in time', 'a stop of 300 ms')
    >>> finding_words(Finding("setting", 1, 1.0, 0.5, measure=OtherSetting(-2, capo_fret=2)))
    ('capo at fret 2', 'no capo')
    """
    if one.measure is None:
        place = _PLACES.get(one.kind, "") if not one.heard else ""
        return one.expected, place.format(bar=one.bar) or one.heard
    if isinstance(one.measure, OffBeat) and one.expected:
        return f"{one.expected} on the beat", f"{one.measure.ms} ms {one.kind}"
    if isinstance(one.measure, PartOfChord):
        return one.expected, f"{one.heard} {part_words(one.measure)}"
    return _measure_words(one.measure, one.bar)


def part_words(part: PartOfChord) -> str:
    """Return on which beats of its bar another chord sounds.

    Examples
    --------
    >>> part_words(PartOfChord(3, goes_on=True)), part_words(PartOfChord(2, goes_on=False))
    ('from beat 3 on', 'up to beat 2')
    """
    return f"from beat {part.beat} on" if part.goes_on else f"up to beat {part.beat}"


def _measure_words(measure: Measure, bar: int) -> tuple[str, str]:
    match measure:
        case OffBeat(ms, is_filled):
            words = _GOING_ON, f"something else for {ms} ms" if is_filled else f"a stop of {ms} ms"
        case OffPitch(cents, is_sharp):
            words = _IN_TUNE, f"{_STEPS.get(cents, f'{cents} cents')} {'sharp' if is_sharp else 'flat'}"
        case UnevenStrokes(off_ms, allowed_ms):
            words = f"within {allowed_ms} ms", f"{off_ms} ms off"
        case WayKept(percent, beat, only):
            words = _AS_SET, f"{percent} % of the strokes{f', all of them {only}' if only else _least_words(beat)}"
        case StrokesLeftOut(places, direction, n_bars, of_bars):
            words = _strokes_words(places, direction), f"left out in {n_bars} of {of_bars} bars"
        case OtherTempo() | DriftingTempo() | TempoFrom() | OtherMetre():
            words = _tempo_words(measure)
        case StoppedAt(last_bar, breaks_off):
            ends = "the recording breaks off" if breaks_off else "stopped"
            words = "", f"{ends} after bar {bar} of {last_bar}"
        case OtherSetting(semitones, capo_fret, cents):
            heard = _setting_words(semitones, capo_fret) if not cents else _cents_words(100 * semitones + cents)
            words = f"capo at fret {capo_fret}" if capo_fret else _NO_CAPO, heard
        case OtherKey(played, wanted, semitones, is_in_tune):
            at_pitch = _AT_PITCH if is_in_tune else ""
            words = f"in {wanted}", f"in {played}, everything {far_words(semitones)}{at_pitch}"
    return words


def _tempo_words(measure: OtherTempo | DriftingTempo | TempoFrom | OtherMetre) -> tuple[str, str]:
    match measure:
        case OtherTempo(bpm, set_bpm):
            words = f"{set_bpm} beats a minute", f"{bpm}"
        case DriftingTempo(from_bpm, to_bpm, is_at_end):
            way = f"{'faster' if to_bpm > from_bpm else 'slower'}{' towards the end' if is_at_end else ''}"
            words = _STEADY, f"{way}, from {from_bpm} to {to_bpm} beats a minute"
        case TempoFrom(bar):
            words = _OWN_TEMPO, f"from bar {bar} on"
        case OtherMetre(beats, set_beats):
            words = f"{set_beats} beats a bar", f"{beats} beats a bar"
    return words


def _least_words(beat: float | None) -> str:
    if beat is None:
        return ""
    part = _PARTS.get(beat % 1.0)
    return f", least on the {part} of {beat // 1:g}" if part else f", least on beat {beat:g}"


def _strokes_words(places: Sequence[float], direction: Direction | None) -> str:
    """Return which strokes of a bar are meant: ``upstrokes on 2 and on the & of 2, 3 and 4``."""
    groups: dict[str, list[str]] = {}
    for place in places:
        part = _PARTS.get(place % 1.0, "")
        groups.setdefault(part, []).append(f"{place // 1 if part else round(place, 2):g}")
    told = [f"on {f'the {part} of ' if part else ''}{join_words(own)}" for part, own in groups.items()]
    return f"{direction or ''}stroke{'' if len(places) == 1 else 's'} {' and '.join(told)}"


def join_words(words: Sequence[str]) -> str:
    """Return words in a row: ``1, 2 and 3``."""
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _parse_strokes(words: str) -> StrokesLeftOut | None:
    """Return which strokes of a bar are meant, of how many bars not yet said; None for other words."""
    meant = _STROKES.fullmatch(words)
    parts = {part: beat for beat, part in _PARTS.items()}
    places = []
    for group in meant[2].split(" and on ") if meant else ():
        of = re.fullmatch(r"(?:the ([e&a]) of )?(\d{1,2}(?:\.\d{1,2})?(?:(?:, | and )\d{1,2}(?:\.\d{1,2})?)*)", group)
        if of is None:
            return None
        numbers = map(float, re.split(", | and ", of[2]))
        places += [round((number + parts.get(of[1], 0.0)) * STEPS_PER_BEAT) / STEPS_PER_BEAT for number in numbers]
    direction: Direction | None = None if meant is None or not meant[1] else "up" if meant[1] == "up" else "down"
    return StrokesLeftOut(tuple(places), direction, 0, 0) if places else None


def far_words(semitones: int) -> str:
    """Return how far everything lies off what was set."""
    far = f"{abs(semitones)} semitone{'' if abs(semitones) == 1 else 's'}"
    return f"{far} {'lower' if semitones < 0 else 'higher'}"


def _setting_words(semitones: int, capo_fret: int) -> str:
    heard_at = capo_fret + semitones
    if heard_at == 0:
        return _NO_CAPO
    if heard_at < 0 or capo_fret == 0:
        return f"everything {far_words(semitones)}"
    return f"as with the capo at fret {heard_at}"


def _cents_words(cents: int) -> str:
    return f"everything {abs(cents)} cents {'lower' if cents < 0 else 'higher'}"


def parse_finding_words(
    kind: FindingKind, expected: str, heard: str, *, bar: int = 1
) -> tuple[str, str, Measure | None]:
    """Take what was measured from its words: the chord that was due, "" and the measure; other words stay.

    Examples
    --------
    >>> parse_finding_words("late", "Am on the beat", "300 ms late")
    ('Am', '', OffBeat(ms=300, is_filled=False))
    >>> parse_finding_words("chord", "Am", "C")
    ('Am', 'C', None)
    """
    change, off = _CHANGE.fullmatch(expected), _OFF.fullmatch(heard)
    if change and off and off[2] == kind:
        return change[1], "", OffBeat(int(off[1]))
    if heard == _PLACES.get(kind, "").format(bar=bar):
        return expected, "", None
    if kind == "chord" and (part := _PART.fullmatch(heard)):
        return expected, part[1], PartOfChord(int(part[2] or part[3]), goes_on=part[2] is not None)
    measure = _parse_measure(kind, expected, heard)
    return (expected, heard, None) if measure is None else ("", "", measure)


def _parse_measure(kind: FindingKind, expected: str, heard: str) -> Measure | None:
    found: Measure | None = None
    match kind:
        case "late" if (stop := _STOP.fullmatch(heard)) and expected == _GOING_ON:
            found = OffBeat(int(stop[2]), is_filled=stop[1] != "a stop of")
        case "out of tune" if (cents := _CENTS.fullmatch(heard)) and expected == _IN_TUNE:
            steps = {words: step for step, words in _STEPS.items()}
            found = OffPitch(int(cents[1] or steps[cents[2]]), is_sharp=cents[3] == "sharp")
        case "uneven" if (off := _UNEVEN.fullmatch(heard)) and (within := _WITHIN.fullmatch(expected)):
            found = UnevenStrokes(int(off[1]), int(within[1]))
        case "way" if (share := _SHARE.fullmatch(heard)) and expected == _AS_SET:
            parts = {word: part for part, word in _PARTS.items()}
            beat = int(share[4]) + parts.get(share[3], 0.0) if share[4] else None
            only: Direction | None = None if share[2] is None else "up" if share[2] == "up" else "down"
            found = WayKept(int(share[1]), beat, only)
        case "pattern" if (gone := _GONE.fullmatch(heard)) and (strokes := _parse_strokes(expected)):
            found = replace(strokes, n_bars=int(gone[1]), of_bars=int(gone[2]))
        case "tempo" | "metre":
            found = _parse_tempo(expected, heard)
        case "stopped" if (stopped := _STOPPED.fullmatch(heard)) and not expected:
            found = StoppedAt(int(stopped[3]), breaks_off=stopped[1] != "stopped")
        case "setting":
            found = _parse_setting(expected, heard)
    return found


def _parse_tempo(expected: str, heard: str) -> OtherTempo | DriftingTempo | TempoFrom | OtherMetre | None:
    if (tempo := _TEMPO.fullmatch(heard)) and (wanted := _SET_TEMPO.fullmatch(expected)):
        return OtherTempo(int(tempo[1]), int(wanted[1]))
    if (drift := _DRIFT.fullmatch(heard)) and expected == _STEADY:
        return DriftingTempo(int(drift[2]), int(drift[3]), is_at_end=drift[1] is not None)
    if (since := _SINCE.fullmatch(heard)) and expected == _OWN_TEMPO:
        return TempoFrom(int(since[1]))
    if (beats := _BEATS.fullmatch(heard)) and (wanted := _BEATS.fullmatch(expected)):
        return OtherMetre(int(beats[1]), int(wanted[1]))
    return None


def _parse_setting(expected: str, heard: str) -> OtherSetting | OtherKey | None:
    if (wanted := _SET_KEY.fullmatch(expected)) and (key := _OTHER_KEY.fullmatch(heard)):
        return OtherKey(key[1], wanted[1], _signed(key[2], key[3]), is_in_tune=key[4] is not None)
    capo = _CAPO.fullmatch(expected)
    if capo is None and expected != _NO_CAPO:
        return None
    capo_fret = int(capo[1]) if capo else 0
    if heard == _NO_CAPO:
        return OtherSetting(-capo_fret, capo_fret)
    if other := _AS_WITH_CAPO.fullmatch(heard):
        return OtherSetting(int(other[1]) - capo_fret, capo_fret)
    if between := _FAR_CENTS.fullmatch(heard):
        cents = _signed(between[1], between[2])
        return OtherSetting(round(cents / 100), capo_fret, cents - 100 * round(cents / 100))
    far = _FAR.fullmatch(heard)
    return far and OtherSetting(_signed(far[1], far[2]), capo_fret)


def _signed(semitones: str, way: str) -> int:
    return int(semitones) if way == "higher" else -int(semitones)
