"""A small run of the stroke network on the CPU, and torch held to numpy. Needs torch: `pytest -m training`."""

import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest

torch = pytest.importorskip("torch")
pytestmark = pytest.mark.training


@pytest.fixture(scope="module")
def source() -> Any:
    from listen.training.note_bank import NoteBank
    from listen.training.note_sources import render_model_guitar
    from listen.training.stroke_examples import SceneSource

    return SceneSource(NoteBank((render_model_guitar(0, seed=1),)), seed=2)


def _evaluate(weights: dict[str, np.ndarray], bands: np.ndarray) -> np.ndarray:
    """Evaluate the weights plainly: bands of shape (n_frames, n_bands) to logits of shape (n_frames, 4)."""

    def convolve(x: np.ndarray, name: str, dilation: int = 1) -> np.ndarray:
        weight, bias = weights[f"{name}.weight"], weights[f"{name}.bias"]
        reach = weight.shape[2] // 2 * dilation
        padded = np.pad(x, ((reach, reach), (0, 0)))
        taps = [padded[k * dilation : k * dilation + len(x)] @ weight[:, :, k].T for k in range(weight.shape[2])]
        return np.asarray(np.sum(taps, axis=0) + bias)

    def gelu(x: np.ndarray) -> np.ndarray:
        return np.asarray(0.5 * x * (1.0 + np.tanh(np.sqrt(2.0 / np.pi) * (x + 0.044715 * x**3))))

    x = gelu(convolve(bands, "i"))
    for k in range(7):
        x = x + convolve(gelu(convolve(x, f"bl.{k}.a", 2**k)), f"bl.{k}.b")
    return convolve(x, "o")


def test_the_stroke_network_in_torch_is_what_its_weights_say() -> None:
    from listen.training.stroke_network import make_stroke_parameters, run_stroke_network

    parameters = make_stroke_parameters(n_bands=94, width=64, seed=4)
    assert parameters["i.weight"].shape == (64, 94, 5)
    assert parameters["bl.6.a.weight"].shape == (64, 64, 5)
    assert parameters["bl.6.b.weight"].shape == (64, 64, 1)
    assert parameters["o.bias"].shape == (4,)
    bands = np.random.default_rng(5).uniform(-3.0, 1.5, (400, 94)).astype(np.float32)
    logits = run_stroke_network(parameters, torch.from_numpy(bands.T[None].copy()))[0].numpy()
    expected = _evaluate({name: value.double().numpy() for name, value in parameters.items()}, bands.astype(np.float64))
    np.testing.assert_allclose(logits.T, expected, atol=1e-4)


def test_twenty_steps_lower_the_loss_and_leave_whole_weights(source: Any, tmp_path: Path) -> None:
    from listen.training.settings import StrokeTrainingSettings
    from listen.training.stroke_network import load_stroke_parameters
    from listen.training.stroke_train import train_strokes

    settings = StrokeTrainingSettings(scenes=4, steps=20, batch=4, width=16)
    said: list[str] = []
    train_strokes(settings, source, out=tmp_path / "strokes.npz", say=said.append)
    losses = [float(match[1]) for line in said if (match := re.search(r"loss ([\d.]+)", line))]
    assert len(losses) >= 10
    assert np.mean(losses[-3:]) < 0.85 * np.mean(losses[:2])
    assert [path.name for path in tmp_path.iterdir()] == ["strokes.npz"]
    with np.load(tmp_path / "strokes.npz", allow_pickle=False) as weights:
        assert {value.dtype for value in weights.values()} == {np.dtype(np.float16)}
        parameters = load_stroke_parameters(weights)
    blocks = [f"bl.{k}.{part}" for k in range(7) for part in "ab"]
    assert set(parameters) == {f"{layer}.{kind}" for layer in ("i", "o", *blocks) for kind in ("weight", "bias")}
    assert all(torch.isfinite(value).all() for value in parameters.values())


def test_a_tenth_of_crops_reach_each_end_of_a_scene() -> None:
    from listen.training.draws import Draws
    from listen.training.stroke_train import CROP, draw_crops

    starts = draw_crops(20_000, Draws("cpu", 1), n_frames=4000)
    assert starts.min() == 0
    assert starts.max() == 4000 - CROP
    shares = [float(((starts <= frame) & (frame < starts + CROP)).float().mean()) for frame in (0, 2000, 3999)]
    np.testing.assert_allclose(shares, [0.1, 0.53, 0.1], atol=0.02)


def test_a_network_that_says_the_truth_scores_full_marks(source: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    from listen.training import stroke_scores
    from listen.training.stroke_examples import make_examples

    examples = make_examples(source, 2)
    told = iter(examples.targets)
    monkeypatch.setattr(stroke_scores, "_run", lambda *_: next(told).astype(np.float64))
    scores = stroke_scores.score_strokes({}, examples)
    assert min(scores.values()) == 1.0


def test_a_stroke_is_found_once_and_within_fifty_milliseconds() -> None:
    from listen.training.stroke_scores import _match, find_peak_frames

    probability = np.zeros(200)
    probability[[50, 53, 120, 150]] = 0.9, 0.8, 0.7, 0.3
    assert find_peak_frames(probability, least=0.4).tolist() == [50, 120]
    assert _match(np.array([60, 62, 131]), np.array([50, 120])) == [(60, 50)]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--takes", "."], "together with --aligned-by"),
        (["--scenes", "0"], "scenes=0 is not possible"),
        (["--recordings", "no-such-folder"], "cannot be read"),
        (["--soundfont", "no-such.sf2"], "soundfont=no-such.sf2 is not possible"),
    ],
)
def test_the_command_says_what_is_wrong_in_a_sentence(
    words: list[str], sentence: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from listen.training.strokes import main

    with pytest.raises(SystemExit) as stop:
        main(["--out", str(tmp_path / "strokes.npz"), *words])
    assert stop.value.code == 2
    assert sentence in capsys.readouterr().err
