"""`python -m listen.training`: train the ear."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from listen.training.settings import TrainingSettings
from listen.training.train import train_ear

DEFAULT_BOOK = Path("tests/data/chords-db/guitar.json")


def main() -> None:
    """Read the command line and train."""
    usual = TrainingSettings()
    parser = argparse.ArgumentParser(prog="python -m listen.training", description="Train the ear on simulated strums.")
    parser.add_argument("--out", type=Path, required=True, help="where the weights go (.npz)")
    parser.add_argument("--book", type=Path, default=DEFAULT_BOOK, help="chord shapes (JSON)")
    parser.add_argument("--resume", type=Path, help="what an earlier run with as many channels and blocks left (.pt)")
    parser.add_argument("--stop-at", type=int, help="stop after this step, to go on later")
    for name in ("steps", "batch", "drawn", "seed", "width", "trunk_blocks", "place_blocks"):
        parser.add_argument(f"--{name.replace('_', '-')}", type=int, default=getattr(usual, name))
    parser.add_argument("--learning-rate", type=float, default=usual.learning_rate)
    parser.add_argument("--no-cut", action="store_true", help="let windows run on past the next strum (ablation)")
    parser.add_argument("--place-on-book", action="store_true", help="teach places on chord-book shapes too (ablation)")
    parser.add_argument("--apart", action="store_true", help="keep what places teach out of the trunk (ablation)")
    for name in ("book", "refingered", "overdriven", "context", "cut"):
        parser.add_argument(f"--share-{name}", type=float, default=getattr(usual.scene, name))
    given = parser.parse_args()
    scene = replace(
        usual.scene,
        book=given.share_book,
        refingered=given.share_refingered,
        overdriven=given.share_overdriven,
        context=given.share_context,
        cut=given.share_cut,
    )
    settings = TrainingSettings(
        steps=given.steps,
        batch=given.batch,
        drawn=given.drawn,
        learning_rate=given.learning_rate,
        seed=given.seed,
        width=given.width,
        trunk_blocks=given.trunk_blocks,
        place_blocks=given.place_blocks,
        cut_windows=not given.no_cut,
        place_on_book=given.place_on_book,
        apart=given.apart,
        scene=scene,
    )
    train_ear(settings, given.book, out=given.out, resumed=given.resume, stop_at=given.stop_at)


if __name__ == "__main__":
    main()
