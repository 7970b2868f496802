"""Part documents on disk: read whole or not at all, and never written over a person's work.

What a person settled (pins and corrections) is carried from one reading of a recording to the next by
:func:`carry_over`. As a last guard :func:`write_part` refuses to replace a part document that holds a pin or a
correction which the new part lacks, one that was written by a newer version, and one that is damaged.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path

from listen.document.event_numbers import follow_events, list_numbers, renumber
from listen.document.format import read_document, update_document
from listen.document.part_document import document_to_part, render_part_pieces
from listen.document.write import check_writable, write_file
from listen.errors import DocumentError
from listen.reading import Correction, Part, Pin

_HEAD_BYTES = 400  # the format stands in the first line or two
_FIRST_BEAT = Fraction(1)


def load_part(path: Path | str) -> Part:
    """Read a part document.

    Raises
    ------
    DocumentError
        It cannot be read, is truncated, of another kind or a newer version, or holds a wrong value: one sentence.
    """
    return document_to_part(read_document(path, kind="part"), name=str(path))


def parse_part(document: object, *, name: str) -> Part:
    """Convert a parsed part document of any version that this program knows.

    Raises
    ------
    DocumentError
        See :func:`load_part`.
    """
    return document_to_part(update_document(document, kind="part", name=name), name=name)


def write_part(part: Part, path: Path | str, *, overwrite: bool = False) -> Path:
    """Write a part document atomically.

    Raises
    ------
    DocumentError
        The file is there and may not be replaced; or it holds work that would be lost (see the module).
    """
    path = Path(path)
    check_writable(path, overwrite=overwrite)
    if path.exists():
        _refuse_loss(path, part)
    return write_file(path, render_part_pieces(part), overwrite=overwrite)


def carry_over(
    previous: Part, *, pins: Iterable[Pin] = (), corrections: Iterable[Correction] = ()
) -> tuple[tuple[Pin, ...], tuple[Correction, ...]]:
    """Join what a person settled before with what is settled now.

    Parameters
    ----------
    previous : Part
        From an earlier reading of the same recording; its numbers of events are those of now.
    pins, corrections : iterable
        Given now: each takes the place of an earlier one for the same event, beat or subject.

    Returns
    -------
    tuple of Pin, tuple of Correction
        The earlier ones first.
    """
    pins, corrections = tuple(pins), tuple(corrections)
    pinned, corrected = {_told_place(pin) for pin in pins}, {_subject(one) for one in corrections}
    kept_pins = tuple(pin for pin in previous.settled.pins if _told_place(pin) not in pinned)
    kept_corrections = tuple(one for one in previous.settled.corrections if _subject(one) not in corrected)
    return kept_pins + pins, kept_corrections + corrections


def _told_place(told: Pin | Correction) -> tuple[str, int | None, Fraction]:
    return ("event", told.event_number, _FIRST_BEAT) if told.bar is None else ("bar", told.bar, told.beat)


def _subject(correction: Correction) -> tuple[str, object]:
    return correction.what, _told_place(correction)


def _refuse_loss(path: Path, part: Part) -> None:
    with path.open("rb") as stream:
        if b'"listen.part/' not in stream.read(_HEAD_BYTES):
            return  # no part: the user said that it may be replaced
    try:
        before = load_part(path)
    except DocumentError as error:
        raise DocumentError(f"{error} It was left as it is: it may hold pins or corrections.") from error
    pinned, corrected = (
        {_told_place(pin) for pin in part.settled.pins},
        {_subject(one) for one in part.settled.corrections},
    )
    pins, corrections = before.settled.pins, before.settled.corrections
    numbers = follow_events(before, part, list_numbers((*pins, *corrections)))  # where it was heard anew
    lost = [
        f"pin {pin.text}"
        for pin, placed in zip(pins, renumber(pins, numbers), strict=True)
        if pinned.isdisjoint((_told_place(pin), _told_place(placed)))
    ]
    lost += [
        f"{one.what} {one.value}"
        for one, placed in zip(corrections, renumber(corrections, numbers), strict=True)
        if corrected.isdisjoint((_subject(one), _subject(placed)))
    ]
    if lost:
        more = f" and {len(lost) - 3} more" if len(lost) > 3 else ""
        raise DocumentError(
            f"{path} holds what you settled before and this part does not ({', '.join(lost[:3])}{more}); it was left "
            "as it is. Carry it over, or write under another name."
        )
