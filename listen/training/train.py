"""The training loop: scenes in, weights out, on one device or several."""

from __future__ import annotations

import math
import os
import time
from collections.abc import Callable
from dataclasses import asdict
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

VALIDATION_SEED = 777_000
VALIDATION_BATCHES = 4
WARM_UP_STEPS = 300
LAST_RATE = 0.01  # of the peak
AVERAGE = 0.999  # of the weights' running mean
LARGEST_GRADIENT = 1.0
WEIGHT_DECAY = 0.01
FOREVER_SAMPLES = 1 << 20

Say = Callable[[str], None]


def train_ear(settings: TrainingSettings, book: Path, *, out: Path, say: Say = print, reports: int = 20) -> None:
    """Train an ear and write its weights.

    Parameters
    ----------
    settings : TrainingSettings
    book : Path
        Chord shapes in the open data's form.
    out : Path
        Where the float16 weights go (``.npz``); written at each report, so that a run that is cut off leaves some.
    say : callable
        Takes the lines of the log.
    reports : int
        How many times progress is measured.
    """
    rank, world = int(os.environ.get("RANK", "0")), int(os.environ.get("WORLD_SIZE", "1"))
    device = f"cuda:{rank}" if torch.cuda.is_available() else "cpu"
    if world > 1:
        torch.distributed.init_process_group("nccl" if torch.cuda.is_available() else "gloo")
    speak = say if rank == 0 else _say_nothing
    speak(f"settings {asdict(settings)}; processes {world}; torch {torch.__version__}; device {device}")
    tables = make_shape_tables(load_book(book), device)
    frontend, index = BatchFrontend(device), find_harmonic_index(device)
    initial = make_parameters(
        width=settings.width,
        trunk_blocks=settings.trunk_blocks,
        place_blocks=settings.place_blocks,
        seed=settings.seed,
    )
    parameters = {name: value.to(device).requires_grad_() for name, value in initial.items()}
    average = {name: value.detach().clone() for name, value in parameters.items()}
    speak(f"parameters {sum(value.numel() for value in initial.values())}")
    optimiser = _make_optimiser(parameters, settings, fused=device != "cpu")
    draws = Draws(device, settings.seed * 1000 + rank)
    scene = settings.scene

    def make_batch(source: Draws) -> tuple[torch.Tensor, torch.Tensor, Truth]:
        scenes = draw_scenes(tables, settings.batch, source, scene=scene)
        available = scenes.n_available
        if not settings.cut_windows:
            available = torch.full_like(available, FOREVER_SAMPLES)
        bands, shares = frontend.measure(scenes.samples, available)
        return bands, shares, scenes.truth

    judge = Draws(device, VALIDATION_SEED)
    with torch.no_grad():
        validation = [make_batch(judge) for _ in range(VALIDATION_BATCHES)]
    begun = time.perf_counter()
    for step in range(settings.steps):
        for group in optimiser.param_groups:
            group["lr"] = settings.learning_rate * _rate_at(step, settings.steps)
        with torch.no_grad():
            bands, shares, truth = make_batch(draws)
        with torch.autocast(device.split(":")[0], dtype=torch.bfloat16, enabled=device != "cpu"):
            output = run_network(parameters, bands, shares, index)
        loss = weigh_errors(output, truth, place_on_book=settings.place_on_book)
        optimiser.zero_grad(set_to_none=True)
        loss.backward()
        if world > 1:
            _share_gradients(parameters, world)
        torch.nn.utils.clip_grad_norm_(list(parameters.values()), LARGEST_GRADIENT)
        optimiser.step()
        keep = min(AVERAGE, (1 + step) / (10 + step))
        with torch.no_grad():
            torch._foreach_lerp_(list(average.values()), [p.detach() for p in parameters.values()], 1.0 - keep)  # noqa: SLF001
        if (step + 1) % max(1, settings.steps // reports) == 0 or step + 1 == settings.steps:
            if rank == 0:
                scores = _score(average, validation, index)
                shown = " ".join(f"{name} {value:.4f}" for name, value in scores.items())
                elapsed = time.perf_counter() - begun
                speak(f"step {step + 1} loss {float(loss.detach()):.4f} {shown} seconds {elapsed:.0f}")
                write_weights(average, out)
    if world > 1:
        torch.distributed.destroy_process_group()


def _score(
    parameters: Parameters, validation: list[tuple[torch.Tensor, torch.Tensor, Truth]], index: torch.Tensor
) -> dict[str, float]:
    """Score the averaged weights on scenes that no step of training sees."""
    with torch.no_grad():
        scores = [
            score_batch(run_network(parameters, bands, shares, index), truth) for bands, shares, truth in validation
        ]
    return {name: float(np.nanmean([score[name] for score in scores])) for name in scores[0]}


def _rate_at(step: int, steps: int) -> float:
    """Return the learning rate's share of its peak: warm-up, then half a cosine."""
    warm = min(1.0, (step + 1) / WARM_UP_STEPS)
    return warm * (LAST_RATE + (1.0 - LAST_RATE) * 0.5 * (1.0 + math.cos(math.pi * step / steps)))


def _make_optimiser(parameters: Parameters, settings: TrainingSettings, *, fused: bool) -> torch.optim.Optimizer:
    """AdamW (Loshchilov & Hutter 2019); biases, gains and positions do not decay."""
    decays = [value for name, value in parameters.items() if name.endswith(".w")]
    others = [value for name, value in parameters.items() if not name.endswith(".w")]
    groups = [{"params": decays, "weight_decay": WEIGHT_DECAY}, {"params": others, "weight_decay": 0.0}]
    return torch.optim.AdamW(groups, lr=settings.learning_rate, betas=(0.9, 0.98), fused=fused)


def _share_gradients(parameters: Parameters, world: int) -> None:
    """Average the gradients of all processes, in one message."""
    gradients = [value.grad for value in parameters.values()]
    flat = torch.cat([gradient.flatten() for gradient in gradients])
    torch.distributed.all_reduce(flat)
    flat /= world
    for gradient, mean in zip(gradients, flat.split([gradient.numel() for gradient in gradients]), strict=True):
        gradient.copy_(mean.view_as(gradient))


def write_weights(parameters: Parameters, out: Path) -> None:
    """Write weights as float16, names sorted."""
    arrays = {name: parameters[name].detach().float().cpu().numpy().astype(np.float16) for name in sorted(parameters)}
    np.savez_compressed(out, **arrays)  # type: ignore[arg-type]


def _say_nothing(_line: str) -> None:
    """Stay silent: only the first process speaks."""
