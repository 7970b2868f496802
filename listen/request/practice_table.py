"""Questions that lie on the table of the page: asked, not yet answered, and for a while after, to be heard again."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock

import numpy as np
from numpy.typing import NDArray

from listen.document import open_progress
from listen.errors import BadValueError
from listen.practice import (
    LADDER,
    Judgement,
    Question,
    check_kind,
    find_numbered,
    find_root_positions,
    judge_typed,
    render_basses,
    render_sounds,
    render_spelled,
)
from listen.request.practice import Asked, ask_next, find_practice_neck, hear_hum, hear_played, keep_answer

MOST_QUESTIONS = 40  # that are kept in memory; older ones are gone


class UnknownQuestionError(BadValueError):
    """A question that is no longer on the table."""


@dataclass(slots=True)
class _Laid:
    """A question on the table, and how it was answered."""

    question: Question
    judged: Judgement | None = None


@dataclass(slots=True)
class PracticeTable:
    """The questions of one running page; safe to use from several requests at once."""

    _laid: OrderedDict[str, _Laid] = field(default_factory=OrderedDict)
    _lock: Lock = field(default_factory=Lock)

    def ask(self, kind: str = "") -> tuple[str, Question]:
        """Draw the next question in the tuning that the player keeps; returns its name on the table, and it."""
        asked = Asked((check_kind(kind),) if kind else LADDER, fretboard=find_practice_neck(None, 0))
        with open_progress() as progress:
            question = ask_next(asked, progress.answers(), now=datetime.now(UTC), seed=secrets.randbits(40))
        name = secrets.token_hex(6)
        with self._lock:
            self._laid[name] = _Laid(question)
            while len(self._laid) > MOST_QUESTIONS:
                self._laid.popitem(last=False)
        return name, question

    def render(self, name: str, what: str) -> NDArray[np.float32]:
        """Render the question, its bass, its notes one by one, its root position, or what was chosen in its place."""
        laid = self._find(name)
        question = laid.question
        if what != "question" and laid.judged is None:
            raise BadValueError("Answer first: the bass and the other sounds are heard after that.")
        if what == "bass":
            return render_basses(question.sounds, question.fretboard)
        if what == "spelled":
            return render_spelled(question.sounds[-1], question.fretboard)
        if what == "rooted":
            rooted = find_root_positions(question.sounds, question.fretboard) or question.sounds
            return render_sounds(rooted, question.fretboard)
        chosen = question.option(laid.judged.key) if what == "chosen" and laid.judged is not None else None
        sounds = chosen.example if chosen is not None and chosen.example else question.sounds
        return render_sounds(sounds, question.fretboard)

    def answer(self, name: str, said: str, took_s: float) -> tuple[Question, Judgement]:
        """Judge what was clicked or typed, and keep it; a second answer changes nothing."""
        question = self._find(name).question
        how = "key" if find_numbered(question, said) is not None else "name"
        return self._settle(name, lambda asked: judge_typed(asked, said), took_s=took_s, how=how)

    def hum(self, name: str, path: Path, took_s: float) -> tuple[Question, Judgement]:
        """Judge a recording of the hummed bass, and keep it."""
        return self._settle(name, lambda question: hear_hum(question, path), took_s=took_s, how="hum")

    def play(self, name: str, path: Path, took_s: float) -> tuple[Question, Judgement]:
        """Judge a recording of the chord played back on a guitar, and keep it."""
        return self._settle(name, lambda question: hear_played(question, path), took_s=took_s, how="guitar")

    def _settle(
        self, name: str, judge: Callable[[Question], Judgement], *, took_s: float, how: str
    ) -> tuple[Question, Judgement]:
        laid = self._find(name)
        judged = judge(laid.question)
        with self._lock:
            if laid.judged is not None:
                return laid.question, laid.judged
            with open_progress() as progress:  # what could not be kept is not answered: it may be said again
                keep_answer(progress, laid.question, judged, took_s=took_s, how=how)
            laid.judged = judged
        return laid.question, judged

    def _find(self, name: str) -> _Laid:
        with self._lock:
            laid = self._laid.get(name)
        if laid is None:
            raise UnknownQuestionError("This question is no longer on the table: ask the next one.")
        return laid
