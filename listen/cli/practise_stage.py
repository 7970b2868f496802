"""Where questions of ``listen practise`` are heard: this machine's sound card, or a folder of files."""

from __future__ import annotations

import select
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING

from listen.cli.console import print_lines, print_note
from listen.errors import bad_value, install_text

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]


def is_enter_pressed() -> bool:
    """Whether a line was typed since the last one was read; never where answers come from a file."""
    try:
        is_typed = sys.stdin.isatty() and bool(select.select([sys.stdin], [], [], 0.0)[0])
    except (OSError, ValueError):  # Windows asks so of sockets alone: there Ctrl-C goes on
        return False
    return is_typed and bool(sys.stdin.readline())


class PractiseStage:
    """Where questions are heard and answered: a terminal, with a sound card or a folder for the sounds."""

    def __init__(self, folder: Path | None, style: object, left_handed: bool | None) -> None:
        from listen.request import has_sound_card, is_left_handed

        self.style, self.left_handed = style, is_left_handed(left_handed)
        self.folder = folder
        if folder is not None:
            try:
                folder.mkdir(parents=True, exist_ok=True)
            except OSError as error:
                why = "a file has that name" if isinstance(error, FileExistsError) else error.strerror or str(error)
                remedy = f"This one could not be made: {why}."
                raise bad_value("sounds", str(folder), allowed="a folder", remedy=remedy) from error
        elif not has_sound_card():
            import tempfile

            self.folder = Path(tempfile.mkdtemp(prefix="listen-practise-"))
            print_note(
                f"No sound card is at hand: the sounds are written to {self.folder}; play them with any player. "
                f"To hear them at once you need PortAudio and an optional extra: {install_text('sound')}"
            )
        known = [] if self.folder is None else self.folder.glob("[0-9][0-9][0-9]*_*.wav")
        self._count = max((int(number) for path in known if (number := path.name.split("_")[0]).isdecimal()), default=0)

    def sound(self, samples: Samples, name: str) -> float:
        """Play samples to their end, or write them and say where; return for how long they will sound yet, in seconds.

        What is written takes as long to be heard as it lasts, whenever the player begins.
        """
        from listen.practice import RATE_HZ
        from listen.request import play_samples

        if self.folder is None:
            play_samples(samples, sample_rate_hz=RATE_HZ)
            return 0.0
        return self._write(samples, name)

    def explain(self, pieces: Mapping[str, Samples]) -> None:
        """Say what sounds in which order, and play it; Enter or Ctrl-C goes on with the next question."""
        from listen.practice import RATE_HZ
        from listen.request import join_pieces, play_samples

        order, samples = f"  You hear {', then '.join(pieces)}", join_pieces(pieces.values())
        if self.folder is not None:
            print_lines([f"{order}:"])
            self._write(samples, "answer")
            return
        print_lines([f"{order}. Enter goes on."])
        try:
            play_samples(samples, sample_rate_hz=RATE_HZ, is_skipped=is_enter_pressed)
        except KeyboardInterrupt:
            print_lines([""])

    def _write(self, samples: Samples, name: str) -> float:
        from listen.document import write_file
        from listen.export import samples_to_wav
        from listen.practice import RATE_HZ

        assert self.folder is not None  # noqa: S101 - where there is none, sounds are played
        self._count += 1
        path = self.folder / f"{self._count:03d}_{name}.wav"
        write_file(path, samples_to_wav(samples, sample_rate_hz=RATE_HZ))
        print_lines([f"  {path}"])
        return len(samples) / RATE_HZ
