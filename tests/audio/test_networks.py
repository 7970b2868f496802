"""The second opinion's network answers as the code it was trained with; its weights are what the model card says."""

import hashlib
import re
from importlib import resources

import numpy as np
import pytest
from numpy.typing import NDArray

from listen.audio.frontend import N_BANDS, N_LEAD, N_SEGMENT, measure_all_bands
from listen.audio.network import StrumNetwork
from listen.audio.strum_sound import StrumSound
from listen.audio.weight_files import load_weights
from listen.evidence import TimeSpan
from tests.audio.regenerate_networks import GOLDEN, ONSET_S, STRUMS, WEIGHTS
from tests.audio.sounds import make_plucked

TOLERANCE = 0.01  # logits; the two codes agree to 5e-6 on one machine, sines differ by a few ulp between machines


def cut(samples: NDArray[np.float32], *, onset: int, end: int) -> NDArray[np.float32]:
    sound = StrumSound(samples, onset, end, TimeSpan(0.0, 1.0), 0.0, 0.0)
    return sound.cut_segment(n_lead=N_LEAD, n_samples=N_SEGMENT)


@pytest.mark.parametrize("name", WEIGHTS)
def test_the_network_answers_as_the_code_it_was_trained_with(name: str) -> None:
    network = StrumNetwork(load_weights(name))
    with np.load(GOLDEN, allow_pickle=False) as golden:
        assert len(golden.files) == len(STRUMS) * len(WEIGHTS)
        for index, midis in enumerate(STRUMS):
            samples = make_plucked(tuple(float(midi) for midi in midis), sample_rate_hz=16_000)
            segment = cut(samples, onset=round(ONSET_S * 16_000), end=len(samples))
            heard = network.hear_all(measure_all_bands(segment[None]))
            assert np.abs(heard[0] - golden[f"{name}.{index}.pitch"]).max() < TOLERANCE


def test_a_segment_begins_before_the_onset_and_holds_silence_where_nothing_may_be_heard() -> None:
    samples = np.ones(40_000, np.float32)
    segment = cut(samples, onset=1_000, end=5_000)
    assert segment.shape == (N_SEGMENT,)
    assert not segment[: N_LEAD - 1_000].any()
    assert segment[N_LEAD - 1_000 : N_LEAD + 4_000].all()
    assert not segment[N_LEAD + 4_000 :].any()


def test_bands_of_a_sine_peak_at_its_pitch_and_do_not_care_how_loud_it_is() -> None:
    time_s = np.arange(N_SEGMENT) / 16_000
    tone = np.sin(2 * np.pi * 440.0 * time_s).astype(np.float32)
    loud, quiet = measure_all_bands(np.stack([tone, 0.01 * tone]))
    assert loud.shape == (12, N_BANDS)
    assert (loud[:6].argmax(axis=1) == (69 - 35) * 4).all()
    assert np.allclose(loud, quiet, atol=1e-3)
    assert float(loud[:5].max()) == pytest.approx(1.0, abs=1e-4)


def test_the_model_card_gives_the_weights_own_checksums() -> None:
    folder = resources.files("listen.audio").joinpath("weights")
    card = folder.joinpath("MODEL_CARD.md").read_text(encoding="utf-8")
    for name in WEIGHTS:
        digest = hashlib.sha256(folder.joinpath(f"{name}.npz").read_bytes()).hexdigest()
        assert re.search(rf"{name}\.npz.*{digest}", card)
    assert "MIT" in card
