"""A file that its decoder cannot read, or not on from some place: one sentence, whichever decoder it is."""

from __future__ import annotations

from pathlib import Path

from listen.audio.sniff import Container
from listen.errors import RecordingError


class BrokenFileError(RecordingError):
    """A file cannot be decoded, or not on from some place."""

    def __init__(self, path: Path, container: Container) -> None:
        kind = f"{container.article} {container.name} file"
        super().__init__(f"{path} begins as {kind} but is broken or cut off: copy or export the recording again.")
