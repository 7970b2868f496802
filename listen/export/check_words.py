"""Words for what a check found: one sentence a finding, as one would say it to a student."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from listen.document import far_words, finding_words, hint_words
from listen.export.held_names import clock_text
from listen.export.labels import printed
from listen.export.words import sure_text
from listen.reading import Check, DriftingTempo, Finding, FindingKind, OtherKey, OtherMetre, Verdict

MOST_SAID = 2  # more than two things to work on are none
WEIGHTS = {
    "setting": 99.0, "chord": 5.0, "teacher": 6.0, "out of tune": 4.5, "left out": 4.0, "bass": 3.5, "late": 3.0,
    "restart": 2.5, "stopped": 2.5, "silent string": 3.0, "extra string": 3.0, "tempo": 2.0, "uneven": 2.0, "way": 1.5,
    "repeated": 1.5, "early": 2.0,
}  # fmt: skip
"""What is worked on first: what makes the rest sound wrong, then chords, then time; judged."""

KIND_WORDS = {
    "chord": "another chord", "bass": "another bass", "silent string": "a string does not sound",
    "extra string": "a string too many", "out of tune": "out of tune", "late": "late", "early": "early",
    "uneven": "uneven strokes", "way": "way of the strokes", "restart": "begun again", "repeated": "played twice",
    "left out": "left out", "stopped": "stopped early", "setting": "capo or tuning", "tempo": "another tempo",
    "teacher": "the teacher heard it",
}  # fmt: skip

PLACED_KINDS: dict[FindingKind, str] = {
    "restart": "begun again", "repeated": "played again", "left out": "left out",
}  # fmt: skip
"""What is said of all its bars at once."""
NAMED_KINDS = {"chord", "bass", "silent string", "extra string", "teacher"}  # which name chords or notes


VERDICT_WORDS: dict[FindingKind, tuple[str, str]] = {
    "chord": ("the chord is right", "the chord is wrong"),
    "bass": ("the bass is right", "the bass is wrong"),
    "silent string": ("the string sounds", "the string does not sound"),
    "extra string": ("the string is right", "the string is wrong"),
    "out of tune": ("the string is in tune", "the string is out of tune"),
    "late": ("the change is in time", "the change is late"),
    "early": ("the change is in time", "the change is early"),
    "uneven": ("the strokes are even", "the strokes are uneven"),
    "way": ("the strumming is right", "the strumming is wrong"),
    "restart": ("it was not begun again", "it was begun again"),
    "repeated": ("the bar was played once", "the bar was played again"),
    "left out": ("the bar is there", "the bar is missing"),
    "stopped": ("it goes to the end", "it stops early"),
    "setting": ("capo and tuning are right", "capo or tuning is wrong"),
    "tempo": ("the tempo is right", "the tempo is wrong"),
    "teacher": ("the bar is right", "the bar is wrong"),
}
"""The teacher's word, of what was played: where it only said "right", it could be taken for agreeing with a finding."""
_GOES_ON = ("it goes on in time", "there is a stop")


@dataclass(frozen=True, slots=True)
class Matter:
    """One thing to work on: the same mistake wherever it comes.

    Parameters
    ----------
    findings : tuple of Finding
        In time order.
    sentence : str
    hint : str
    """

    findings: tuple[Finding, ...]
    sentence: str
    hint: str


def find_matters(check: Check) -> tuple[Matter, ...]:
    """Gather what is said into matters, what is to be worked on first before the others."""
    groups: dict[tuple[str, str, int | None], list[Finding]] = {}
    for one in check.findings:
        if one.is_said:
            groups.setdefault((one.kind, one.expected, one.string), []).append(one)
    ranked = sorted(
        groups.values(),
        key=lambda own: (-WEIGHTS[own[0].kind] * len(own) ** 0.5, own[0].time_s),
    )
    return tuple(Matter(tuple(own), _sentence(own), hint_words(own[0])) for own in ranked)


def _sentence(own: Sequence[Finding]) -> str:
    if own[0].kind not in PLACED_KINDS:
        return finding_sentence(own[0], n=len(own))
    text = places_text(own)
    return f"{text[0].upper()}{text[1:]}."


