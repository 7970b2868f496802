"""Where ``listen part`` puts a part: on the terminal, and into files by their endings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from listen.cli.console import print_lines, print_note, print_pieces

if TYPE_CHECKING:
    from listen.export import NameStyle, SheetSound, TextStyle
    from listen.reading import Part


def print_part(part: Part, *, style: TextStyle, names: NameStyle, as_json: bool, full: bool, tablature: bool) -> None:
    """Print the document, the tablature or the chart."""
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
) -> None:
    """Write each file in the form that its ending names."""
    from listen.document import write_file, write_part

    for path, overwrite in outputs:
        if path.suffix.lower() == ".json":
            write_part(part, path, overwrite=overwrite)
        else:
            write_file(path, _render(part, file, path.suffix.lower(), names, left_handed), overwrite=overwrite)
        print_note(f"{path} was written.")


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
    """Load the recording for the page's player, the part on strings beside it; of a long one its beginning."""
    from dataclasses import replace

    from listen.cli.part_written import find_recording
    from listen.evidence import TimeSpan
    from listen.export import LONGEST_SOUND_S, SHEET_RATE_HZ, SheetSound, lay_beside, load_beside, render_part

    shown = replace(part, span=TimeSpan(part.span.start_s, min(part.span.end_s, part.span.start_s + LONGEST_SOUND_S)))
    rendered = render_part(shown, sample_rate_hz=SHEET_RATE_HZ)
    path = find_recording(file, part)
    if path is None:  # a part that was written before, and its recording is elsewhere
        return SheetSound(rendered, SHEET_RATE_HZ)
    recording = load_beside(path, shown, sample_rate_hz=SHEET_RATE_HZ)
    return SheetSound(lay_beside(recording, rendered), SHEET_RATE_HZ)
