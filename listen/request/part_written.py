"""A part that was written before, in place of a recording: read from its document, not heard again."""

from __future__ import annotations

from pathlib import Path

from listen.document import load_part
from listen.errors import BadValueError
from listen.reading import Part
from listen.request.part_asked import PartAsked


def is_written(file: str) -> bool:
    """Whether a file is named as a part document is."""
    return Path(file).suffix.lower() == ".json"


def read_written(file: str, asked: PartAsked, *, other_options: tuple[object, ...]) -> Part:
    """Read a part document.

    Parameters
    ----------
    file : str
    asked : PartAsked
    other_options : tuple
        Values of the options that make sense for a recording only; falsy where they were not given.

    Raises
    ------
    DocumentError
        The document cannot be read.
    BadValueError
        An option asks for the recording to be heard again.
    """
    settled = (
        asked.tuning,
        asked.capo,
        asked.key,
        asked.metre,
        asked.tempo,
        asked.bar_one,
        *asked.bar_lines,
        *asked.pins,
        *asked.names,
        *asked.said,
    )
    if any(value is not None for value in settled) or any(other_options):
        raise BadValueError(
            f"{file} is a part that was written before: it is shown as it stands. To settle something in it or to read "
            f"another stretch, give its recording, with --keep {file}."
        )
    return load_part(file)


def find_recording(file: str, part: Part) -> Path | None:
    """Return the recording of a part: what was given, or the file of its name beside the document, if it is there."""
    if not is_written(file):
        return Path(file)
    beside = Path(file).parent / Path(part.recording.file).name
    try:
        return beside if part.recording.file and beside.is_file() else None
    except OSError:  # a name that is too long for this file system
        return None
