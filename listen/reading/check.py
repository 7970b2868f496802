"""What came of checking a student's playing against what was set: bars, findings, and the teacher's word on them.

Conventions: bars count from 1 through the whole assignment, repeats written out (a pickup is bar 0); beats count from
1, a fraction is a part of a beat; seconds from the start of the recording; probabilities 0..1, that the finding is
true. A finding under the threshold is a question: ``settled`` is false.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

from listen.reading.finding_measure import Hint, Measure, OffBeat
from listen.reading.praise import Praise

FindingKind = Literal[
    "chord", "bass", "silent string", "extra string", "out of tune", "late", "early", "uneven", "way", "pattern",
    "restart", "repeated", "left out", "stopped", "setting", "tempo", "metre", "teacher",
]  # fmt: skip
"""``setting``: the capo or the tuning is another one, or the whole guitar lies off A = 440 Hz, and everything else is
judged relative to it; ``teacher``: what only the teacher heard; ``pattern``: strokes that were set do not sound."""

FINDING_KINDS: tuple[FindingKind, ...] = get_args(FindingKind)

BAR_KINDS: frozenset[FindingKind] = frozenset(
    {"chord", "bass", "silent string", "extra string", "late", "early", "left out", "teacher"}
)
"""What makes a bar wrong. The others tell of the whole way through, of the hand or of the guitar: they stand at a bar
only because they were noticed there."""

BarState = Literal["right", "finding", "question", "left out", "not judged"]
Verdict = Literal["right", "wrong"]
Trend = Literal["better", "same", "worse"]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something to work on, or to listen to.

    Parameters
    ----------
    kind : FindingKind
    bar : int
    beat : float
        From 1.
    time_s : float
    expected, heard : str
        Names of chords and notes as the hand plays them over the capo; empty where there is nothing to name. Of a
        change that comes late or early: the chord that was due.
    probability : float
        That it is so.
    settled : bool
        Whether it is said; if not it is a question.
    string : int or None
        1 the first.
    hint : Hint or str
        What would make it right, where that can be told; in words only where a document had other words than ours.
    verdict : "right", "wrong" or None
        The teacher's, where there is one: "right" says that the student was right.
    measure : Measure or None
        What was measured, where it is more than names.
    """

    kind: FindingKind
    bar: int
    beat: float
    time_s: float
    expected: str = ""
    heard: str = ""
    probability: float = 1.0
    settled: bool = True
    string: int | None = None
    hint: Hint | str = ""
    verdict: Verdict | None = None
    measure: Measure | None = None

    @property
    def is_stop(self) -> bool:
        """Whether it is a stop, not a change that comes late."""
        return isinstance(self.measure, OffBeat) and not self.expected and not self.measure.is_filled

    @property
    def is_said(self) -> bool:
        """Whether it counts against the student: settled by the program or by the teacher."""
        return self.verdict == "wrong" or (self.verdict is None and self.settled)

    @property
    def is_asked(self) -> bool:
        """Whether it is a question that nobody has answered."""
        return self.verdict is None and not self.settled


@dataclass(frozen=True, slots=True)
class BarOutcome:
    """One bar of what was set, as it was played.

    Parameters
    ----------
    bar : int
    state : BarState
    expected : str
        The chords set, spaces between.
    start_s, end_s : float or None
        None where it was not played.
    tempo_bpm : float or None
        The student's own from here on, where another tempo was set; None elsewhere, and where it was not played.
    """

    bar: int
    state: BarState
    expected: str
    start_s: float | None = None
    end_s: float | None = None
    tempo_bpm: float | None = None


@dataclass(frozen=True, slots=True)
class Round:
    """One time that the student played from the beginning.

    Parameters
    ----------
    start_s, end_s : float
    n_bars : int
        How many bars were reached in it.
    share : float
        How much of what was set it matches, 0..1.
    is_judged : bool
        Whether it is the one that the findings are about: the best.
    """

    start_s: float
    end_s: float
    n_bars: int
    share: float
    is_judged: bool = True


@dataclass(frozen=True, slots=True)
class TeacherWord:
    """What the teacher says of a place.

    Parameters
    ----------
    bar : int
    beat : float or None
        None: the whole bar.
    verdict : "right" or "wrong"
    kind : FindingKind or ""
        Of the one finding that is meant; empty: what is played there, whatever was found of it.
    string : int or None
        Of that finding.
    """

    bar: int
    beat: float | None
    verdict: Verdict
    kind: FindingKind | Literal[""] = ""
    string: int | None = None

    @property
    def place(self) -> tuple[int, float | None, str, int | None]:
        """What the word is about: a later word on the same takes its place."""
        return self.bar, self.beat, self.kind, self.string


@dataclass(frozen=True, slots=True)
class TeacherWords:
    """What the teacher settled of one recording, and tells the student.

    Parameters
    ----------
    words : tuple of TeacherWord
    note : str
    """

    words: tuple[TeacherWord, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class Comparison:
    """A check against an earlier one of the same student.

    Parameters
    ----------
    trend : Trend
    share_before, share_now : float
        Of the chords that are right.
    mended : tuple of str
        What was found then and is not any more.
    again, new : tuple of str
        What was found both times; what was found now only.
    """

    trend: Trend
    share_before: float
    share_now: float
    mended: tuple[str, ...] = ()
    again: tuple[str, ...] = ()
    new: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Check:
    """A recording, checked.

    Parameters
    ----------
    student : str
    source : str
        The recording's name, without its folders.
    title : str
        Of what was set.
    bars : tuple of BarOutcome
    findings : tuple of Finding
        In time order, questions among them.
    rounds : tuple of Round
    tempo_bpm : float or None
        The student's own, where there are beats: at the beginning, where others were set further on.
    refused : str
        Why nothing was judged, as a sentence; empty where it was.
    praise : tuple of Praise or str
        What was done well, the best first; in words only where a document had other words than ours.
    warnings : tuple of str
    teacher : TeacherWords
    comparison : Comparison or None
    """

    student: str
    source: str
    title: str = ""
    bars: tuple[BarOutcome, ...] = ()
    findings: tuple[Finding, ...] = ()
    rounds: tuple[Round, ...] = ()
    tempo_bpm: float | None = None
    refused: str = ""
    praise: tuple[Praise | str, ...] = ()
    warnings: tuple[str, ...] = ()
    teacher: TeacherWords = TeacherWords()
    comparison: Comparison | None = None

    @property
    def share_right(self) -> float:
        """How many of the bars set were played, and are right or only asked about; 0..1."""
        return self._share({"right", "question"})

    @property
    def share_surely_right(self) -> float:
        """How many of the bars set are right without a question; 0..1."""
        return self._share({"right"})

    def _share(self, states: set[BarState]) -> float:
        judged = [bar.state for bar in self.bars if bar.state != "not judged"]
        return sum(state in states for state in judged) / len(judged) if judged else 0.0
