"""A small run on the CPU, and torch held to numpy. Needs torch: `pytest -m training`."""

import re
from pathlib import Path

import numpy as np
import pytest

torch = pytest.importorskip("torch")
pytestmark = pytest.mark.training

BOOK = Path(__file__).parents[1] / "data" / "chords-db" / "guitar.json"


def test_the_front_end_in_torch_is_the_one_in_numpy() -> None:
    from listen.audio.cut_frontend import N_SEGMENT, measure_all_cut_bands
    from listen.training.features import BatchFrontend

    rng = np.random.default_rng(3)
    segments = rng.standard_normal((3, N_SEGMENT)).astype(np.float32) * 0.1
    available = (17_024, 4000, 1900)
    bands, shares = BatchFrontend("cpu").measure(torch.tensor(segments), torch.tensor(available))
    expected_bands, expected_shares = measure_all_cut_bands(segments, available)
    np.testing.assert_allclose(bands.numpy(), expected_bands, atol=2e-5)
    np.testing.assert_array_equal(shares.numpy(), expected_shares)


def test_the_network_in_torch_is_the_one_in_numpy() -> None:
    from listen.audio.cut_frontend import N_BANDS, N_CHANNELS, N_WINDOWS
    from listen.audio.trained_network import TrainedNetwork
    from listen.training.network import find_harmonic_index, make_parameters, run_network

    generator = torch.Generator().manual_seed(1)
    parameters = {
        name: value + 0.05 * torch.randn(value.shape, generator=generator)
        for name, value in make_parameters(width=16, trunk_blocks=2, place_blocks=1, seed=0).items()
    }
    bands, shares = (
        torch.rand(2, N_CHANNELS, N_BANDS, generator=generator),
        torch.rand(2, N_WINDOWS, generator=generator),
    )
    output = run_network(parameters, bands, shares, find_harmonic_index("cpu"))
    network = TrainedNetwork({name: value.numpy() for name, value in parameters.items()})
    for row, heard in enumerate(network.hear_all(bands.numpy(), shares.numpy())):
        np.testing.assert_allclose(heard.pitch, output.pitch[row].numpy(), atol=1e-4)
        np.testing.assert_allclose(heard.bass, output.bass[row].numpy(), atol=1e-4)
        np.testing.assert_allclose(heard.kind, (output.kinds[row, :, 1:] - output.kinds[row, :, :1]).numpy(), atol=1e-4)
        assert heard.plucked == pytest.approx(float(output.plucked[row]), abs=1e-4)


def test_a_small_run_learns_resumes_and_leaves_weights_that_the_ear_can_load(tmp_path: Path) -> None:
    from dataclasses import replace

    from listen.audio.trained_network import TrainedNetwork
    from listen.training.settings import TrainingSettings
    from listen.training.train import train_ear

    settings = replace(
        TrainingSettings(), steps=30, batch=16, drawn=16, width=24, trunk_blocks=1, place_blocks=1, learning_rate=5e-3
    )
    said: list[str] = []
    train_ear(settings, BOOK, out=tmp_path / "ear.npz", stop_at=15, say=said.append)
    train_ear(settings, BOOK, out=tmp_path / "ear.npz", resumed=tmp_path / "ear.pt", say=said.append)
    losses = [float(match[1]) for line in said if (match := re.search(r"loss ([\d.]+)", line))]
    assert np.mean(losses[-5:]) < 0.85 * np.mean(losses[:3])
    assert any("from step 15" in line for line in said)
    with np.load(tmp_path / "ear.npz", allow_pickle=False) as weights:
        TrainedNetwork(dict(weights))
