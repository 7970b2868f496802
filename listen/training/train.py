"""The training loop: scenes in, weights out, on one device or several."""

from __future__ import annotations

import math
import os
import time
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np
import torch

from listen.training.draws import Draws
from listen.training.features import BatchFrontend
from listen.training.losses import score_batch, weigh_errors
from listen.training.network import Parameters, find_harmonic_index, make_parameters, run_network
from listen.training.scenes import Truth, draw_scenes
from listen.training.settings import TrainingSettings
from listen.training.shapes import load_book, make_shape_tables
from listen.training.strums import select_rows

VALIDATION_SEED = 777_000
REPORTS = 40
WARM_UP_STEPS = 300
LAST_RATE = 0.01  # of the peak
AVERAGE = 0.999  # of the weights' running mean
LARGEST_GRADIENT = 1.0  # judged, not measured
WEIGHT_DECAY = 0.01  # PyTorch's own for AdamW
FOREVER_SAMPLES = 1 << 20

Say = Callable[[str], None]


@dataclass(frozen=True, slots=True)
class Batch:
    """What the network is given, and what it should have said.

    Parameters
    ----------
    bands : Tensor, shape (B, N_CHANNELS, N_BANDS)
    shares : Tensor, shape (B, N_WINDOWS)
    truth : Truth
    """

    bands: torch.Tensor
    shares: torch.Tensor
    truth: Truth


@dataclass(slots=True)
class _Run:
    """What a run carries from step to step.

    Parameters
    ----------
    parameters, average : dict of str to Tensor
        The weights, and their running mean.
    optimiser : Optimizer
    step : int
        Steps taken.
    """

    parameters: Parameters
    average: Parameters
    optimiser: torch.optim.Optimizer
    step: int = 0


