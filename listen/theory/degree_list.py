"""Chords told by their degrees: a named quality where one has those tones, otherwise one made to measure."""

from __future__ import annotations

from collections.abc import Iterable

from listen.theory.chord import ChordQuality
from listen.theory.interval import Interval
from listen.theory.optional_tones import find_optional
from listen.theory.qualities import QUALITIES, find_quality_of_tones, tone_key

_MOST_CHANGES = 3  # beyond three added or omitted tones a degree list is easier to read than a symbol
_ROOT = Interval(1)
_UP_AN_OCTAVE = {2: 9, 4: 11}
_SHORTHAND_TONES = {
    quality.harte: quality.tones for quality in QUALITIES if "(" not in quality.harte and not quality.members
}
_EXTENDED = ("13", "maj13", "m13", "11", "maj11", "m11", "9", "maj9", "m9", "7")
_ALTERABLE = tuple(quality for quality in QUALITIES if quality.symbol in _EXTENDED)
_ALTERED_DEGREES = (5, 9, 11, 13)
_NEAR_KEYS = tuple(
    (quality, tone_key(quality.tones)) for quality in QUALITIES if len(quality.tones) > 2 and not quality.members
)


def _with_octaves(tones: Iterable[Interval]) -> tuple[Interval, ...]:
    """Order the tones from the root up, each once; beside a third, a second is a ninth and a fourth an eleventh."""
    unique = {_ROOT, *tones}
    if any(tone.degree == 3 for tone in unique):
        unique = {Interval(_UP_AN_OCTAVE.get(tone.degree, tone.degree), tone.alteration) for tone in unique}
    return tuple(sorted(unique, key=lambda tone: (tone.degree, tone.alteration)))


def degrees_to_quality(tones: Iterable[Interval]) -> ChordQuality:
    """Return the quality with exactly these tones over a root.

    Parameters
    ----------
    tones : iterable of Interval
        In any order; the root is understood.

    Returns
    -------
    ChordQuality
        A named one where one has exactly those tones. Otherwise one of its own, with the tones that may go by the
        rules of :mod:`listen.theory.optional_tones`, called after the nearest named quality (``"6/9(no5)"``), or by
        its degrees where none is near.

    Examples
    --------
    >>> def degrees(text):
    ...     return degrees_to_quality(Interval.parse(degree) for degree in text.split())
    >>> degrees("1 b3 5 b7").symbol, degrees("1 3 6 9").symbol, degrees("1 3 6 9").harte, degrees("1 b2 4 #5").symbol
    ('m7', '6/9(no5)', 'maj6(9,*5)', '(1,b2,4,#5)')
    """
    wanted = _with_octaves(tones)
    named = find_quality_of_tones(wanted)
    if named is not None:
        return named
    symbol = _altered_symbol(wanted) or _nearest_symbol(wanted) or f"({','.join(map(str, wanted))})"
    return ChordQuality(
        f"tones {' '.join(map(str, wanted))}", symbol, tones_to_harte(wanted), wanted, find_optional(wanted)
    )


def _altered_symbol(wanted: tuple[Interval, ...]) -> str | None:
    """Write the tones as a seventh or an extension with altered tones: ``13#5``, ``7(b9,#11,b13)``."""
    best: tuple[int, int, str] | None = None
    plain = {tone.degree for tone in wanted if not tone.alteration}
    for place, base in enumerate(_ALTERABLE):
        altered = [tone for tone in wanted if tone not in base.tones]
        gone = {tone.degree for tone in base.tones if tone not in wanted}
        if not altered or not all(tone.alteration and tone.degree in _ALTERED_DEGREES for tone in altered):
            continue
        if not gone <= {tone.degree for tone in altered} or gone - {5, 9, 11}:
            continue
        if plain & {tone.degree for tone in altered}:  # m9(b9) would be read without its natural ninth
            continue
        texts = list(map(str, altered))
        symbol = f"{base.symbol}{texts[0]}" if len(texts) == 1 else f"{base.symbol}({','.join(texts)})"
        if best is None or (len(altered), place) < best[:2]:
            best = (len(altered), place, symbol)
    return None if best is None else best[2]


def _nearest_symbol(wanted: tuple[Interval, ...]) -> str | None:
    """Write the tones as a named quality with tones added and left out, the fewest and the most usual first."""
    key = tone_key(wanted)
    best: tuple[float, int, str] | None = None
    for place, (quality, has) in enumerate(_NEAR_KEYS):
        if (key ^ has).bit_count() > _MOST_CHANGES:
            continue
        omitted = [tone for tone in quality.tones if not key & tone_key((tone,))]
        added = [tone for tone in wanted if not has & tone_key((tone,))]
        if not _can_be_written(quality, added, omitted):
            continue
        # A tone that the rules let go costs less to omit than one that belongs to the name.
        cost = len(added) + sum(0.6 if tone in quality.optional else 1.5 for tone in omitted)
        if best is None or (cost, place) < best[:2]:
            changes = [f"add{tone}" for tone in added] + [f"no{tone.degree}" for tone in omitted]
            best = (cost, place, f"{quality.symbol}({','.join(changes)})")
    return None if best is None else best[2]


def _can_be_written(quality: ChordQuality, added: list[Interval], omitted: list[Interval]) -> bool:
    """Tell whether the changes read back as meant: no degree is both there altered and natural, none is put twice."""
    if any(tone.degree not in (6, 9, 11, 13) for tone in added):
        return False
    if any(tone.degree not in (3, 5, 9, 11) for tone in omitted):
        return False
    letters = [(tone.degree - 1) % 7 for tone in (*quality.tones, *added)]
    return len(set(letters)) == len(letters)


def tones_to_harte(tones: tuple[Interval, ...]) -> str:
    """Write tones as the shortest Harte shorthand with degrees added and omitted, or as a list of degrees."""
    best: tuple[int, int, str] | None = None
    for place, (shorthand, has) in enumerate(_SHORTHAND_TONES.items()):
        added = [tone for tone in tones if tone not in has]
        omitted = [tone for tone in has if tone not in tones]
        if len(omitted) > 1 or (omitted and omitted[0] not in (Interval(3), Interval(5), Interval(3, -1))):
            continue
        changes = [*map(str, added), *(f"*{tone}" for tone in omitted)]
        text = f"{shorthand}({','.join(changes)})" if changes else shorthand
        if best is None or (len(changes), place) < best[:2]:
            best = (len(changes), place, text)
    if best is None or best[0] > _MOST_CHANGES:
        return f"({','.join(map(str, tones))})"
    return best[2]
