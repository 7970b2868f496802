"""Where ``listen part`` puts a part: on the terminal, and into files by their endings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING

from listen.cli.console import bug_sentence, print_error, print_lines, print_note, print_pieces
from listen.errors import ListenError

if TYPE_CHECKING:
    from listen.export import NameStyle, SheetSound, TextStyle
    from listen.reading import Part

LONGEST_SOUND_S = 3000.0  # more does not fit a page (MOST_SOUND_BYTES), so that it need not be rendered


def print_part(
    part: Part, *, style: TextStyle, names: NameStyle, as_json: bool, full: bool, tablature: bool
) -> ListenError | BrokenPipeError | None:
    """Print the document, the tablature or the chart.

    Returns
    -------
    ListenError, BrokenPipeError or None
        Why it could not be printed, to be raised once the part is in its files.
    """
    try:
        _print(part, style=style, names=names, as_json=as_json, full=full, tablature=tablature)
    except (ListenError, BrokenPipeError) as error:
        return error
    return None


def _print(part: Part, *, style: TextStyle, names: NameStyle, as_json: bool, full: bool, tablature: bool) -> None:
    from listen.export import ChartView, render_chart, render_tablature

    if as_json:
        from listen.document import render_part_pieces

        print_pieces(render_part_pieces(part))
        return
    if tablature:
        text = render_tablature(part, style=style, names=names)
    else:
        text = render_chart(part, style=style, view=ChartView("full" if full else "plain", names))
    print_lines([text.rstrip("\n")])


def write_outputs(
    part: Part, file: str, outputs: Sequence[tuple[Path, bool]], *, names: NameStyle, left_handed: bool
) -> bool:
    """Write each file in the form that its ending names; one that fails is one line, and the others are written.

    Returns
    -------
    bool
        Whether all of them were written.
    """
    from listen.document import write_file, write_part

    n_failed = 0
    for path, overwrite in outputs:
        try:
            if path.suffix.lower() == ".json":
                write_part(part, path, overwrite=overwrite)
            else:
                write_file(path, _render(part, file, path.suffix.lower(), names, left_handed), overwrite=overwrite)
        except (ListenError, OSError, MemoryError) as error:
            n_failed += 1
            print_error(str(error) if str(path) in str(error) else f"{path} was not written: {error}")
        except Exception as error:  # (a bug of ours in one form must not lose the others)
            n_failed += 1
            print_error(f"{path} was not written: {bug_sentence(error)}")
        else:
            print_note(f"{path} was written.")
    return n_failed == 0


def _render(part: Part, file: str, suffix: str, names: NameStyle, left_handed: bool) -> str | bytes:
    from listen import export

    plain: dict[str, Callable[[Part], str | bytes]] = {
        ".musicxml": export.render_musicxml,
        ".mid": export.render_midi,
        ".csv": export.render_csv,
        ".lab": export.render_labels,
    }
    if suffix in plain:
        return plain[suffix](part)
    if suffix == ".tab":
        return export.render_tablature(part, names=names)
    if suffix == ".svg":
        return export.render_part_boxes(part, names=names, left_handed=left_handed)
    return export.render_part_sheet(part, sound=_load_sound(part, file), names=names, left_handed=left_handed)


def _load_sound(part: Part, file: str) -> SheetSound:
    """Load the recording for the page's player, the part on strings beside it."""
    from dataclasses import replace

    from listen.cli.part_written import find_recording
    from listen.evidence import TimeSpan
    from listen.export import (
        MOST_SOUND_BYTES,
        SHEET_RATE_HZ,
        SheetSound,
        compress,
        keep_track,
        lay_tracks,
        stream_beside,
        stream_part,
    )

    shown = replace(part, span=TimeSpan(part.span.start_s, min(part.span.end_s, part.span.start_s + LONGEST_SOUND_S)))
    sounds = [stream_part(shown, sample_rate_hz=SHEET_RATE_HZ)]
    path = find_recording(file, part)
    if path is not None:  # else a part that was written before, and its recording is elsewhere
        sounds.insert(0, stream_beside(path, shown, sample_rate_hz=SHEET_RATE_HZ))
    with ExitStack() as stack:
        tracks = [stack.enter_context(keep_track(sound)) for sound in sounds]
        mp3, cut_s = compress(
            lay_tracks(tracks), n_channels=len(tracks), sample_rate_hz=SHEET_RATE_HZ, most_bytes=MOST_SOUND_BYTES
        )
    if cut_s is None and shown.span != part.span:
        cut_s = LONGEST_SOUND_S
    return SheetSound(mp3, is_beside=len(tracks) == 2, cut_s=cut_s)