def finding_sentence(one: Finding, *, n: int = 1) -> str:
    """Return a finding in a sentence.

    Examples
    --------
    >>> finding_sentence(Finding("chord", 5, 1.0, 9.6, "G/B", "G"))
    'Bar 5 should be G/B; it sounds like G.'
    >>> from listen.reading import OffBeat
    >>> finding_sentence(Finding("late", 7, 3.0, 14.0, "Am", measure=OffBeat(300)), n=3)
    'Three times the change comes late, first in bar 7, beat 3: 300 ms late.'
    """
    where = f"bar {one.bar}" if one.beat == 1 else f"bar {one.bar}, beat {one.beat:g}"
    if isinstance(one.measure, OtherKey):
        return key_sentence(one.measure)
    if isinstance(one.measure, OtherMetre):
        return f"Bars are played with {one.measure.beats} beats; they should have {one.measure.set_beats}."
    if one.kind in PLACED_KINDS:
        return _sentence([one])
    times = "" if n == 1 else f"{_COUNTS.get(n, str(n))} times "
    expected, heard = (_shown(one, text) for text in finding_words(one))
    strings = f"string {one.string}"
    if one.kind in {"late", "early"} and n > 1:
        return f"{times}the change comes {one.kind}, first in {where}: {heard}."
    sentences: dict[FindingKind, str] = {
        "chord": f"{where} should be {expected}; it sounds like {heard}.",
        "bass": f"in {where} the lowest note should be {expected}; it is {heard}.",
        "silent string": f"in {where} {strings if one.string else expected} does not sound"
        f"{f' ({expected})' if one.string and expected else ''}.",
        "extra string": f"in {where} {strings} sounds {heard}; it should be {expected}."
        if one.string and expected
        else f"in {where} {strings if one.string else 'another string'} sounds that should not ({heard}).",
        "out of tune": f"{strings} is {heard}.",
        "late": f"in {where} {'there is' if one.is_stop else 'the change comes'} {heard}.",
        "early": f"in {where} the change comes {heard}.",
        "uneven": f"the strokes are uneven: {heard}.",
        "way": f"the strumming hand goes down and up as set in {heard}.",
        "stopped": f"{heard}." if heard else f"it ends at {where}.",
        "setting": f"this sounds like {heard}; set was {expected}. Everything else is judged as if it were so.",
        "tempo": f"it is played at {heard} beats a minute; set was {expected}.",
        "teacher": f"{where} ({expected}) is wrong, says your teacher.",
    }
    text = f"from {where} on it gets {heard}." if isinstance(one.measure, DriftingTempo) else sentences[one.kind]
    if n > 1 and one.kind in {"chord", "bass", "silent string", "extra string"}:
        return f"{times}{text[0].lower()}{text[1:-1]}, first there."
    return text[0].upper() + text[1:]


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


def verdict_words(one: Finding, verdict: Verdict) -> str:
    """Return what the teacher says by a verdict on a finding.

    Examples
    --------
    >>> verdict_words(Finding("bass", 5, 1.0, 9.6, "A", "E"), "right")
    'the bass is right'
    """
    right, wrong = _GOES_ON if one.is_stop else VERDICT_WORDS[one.kind]
    if isinstance(one.measure, OtherKey):
        right, wrong = "the key is right", "the key is another"
    if isinstance(one.measure, OtherMetre):
        right, wrong = "the bars have their beats", "the bars have other beats"
    return right if verdict == "right" else wrong


def overruled_sentences(check: Check) -> list[str]:
    """Return what the teacher does not agree with, each in a sentence: what was found, and the teacher's word on it."""
    return [
        f"{finding_sentence(one)} Your teacher says: {verdict_words(one, 'right')}."
        for one in check.findings
        if one.verdict == "right"
    ]


def _shown(one: Finding, text: str) -> str:
    """Return names with printed signs, and words as they are: a flat is no b of a word."""
    return printed(text) if one.kind in NAMED_KINDS else text


def question_sentence(one: Finding) -> str:
    """Return a question in a sentence."""
    return (
        f"Listen at {clock_text(one.time_s)}: {finding_sentence(one).rstrip('.')}? ({sure_text(one.probability)} sure)"
    )


_COUNTS = {2: "Two", 3: "Three", 4: "Four", 5: "Five", 6: "Six"}


def summary_text(check: Check) -> str:
    """Return a check in a few words, for a table."""
    if check.refused:
        return check.refused
    matters = find_matters(check)
    if not matters:
        asked = sum(one.is_asked for one in check.findings)
        return "all right" if not asked else f"right; {asked} to listen to"
    return "; ".join(matter_text(matter) for matter in matters[:MOST_SAID])


def matter_text(matter: Matter) -> str:
    """Return a matter in a few words."""
    one = matter.findings[0]
    expected, heard = finding_words(one)
    n = f" ×{len(matter.findings)}" if len(matter.findings) > 1 else ""
    which = f"string {one.string}" if one.string else printed(one.expected or one.heard)
    texts: dict[FindingKind, str] = {
        "chord": f"bar {one.bar}: {printed(one.expected)}, not {printed(one.heard)}{n}",
        "bass": f"bar {one.bar}: bass {printed(one.expected)}, not {printed(one.heard)}{n}",
        "out of tune": f"string {one.string} {heard}",
        "silent string": f"bar {one.bar}: {which} silent{n}",
        "extra string": f"bar {one.bar}: {which} too many{n}",
        "setting": f"{heard} (set: {expected})",
        "tempo": f"played at {heard}, set was {expected.split()[0] if expected else expected}",
        "stopped": heard,
    }
    if isinstance(one.measure, OtherKey):
        return f"played in {key_name(one.measure.played)}, set in {key_name(one.measure.wanted)}"
    if isinstance(one.measure, DriftingTempo | OtherMetre):
        return heard
    if one.kind in PLACED_KINDS:
        return places_text(matter.findings)
    return texts.get(one.kind) or f"bar {one.bar}: {heard or KIND_WORDS[one.kind]}{n}"


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
    *most, last = map(str, bars)
    text = f"bars {', '.join(most)} and {last} are" if most else f"bar {last} is"
    times = f", {len(own)} times" if len(own) > len(bars) and own[0].kind != "left out" else ""
    if own[0].kind == "restart":
        return f"begun again at {text.rsplit(' ', 1)[0]}{times}"
    return f"{text} {PLACED_KINDS[own[0].kind]}{times}"
