"""`python -m listen.training.strokes`: train the network that finds strokes.

    python -m listen.training.strokes --out /tmp/strokes.npz --recordings DIR --soundfont A.sf2 B.sf2 --scenes 6000

Scenes are made side by side by ``--processes``, each best on one core (``OMP_NUM_THREADS=1`` where steps run on a GPU).
Recorded takes of a person strumming need two runs: the first without takes, the second with
``--takes DIR --aligned-by`` the weights of the first.
"""

from __future__ import annotations

import argparse
from functools import partial
from pathlib import Path

import numpy as np

from listen.errors import ListenError, bad_value
from listen.training.network import Parameters
from listen.training.note_sources import gather_bank
from listen.training.settings import StrokeTrainingSettings
from listen.training.stroke_examples import SceneSource
from listen.training.stroke_network import load_stroke_parameters
from listen.training.stroke_scores import find_onsets
from listen.training.stroke_takes import RecordedTake, read_recorded_takes
from listen.training.stroke_train import train_strokes


def main(words: list[str] | None = None) -> None:
    """Read the command line and train."""
    parser = _make_parser()
    given = parser.parse_args(words)
    try:
        settings = StrokeTrainingSettings(
            scenes=given.scenes,
            steps=given.steps,
            seconds=given.seconds,
            batch=given.batch,
            learning_rate=given.learning_rate,
            width=given.width,
            seed=given.seed,
            processes=given.processes,
        )
        if not given.out.parent.is_dir():
            raise bad_value("out", given.out, allowed="a file in a folder that is there")
        takes = _read_takes(given.takes, given.aligned_by)
        bank = gather_bank(given.recordings, given.soundfont, given.speech, seed=settings.seed)
        train_strokes(settings, SceneSource(bank, takes, settings.seed), out=given.out)
    except ListenError as error:
        parser.error(str(error))


def _make_parser() -> argparse.ArgumentParser:
    usual = StrokeTrainingSettings()
    parser = argparse.ArgumentParser(
        prog="python -m listen.training.strokes",
        description="Train the network that finds strokes on scenes that are mixed from single notes.",
    )
    parser.add_argument("--out", type=Path, required=True, help="where the weights go (.npz)")
    parser.add_argument("--recordings", type=Path, help="a folder of recorded notes with its manifest.json")
    parser.add_argument("--soundfont", type=Path, nargs="+", default=[], help="General MIDI (.sf2); needs fluidsynth")
    parser.add_argument("--speech", type=Path, help="a folder of sound files of speech; without it a voice is drawn")
    parser.add_argument("--takes", type=Path, help="a folder of recorded takes; needs --aligned-by")
    parser.add_argument("--aligned-by", type=Path, help="weights of an earlier run, to find the takes' strokes (.npz)")
    parser.add_argument("--seconds", type=float, help="end sooner than the steps are done")
    parser.add_argument("--learning-rate", type=float, default=usual.learning_rate)
    for name in ("scenes", "steps", "batch", "width", "seed", "processes"):
        parser.add_argument(f"--{name}", type=int, default=getattr(usual, name))
    return parser


def _read_takes(folder: Path | None, aligned_by: Path | None) -> tuple[RecordedTake, ...]:
    if folder is None and aligned_by is None:
        return ()
    if folder is None or aligned_by is None:
        raise bad_value(
            "takes", folder, allowed="a folder, together with --aligned-by", remedy="First train without takes."
        )
    return read_recorded_takes(folder, partial(find_onsets, _load_weights(aligned_by)))


def _load_weights(path: Path) -> Parameters:
    try:
        with np.load(path, allow_pickle=False) as weights:
            return load_stroke_parameters(weights)
    except (OSError, ValueError) as error:
        raise bad_value("aligned-by", path, allowed="the weights of an earlier run (.npz)") from error


if __name__ == "__main__":
    main()
