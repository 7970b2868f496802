"""Words for what a check found: what to work on and in which order, what is asked, and what the teacher says."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from listen.document import hint_words, join_words
from listen.export.finding_sentences import (
    PLACED_KINDS,
    finding_sentence,
    findings_sentence,
    key_name,
    new_tempo_text,
    places_text,
    setting_text,
    table_words,
    where_text,
)
from listen.export.labels import printed
from listen.export.silent_strings import find_dead_strings
from listen.export.words import sure_text
from listen.reading import (
    Check,
    DriftingTempo,
    Finding,
    FindingKind,
    OffBeat,
    OtherKey,
    OtherSetting,
    OtherTempo,
    StoppedAt,
    TempoFrom,
    Verdict,
    WayKept,
    clock_text,
)

MOST_SAID = 2  # more than two things to work on are none
MOST_TIMES = 3  # named in one question
WEIGHTS = {
    "setting": 99.0, "chord": 5.0, "teacher": 6.0, "out of tune": 4.5, "left out": 4.0, "bass": 3.5, "late": 3.0,
    "restart": 2.5, "stopped": 2.5, "silent string": 3.0, "extra string": 3.0, "tempo": 2.0, "uneven": 2.0, "way": 1.5,
    "pattern": 2.0, "repeated": 1.5, "early": 2.0, "metre": 2.0,
}  # fmt: skip
"""What is worked on first: what makes the rest sound wrong, then chords, then time; judged."""

KIND_WORDS = {
    "chord": "another chord", "bass": "another bass", "silent string": "a string does not sound",
    "extra string": "a string too many", "out of tune": "out of tune", "late": "late", "early": "early",
    "uneven": "uneven strokes", "way": "way of the strokes",
    "pattern": "strokes left out", "restart": "begun again", "repeated": "played twice",
    "left out": "left out", "stopped": "stopped early", "setting": "capo or tuning", "tempo": "another tempo",
    "metre": "another metre",
    "teacher": "the teacher heard it",
}  # fmt: skip

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
    "pattern": ("all strokes are there", "strokes are missing"),
    "restart": ("it was not begun again", "it was begun again"),
    "repeated": ("the bar was played once", "the bar was played again"),
    "left out": ("the bar is there", "the bar is missing"),
    "stopped": ("it goes to the end", "it stops early"),
    "setting": ("capo and tuning are right", "capo or tuning is wrong"),
    "tempo": ("the tempo is right", "the tempo is wrong"),
    "metre": ("the bars have their beats", "the bars have other beats"),
    "teacher": ("the bar is right", "the bar is wrong"),
}
"""The teacher's word, of what was played: where it only said "right", it could be taken for agreeing with a finding."""
_GOES_ON = ("it goes on in time", "there is a stop")
_BETWEEN = ("nothing else is played", "something else is played")
_WHOLE = ("the recording is whole", "the recording breaks off")
_KEY = ("the key is right", "the key is another")


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

    @property
    def time_s(self) -> float:
        """When it comes first."""
        return self.findings[0].time_s

    @property
    def places(self) -> tuple[Finding, ...]:
        """One finding for each place: two strings of one chord are at one."""
        return tuple({(*_place(one), one.time_s): one for one in reversed(self.findings)}.values())[::-1]


def find_matters(check: Check) -> tuple[Matter, ...]:
    """Gather what is said into matters, what is to be worked on first before the others."""
    matters = [
        Matter(own, findings_sentence(own), hint_words(own[0]))
        for own in _group_by_cause(check, lambda one: one.is_said)
    ]
    return tuple(sorted(matters, key=lambda one: (-WEIGHTS[one.findings[0].kind] * len(one.places) ** 0.5, one.time_s)))


def find_questions(check: Check) -> tuple[tuple[Finding, ...], ...]:
    """Gather what nobody has answered: what has the same cause is one question."""
    return _group_by_cause(check, lambda one: one.is_asked)


def _group_by_cause(check: Check, belongs: Callable[[Finding], bool]) -> tuple[tuple[Finding, ...], ...]:
    own = [one for one in check.findings if belongs(one)]
    dead = find_dead_strings(check)
    groups: dict[tuple[object, ...], list[Finding]] = {}
    for one in own:
        groups.setdefault(_cause(one, own, dead), []).append(one)
    return tuple(tuple(group) for group in groups.values())


