"""``listen play PART``: hear a part that was read, on strings, with a click or beside its recording."""

from __future__ import annotations

from contextlib import ExitStack
from pathlib import Path
from typing import Annotated

import typer

from listen.cli.command import Command
from listen.cli.console import print_note
from listen.cli.options import OverwriteOption, check_output, refuse_recording

CAUTION = (
    "Begin with the volume low, above all on headphones, and take breaks in long practice; if playing hurts, stop, and "
    "ask a teacher or a clinician when it stays."
)


def add_to(app: typer.Typer) -> None:
    """Register the command."""
    app.command("play", cls=Command, short_help="Hear a part on plucked strings.")(play)


def play(
    *,
    part: Annotated[Path, typer.Argument(metavar="PART.json", help="A part that listen part wrote.")],
    output: Annotated[Path, typer.Option("--output", "-o", metavar="OUT.wav", help="Where to write the sound.")],
    click: Annotated[bool, typer.Option("--click", help="Click on every beat, higher on the first of a bar.")] = False,
    beside: Annotated[
        Path | None,
        typer.Option(metavar="RECORDING", help="Put the recording on the left channel, the part on the right."),
    ] = None,
    guitar: Annotated[str, typer.Option(metavar="KIND", help="steel, nylon or electric strings.")] = "steel",
    overwrite: OverwriteOption = False,
) -> None:
    """Render a part with plucked strings to a sound file."""
    from listen.document import load_part, write_file
    from listen.export import PLAY_RATE_HZ, keep_track, lay_tracks, stream_beside, stream_part, wav_pieces

    reads = [part, *([] if beside is None else [beside])]
    overwrite = check_output(output, overwrite=overwrite, reads=reads, endings=(".wav",))
    read = load_part(part)
    refuse_recording(output, read.recording.file)
    sounds = [stream_part(read, click=click, guitar=guitar)]
    if beside is not None:
        sounds.insert(0, stream_beside(beside, read))
    with ExitStack() as stack:
        tracks = [stack.enter_context(keep_track(sound)) for sound in sounds]
        pieces = wav_pieces(
            lay_tracks(tracks),
            n_frames=max(track.n_samples for track in tracks),
            n_channels=len(tracks),
            sample_rate_hz=PLAY_RATE_HZ,
        )
        write_file(output, pieces, overwrite=overwrite)
    print_note(f"{output} was written. {CAUTION}")
