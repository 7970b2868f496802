"""Symbols against the tables of two theory libraries: every disagreement is decided, with a reason.

Sources: the npm package ``@tonaljs/chord-type`` 5.2.0 (MIT) and ``music21.harmony.CHORD_TYPES`` (BSD); see
``tests/data/chord_symbols/README.md`` for what *agrees* means.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from music21.harmony import CHORD_TYPES

from listen.theory import ChordSymbolError, Interval, parse_chord

_DATA = Path(__file__).parents[1] / "data" / "chord_symbols"
_PERFECT_DEGREES = (1, 4, 5)


def _read_rows(name: str) -> list[list[str]]:
    lines = (_DATA / name).read_text(encoding="utf-8").splitlines()
    return [line.split("\t") for line in lines if not line.startswith("# ")]


def _read_tonal_interval(text: str) -> Interval:
    """Read ``3m``, ``5A``, ``7d``: a degree, then perfect, major, minor, augmented or diminished."""
    degree, kind = int(text[:-1]), text[-1]
    is_perfect = (degree - 1) % 7 + 1 in _PERFECT_DEGREES
    return Interval(degree, {"P": 0, "M": 0, "m": -1, "A": 1, "d": -1 if is_perfect else -2}[kind])


def list_theirs() -> Iterator[tuple[str, str, tuple[Interval, ...]]]:
    """List source, symbol and tones of both tables."""
    for intervals, _, symbols in _read_rows("tonal_chord_type.tsv"):
        tones = tuple(map(_read_tonal_interval, intervals.split()))
        yield from (("tonal", symbol, tones) for symbol in symbols.split(" "))
    for degrees, spellings in CHORD_TYPES.values():
        tones = tuple(Interval.parse(degree.replace("-", "b")) for degree in str(degrees).split(","))
        yield from (("music21", symbol, tones) for symbol in spellings)


def compare(symbol: str, theirs: tuple[Interval, ...]) -> str | None:
    """Say how a symbol is read here where theirs is no voicing of it; None where the two agree."""
    try:
        quality = parse_chord(f"C{symbol}").quality
    except ChordSymbolError:
        return "refused"
    root = parse_chord(f"C{symbol}").root.pitch_class  # the flat of Cb9sus is the root's
    sounding = {tone.pitch_class for tone in theirs}
    all_tones = {(root + tone.pitch_class) % 12 for tone in quality.tones}
    needed = {(root + tone.pitch_class) % 12 for tone in quality.required}
    return None if needed <= sounding <= all_tones else " ".join(map(str, quality.tones))


def test_every_disagreement_with_another_librarys_symbols_is_decided() -> None:
    decided = {(source, symbol): read for source, symbol, read, reason in _read_rows("decisions.tsv") if reason}
    theirs = list(list_theirs())
    found = {(source, symbol): read for source, symbol, tones in theirs if (read := compare(symbol, tones)) is not None}
    assert len(theirs) > 300
    assert found == decided