def _cause(one: Finding, own: Sequence[Finding], dead: frozenset[int]) -> tuple[object, ...]:
    """Return what makes two findings one matter; strings that are silent together have one cause."""
    match one.measure:
        case OtherTempo(_, set_bpm):
            return one.kind, set_bpm, one.bar > 1
        case DriftingTempo() | TempoFrom():
            return one.kind, one.measure, one.bar
    if one.kind != "silent string" or one.string is None:
        return one.kind, one.expected, one.string, one.is_stop
    if one.string in dead:
        return one.kind, dead
    together = {(each.string, each.expected) for each in own if each.kind == one.kind and _place(each) == _place(one)}
    return one.kind, frozenset(together)


def _place(one: Finding) -> tuple[int, float]:
    return one.bar, one.beat


def verdict_words(one: Finding, verdict: Verdict) -> str:
    """Return what the teacher says by a verdict on a finding.

    Examples
    --------
    >>> verdict_words(Finding("bass", 5, 1.0, 9.6, "A", "E"), "right")
    'the bass is right'
    """
    match one.measure:
        case OffBeat(is_filled=True):
            right, wrong = _BETWEEN
        case StoppedAt(breaks_off=True):
            right, wrong = _WHOLE
        case OtherKey():
            right, wrong = _KEY
        case _:
            right, wrong = _GOES_ON if one.is_stop else VERDICT_WORDS[one.kind]
    return right if verdict == "right" else wrong


def overruled_sentences(check: Check) -> list[str]:
    """Return what the teacher does not agree with, each in a sentence: what was found, and the teacher's word on it."""
    return [
        f"{finding_sentence(one)} Your teacher says: {verdict_words(one, 'right')}."
        for one in check.findings
        if one.verdict == "right"
    ]


def question_sentence(own: Sequence[Finding]) -> str:
    """Return a question in a sentence: on one finding, or on all of the same cause."""
    asked = findings_sentence(own).split(". ")[0].rstrip(".")
    times = list(dict.fromkeys(clock_text(one.time_s) for one in own))
    shown = times[:MOST_TIMES] + ([f"{len(times) - MOST_TIMES} more times"] if len(times) > MOST_TIMES else [])
    sure = sure_text(max(one.probability for one in own))
    return f"Listen at {join_words(shown)}: {asked}? ({sure} sure)"


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
    expected, heard = table_words(one)
    n = f" ×{len(matter.places)}" if len(matter.places) > 1 else ""
    strings = sorted({each.string for each in matter.findings if each.string is not None}, reverse=True)
    numbers = f"string{'s' if len(strings) > 1 else ''} {join_words([str(string) for string in strings])}"
    which = numbers if strings else printed(one.expected or one.heard)
    only = one.measure.only if isinstance(one.measure, WayKept) else None
    texts: dict[FindingKind, str] = {
        "chord": f"bar {one.bar}: {printed(one.heard)} played, {printed(one.expected)} set{n}",
        "bass": f"bar {one.bar}: bass {printed(one.heard)} played, {printed(one.expected)} set{n}",
        "out of tune": f"string {one.string} {heard}",
        "silent string": f"bar {one.bar}: {which} silent{n}",
        "extra string": f"bar {one.bar}: {which} {'another note' if strings and one.expected else 'too many'}{n}",
        "uneven": KIND_WORDS["uneven"],
        "way": f"the hand only goes {only}" if only else "the hand goes otherwise than set",
        "pattern": f"{expected} left out",
        "setting": f"{heard} (set: {expected})",
        "tempo": f"{f'from bar {one.bar}: ' if one.bar > 1 else ''}played at {heard}, set was {expected.split(' ')[0]}",
        "stopped": heard,
        "teacher": f"bar {one.bar} is wrong{n}",
    }
    if isinstance(one.measure, OtherKey):
        return f"played in {key_name(one.measure.played)}, set in {key_name(one.measure.wanted)}"
    if isinstance(one.measure, OtherSetting):
        return setting_text(one.measure)
    if isinstance(one.measure, TempoFrom):
        return new_tempo_text(one.measure.bar, one.bar)
    if one.kind == "metre" or isinstance(one.measure, DriftingTempo):
        return heard
    if one.kind in PLACED_KINDS:
        return places_text(matter.findings)
    where = f"before {where_text([one])}" if isinstance(one.measure, OffBeat) and not one.expected else f"bar {one.bar}"
    return texts.get(one.kind) or f"{where}: {heard or KIND_WORDS[one.kind]}{n}"
