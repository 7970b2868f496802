"""The training loop of the network that finds strokes: scenes in, weights out, on one device."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

import torch

from listen.training.draws import Draws
from listen.training.network import Parameters
from listen.training.settings import StrokeTrainingSettings
from listen.training.stroke_examples import SceneSource, StrokeExamples, make_examples
from listen.training.stroke_network import make_stroke_parameters, run_stroke_network, write_stroke_weights
from listen.training.stroke_scores import StrokeErrors, measure_stroke_errors, score_strokes

CROP = 1600  # frames: 8 s, several times what the network sees to either side
BEYOND = 300  # frames past either end of a scene to which crops are drawn
N_REPORTS = 12
WARM_UP_STEPS = 300
LAST_RATE = 0.005  # of the peak
AVERAGE, AVERAGE_STEPS = 0.999, 50  # of the weights' running mean; it starts from the last few
LARGEST_GRADIENT = 1.0  # judged, not measured
WEIGHT_DECAY = 0.01  # PyTorch's own for AdamW
BAND_GAIN, FRAME_NOISE = 0.12, 0.04  # standard deviations; ten decibels are one; judged
MOST_MASKED, MASKED_LEVEL = 14, -1.5  # bands in a row, on every other step; judged

Say = Callable[[str], None]


@dataclass(slots=True)
class _StrokeRun:
    """What a run carries from step to step."""

    parameters: Parameters
    average: Parameters
    optimiser: torch.optim.Optimizer
    step: int = 0


def train_strokes(settings: StrokeTrainingSettings, source: SceneSource, *, out: Path, say: Say = print) -> None:
    """Train a network and write its weights.

    Parameters
    ----------
    settings : StrokeTrainingSettings
    source : SceneSource
        What scenes are drawn from.
    out : Path
        Where the averaged float32 weights go (``.npz``), at each report and at the end.
    say : callable
        Takes the lines of the log.
    """
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.backends.cuda.matmul.allow_tf32 = torch.backends.cudnn.allow_tf32 = True
    say(f"settings {asdict(settings)}; torch {torch.__version__}; device {device}")
    begun = time.perf_counter()
    examples = make_examples(source, settings.scenes, processes=settings.processes)
    kept = make_examples(source, settings.n_validation, validation=True, processes=settings.processes)
    say(f"scenes {settings.scenes} and {settings.n_validation} to score; seconds {time.perf_counter() - begun:.0f}")
    bands, targets = torch.from_numpy(examples.bands).to(device), torch.from_numpy(examples.targets).to(device)
    run = _begin(settings, device, n_bands=bands.shape[2])
    say(f"parameters {sum(value.numel() for value in run.parameters.values())}")
    _loop(run, settings, Draws(device, settings.seed), _Shown(bands, targets), report=_Reporter(kept, out, say))


@dataclass(frozen=True, slots=True)
class _Shown:
    """All examples, on the device: bands of shape (n, n_frames, n_bands), targets of shape (n, 4, n_frames)."""

    bands: torch.Tensor
    targets: torch.Tensor


class _Reporter:
    """Says how a run goes, and writes its weights."""

    def __init__(self, kept: StrokeExamples, out: Path, say: Say) -> None:
        self._kept = kept
        self._out = out
        self._say = say
        self._begun = time.perf_counter()
        self._sums: list[tuple[float, StrokeErrors]] = []

    @property
    def is_empty(self) -> bool:
        """Whether nothing was taken since the last report."""
        return not self._sums

    def take(self, loss: torch.Tensor, errors: StrokeErrors) -> None:
        """Take the errors of a step."""
        self._sums.append((float(loss), errors))

    def speak(self, run: _StrokeRun) -> None:
        """Say the mean errors since the last report and the scores of the averaged weights; write them."""
        n = max(1, len(self._sums))
        loss = sum(loss for loss, _ in self._sums) / n
        parts = (
            f"{name} {sum(float(getattr(errors, name)) for _, errors in self._sums) / n:.4f}"
            for name in ("onset", "damped", "way")
        )
        scores = (f"{name} {value:.4f}" for name, value in score_strokes(run.average, self._kept).items())
        elapsed = time.perf_counter() - self._begun
        self._say(f"step {run.step} loss {loss:.4f} {' '.join(parts)}; {' '.join(scores)}; seconds {elapsed:.0f}")
        self._sums.clear()
        write_stroke_weights(run.average, self._out)


def _loop(run: _StrokeRun, settings: StrokeTrainingSettings, draws: Draws, shown: _Shown, *, report: _Reporter) -> None:
    """Take steps until they are done or the time is up."""
    begun, reported = time.perf_counter(), 0
    while True:
        progress = run.step / settings.steps
        if settings.seconds is not None:
            progress = max(progress, (time.perf_counter() - begun) / settings.seconds)
        if progress * N_REPORTS >= reported + 1:
            report.speak(run)
            reported = int(progress * N_REPORTS)
        if progress >= 1.0:
            break
        for group in run.optimiser.param_groups:
            group["lr"] = settings.learning_rate * _rate_at(run.step, progress, steps=settings.steps)
        loss, errors = _take_step(run, shown, draws, batch=settings.batch)
        if run.step % 10 == 0 or report.is_empty:  # to ask a device for a number makes it wait
            report.take(loss, errors)


def _take_step(run: _StrokeRun, shown: _Shown, draws: Draws, *, batch: int) -> tuple[torch.Tensor, StrokeErrors]:
    """Take one step; return the loss and what it is made of."""
    n, n_frames = shown.bands.shape[:2]
    rows = draws.integers(batch, low=0, high=n)
    frames = draw_crops(batch, draws, n_frames=n_frames)[:, None] + torch.arange(CROP, device=draws.device)
    bands = vary_bands(shown.bands[rows[:, None], frames].float().transpose(1, 2), draws, mask=run.step % 2 == 0)
    targets = shown.targets[rows].gather(2, frames[:, None].expand(-1, 4, -1)).float()
    kind = bands.device.type
    with torch.autocast(kind, dtype=torch.bfloat16, enabled=kind != "cpu"):
        logits = run_stroke_network(run.parameters, bands)
    errors = measure_stroke_errors(logits.float(), targets)
    loss = errors.weigh()
    run.optimiser.zero_grad(set_to_none=True)
    loss.backward()
    torch.nn.utils.clip_grad_norm_(list(run.parameters.values()), LARGEST_GRADIENT)
    run.optimiser.step()
    run.step += 1
    keep = min(AVERAGE, run.step / (run.step + AVERAGE_STEPS))
    with torch.no_grad():
        latest = [value.detach() for value in run.parameters.values()]
        torch._foreach_lerp_(list(run.average.values()), latest, 1.0 - keep)
    detached = StrokeErrors(errors.onset.detach(), errors.damped.detach(), errors.way.detach())
    return loss.detach(), detached


def draw_crops(n: int, draws: Draws, *, n_frames: int) -> torch.Tensor:
    """Draw where crops begin; a tenth begin where the scene does, and a tenth end where it does.

    Starts are drawn beyond both, and crops that would reach out of the scene are moved in: left to chance, its first
    and last frames would next to never be seen.
    """
    return draws.integers(n, low=-BEYOND, high=n_frames - CROP + BEYOND).clamp(0, n_frames - CROP)


def vary_bands(bands: torch.Tensor, draws: Draws, *, mask: bool) -> torch.Tensor:
    """Give each band another gain, each frame some noise, and hide a run of bands.

    Parameters
    ----------
    bands : Tensor, shape (B, n_bands, n_frames)
    draws : Draws
    mask : bool
        Whether bands are hidden.
    """
    n, n_bands, n_frames = bands.shape
    varied = bands + BAND_GAIN * draws.normal(n, n_bands, 1) + FRAME_NOISE * draws.normal(n, n_bands, n_frames)
    if not mask:
        return varied
    first = draws.integers(n, 1, low=0, high=n_bands)
    past = first + draws.integers(n, 1, low=0, high=MOST_MASKED)
    index = torch.arange(n_bands, device=bands.device)
    return torch.where(((index >= first) & (index < past))[:, :, None], MASKED_LEVEL, varied)


def _begin(settings: StrokeTrainingSettings, device: str, *, n_bands: int) -> _StrokeRun:
    """Return a new run."""
    initial = make_stroke_parameters(n_bands=n_bands, width=settings.width, seed=settings.seed)
    parameters = {name: value.to(device).requires_grad_() for name, value in initial.items()}
    average = {name: value.detach().clone() for name, value in parameters.items()}
    optimiser = torch.optim.AdamW(
        parameters.values(), lr=settings.learning_rate, weight_decay=WEIGHT_DECAY, betas=(0.9, 0.98)
    )
    return _StrokeRun(parameters, average, optimiser)


def _rate_at(step: int, progress: float, *, steps: int) -> float:
    """Return the learning rate's share of its peak."""
    warm = min(1.0, (step + 1) / max(1, min(WARM_UP_STEPS, steps // 5)))
    return warm * (LAST_RATE + 0.5 * (1.0 + math.cos(math.pi * min(1.0, progress))))
