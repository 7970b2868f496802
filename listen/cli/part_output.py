"""Where ``listen part`` puts a part: on the terminal, and into files by their endings."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from listen.cli.console import print_lines, print_pieces
from listen.cli.each_output import write_each
from listen.cli.options import check_once, check_output
from listen.errors import BadValueError, ListenError, bad_value

if TYPE_CHECKING:
    from listen.export import NameStyle, TextStyle
    from listen.reading import Part

SUFFIXES = (".json", ".html", ".musicxml", ".mid", ".csv", ".lab", ".chart", ".tab", ".svg")


def check_outputs(
    outputs: Sequence[Path], *, overwrite: bool, reads: Sequence[Path | str] = ()
) -> list[tuple[Path, bool]]:
    """Say before the work what cannot be written; return each file with whether it may be replaced.

    A part may take the place of the document that it was read from: all that is in that is in it, too.
    """
    check_once(outputs)
    for path in outputs:
        if path.suffix.lower() not in SUFFIXES:
            raise bad_value("output", path, allowed=f"a file name that ends in {', '.join(SUFFIXES)}")
    other = [one for one in reads if Path(one).suffix.lower() != ".json"]
    return [
        (path, check_output(path, overwrite=overwrite, reads=other if path.suffix.lower() == ".json" else reads))
        for path in outputs
    ]


def check_printed(*, as_json: bool, full: bool, tablature: bool) -> None:
    """Refuse two forms at once: one is printed, and the others would go unsaid.

    Raises
    ------
    BadValueError
    """
    asked = [name for name, is_asked in (("json", as_json), ("tablature", tablature), ("full", full)) if is_asked]
    if len(asked) > 1:
        raise BadValueError(
            f"--{asked[0]} and --{asked[1]} exclude each other: a part is printed in one form. Give one of them; "
            "-o writes other forms beside it."
        )


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
    from listen.request import render_part_file

    def write(path: Path, overwrite: bool) -> None:
        suffix = path.suffix.lower()
        if suffix == ".json":
            write_part(part, path, overwrite=overwrite)
            return
        content = render_part_file(part, file, suffix, names=names, left_handed=left_handed)
        write_file(path, content, overwrite=overwrite)

    written = [write_each(path, partial(write, path, overwrite)) for path, overwrite in outputs]
    return all(written)
