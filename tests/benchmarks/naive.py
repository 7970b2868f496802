"""The naive way: mean librosa chroma matched to chord templates.

Binary templates and cosine similarity, as in Fujishima (1999); the root is taken for the bass, since chroma has none.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from tests.benchmarks.cases import Case
from tests.benchmarks.system import Answer, Named
from tests.benchmarks.vocabulary import QUALITIES


@cache
def _templates(qualities: tuple[str, ...]) -> tuple[tuple[tuple[int, frozenset[int]], ...], NDArray[np.float64]]:
    chords = tuple((root, frozenset(QUALITIES[quality])) for quality in qualities for root in range(12))
    table = np.zeros((len(chords), 12))
    for row, (root, tones) in enumerate(chords):
        table[row, [(root + tone) % 12 for tone in tones]] = 1.0 / np.sqrt(len(tones))
    return chords, table


def answer_naively(case: Case) -> tuple[Answer, Answer]:
    """Match the mean chroma of the whole recording to templates.

    Returns
    -------
    triads, all_qualities : Answer
        Against 24 major and minor templates, and against the 22 qualities on every root. Nothing is ever refused.
    """
    import librosa

    chroma = librosa.feature.chroma_cqt(y=case.samples, sr=case.sample_rate_hz).mean(axis=1)
    answers = []
    for qualities in (("major", "minor"), tuple(QUALITIES)):
        chords, table = _templates(qualities)
        root, tones = chords[int(np.argmax(table @ chroma))]
        answers.append(Answer(refused=None, names=(Named(root, tones, root, 1.0, ""),)))
    return answers[0], answers[1]
