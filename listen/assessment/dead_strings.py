"""Strings that are surely silent in most chords: where one is doubtful, it is likelier silent too."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from listen.assessment.judge_chords import Doubted
from listen.log_odds import logistic

FEWEST_SURE = 3  # chords


def weigh_dead_strings(doubts: Sequence[Doubted], sure: float) -> list[Doubted]:
    """Return doubts, those of a string that is surely silent in most of its chords weighed by how many these are.

    Whether a hand chokes a string is no new question in each bar: of n chords with that string m are surely silent, so
    that the odds of the others are (m + 1) : (n - m + 1) times what they were (Laplace's rule of succession).

    Parameters
    ----------
    doubts : sequence of Doubted
    sure : float
        The probability from which a string is surely silent.
    """
    weighed = list(doubts)
    strings = {one.finding.string for one in doubts if one.finding.kind == "silent string"} - {None}
    for string in strings:
        own = [
            at for at, one in enumerate(doubts) if one.finding.kind == "silent string" and one.finding.string == string
        ]
        n_sure = sum(doubts[at].finding.probability >= sure for at in own)
        if n_sure < FEWEST_SURE or 2 * n_sure <= len(own):
            continue
        more = math.log((n_sure + 1) / (len(own) - n_sure + 1))
        for at in own:
            chance = doubts[at].finding.probability
            if chance < sure:
                nats = math.log(chance / (1.0 - chance)) + more
                finding = replace(doubts[at].finding, probability=float(logistic(nats)))
                weighed[at] = replace(doubts[at], finding=finding)
    return weighed
