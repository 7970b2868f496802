"""The book without the shapes that the open data lists for some roots, for honest rows of a benchmark."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from unittest.mock import patch

from listen.theory import Note
from listen.voicing import book
from listen.voicing.book_tables import Table
from tests.regenerate_book import render_book


@contextmanager
def use_book_without(roots: frozenset[int]) -> Iterator[None]:
    """Read from the book as it would stand had the data not held these roots (pitch classes)."""
    with patch.object(book, "_load_book", lambda *, partial: _load(roots, partial=partial)):
        yield


@cache
def _load(roots: frozenset[int], *, partial: bool) -> tuple[Table, Table]:
    return book.read_book(render_book(leave_out=lambda key: Note.parse(key).pitch_class in roots), partial=partial)
