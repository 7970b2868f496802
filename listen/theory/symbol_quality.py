"""The quality in a chord symbol: what stands between its root and its bass, read from left to right.

First the triad, then a number, then changes: tones added, left out, suspended or altered, in brackets or not.
"""

from __future__ import annotations

import re

from listen.theory.chord import ChordQuality
from listen.theory.symbol_draft import Draft
from listen.theory.symbol_text import SymbolText

_MAJOR = re.compile(r"major|maj|ma(?=[\d(]|$)|M(?!i)|Δ", re.IGNORECASE)
_MAJOR_WORDS = ("major", "maj", "ma", "M", "Maj", "Major", "MAJ", "Ma", "MA", "Δ")
_MINOR = re.compile(r"minor|Minor|MINOR|min|Min|MIN|mi|Mi|MI|m|-(?!5)")
_DIMINISHED = re.compile(r"diminished|dim|Dim|DIM|°|o(?!m)")
_HALF = re.compile(r"half-?dim(?:inished)?|hdim|ø")
_AUGMENTED = re.compile(r"augmented|aug|Aug|AUG|\+(?!5|11)")
_DOMINANT = re.compile(r"dominant|dom|Dom|DOM")
_SUSPENDED = re.compile(r"(?:sus|Sus|SUS)(?:\s*(2sus4|2/?4|4/?2|4sus2|[#+]4|b2|2|4))?")
_SLASHED_TENSION = re.compile(r"/(?=[b#]?(?:9|11|13)(?:$|[\s/,]))")  # C7/9 is a ninth, no chord over its ninth
_SLASHED_NUMBER = re.compile(r"/(7|6)(?=$|[\s/,(])")  # C6/7, C7/6, Csus4/7: another number, no degree in the bass
_SLASHED_MAJOR = re.compile(r"/\s*(?=(?:maj|Maj|MAJ|M|ma)7|Δ)")  # Cm/maj7
_RAISED_SEVENTH = re.compile(r"[#+]7")  # of a minor chord: Cm(+7), Cm#7
_NUMBER = re.compile(r"6/9|69|11|13|[5679]")
_ADD = re.compile(r"(?:add|Add|ADD)\s*([b#+-]?)(11|13|[24679])")
_OMIT = re.compile(r"(?:no|No|NO|omit)\s*([35]|7|9|11)(?:rd|th)?")
_ALTER = re.compile(r"(b|#|\+|-)(11|13|[24569])")
_ALT = re.compile(r"alt(?:ered)?7?")
_BRACKETED = re.compile(r"(11|13|[24679])(?=[,)\s/]|$)")
_SHIFT = {"b": -1, "-": -1, "#": 1, "+": 1, "": 0}
_COMPOUND = {2: 9, 4: 11}


def read_quality(reader: SymbolText) -> ChordQuality:
    """Read a quality up to the end of the symbol, or to the slash of its bass.

    Raises
    ------
    ChordSymbolError
    """
    draft = Draft()
    reader.skip_spaces()
    _read_triad(reader, draft)
    reader.skip_spaces()
    _read_number(reader, draft)
    depth = 0
    while not reader.is_done():
        if reader.take_text("(") or reader.take_text("["):
            depth += 1
        elif depth and (reader.take_text(")") or reader.take_text("]")):
            depth -= 1
        elif reader.take_text(",") or reader.take_text(" ") or (depth and reader.take_text("/")):
            continue
        elif reader.take(_SLASHED_TENSION):
            if not (_read_alteration(reader, draft) or _read_bracketed_degree(reader, draft)):
                break
        elif not (_read_slashed(reader, draft) or _read_change(reader, draft, inside=depth > 0)):
            break
    if depth:
        raise reader.refuse("a bracket was opened and is not closed" if reader.is_done() else "")
    return draft.to_quality()


def _read_slashed(reader: SymbolText, draft: Draft) -> bool:
    """Read what stands after a slash and is no bass: another number, or a minor chord's major seventh."""
    if draft.alterations.get(3) == {-1} and reader.take(_SLASHED_MAJOR):
        return _read_addition(reader, draft)
    if not (draft.number or draft.suspended):
        return False
    match = reader.take(_SLASHED_NUMBER)
    if match is None:
        return False
    if match[1] == "7":
        draft.put(7, 0 if draft.major_seventh else -1)
        if 6 in draft.alterations:
            draft.put(13)
            del draft.alterations[6]
    else:
        draft.put(13 if 7 in draft.alterations else 6)
    return True


