"""Pages: self-contained HTML, filled from a template of this room.

Everything that comes from outside (file names, errors, tunings) is escaped by the template engine; only drawings made
here are passed as they are. A page loads nothing: its policy forbids it, styles and sounds are inside.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Any

from listen.export.markup import legible

if TYPE_CHECKING:
    from jinja2 import Environment


@cache
def _environment() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined

    return Environment(
        loader=PackageLoader("listen.export", "templates"),
        autoescape=True,
        finalize=_finalized,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )


def _finalized(value: Any) -> Any:
    """Return what a template prints: texts from outside without control characters, drawings as they are."""
    return legible(value) if type(value) is str else value


def render_page(template: str, content: Mapping[str, Any]) -> str:
    """Fill a template of ``listen/export/templates``.

    Parameters
    ----------
    template : str
        File name, e.g. ``"strum.html.j2"``.
    content : mapping
        What the template names; text is escaped, drawings come as :func:`as_drawing` made them.

    Returns
    -------
    str
        A whole HTML document.
    """
    return _environment().get_template(template).render(**content)


def render_sheet_style() -> str:
    """Return the style of sheets, for a page that shows what :func:`render_page` fills into its own."""
    from importlib.resources import files

    folder = files("listen.export").joinpath("templates")
    names = ("page.css", "part.css", "class_table.css", "bars.css", "homework.css")
    return "\n".join(folder.joinpath(name).read_text("utf-8") for name in names)


def as_drawing(svg: str) -> Any:
    """Mark an SVG element that was made by this room as safe to put in a page as it is."""
    from markupsafe import Markup

    return Markup(svg)  # noqa: S704  (made by listen.export.svg, which escapes every text)
