"""Chord symbols as the trade writes them: text in, a chord out.

Reads a root, a quality in any of its usual spellings (``Cm C- Cmi``, ``Cmaj7 CM7 CΔ7``, ``Cø``, ``C7(b9,#11)``,
``C(no3)``, ``C6/9``), a bass after a slash; Harte syntax (``C:min7/b3``); degree lists (``D: 1 3 6 9``). Accidentals
are ``#`` or ``♯``, ``b`` or ``♭``. A flat right after the root belongs to the root: ``Cb5`` is a power chord on C♭.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from listen.theory.chord import Chord, ChordQuality
from listen.theory.degree_list import degrees_to_quality
from listen.theory.harte import parse_harte
from listen.theory.interval import Interval
from listen.theory.qualities import ALTERED, find_quality
from listen.theory.spelling import Note
from listen.theory.symbol_error import LONGEST_SYMBOL, ChordSymbolError

_NOTE = re.compile(r"[A-G](?:𝄪|𝄫|##|♯♯|x|bb|♭♭|#|♯|b|♭)?")
_ASCII = str.maketrans("♯♭−–△∆^º˚Ø⌀∅⁄⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉⁺⁻⁽⁾", "#b--ΔΔΔ°°øøø/01234567890123456789+-()")
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
_ALT = re.compile(r"alt(?:ered)?")
_BRACKETED = re.compile(r"(11|13|[24679])(?=[,)\s/]|$)")
_DEGREE = re.compile(r"(?:bb|##|[b#])?(?:1[0-3]|[1-9])(?=[\s,]|$)")
_LISTED = re.compile(r"\((1(?:,(?:bb|##|[b#])?(?:1[0-3]|[1-9]))+)\)")
_SHIFT = {"b": -1, "-": -1, "#": 1, "+": 1, "": 0}
_COMPOUND = {2: 9, 4: 11}


def parse_chord(text: str) -> Chord:
    """Read a chord symbol, Harte syntax, or a root with degrees.

    Raises
    ------
    ChordSymbolError
        The text cannot be read: the error holds the position of the first bad character and, if one is near,
        a good symbol.

    Examples
    --------
    >>> [parse_chord(text).text for text in ("C-7", "CΔ7", "C°7", "C7(b9,#11)", "C6/9", "D/C", "C:min7/b3")]
    ['Cm7', 'Cmaj7', 'Cdim7', 'C7(b9,#11)', 'C6/9', 'D/C', 'Cm7/Eb']
    >>> parse_chord("F# 1 b3 5 b7").text, parse_chord("D: 1 3 6 9").text
    ('F#m7', 'D6/9(no5)')
    >>> parse_chord("Cm7y")
    Traceback (most recent call last):
    listen.theory.symbol_error.ChordSymbolError: chord=Cm7y cannot be read at character 4 ("y"). The nearest good ...
    """
    if len(text) > LONGEST_SYMBOL:
        raise ChordSymbolError(text, LONGEST_SYMBOL, "no chord is written so long")
    reader = _Reader(text, text.rstrip().translate(_ASCII))
    reader.skip_spaces()
    if reader.is_done():
        raise ChordSymbolError(text, 0)
    root = _read_note(reader, "a chord begins with its root, a capital letter from A to G")
    if reader.looks_at(":") or (reader.looks_at(" ") and re.match(r"\s+1[\s,]+[b#]*\d", reader.rest)):
        return _parse_colon(reader, root)
    spoken = find_quality(reader.rest.strip().lower())
    if spoken is not None and spoken.name == reader.rest.strip().lower():
        return Chord(root, spoken)
    listed = reader.take(_LISTED)
    quality = _read_quality(reader) if listed is None else degrees_to_quality(map(Interval.parse, listed[1].split(",")))
    bass: Note | None = None
    if reader.take_text("/"):
        reader.skip_spaces()
        bass = _read_bass(reader, root)
    if not reader.is_done():
        raise reader.refuse()
    return Chord(root, quality, None if bass is None or bass.pitch_class == root.pitch_class else bass)


@dataclass(slots=True)
class _Reader:
    """The text, and how far it has been read."""

    original: str
    text: str
    position: int = 0

    def is_done(self) -> bool:
        return self.position >= len(self.text)

    @property
    def rest(self) -> str:
        return self.text[self.position :]

    def looks_at(self, start: str) -> bool:
        return self.text.startswith(start, self.position)

    def skip_spaces(self) -> None:
        while self.text[self.position : self.position + 1].isspace():
            self.position += 1

    def take(self, pattern: re.Pattern[str]) -> re.Match[str] | None:
        match = pattern.match(self.text, self.position)
        if match is not None:
            self.position = match.end()
        return match

    def take_text(self, start: str) -> bool:
        if not self.looks_at(start):
            return False
        self.position += len(start)
        return True

    def refuse(self, reason: str = "") -> ChordSymbolError:
        return ChordSymbolError(self.original, self.position, reason)


def _read_note(reader: _Reader, reason: str) -> Note:
    match = reader.take(_NOTE)
    if match is None:
        raise reader.refuse(reason)
    return Note.parse(match.group())


def _read_bass(reader: _Reader, root: Note) -> Note:
    degree = reader.take(_DEGREE)
    if degree is not None:
        return root.above(Interval.parse(degree.group()))
    return _read_note(reader, "after the slash comes the bass, a capital letter from A to G")


def _parse_colon(reader: _Reader, root: Note) -> Chord:
    """Read what follows ``root:``, a list of degrees or the rest of a Harte label."""
    before = reader.position
    reader.take_text(":")
    reader.skip_spaces()
    start = reader.position
    tones: list[Interval] = []
    while (match := reader.take(_DEGREE)) is not None:
        tones.append(Interval.parse(match.group()))
        while reader.take_text(",") or reader.take_text(" "):
            pass
    if len(tones) > 1 or (tones and reader.text[start] in "b#"):
        if not reader.is_done():
            raise reader.refuse("degrees run from 1 to 13, lowered with b or raised with #")
        return Chord(root, degrees_to_quality(tones))
    reader.position = before
    return _parse_harte_rest(reader, root, ":" + reader.text[start:])


def _parse_harte_rest(reader: _Reader, root: Note, rest: str) -> Chord:
    try:
        return parse_harte(f"{root}{rest}")
    except ChordSymbolError as error:
        reader.position = len(reader.text) - (len(f"{root}{rest}") - error.position)
        raise reader.refuse(error.reason) from None


@dataclass(slots=True)
class _Draft:
    """The tones while the symbol is read: the alterations of each degree."""

    alterations: dict[int, set[int]] = field(default_factory=lambda: {1: {0}, 3: {0}, 5: {0}})
    major_seventh: bool = False
    diminished: bool = False
    altered: bool = False
    number: str = ""
    omitted: set[int] = field(default_factory=set)
    suspended: tuple[int, ...] = ()
    suspended_by: int = 0

    def is_plain(self) -> bool:
        return self.alterations[3] == {0} and self.alterations[5] == {0}

    def put(self, degree: int, alteration: int = 0) -> None:
        self.alterations[degree] = {alteration}

    def alter(self, degree: int, alteration: int) -> None:
        """Alter a degree that is there, or add it altered; a second alteration of it stands beside the first."""
        self.alterations.setdefault(degree, set()).discard(0)
        self.alterations[degree].add(alteration)

    def extend(self, number: str) -> None:
        """Put the tones that a number stands for."""
        self.number = number
        if number == "5":
            self.alterations.pop(3, None)
        elif number.startswith("6"):
            self.put(6)
            if number != "6":
                self.put(9)
        else:
            self.put(7, 0 if self.major_seventh else -2 if self.diminished else -1)
            for degree in (9, 11, 13):
                if degree <= int(number):
                    self.put(degree)

    def to_quality(self) -> ChordQuality:
        if self.altered:
            return ALTERED
        if self.suspended:
            self.alterations.pop(3, None)
            for degree in self.suspended:
                self.put(degree, self.suspended_by)
                if degree == 4:  # the fourth is the eleventh already
                    self.alterations.pop(11, None)
        tones = (
            Interval(degree, alteration)
            for degree, found in self.alterations.items()
            for alteration in found
            if degree not in self.omitted
        )
        return degrees_to_quality(tones)


def _read_quality(reader: _Reader) -> ChordQuality:
    draft = _Draft()
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


def _read_slashed(reader: _Reader, draft: _Draft) -> bool:
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


def _read_number(reader: _Reader, draft: _Draft) -> None:
    number = reader.take(_NUMBER)
    if number is None:
        return
    if number.group() == "5" and not draft.is_plain():
        reader.position -= 1
        raise reader.refuse("a power chord is neither minor nor altered")
    draft.extend(number.group())


def _read_triad(reader: _Reader, draft: _Draft) -> None:
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


def _take_major(reader: _Reader, draft: _Draft) -> bool:
    """Read a sign of the major seventh, if one stands here; a triangle alone means the seventh too."""
    match = _MAJOR.match(reader.text, reader.position)
    if match is None or match.group() not in _MAJOR_WORDS:
        return False
    reader.position = match.end()
    draft.major_seventh = True
    if match.group() == "Δ":
        draft.put(7)
    return True


def _read_change(reader: _Reader, draft: _Draft, *, inside: bool) -> bool:
    """Read one addition, omission, suspension or alteration; tell whether there was one."""
    return (
        _read_addition(reader, draft)
        or _read_suspension(reader, draft)
        or _read_alteration(reader, draft)
        or (inside and _read_bracketed_degree(reader, draft))
    )


def _read_addition(reader: _Reader, draft: _Draft) -> bool:
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


def _read_suspension(reader: _Reader, draft: _Draft) -> bool:
    match = reader.take(_SUSPENDED)
    if match is None:
        return False
    kind = match.group(1)
    draft.suspended = {"2": (2,), "b2": (2,), None: (4,), "4": (4,), "#4": (4,), "+4": (4,)}.get(kind, (2, 4))
    draft.suspended_by = {"b2": -1, "#4": 1, "+4": 1}.get(kind, 0)
    if not draft.number and (number := reader.take(_NUMBER)):
        draft.extend(number.group())
    return True


def _read_alteration(reader: _Reader, draft: _Draft) -> bool:
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


def _read_bracketed_degree(reader: _Reader, draft: _Draft) -> bool:
    match = reader.take(_BRACKETED)
    if match is None:
        return False
    degree = int(match.group(1))
    draft.put(_COMPOUND.get(degree, degree), -1 if degree == 7 and not draft.major_seventh else 0)
    return True
