"""The bars of a chart, read: bar lines, repeats, names and the beats on which they come."""

from __future__ import annotations

import re
from dataclasses import replace

from listen.document.chart_head import read_signature, read_tempo
from listen.document.chart_place import ChartPlace
from listen.errors import shorten
from listen.instrument import Fretboard, Shape
from listen.reading import STEPS_PER_BEAT, Assignment, SetBar, SetChange, SetSection, count_felt_beats
from listen.theory import Chord

MOST_BARS, MOST_TIMES = 2000, 99
LATE_STEPS = {"&": 6, "¼": 3, "¾": 9, "⅓": 4, "⅔": 8, "½": 6}
_LINE = re.compile(r":\|{1,2}\s*(?:[×x]\s*(\d+))?|\|{1,2}:?")
_NAMES = re.compile(r"([&¼½¾⅓⅔]?)([^&¼½¾⅓⅔]+)")
_MARK = re.compile(r"(tempo|♩\.?|metre)\s*[=:]\s*", re.IGNORECASE)  # before the names of a bar: from here on
_HELD = {".", "·", "-", "/"}
_AGAIN = "%"  # the bar before once more, as on any lead sheet


class BarReader:
    """Reads rows of bars, one after another.

    Parameters
    ----------
    assignment : Assignment
        With its head read.
    board : Fretboard
    """

    def __init__(self, assignment: Assignment, board: Fretboard) -> None:
        self._assignment, self._board = assignment, board
        self._sections: list[SetSection] = []
        self._bars: list[SetBar] = []
        self._opened: ChartPlace | None = None
        self._signature: tuple[int, int] | None = None  # where it is not the head's
        self.symbols: dict[str, tuple[Chord | None, Shape | None]] = {}

    def read(self, row: ChartPlace) -> None:
        """Read one row."""
        number = re.match(r"\d+\s*", row.text)
        if number is not None:
            row = row.after(number.end())
        lines = list(_LINE.finditer(row.text))
        if lines[-1].end() < len(row.text):
            last = row.after(lines[-1].end())
            raise last.refuse(f'the bar "{last.shown}" does not end: put | after it.')
        for place, line in enumerate(lines):
            if line.group().startswith(":"):
                self._close(row.after(line.start()), line[1])
            elif line.group().endswith(":"):
                self._open(row.after(line.start()))
            if place + 1 < len(lines):
                begin, end = line.end(), lines[place + 1].start()
                bar = ChartPlace(row.name, row.line, row.column + begin, row.text[begin:end])
                if bar.text or not line.group().startswith(":"):
                    self._bars.append(self._read_bar(bar))
        if self.n_bars > MOST_BARS:
            raise row.refuse(f"there are more than {MOST_BARS} bars; a chart of homework is shorter.")

    @property
    def n_bars(self) -> int:
        """How many bars were read, repeats written out."""
        return len(self._bars) + sum(len(section.bars) * section.times for section in self._sections)

    def finish(self) -> tuple[SetSection, ...]:
        """Return the sections."""
        if self._opened is not None:
            raise self._opened.refuse("the repeat that begins here does not end: write :| ×2 after its last bar.")
        if self._bars:
            self._sections.append(SetSection(tuple(self._bars)))
            self._bars = []
        return tuple(self._sections)

    def _open(self, place: ChartPlace) -> None:
        if self._opened is not None:
            raise place.refuse(f"a repeat begins inside the one of line {self._opened.line}; close that one first.")
        if self._bars:
            self._sections.append(SetSection(tuple(self._bars)))
            self._bars = []
        self._opened = place

    def _close(self, place: ChartPlace, times: str | None) -> None:
        if not self._bars:
            raise place.refuse("there is no bar to repeat.")
        n_times = int(times) if times else 2
        if not 2 <= n_times <= MOST_TIMES:
            raise place.refuse(f"bars are repeated 2 to {MOST_TIMES} times, not {shorten(str(times))}.")
        self._sections.append(SetSection(tuple(self._bars), n_times))
        self._bars, self._opened = [], None

    def _read_bar(self, place: ChartPlace) -> SetBar:
        """Read a bar: the tempo and the metre that begin there, and its names."""
        place, tempo_bpm = place.stripped(), None
        while (mark := _MARK.match(place.text)) is not None:
            is_metre = mark[1].lower() == "metre"
            value = next(iter(place.after(mark.end()).words()), None)
            if is_metre:
                self._signature = self._read_metre(place, value)
            else:
                tempo_bpm = self._read_tempo(place, value)
            place = place.after(mark.end() if value is None else value.column - place.column + len(value.text))
        return replace(self._read_names(place), tempo_bpm=tempo_bpm, signature=self._signature)

    def _read_tempo(self, place: ChartPlace, value: ChartPlace | None) -> float:
        if self._assignment.tempo_bpm is None or self._assignment.is_free:
            said = "a chart in free time has no tempo" if self._assignment.is_free else "the head says no tempo"
            raise place.refuse(f"{said} that another could follow: write tempo: 96 above the bars, or leave this out.")
        if value is None:
            raise place.refuse("the tempo is missing: write beats a minute after it, tempo=120.")
        return read_tempo(value)

    def _read_metre(self, place: ChartPlace, value: ChartPlace | None) -> tuple[int, int] | None:
        """Read the metre from a bar on: its beats are the head's, more or fewer of them; None for the head's own."""
        head = self._assignment.signature
        if self._assignment.is_free:
            raise place.refuse("a chart in free time has no metre: leave this out, or the free time above the bars.")
        if value is None:
            raise place.refuse("the metre is missing: write it after the sign, metre=2/4.")
        signature = read_signature(value)
        is_compound = count_felt_beats(signature) != signature[0]
        if signature[1] != head[1] or is_compound != self._assignment.is_compound:
            beats = 3 if self._assignment.beats_per_bar == 2 else 2
            like = f"metre={3 * beats if self._assignment.is_compound else beats}/{head[1]}"
            raise value.refuse(
                f"metre is {value.shown}, but this chart is in {head[0]}/{head[1]}: a bar may have more or fewer of "
                f"those beats, {like} for instance, and no others."
            )
        if self._is_pickup:
            raise place.refuse("a pickup has no metre of its own: write the metre in the bar after it, or no pickup.")
        return None if signature == head else signature

    @property
    def _is_pickup(self) -> bool:
        """Whether the next bar is the pickup."""
        return self._assignment.pickup_beats > 0 and not self._bars and not self._sections

    def _read_names(self, place: ChartPlace) -> SetBar:
        words = place.words()
        late = next((word for word in words[1:] if _MARK.match(word.text)), None)
        if late is not None:
            raise late.refuse("a tempo or a metre stands before the names of its bar: | tempo=120 C |.")
        if [word.text for word in words] == [_AGAIN]:
            return self._again(words[0])
        signature = self._signature or self._assignment.signature
        n_beats = self._assignment.pickup_beats if self._is_pickup else count_felt_beats(signature)
        if len(words) <= 1 and not any(word.text in _HELD for word in words):
            widths = n_beats * STEPS_PER_BEAT
        else:
            widths = self._width_of(words, n_beats, place)
        changes: list[SetChange] = []
        for beat, word in enumerate(words):
            if word.text in _HELD:
                continue
            at = 0
            for match in _NAMES.finditer(word.text):
                if match.start() != at:
                    break
                name = ChartPlace(word.name, word.line, word.column + match.start(2), match[2])
                step = beat * widths + LATE_STEPS.get(match[1], 0)
                if step >= n_beats * STEPS_PER_BEAT or (changes and changes[-1].step >= step):
                    raise name.refuse("two names stand at one place; put & before the one that comes half a beat late.")
                symbol, chord, shape = name.read_symbol(self._board)
                self.symbols.setdefault(symbol, (chord, shape))
                changes.append(SetChange(step, symbol))
                at = match.end()
            if at < len(word.text):
                raise word.refuse(f'"{word.shown}" holds no name after its last sign.')
        return SetBar(tuple(changes))

    def _again(self, place: ChartPlace) -> SetBar:
        """Return the bar before once more, with what was held at its beginning."""
        before = [bar for section in self._sections for bar in section.bars] + self._bars
        if not before or (self._assignment.pickup_beats and len(before) == 1):
            raise place.refuse("there is no whole bar before % that could be played again: write its names.")
        if before[-1].signature != self._signature:
            raise place.refuse("the bar before % is of another metre: write the names of this one.")
        changes = before[-1].changes
        held = next((bar.changes[-1].symbol for bar in reversed(before[:-1]) if bar.changes), None)
        if changes and changes[0].step > 0 and held is not None:
            return SetBar((SetChange(0, held), *changes))
        return SetBar(changes)

    def _width_of(self, words: list[ChartPlace], n_beats: int, place: ChartPlace) -> int:
        """Return how many steps each word of a bar takes."""
        upper, lower = self._signature or self._assignment.signature
        n_steps = n_beats * STEPS_PER_BEAT
        whole = n_steps % len(words) == 0
        if whole and (n_beats % len(words) == 0 or (len(words) == upper and upper != n_beats)):
            return n_steps // len(words)
        raise place.stripped().refuse(
            f"this bar has {len(words)} places, but a bar of {upper}/{lower} has {n_beats} beats: write one name for "
            f"the whole bar, or {n_beats} places, with . where nothing changes."
        )
