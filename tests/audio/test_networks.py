"""The second opinion's network answers as the code it was trained with; its weights are what the model card says."""

import hashlib
import re
from importlib import resources

import numpy as np
import pytest

from listen.audio.frontend import N_BANDS, N_LEAD, N_SEGMENT, cut_segment, measure_bands
from listen.audio.network import StrumNetwork
from listen.audio.weight_files import load_weights
from tests.audio.regenerate_networks import GOLDEN, ONSET_S, STRUMS, WEIGHTS
from tests.audio.sounds import make_plucked

TOLERANCE = 0.01  # logits; the two codes agree to 5e-6 on one machine, sines differ by a few ulp between machines


@pytest.mark.parametrize("name", WEIGHTS)
def test_the_network_answers_as_the_code_it_was_trained_with(name: str) -> None:
    network = StrumNetwork(load_weights(name))
    with np.load(GOLDEN, allow_pickle=False) as golden:
        assert len(golden.files) == 2 * len(STRUMS) * len(WEIGHTS)
        for index, midis in enumerate(STRUMS):
            samples = make_plucked(tuple(float(midi) for midi in midis), sample_rate_hz=16_000)
            heard = network.hear(measure_bands(cut_segment(samples, onset=round(ONSET_S * 16_000))))
            for part in ("pitch", "bass"):
                assert np.abs(getattr(heard, part) - golden[f"{name}.{index}.{part}"]).max() < TOLERANCE


def test_a_segment_begins_before_the_onset_and_holds_silence_where_nothing_may_be_heard() -> None:
    samples = np.ones(40_000, np.float32)
    segment = cut_segment(samples, onset=1_000, end=5_000)
    assert segment.shape == (N_SEGMENT,)
    assert not segment[: N_LEAD - 1_000].any()
    assert segment[N_LEAD - 1_000 : N_LEAD + 4_000].all()
    assert not segment[N_LEAD + 4_000 :].any()


def test_bands_of_a_sine_peak_at_its_pitch_and_do_not_care_how_loud_it_is() -> None:
    time_s = np.arange(N_SEGMENT) / 16_000
    tone = np.sin(2 * np.pi * 440.0 * time_s).astype(np.float32)
    loud, quiet = measure_bands(tone), measure_bands(0.01 * tone)
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
