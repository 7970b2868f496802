"""Options that several commands share, and what they mean."""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from listen.errors import BadValueError, bad_value

if TYPE_CHECKING:
    from listen.evidence import TimeSpan
    from listen.instrument import Fretboard, Hand
    from listen.reading import GuitarProfile

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

NO_END_S = 1e6  # eleven days: no recording is longer

_CLOCK = re.compile(r"(?:(\d{1,3}):)?(\d{1,6}(?:\.\d{1,6})?)")


def parse_fretboard(tuning: str | None, capo_fret: int, *, n_frets: int | None = None) -> Fretboard:
    """Return the neck that the options describe: an instrument's usual one, or a guitar's with other strings."""
    from listen.document import load_settings
    from listen.instrument import Fretboard, load_instruments, parse_tuning

    parsed = parse_tuning(load_settings().tuning if tuning is None else tuning)
    usual = next((each for each in load_instruments() if each.tuning == parsed), None)
    board = Fretboard(parsed) if usual is None else usual.fretboard()
    return replace(board, n_frets=board.n_frets if n_frets is None else n_frets, capo_fret=capo_fret)


def find_guitar(name: str, tuning: str | None, capo_fret: int) -> tuple[GuitarProfile | None, Fretboard]:
    """Return the known guitar, if one is named, and the neck: the guitar's own tuning unless another is given."""
    from listen.document import load_guitar

    if not name:
        return None, parse_fretboard(tuning, capo_fret)
    guitar = load_guitar(name)
    board = parse_fretboard(guitar.tuning.text if tuning is None else tuning, capo_fret)
    if board.n_strings != guitar.tuning.n_strings:
        raise bad_value(
            "tuning",
            board.tuning.name,
            allowed=f"the {guitar.tuning.n_strings} strings that {guitar.name} has",
            remedy="Leave --tuning or --guitar out.",
        )
    return guitar, board


def parse_player(*, reach: str | None, thumb: bool | None, fingerpicked: bool | None) -> Hand:
    """Return the hand that the options describe, and the player's settings where they say nothing."""
    from listen.document import load_settings
    from listen.instrument import parse_hand

    kept = load_settings()
    picked = kept.fingerpicked if fingerpicked is None else fingerpicked
    return parse_hand(
        kept.reach if reach is None else reach,
        thumb=kept.thumb if thumb is None else thumb,
        picking="fingers" if picked else "pick",
    )


def is_left_handed(asked: bool | None) -> bool:
    """Return for whose hand the neck is drawn."""
    from listen.document import load_settings

    return load_settings().left_handed if asked is None else asked


def check_named(file: str) -> str:
    """Return the name of a file, which must not be empty: an empty path would mean the folder that one is in."""
    if not file.strip():
        raise BadValueError("FILE is empty: give the name of a recording.")
    return file


def parse_time(name: str, text: str) -> float:
    """Read seconds or minutes and seconds.

    Examples
    --------
    >>> parse_time("at", "4.2"), parse_time("from", "1:10")
    (4.2, 70.0)
    """
    match = _CLOCK.fullmatch(text.strip())
    if match is None:
        raise bad_value(name, text, allowed="seconds, or minutes and seconds", remedy="Write 4.2 or 1:10.")
    minutes, seconds = match.groups(default="0")
    return 60.0 * int(minutes) + float(seconds)


def parse_span(file: str, from_time: str, to_time: str, *, length_s: float = NO_END_S) -> TimeSpan | None:
    """Read which stretch of a recording is meant; None where neither end is given.

    Parameters
    ----------
    file : str
        The recording, which tells how long it is.
    from_time, to_time : str
        As they were typed; empty where they were not.
    length_s : float
        From the start on, where no end is given.

    Raises
    ------
    BadValueError
        The end is not after the start, or the start is not in the recording.
    """
    from listen.evidence import TimeSpan

    if not (from_time or to_time):
        return None
    start_s = parse_time("from", from_time or "0")
    if from_time:
        check_within("from", from_time, start_s, file)
    end_s = parse_time("to", to_time) if to_time else start_s + length_s
    if end_s <= start_s:
        after = f"a time after {from_time}, where --from is" if from_time else "a time after 0"
        raise bad_value("to", to_time, allowed=after)
    return TimeSpan(start_s, end_s)


def check_within(name: str, text: str, time_s: float, file: str) -> None:
    """Refuse a time that is not in a recording, and say how long it is."""
    from listen.audio import probe_recording

    duration_s = probe_recording(file).duration_s
    if duration_s is not None and time_s >= duration_s:
        minutes, seconds = divmod(duration_s, 60.0)
        raise bad_value(name, text, allowed=f"a time before the recording's end at {minutes:.0f}:{seconds:04.1f}")


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
        Files that the command reads: a recording is never replaced by what is made of it.
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
    try:
        is_read = path.is_file() and any(Path(read).is_file() and path.samefile(read) for read in reads)
    except OSError as error:  # a name that is too long
        raise DocumentError(f"{str(path)[:60]}… cannot be written: {error.strerror or error}.") from error
    if is_read:
        raise DocumentError(f"{path} is the file that is read and is never replaced; give another name.")
    if endings and path.suffix.lower() not in endings:
        remedy = f"Write {path.stem}{endings[0]}." if path.stem else ""
        raise bad_value(option, path, allowed=f"a file name that ends in {' or '.join(endings)}", remedy=remedy)
    if not overwrite and path.is_file() and sys.stdin.isatty() and sys.stderr.isatty():
        overwrite = typer.confirm(f"{path} is there already. Replace it?", err=True)
    check_writable(path, overwrite=overwrite)
    return overwrite
