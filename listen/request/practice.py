"""Practice as it is asked for: the next question, its sound, an answer heard or typed, and what is kept of it.

The command line and the page call these; the terminal, the sound card and the browser are theirs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from listen.document import Answered, Progress
from listen.errors import BadValueError, RecordingError, bad_value
from listen.instrument import Fretboard
from listen.practice import (
    LADDER,
    OWN_KINDS,
    Judgement,
    Question,
    Staircase,
    ask_own,
    check_hummed,
    check_neck,
    check_played,
    count_answers,
    draw_missed,
    draw_question,
    find_open_kinds,
    find_own_kinds,
    find_staircases,
    find_turns,
    judge_hum,
    judge_played,
)
from listen.request.own_material import OwnMaterial
from listen.request.setup import find_kept_tuning, parse_fretboard
from listen.theory import Chord

LONGEST_HUM_S = 20.0  # a breath; judged
MAY_BE = 0.05
"""How probable the asked chord must be for a recording in which another was read to be refused instead of wrong. Of 212
chords put together from recorded notes, half of them the asked one, four of those were misread, the asked one at 0.07
and more; where another was played, it was at 0.005 and less."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What is asked in a session.

    Parameters
    ----------
    kinds : tuple of str
        In the order of the ladder.
    level : float or None
        None for each kind's own level.
    fretboard : Fretboard
    own : OwnMaterial or None
    """

    kinds: tuple[str, ...] = LADDER
    level: float | None = None
    fretboard: Fretboard = field(default_factory=Fretboard)
    own: OwnMaterial | None = None

    @property
    def is_ladder(self) -> bool:
        """Whether steps are asked as they open, and open as they are answered."""
        return self.kinds == LADDER and self.is_own_level

    @property
    def is_own_level(self) -> bool:
        """Whether questions are as hard as the player's own level has it: a recording is as hard as it is."""
        return self.level is None and self.own is None


def find_practice_neck(tuning: str | None, capo_fret: int) -> Fretboard:
    """Return the neck that questions are played on: in the tuning that is named, or else that the player keeps.

    Raises
    ------
    BadValueError
        There is no such tuning, or questions cannot be held on that neck.
    """
    try:
        check_neck(parse_fretboard(tuning, 0))
    except BadValueError as error:
        if tuning is not None or find_kept_tuning() is None:
            raise
        raise BadValueError(
            f"{error} It is the one of your settings: 'listen settings --tuning' changes it."
        ) from error
    board = parse_fretboard(tuning, capo_fret)
    check_neck(board)
    return board


def ask_next(asked: Asked, answers: Sequence[Answered], *, now: datetime, seed: int) -> Question:
    """Ask the next question: of the steps that are open, or of those that were chosen, open or not.

    Parameters
    ----------
    asked : Asked
    answers : sequence of Answered
        All that the player gave so far.
    now : datetime, aware
    seed : int
        Another for every question.

    Raises
    ------
    BadValueError
        A part of the player's own gives no such question.
    """
    (question,) = _ask_in_turn(asked, answers, 1, asked_before=answers, now=now, seed=seed)
    return question


def ask_ahead(
    asked: Asked, answers: Sequence[Answered], n_questions: int, *, now: datetime, seed: int
) -> list[Question]:
    """Ask several questions before any is answered: the steps that are open in turn, each at one level.

    Kinds that were chosen have their turns whatever was asked before: the page may be for somebody else. Of a part of
    the player's own, all that it gives are asked.
    """
    before = answers if asked.kinds == LADDER else ()
    return _ask_in_turn(asked, answers, n_questions, asked_before=before, now=now, seed=seed)


def _ask_in_turn(
    asked: Asked, answers: Sequence[Answered], n_questions: int, *, asked_before: Sequence[Answered], now: datetime,
    seed: int,
) -> list[Question]:  # fmt: skip
    kinds = asked.kinds if asked.own is None else tuple(kind for kind in asked.kinds if kind in OWN_KINDS)
    if not kinds:
        raise bad_value("kind", asked.kinds[0], allowed=", ".join(OWN_KINDS) + " on a part of your own")
    ready = kinds
    if asked.kinds == LADDER and asked.own is not None:  # nobody climbs on a part: all that it gives
        ready = find_own_kinds(asked.own.chords) or kinds[:1]
    elif asked.kinds == LADDER:
        opened = find_open_kinds((answer.kind, answer.is_right) for answer in answers if answer.own_level)
        ready = tuple(kind for kind in kinds if kind in opened)
    turns, stairs, questions = find_turns(asked_before, ready, now=now), find_staircases(answers), []
    for number in range(n_questions):
        kind = turns.next_kind
        level = asked.level if asked.level is not None else stairs.get(kind, Staircase()).level
        missed = draw_missed(asked_before, kind, seed=seed + number)
        question = _draw_of_kind(asked, (kind, *kinds), level=level, seed=seed + number, missed=missed)
        questions.append(question)
        turns = turns.after(question.kind)
    return questions