def _read_number(reader: SymbolText, draft: Draft) -> None:
    number = reader.take(_NUMBER)
    if number is None:
        return
    if number.group() == "5" and not draft.is_plain():
        reader.position -= 1
        raise reader.refuse("a power chord is neither minor nor altered")
    draft.extend(number.group())


def _read_triad(reader: SymbolText, draft: Draft) -> None:
    if reader.take(_HALF):
        draft.put(3, -1)
        draft.put(5, -1)
        draft.put(7, -1)
    elif _take_major(reader, draft):
        if reader.looks_at("6"):
            draft.major_seventh = False
    elif reader.take(_DIMINISHED):
        draft.put(3, -1)
        draft.put(5, -1)
        draft.diminished = True
    elif reader.take(_MINOR):
        draft.put(3, -1)
        reader.skip_spaces()
        _take_major(reader, draft)
    elif reader.take(_AUGMENTED):
        draft.put(5, 1)
        _take_major(reader, draft)
    elif reader.take(_DOMINANT):
        reader.skip_spaces()
        if not _NUMBER.match(reader.text, reader.position):
            draft.extend("7")


def _take_major(reader: SymbolText, draft: Draft) -> bool:
    """Read a sign of the major seventh, if one stands here; a triangle alone means the seventh too."""
    match = _MAJOR.match(reader.text, reader.position)
    if match is None or match.group() not in _MAJOR_WORDS:
        return False
    reader.position = match.end()
    draft.major_seventh = True
    if match.group() == "Δ":
        draft.put(7)
    return True


def _read_change(reader: SymbolText, draft: Draft, *, inside: bool) -> bool:
    """Read one addition, omission, suspension or alteration; tell whether there was one."""
    return (
        _read_addition(reader, draft)
        or _read_suspension(reader, draft)
        or _read_alteration(reader, draft)
        or (inside and _read_bracketed_degree(reader, draft))
    )


def _read_addition(reader: SymbolText, draft: Draft) -> bool:
    if match := reader.take(_ADD):
        degree = int(match.group(2))
        alteration = _SHIFT[match.group(1)]
        if degree == 7 and not alteration:
            alteration = 0 if draft.major_seventh else -1
        draft.alterations.setdefault(_COMPOUND.get(degree, degree), set()).add(alteration)
        return True
    if match := reader.take(_OMIT):
        draft.omitted.add(int(match.group(1)))
        return True
    fully = draft.diminished and draft.number == "7"
    if _take_major(reader, draft):
        number = reader.take(_NUMBER)
        draft.extend(number.group() if number else "7")
        if fully:  # a diminished seventh with the major seventh beside it
            draft.alterations[7].add(-2)
        return True
    return False


def _read_suspension(reader: SymbolText, draft: Draft) -> bool:
    match = reader.take(_SUSPENDED)
    if match is None:
        return False
    kind = match.group(1)
    draft.suspended = {"2": (2,), "b2": (2,), None: (4,), "4": (4,), "#4": (4,), "+4": (4,)}.get(kind, (2, 4))
    draft.suspended_by = {"b2": -1, "#4": 1, "+4": 1}.get(kind, 0)
    if not draft.number and (number := reader.take(_NUMBER)):
        draft.extend(number.group())
    return True


def _read_alteration(reader: SymbolText, draft: Draft) -> bool:
    if reader.take(_ALT):
        draft.altered = True
    elif draft.alterations.get(3) == {-1} and reader.take(_RAISED_SEVENTH):
        draft.put(7)
    elif match := reader.take(_ALTER):
        degree = int(match.group(2))
        degree = _COMPOUND.get(degree, 13 if degree == 6 and 7 in draft.alterations else degree)
        draft.alter(degree, _SHIFT[match.group(1)])
    elif reader.take(_AUGMENTED):
        draft.alter(5, 1)
    else:
        return False
    return True


def _read_bracketed_degree(reader: SymbolText, draft: Draft) -> bool:
    match = reader.take(_BRACKETED)
    if match is None:
        return False
    degree = int(match.group(1))
    draft.put(_COMPOUND.get(degree, degree), -1 if degree == 7 and not draft.major_seventh else 0)
    return True