def train_ear(
    settings: TrainingSettings,
    book: Path,
    *,
    out: Path,
    resumed: Path | None = None,
    stop_at: int | None = None,
    say: Say = print,
) -> None:
    """Train an ear and write its weights.

    Parameters
    ----------
    settings : TrainingSettings
    book : Path
        Chord shapes in the open data's form.
    out : Path
        Where the float16 weights go (``.npz``), and beside them, as ``.pt``, all that a later run needs to go on;
        written at each report, so that a run that is cut off leaves some.
    resumed : Path, optional
        Such a ``.pt`` of an earlier run with as many channels and blocks; scenes, steps and rates may be others.
    stop_at : int, optional
        Stop after this step of the whole schedule, to go on later.
    say : callable
        Takes the lines of the log.
    """
    rank, world = int(os.environ.get("RANK", "0")), int(os.environ.get("WORLD_SIZE", "1"))
    n_devices = torch.cuda.device_count()
    device = f"cuda:{rank % n_devices}" if n_devices else "cpu"
    if n_devices:
        torch.cuda.set_device(device)
    if world > 1:
        # Several processes a device keep it busy; they share gradients through the host's memory.
        torch.distributed.init_process_group("gloo")
    speak = say if rank == 0 else _say_nothing
    speak(f"settings {asdict(settings)}; processes {world}; torch {torch.__version__}; device {device}")
    run = _begin(settings, device, resumed)
    speak(f"parameters {sum(value.numel() for value in run.parameters.values())}; from step {run.step}")
    index = find_harmonic_index(device)
    make_batches = _make_source(settings, book, device)
    validation = make_batches(Draws(device, VALIDATION_SEED)) if rank == 0 else []
    draws = Draws(device, settings.seed * 1_000_000 + run.step * 100 + rank)
    begun, until = time.perf_counter(), min(settings.steps, stop_at or settings.steps)
    report_every = max(1, settings.steps // REPORTS)
    while run.step < until:
        for batch in make_batches(draws)[: until - run.step]:
            loss = _take_step(run, batch, index, settings=settings, world=world)
            if run.step % report_every == 0 or run.step == until:
                elapsed = time.perf_counter() - begun
                if rank == 0:
                    scores = _score(run.average, validation, index)
                    shown = " ".join(f"{name} {value:.4f}" for name, value in scores.items())
                    speak(f"step {run.step} loss {float(loss):.4f} {shown} seconds {elapsed:.0f}")
                    write_weights(run.average, out)
                    _save(run, out.with_suffix(".pt"))
    if world > 1:
        torch.distributed.destroy_process_group()


def _begin(settings: TrainingSettings, device: str, resumed: Path | None) -> _Run:
    """Return a new run, or one that goes on where an earlier one stopped."""
    initial = make_parameters(
        width=settings.width,
        trunk_blocks=settings.trunk_blocks,
        place_blocks=settings.place_blocks,
        seed=settings.seed,
    )
    parameters = {name: value.to(device).requires_grad_() for name, value in initial.items()}
    average = {name: value.detach().clone() for name, value in parameters.items()}
    run = _Run(parameters, average, _make_optimiser(parameters, settings, fused=device != "cpu"))
    if resumed is not None:
        state = torch.load(resumed, map_location=device, weights_only=True)
        with torch.no_grad():
            for name, value in run.parameters.items():
                value.copy_(state["parameters"][name])
                run.average[name].copy_(state["average"][name])
        run.optimiser.load_state_dict(state["optimiser"])
        run.step = state["step"]
    return run


def _save(run: _Run, path: Path) -> None:
    """Write all that a later run needs to go on."""
    state = {
        "parameters": {name: value.detach() for name, value in run.parameters.items()},
        "average": run.average,
        "optimiser": run.optimiser.state_dict(),
        "step": run.step,
    }
    torch.save(state, path)


def _make_source(settings: TrainingSettings, book: Path, device: str) -> Callable[[Draws], list[Batch]]:
    """Return what draws scenes, listens to them, and hands them over in batches."""
    tables = make_shape_tables(load_book(book), device)
    frontend = BatchFrontend(device)

    def make_batches(draws: Draws) -> list[Batch]:
        with torch.no_grad():
            scenes = draw_scenes(tables, settings.drawn, draws, scene=settings.scene)
            available = scenes.n_available
            if not settings.cut_windows:
                available = torch.full_like(available, FOREVER_SAMPLES)
            bands, shares = frontend.measure(scenes.samples, available)
            rows = torch.arange(settings.drawn, device=device).split(settings.batch)
            return [Batch(bands[some], shares[some], select_rows(scenes.truth, some)) for some in rows]

    return make_batches


def _take_step(run: _Run, batch: Batch, index: torch.Tensor, *, settings: TrainingSettings, world: int) -> torch.Tensor:
    """Take one step; return the loss, left on its device."""
    for group in run.optimiser.param_groups:
        group["lr"] = settings.learning_rate * _rate_at(run.step, settings.steps)
    kind = batch.bands.device.type
    with torch.autocast(kind, dtype=torch.bfloat16, enabled=kind != "cpu"):
        output = run_network(run.parameters, batch.bands, batch.shares, index, apart=settings.apart)
    loss = weigh_errors(output, batch.truth, place_on_book=settings.place_on_book)
    run.optimiser.zero_grad(set_to_none=True)
    loss.backward()
    if world > 1:
        _share_gradients(run.parameters, world)
    torch.nn.utils.clip_grad_norm_(list(run.parameters.values()), LARGEST_GRADIENT)
    run.optimiser.step()
    keep = min(AVERAGE, (1 + run.step) / (10 + run.step))
    with torch.no_grad():
        latest = [value.detach() for value in run.parameters.values()]
        torch._foreach_lerp_(list(run.average.values()), latest, 1.0 - keep)
    run.step += 1
    return loss.detach()


def _score(parameters: Parameters, validation: list[Batch], index: torch.Tensor) -> dict[str, float]:
    """Score the averaged weights on scenes that no step of training sees."""
    with torch.no_grad():
        scores = [
            score_batch(run_network(parameters, batch.bands, batch.shares, index), batch.truth) for batch in validation
        ]
    return {name: float(np.nanmean([score[name] for score in scores])) for name in scores[0]}


def _rate_at(step: int, steps: int) -> float:
    """Return the learning rate's share of its peak: warm-up, then half a cosine."""
    warm = min(1.0, (step + 1) / max(1, min(WARM_UP_STEPS, steps // 5)))
    return warm * (LAST_RATE + (1.0 - LAST_RATE) * 0.5 * (1.0 + math.cos(math.pi * step / steps)))


def _make_optimiser(parameters: Parameters, settings: TrainingSettings, *, fused: bool) -> torch.optim.Optimizer:
    """AdamW (Loshchilov & Hutter 2019); biases, gains and positions do not decay."""
    decays = [value for name, value in parameters.items() if name.endswith(".w")]
    others = [value for name, value in parameters.items() if not name.endswith(".w")]
    groups = [{"params": decays, "weight_decay": WEIGHT_DECAY}, {"params": others, "weight_decay": 0.0}]
    return torch.optim.AdamW(groups, lr=settings.learning_rate, betas=(0.9, 0.98), fused=fused)


def _share_gradients(parameters: Parameters, world: int) -> None:
    """Average the gradients of all processes, in one message."""
    gradients = [value.grad for value in parameters.values() if value.grad is not None]
    flat = torch.cat([gradient.flatten() for gradient in gradients]).cpu()
    torch.distributed.all_reduce(flat)
    mean = (flat / world).to(gradients[0].device)
    for gradient, part in zip(gradients, mean.split([gradient.numel() for gradient in gradients]), strict=True):
        gradient.copy_(part.view_as(gradient))


def write_weights(parameters: Parameters, out: Path) -> None:
    """Write weights as float16, names sorted."""
    arrays = {name: parameters[name].detach().float().cpu().numpy().astype(np.float16) for name in sorted(parameters)}
    np.savez_compressed(out, **arrays)


def _say_nothing(_line: str) -> None:
    """Stay silent: only the first process speaks."""
