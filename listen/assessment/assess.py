"""A performance judged against what was set: the main way through this room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from listen.assessment.bar_outcomes import find_bar_outcomes, leave_unjudged
from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.dead_strings import weigh_dead_strings
from listen.assessment.judge_chords import Doubted, find_usual_odds, judge_bass, judge_notes, judges_pitches
from listen.assessment.judge_name import judge_chord, judge_part
from listen.assessment.judge_pattern import judge_pattern
from listen.assessment.judge_setting import GuitarPlace, find_guitar_place, judge_guitar, judge_pitch, judge_setting
from listen.assessment.judge_silent import judge_silent_bars
from listen.assessment.judge_tempo import judge_metre, judge_tempo, measure_tempi
from listen.assessment.judge_time import judge_changes, judge_evenness, judge_hesitations
from listen.assessment.judge_tuning import is_tuning_told
from listen.assessment.judge_way import judge_way
from listen.assessment.placing import Placed
from listen.assessment.praise import find_praise
from listen.assessment.retuned import find_retuned_by_notes, find_retuned_string
from listen.assessment.ritardando import fit_ritardando
from listen.assessment.rounds import read_rounds
from listen.assessment.slots import PlayedSlot, find_played
from listen.assessment.target import Score, lay_out_score
from listen.instrument import Fretboard
from listen.reading import (
    Assignment,
    Check,
    Finding,
    FindingKind,
    Measure,
    Performance,
    Round,
    StoppedAt,
    Tolerances,
)

LEAST_MATCH = 0.4
"""A recording that matches a smaller share of the bars is another piece; judged, see ``--other`` of the benchmark."""
MOST_REST_S = 4.0  # from the last stroke to where a file breaks off, without a tempo; with one a bar; judged
LEAST_STROKES = 3  # with notes, where so many chords are set; fewer chords need one each


@dataclass(frozen=True, slots=True)
class JudgedCheck:
    """A check, and what it was made from, for whoever measures it.

    Parameters
    ----------
    check : Check
    doubts : tuple of Doubted
        Every doubt, however small.
    placed : Placed or None
    score : Score
    shift : int
    """

    check: Check
    doubts: tuple[Doubted, ...] = ()
    placed: Placed | None = None
    score: Score | None = None
    shift: int = 0


def assess(
    performance: Performance,
    assignment: Assignment,
    *,
    tolerances: Tolerances | None = None,
    student: str = "",
    source: str = "",
) -> Check:
    """Judge a recording against what was set.

    Parameters
    ----------
    performance : Performance
    assignment : Assignment
    tolerances : Tolerances or None
        The usual ones when None.
    student, source : str
        Kept in the check.
    """
    judged = judge(performance, assignment, tolerances=tolerances)
    return replace(judged.check, student=student, source=source)


def judge(performance: Performance, assignment: Assignment, *, tolerances: Tolerances | None = None) -> JudgedCheck:
    """Judge a recording, and keep what the judgement rests on."""
    tolerances = tolerances or Tolerances()
    score = lay_out_score(assignment)
    empty = Check("", "", assignment.title, warnings=performance.warnings)
    n_pitched = sum(
        stroke.sound >= 0 and bool(performance.sounds[stroke.sound].pitches) for stroke in performance.strokes
    )
    if n_pitched < min(LEAST_STROKES, len(score.slots)):
        return JudgedCheck(
            replace(empty, bars=leave_unjudged(score), refused=_say_too_few(n_pitched, len(performance.strokes)))
        )
    read = read_rounds(performance, score)
    score, chosen, heard = read.score, read.chosen, read.heard
    if chosen is None or read.share < LEAST_MATCH:
        return _refuse(empty, score, read.share)
    played = find_played(score, chosen, heard, read.fits)
    lies = find_guitar_place(played, heard, assignment.fretboard)
    tempi = measure_tempi(chosen, score, read.alignment.beat_s)
    doubts = _judge_all(played, chosen, lies, score, tolerances, gained=read.gained, tempi=tempi)
    if score.assignment.signature != assignment.signature:
        doubts.append(judge_metre(score, assignment, chosen.start_s))
    findings = tuple(
        sorted(
            (
                replace(one.finding, settled=one.finding.probability >= tolerances.sure)
                for one in doubts
                if one.finding.probability >= tolerances.ask
            ),
            key=lambda one: (one.time_s, one.bar, one.kind),
        )
    )
    check = replace(
        empty,
        bars=find_bar_outcomes(score, chosen, findings, played, tempi, heard.performance),
        findings=findings,
        rounds=tuple(
            Round(one.start_s, one.end_s, len(one.visits), round(share, 3), one is chosen)
            for one, share in zip(read.rounds, read.shares, strict=True)
        ),
        tempo_bpm=next((tempo for tempo in tempi if tempo is not None), None),
    )
    if heard.shift and check.share_right < LEAST_MATCH:  # fifteen settings to choose from find something in any piece
        return _refuse(empty, score, check.share_right)
    praise = find_praise(check, score, is_tuning_told=is_tuning_told(doubts))
    return JudgedCheck(replace(check, praise=praise), tuple(doubts), chosen, score, lies.heard.shift)


def _refuse(empty: Check, score: Score, share: float) -> JudgedCheck:
    """Return that another piece was played."""
    n_bars = len(score.bars) - 1
    matching = "another chord sounds" if n_bars == 1 else f"{round(share * n_bars)} of {n_bars} bars match"
    said = f"This does not look like what was set: {matching}."
    return JudgedCheck(replace(empty, bars=leave_unjudged(score), refused=said), score=score)


def _say_too_few(n_pitched: int, n_strokes: int) -> str:
    if not n_strokes:
        return "Nothing sounds in this recording."
    if not n_pitched:
        return "No chord sounds in this recording."
    return f"Only {'one stroke' if n_pitched == 1 else 'two strokes'} with notes: too few to hold against what was set."


def _judge_all(
    played: list[PlayedSlot], placed: Placed, lies: GuitarPlace, score: Score, tolerances: Tolerances, *,
    gained: float, tempi: Sequence[float | None],
) -> list[Doubted]:  # fmt: skip
    board, heard = score.assignment.fretboard, lies.heard
    doubts: list[Doubted] = []
    right: list[PlayedSlot] = []
    basses: list[tuple[PlayedSlot, Doubted | None]] = []
    noted: list[tuple[PlayedSlot, list[Doubted]]] = []
    usual = find_usual_odds(played, heard)
    for one in played:
        chord = judge_chord(one, heard, board)
        if chord is None:
            continue
        if chord.finding.probability < tolerances.sure:
            part = judge_part(one, placed, heard, score.assignment.beats_per_bar)
            if part is not None and part.finding.probability > chord.finding.probability:
                chord = part
        if lies.is_other_key:  # held in other shapes than those that were set
            chord = replace(chord, finding=replace(chord.finding, hint=""))
        doubts.append(chord)
        is_right = chord.finding.probability < tolerances.ask
        notes = judge_notes(one, heard, board, usual) if is_right and not lies.is_other_key else []
        if judges_pitches(one.target) and not lies.is_other_key:
            noted.append((one, notes if is_right else [chord]))
        if is_right:
            right.append(one)
            basses.append((one, judge_bass(one, heard)))
            doubts += notes
    doubts = weigh_dead_strings(doubts, tolerances.sure)
    doubts = _tell_retuned(doubts, (basses, noted), lies, board, tolerances.ask)
    breaks_off = _breaks_off(placed, heard.performance, score, next((one for one in tempi[::-1] if one), None))
    doubts += _judge_way_through(placed, score, breaks_off=breaks_off)
    doubts += judge_silent_bars(played, placed, score)
    strings = judge_guitar(right, lies, board, tolerances)
    doubts += strings
    if heard.shift:
        is_in_tune = is_tuning_told(strings) and all(one.finding.probability < tolerances.ask for one in strings)
        doubts.append(judge_setting(lies, gained, score, placed.start_s, is_in_tune=is_in_tune))
    else:
        doubts.append(judge_pitch(lies, score, placed.start_s, tolerances))
    if not score.assignment.is_free:
        slowed = fit_ritardando(placed)
        changes = judge_changes(right, placed, heard.performance, score, tolerances, slowed=slowed)
        late = {one.finding.bar for one in changes if one.finding.probability >= tolerances.ask}
        doubts += changes
        doubts += judge_hesitations(placed, heard.performance, score, tolerances, late)
        doubts += judge_tempo(tempi, placed, score, tolerances, slowed)
        single = (
            judge_evenness(placed, score, tolerances, slowed),
            judge_pattern(placed, score),
            judge_way(played, placed, heard.performance, score.assignment, tolerances.way_share) if played else None,
        )
        doubts += [one for one in single if one is not None]
    return doubts


def _tell_retuned(
    doubts: list[Doubted],
    judged: tuple[list[tuple[PlayedSlot, Doubted | None]], list[tuple[PlayedSlot, list[Doubted]]]],
    lies: GuitarPlace,
    board: Fretboard,
    least: float,
) -> list[Doubted]:
    """Return doubts with those of basses, and a string that is tuned otherwise instead of all that it explains."""
    basses, noted = judged
    retuned = None if lies.is_other_key else find_retuned_string(basses, board, least)
    doubts = doubts + ([bass for _, bass in basses if bass is not None] if retuned is None else [retuned])
    by_notes = find_retuned_by_notes(noted, lies.heard, board, least)
    return doubts if by_notes is None else [*(one for one in doubts if one not in by_notes[1]), by_notes[0]]


def _judge_way_through(placed: Placed, score: Score, *, breaks_off: bool = False) -> list[Doubted]:
    """Judge the jumps: restarts, bars left out or played again, an early end."""
    found = []

    def note(kind: FindingKind, place: int, time_s: float, value: float, measure: Measure | None = None) -> None:
        doubt = Grounds(kind, value)
        bar = score.bar_number(place)
        finding = Finding(kind, bar, 1.0, time_s, probability=calibrate(doubt), measure=measure)
        found.append(Doubted(finding, doubt))

    missing: set[int] = set()
    for jump in placed.jumps:
        if jump.kind == "restart":
            note("restart", jump.place, jump.time_s, 4.0)
        elif jump.kind == "repeated":
            note("repeated", jump.place, jump.time_s, 4.0)
        elif jump.kind == "left out":
            gone = set(range(jump.place, jump.until)) - set(placed.visits) - missing  # two jumps can pass one bar
            for place in sorted(gone):
                note("left out", place, jump.time_s, 4.0)
            missing |= gone
    n_bars = len(score.bars) - 1
    last = max(placed.visits)
    first = min(placed.visits)
    for place in sorted(set(range(first)) - missing):
        note("left out", place, placed.start_s, 3.0)
    if last < n_bars - 1:
        note("stopped", last, placed.end_s, 4.0, StoppedAt(score.bar_number(n_bars - 1), breaks_off))
    return found


def _breaks_off(placed: Placed, performance: Performance, score: Score, tempo: float | None) -> bool:
    """Whether the file breaks off where the playing ends."""
    bar_s = MOST_REST_S if tempo is None else 60.0 / tempo * score.assignment.beats_per_bar
    return performance.breaks_off and performance.duration_s - placed.end_s < bar_s
