"""What is heard of a question: the question itself, and after an answer what explains it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from listen.practice import RATE_HZ, Judgement, Question, find_root_positions, render_basses, render_sounds
from listen.request.practice import Asked

Samples = NDArray[np.float32]


def play_question(question: Question, asked: Asked) -> Samples:
    """Render what a question sounds like, at :data:`~listen.practice.RATE_HZ`."""
    load_cut = None if asked.own is None else asked.own.load_cut
    return render_sounds(question.sounds, question.fretboard, load_cut=load_cut)


def play_after(question: Question, judged: Judgement, asked: Asked) -> dict[str, Samples]:
    """Render what is heard after an answer: the bass alone and root position.

    After a wrong answer what sounded and what was chosen come first. Where chords are compared, their basses sound one
    after the other, and so do their root positions.

    Returns
    -------
    dict of str to ndarray
        What each piece is called, in the order in which they sound.
    """
    pieces = {}
    if not judged.is_right:
        pieces["what sounded"] = play_question(question, asked)
    chosen = question.option(judged.key)
    if chosen is not None and not judged.is_right and chosen.example:
        pieces["what you chose"] = render_sounds(chosen.example, question.fretboard)
    bass = "the bass alone" if len(question.sounds) == 1 else "the basses alone"
    pieces[bass] = render_basses(question.sounds, question.fretboard)
    rooted = find_root_positions(question.sounds, question.fretboard)
    if rooted:
        pieces["in root position"] = render_sounds(rooted, question.fretboard)
    return pieces


def join_pieces(pieces: Iterable[Samples]) -> Samples:
    """Join what is heard one after the other, half a second of silence between."""
    pause = np.zeros(RATE_HZ // 2, np.float32)
    return np.concatenate([piece for each in pieces for piece in (each, pause)][:-1])
