"""A second network may settle what the first is in doubt about and never overrules it."""

import numpy as np
from numpy.typing import NDArray

from listen.audio import load_ear
from listen.audio.second_opinion import MOST_NATS, join_opinions
from listen.evidence import StrumEvidence
from tests.audio.sounds import make_plucked

RATE_HZ = 22_050
LOWEST_KNOWN_TO_BOTH = 38


def _hear(ear: str, samples: NDArray[np.float32]) -> StrumEvidence:
    return load_ear(ear).hear(samples, sample_rate_hz=RATE_HZ, onset_s=0.3)


def test_what_both_are_sure_of_stays_and_doubt_moves_at_most_so_far() -> None:
    rng = np.random.default_rng(4)
    first, second = rng.normal(0.0, 6.0, (2, 200))
    joined = join_opinions(first, second)
    assert (np.abs(joined - first) <= MOST_NATS + 1e-12).all()
    assert (np.sign(joined - first) == np.sign(second - first)).all()
    sure = np.abs(first) > MOST_NATS
    assert (np.sign(joined[sure]) == np.sign(first[sure])).all()


def test_a_pitch_that_the_second_does_not_know_is_left_as_it_was() -> None:
    samples = make_plucked((40, 47, 52, 56, 59, 64))
    alone, joined = _hear("trained alone", samples), _hear("trained", samples)
    low = [
        (one.log_odds, other.log_odds)
        for one, other in zip(alone.pitches, joined.pitches, strict=True)
        if one.pitch.midi < LOWEST_KNOWN_TO_BOTH
    ]
    assert low
    assert all(one == other for one, other in low)
    assert [one.log_odds for one in alone.pitches] != [one.log_odds for one in joined.pitches]


def test_strings_and_refusal_are_the_first_networks_own() -> None:
    samples = make_plucked((43, 50, 55, 59, 67))
    alone, joined = _hear("trained alone", samples), _hear("trained", samples)
    assert [one.string_log_odds for one in alone.pitches] == [one.string_log_odds for one in joined.pitches]
    assert alone.no_chord_reason == joined.no_chord_reason
