"""A performance judged against what was set: the main way through this room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from listen.assessment.calibration import Grounds, calibrate
from listen.assessment.judge_chords import Doubted, find_usual_odds, judge_bass, judge_notes, judges_pitches
from listen.assessment.judge_name import judge_chord, judge_part
from listen.assessment.judge_pattern import judge_pattern
from listen.assessment.judge_setting import GuitarPlace, find_guitar_place, judge_guitar, judge_pitch, judge_setting
from listen.assessment.judge_silent import judge_silent_bars
from listen.assessment.judge_tempo import judge_metre, judge_tempo, measure_tempo
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
    BAR_KINDS,
    Assignment,
    BarOutcome,
    BarState,
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
        bars = tuple(_unplayed(score))
        return JudgedCheck(replace(empty, bars=bars, refused=_say_too_few(n_pitched, len(performance.strokes))))
    read = read_rounds(performance, score)
    score, chosen, heard = read.score, read.chosen, read.heard
    if chosen is None or read.share < LEAST_MATCH:
        return _refuse(empty, score, read.share)
    played = find_played(score, chosen, heard, read.fits)
    lies = find_guitar_place(played, heard, assignment.fretboard)
    tempo = measure_tempo(chosen, score, read.alignment.beat_s)
    doubts = _judge_all(played, chosen, lies, score, tolerances, gained=read.gained, tempo=tempo)
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
    bars = tuple(_bar_outcomes(score, chosen, findings, played))
    check = replace(
        empty,
        bars=bars,
        findings=findings,
        rounds=tuple(
            Round(one.start_s, one.end_s, len(one.visits), round(share, 3), one is chosen)
            for one, share in zip(read.rounds, read.shares, strict=True)
        ),
        tempo_bpm=tempo,
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
    return JudgedCheck(replace(empty, bars=tuple(_unplayed(score)), refused=said), score=score)


def _say_too_few(n_pitched: int, n_strokes: int) -> str:
    if not n_strokes:
        return "Nothing sounds in this recording."
    if not n_pitched:
        return "No chord sounds in this recording."
    return f"Only {'one stroke' if n_pitched == 1 else 'two strokes'} with notes: too few to hold against what was set."


def _judge_all(
    played: list[PlayedSlot], placed: Placed, lies: GuitarPlace, score: Score, tolerances: Tolerances, *,
    gained: float, tempo: float | None,
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
    doubts = _tell_retuned(doubts, (basses, noted), lies, board, tolerances.ask)
    doubts += _judge_way_through(placed, score, breaks_off=_breaks_off(placed, heard.performance, score, tempo))
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
        doubts += judge_hesitations(placed.jumps, score, tolerances, late)
        single = (
            judge_evenness(placed, score, tolerances, slowed),
            judge_tempo(tempo, placed, score, tolerances, slowed),
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


def _expected(score: Score, place: int) -> str:
    names = [score.targets[slot.target].symbol for slot in score.slots if slot.place == place]
    return " ".join(name for at, name in enumerate(names) if at == 0 or name != names[at - 1])


def _unplayed(score: Score) -> list[BarOutcome]:
    return [
        BarOutcome(score.bar_number(place), "not judged", _expected(score, place))
        for place in range(len(score.bars) - 1)
    ]


def _bar_outcomes(
    score: Score, placed: Placed, findings: Sequence[Finding], played: Sequence[PlayedSlot]
) -> list[BarOutcome]:
    said = {one.bar for one in findings if one.settled and one.kind in BAR_KINDS}
    gone = {one.bar for one in findings if one.settled and one.kind == "left out"}
    asked = {one.bar for one in findings if not one.settled and one.kind in BAR_KINDS}
    judged = {one.slot.place for one in played if one.target.is_judged and one.sounds}
    wanted = {slot.place for slot in score.slots if score.targets[slot.target].is_judged}
    breaks_off = any(isinstance(one.measure, StoppedAt) and one.measure.breaks_off for one in findings)
    outcomes = []
    for place in range(len(score.bars) - 1):
        number = score.bar_number(place)
        state: BarState
        if place not in placed.visits or number in gone:
            is_beyond = breaks_off and place > max(placed.visits)  # nobody knows what was played there
            state = "not judged" if is_beyond else "left out"
        elif number in said:
            state = "finding"
        elif number in asked:
            state = "question"
        else:
            state = "right" if place in judged or place not in wanted else "not judged"
        run = placed.runs[placed.visits[place]] if place in placed.visits else None
        start_s = None if run is None else max(0.0, round(run.time_at(score.bars[place]), 3))
        end_s = None if run is None else round(run.time_at(score.bars[place + 1]), 3)
        outcomes.append(BarOutcome(number, state, _expected(score, place), start_s, end_s))
    return outcomes