def _draw_of_kind(asked: Asked, wanted: Sequence[str], *, level: float, seed: int, missed: Sequence[str]) -> Question:
    """Draw a question of the first kind; where a part of the player's own gives none, of the next that it gives.

    Raises
    ------
    BadValueError
        The part gives none of any.
    """
    if asked.own is not None:
        for kind in wanted:
            question = ask_own(asked.own.chords, kind, level=level, part=asked.own.part, seed=seed)
            if question is not None:
                return question
        given = find_own_kinds(asked.own.chords)
        none = f"No chord of it {'has a seventh' if wanted[0] == 'which bass of four' else 'is a triad'}."
        raise bad_value(
            "kind", wanted[0], allowed=" or ".join(given) + " on this part",
            remedy="Every answer would be the same." if count_answers(asked.own.chords, wanted[0]) else none,
        )  # fmt: skip
    return draw_question(wanted[0], level=level, seed=seed, fretboard=asked.fretboard, among=missed)


def hear_hum(question: Question, path: Path) -> Judgement:
    """Judge a recording of the hummed bass.

    Raises
    ------
    RecordingError
        It cannot be read, or holds no steady note: nothing is counted.
    BadValueError
        A hum does not tell the answer.
    """
    from listen.audio import estimate_hum, load_recording
    from listen.evidence import TimeSpan

    check_hummed(question)
    heard = load_recording(path, span=TimeSpan(0.0, LONGEST_HUM_S))
    hum = estimate_hum(heard.samples, sample_rate_hz=heard.sample_rate_hz)
    if hum.midi is None:
        raise RecordingError(f"{path}: {hum.reason}")
    return judge_hum(question, hum.midi)


def hear_played(question: Question, path: Path) -> Judgement:
    """Judge a recording of the chord played back on a guitar.

    Raises
    ------
    RecordingError
        It cannot be read, no chord sounds in it, or it may be the one that was asked and is read as another: nothing is
        counted.
    BadValueError
        A chord played back does not tell the answer.
    """
    from listen.transcription import read_recording

    check_played(question)
    reading = read_recording(path).reading
    if reading.bass is None:
        raise RecordingError(f"{path}: {reading.refused or 'no chord was heard'}")
    judged = judge_played(question, reading.bass.pitch, frozenset(note.pitch.pitch_class for note in reading.notes))
    chord = question.sounds[0].chord
    may_be = any(_sounds_like(name.chord, chord) for name in reading.names if name.probability >= MAY_BE)
    if may_be and not judged.is_right:
        raise RecordingError(f"{path}: it is not clear which notes sound: play it again, and let every string ring")
    return judged


def _sounds_like(chord: Chord, other: Chord) -> bool:
    """Tell whether chords have the same notes over the same bass, whatever they are called: C6 is Am7 over C."""
    same_bass = chord.sounding_bass.pitch_class == other.sounding_bass.pitch_class
    return same_bass and chord.pitch_classes == other.pitch_classes


def keep_answer(
    progress: Progress,
    question: Question,
    judged: Judgement,
    *,
    took_s: float,
    how: str = "key",
    own_level: bool = True,
) -> Answered:
    """Keep an answer; where it was not asked at the player's own level, it is kept and moves nothing.

    Returns
    -------
    Answered

    Raises
    ------
    DocumentError
        It cannot be kept now; nothing is counted.
    """
    answer = Answered(
        datetime.now(UTC).isoformat(timespec="microseconds"), question.kind, question.level, question.answer,
        judged.key, judged.is_right, round(took_s, 2), how, judged.cents, own_level,
    )  # fmt: skip
    progress.record(answer)
    return answer


def take_answers(progress: Progress, answers: tuple[Answered, ...]) -> int:
    """Take answers that were given on a page; those that are kept already are not counted twice.

    Returns
    -------
    int
        How many were new.
    """
    known = {(answer.at, answer.kind) for answer in progress.answers()}
    given = [answer for answer in answers if (answer.at, answer.kind) not in known]
    progress.record_all(given)
    return len(given)
