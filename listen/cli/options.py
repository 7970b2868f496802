"""Options that several commands share, and what they mean."""

from __future__ import annotations

import os
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from listen.errors import BadValueError, bad_value

TuningOption = Annotated[
    str | None,
    typer.Option(
        metavar="TUNING", help='A name such as "drop D", or the open strings, sixth first: "D2 A2 D3 G3 B3 E4".'
    ),
]
CapoOption = Annotated[int, typer.Option(metavar="FRET", help="Where the capo sits, counted from the nut; 0 for none.")]
ReachOption = Annotated[str | None, typer.Option(metavar="small|usual|wide|MM", help="How far the hand reaches.")]
ThumbOption = Annotated[
    bool | None, typer.Option("--thumb/--no-thumb", help="Whether the thumb may come over the neck.")
]
FingerpickedOption = Annotated[
    bool | None,
    typer.Option("--fingerpicked/--with-pick", help="With fingers, strings that are left out cost nothing."),
]
LeftHandedOption = Annotated[
    bool | None, typer.Option("--left-handed/--right-handed", help="For whose hand the neck is drawn.")
]
GuitarOption = Annotated[
    str, typer.Option(metavar="NAME", help="The guitar that was played, if 'listen guitar add' has learnt it.")
]
AsciiOption = Annotated[bool, typer.Option("--ascii", help="Draw with plain letters only.")]
WordsOption = Annotated[
    bool, typer.Option("--words", help="Tell the shapes in words in place of pictures, for a screen reader.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print a JSON document instead of text.")]
OverwriteOption = Annotated[bool, typer.Option("--overwrite", help="Replace a file that is there already.")]


def check_named(file: str) -> str:
    """Return the name of a file, which must not be empty: an empty path would mean the folder that one is in."""
    if not file.strip():
        raise BadValueError("FILE is empty: give the name of a recording.")
    return file


def refuse_recording(output: Path, source: str) -> None:
    """Refuse to write a rendering over the recording that a part was read from, wherever it lies.

    Raises
    ------
    DocumentError
    """
    from listen.errors import DocumentError

    name = source.replace("\\", "/").rsplit("/", maxsplit=1)[-1]
    if output.exists() and Path(os.path.realpath(output)).name.casefold() == name.casefold():
        raise DocumentError(f"{output} is the recording that the part was read from and is never replaced.")


def check_once(outputs: Sequence[Path]) -> None:
    """Refuse a file that is to be written twice, however it is spelled.

    Raises
    ------
    BadValueError
    """
    places = [os.path.realpath(path) for path in outputs]
    for number, path in enumerate(outputs):
        if places[number] in places[:number]:
            raise bad_value("output", path, allowed="each file once")


def _is_same_file(path: Path, read: Path | str) -> bool:
    try:
        return path.is_file() and path.samefile(read)
    except (OSError, ValueError):  # not there, or no name of a file
        return False


def check_output(
    path: Path | None,
    *,
    overwrite: bool,
    reads: Sequence[Path | str] = (),
    endings: Sequence[str] = (),
    option: str = "output",
) -> bool:
    """Say before the work whether a file may be written; on a terminal, ask whether to replace one that is there.

    Parameters
    ----------
    path : Path or None
    overwrite : bool
        Whether a file that is there may be replaced.
    reads : sequence of Path or str
        Files that the command reads, and words that may name one: none is ever replaced by what is made of it.
    endings : sequence of str
        What the name may end in; anything where none is given.
    option : str
        That names the file.

    Returns
    -------
    bool
        Whether the file may be replaced.

    Raises
    ------
    BadValueError
        The name has another ending.
    DocumentError
        The file may not or cannot be written, or it is one of those that are read.
    """
    import sys

    from listen.document import check_writable
    from listen.errors import DocumentError

    if path is None:
        return overwrite
    if any(_is_same_file(path, read) for read in reads):
        raise DocumentError(f"{path} is the file that is read and is never replaced; give another name.")
    if endings and path.suffix.lower() not in endings:
        remedy = f"Write {path.stem}{endings[0]}." if path.stem else ""
        raise bad_value(option, path, allowed=f"a file name that ends in {' or '.join(endings)}", remedy=remedy)
    if not overwrite and path.is_file() and sys.stdin.isatty() and sys.stderr.isatty():
        overwrite = typer.confirm(f"{path} is there already. Replace it?", err=True)
    check_writable(path, overwrite=overwrite)
    return overwrite
